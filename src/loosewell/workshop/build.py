"""The cut plan: where to cut a shaft, what the built arrow weighs and where it balances.

Lengths are told twice: from the squared nock end, as a pencil marks them on the
shaft, and from the nock throat, as an arrow is measured. Nothing here says that a
shaft is sound.
"""

from __future__ import annotations

import datetime
import math
from collections.abc import Sequence
from dataclasses import asdict, dataclass, field
from typing import TYPE_CHECKING, Any

from loosewell import units
from loosewell.errors import BoundRefusal, ContradictionRefusal, MissingRefusal
from loosewell.records import Archer, Arrow, Bow, Fletching, Shaft, bounds
from loosewell.records.arrow import ExtraPart
from loosewell.workshop import stops
from loosewell.workshop.answer import Band, Notice

if TYPE_CHECKING:
    from loosewell.workshop.bridge import Parts, Profile

POINT_HALF_ANGLE_DEG, NOCK_HALF_ANGLE_DEG = 5.0, 11.0
"""Between the axis and the side of a taper. Trade, from memory: as half angles they fit the
usual tapers, about an inch long under a point and half an inch under a nock."""
POINT_FLAT_IN, NOCK_FLAT_IN = 0.17, 0.15
"""Flat ends of the two tapers; common practice, no source: they make the tapers of an 11/32 in
shaft 1 in and 1/2 in long."""
THROAT_IN = {
    "self": 5.0 / 16.0,
    "reinforced self": 5.0 / 16.0,
    "plastic": -1.0 / 16.0,
    "inserted": -1.0 / 4.0,
    "other": 0.0,
}
"""Nock throat ahead of the shaft's end, negative behind it. Common practice, no source."""
SLOT_IN = 0.125
"""Width of a cut nock's slot. Common practice, no source."""
SQUARING_IN, KERF_IN, SPARE_IN = 0.125, 1.0 / 32.0, 2.0
"""Taken off to square an end; width of a fine saw; left long until it has been shot. Common
practice, no source."""
STEP_IN = 0.5
"""The last inches go in steps of this. Common practice, no source."""
CUT_ERROR_IN = 1.0 / 32.0
BALANCE_ERROR_IN = 1.0 / 16.0
SCALE_ERROR_GR = 1.5
"""A knife edge, and a scale reading to 0.1 g. Common practice, no source."""
LONGEST_SOCKET_IN = 2.5
UNWEIGHED_DIAMETER_IN = 11.0 / 32.0
# Shares of a usual part's mass, one standard error: half of the handbook's ranges (from memory).
_FEATHER_SHARE, _VANE_SHARE, _NOCK_ERROR_GR = 0.10, 0.20, 1.5
_GLUE_ERROR_GR, _POINT_ERROR_GR = 1.5, 1.0
_APART = 2.0
"""Predicted and weighed are called apart beyond this many standard errors together."""


@dataclass(frozen=True)
class BuildWish:
    """What is wished of the build; None takes the usual and says so."""

    length_in: float | None = None
    point_weight_gr: float | None = None
    point_kind: str | None = None
    point_socket_in: float | None = None
    nock_kind: str | None = None
    nock_weight_gr: float | None = None
    throat_in: float | None = None
    fletching: Fletching | None = None
    glue_gr: float | None = None
    finish_gr: float | None = None
    extra_parts: tuple[ExtraPart, ...] = ()
    squaring_in: float = SQUARING_IN
    kerf_in: float = KERF_IN
    spare_in: float = SPARE_IN


@dataclass(frozen=True)
class BuildPart:
    """One line of the mass budget; ``at_in`` from the nock throat to its middle.

    The two shares say how much of the spread of the whole arrow's mass and balance
    this part's own errors cause.
    """

    what: str
    weight_gr: float
    error_gr: float
    at_in: float
    at_error_in: float
    assumed: bool
    why: str
    share_of_mass_percent: float = 0.0
    share_of_balance_percent: float = 0.0


@dataclass(frozen=True)
class Mark:
    """One pencil mark, from the squared nock end and from the nock throat."""

    from_end_in: float
    from_throat_in: float
    what: str


@dataclass(frozen=True)
class Taper:
    """A taper to be cut: from which diameter to which, how long, at which half angle."""

    what: str
    from_diameter_in: float
    to_diameter_in: float
    length_in: float
    half_angle_deg: float


@dataclass(frozen=True)
class Balance:
    """The arrow, or the bare shaft, at one stage of the build."""

    stage: str
    length_in: float
    weight_gr: float
    balance_in: float
    foc_percent: float


@dataclass(frozen=True)
class Weighed:
    """Predicted beside weighed or balanced: their difference, and what it may come from."""

    what: str
    predicted: float
    predicted_error: float
    measured: float
    measured_error: float
    unit: str
    difference: float
    within_errors: bool


@dataclass(frozen=True)
class BuildPlan:
    """The whole cut plan and mass budget of one arrow."""

    shaft: str
    arrow: str | None
    archer: str | None
    bow: str | None
    invented: bool
    stops: list[Notice]
    warnings: list[Notice]
    length_in: float
    length_reason: str
    minimum_length_in: float | None
    blank_in: float
    already_cut: bool
    throat_in: float = 0.0
    nock_kind: str = "plastic"
    socket_in: float = 0.0
    squaring_in: float = 0.0
    kerf_in: float = 0.0
    cut_in: float = 0.0
    """Shaft length to cut to, from the squared nock end to the front end."""
    first_cut_in: float = 0.0
    needs_in: float = 0.0
    diameter_nock_in: float = 0.0
    diameter_point_in: float = 0.0
    tapers: list[Taper] = field(default_factory=list)
    parts: list[BuildPart] = field(default_factory=list)
    weight: Band | None = None
    balance_in: Band | None = None
    foc_percent: Band | None = None
    stages: list[Balance] = field(default_factory=list)
    weighed: list[Weighed] = field(default_factory=list)
    likely: list[str] = field(default_factory=list)
    marks: list[Mark] = field(default_factory=list)
    steps: list[str] = field(default_factory=list)
    assumed: list[str] = field(default_factory=list)
    grains_per_pound: Band | None = None
    fletching_in: tuple[float, float] | None = None
    joints_in: list[tuple[float, float]] = field(default_factory=list)
    """Middle of each joint from the nock throat, and the length of its sleeve."""

    def as_dict(self) -> dict[str, Any]:
        """The plan as plain dictionaries and lists, ready for JSON."""
        return asdict(self)


def build(
    shaft: Shaft,
    wish: BuildWish | None = None,
    *,
    arrow: Arrow | None = None,
    archer: Archer | None = None,
    bow: Bow | None = None,
    today: datetime.date | None = None,
) -> BuildPlan:
    """The cut plan and the mass budget of one arrow on one shaft.

    Parameters
    ----------
    shaft : Shaft
        With its length; mass and diameters where known.
    wish : BuildWish, optional
        What is wished; what the arrow's record says fills what the wish leaves open.
    arrow : Arrow, optional
        An arrow on record, to be set beside the scale.
    archer, bow : optional
        Whose arrow it is: for the least length and the stops.
    today : date, optional
        For the age of a child's draw.

    Returns
    -------
    plan : BuildPlan
        With stops first; after a stop nothing is worked out.

    Raises
    ------
    Refusal
        For a length that the shaft does not hold, or one that was never said.
    """
    wish = _filled(wish or BuildWish(), arrow)
    if shaft.length_in is None:
        raise MissingRefusal(
            f"The length of shaft {shaft.name} is not recorded, and nothing can be cut from a "
            "length that nobody measured. Measure it from end to end and record it with "
            f'loosewell shaft change "{shaft.name}" --length.',
            code="missing-length",
        )
    minimum_in = None
    if archer is not None and archer.draw_length_in is not None:
        minimum_in = stops.minimum_length_in(archer)
    length_in, reason = _length(wish, archer, minimum_in, arrow)
    bounds.check(length_in, "arrow.length_in")
    found, doubts = _notices(shaft, archer, bow, length_in, minimum_in, arrow, today)
    if found:
        return BuildPlan(
            shaft=shaft.name,
            arrow=None if arrow is None else arrow.name,
            archer=None if archer is None else archer.name,
            bow=None if bow is None else bow.name,
            invented=_invented(shaft, arrow, archer, bow),
            stops=found,
            warnings=doubts,
            length_in=length_in,
            length_reason=reason,
            minimum_length_in=minimum_in,
            blank_in=shaft.length_in,
            already_cut=False,
            steps=["Nothing was planned: settle the stop first."],
        )
    return _Bench(shaft, wish, arrow, archer, bow, length_in, reason, minimum_in, doubts).plan()


def _filled(wish: BuildWish, arrow: Arrow | None) -> BuildWish:
    """The wish with what the arrow's own record says where the wish is silent."""
    if arrow is None:
        return wish
    values = {one: getattr(wish, one) for one in BuildWish.__dataclass_fields__}
    for name in (
        "length_in",
        "point_weight_gr",
        "point_kind",
        "nock_kind",
        "nock_weight_gr",
        "fletching",
    ):
        if values[name] is None:
            values[name] = getattr(arrow, name)
    values["extra_parts"] = (*arrow.extra_parts, *wish.extra_parts)
    return BuildWish(**values)


def _length(
    wish: BuildWish, archer: Archer | None, minimum_in: float | None, arrow: Arrow | None
) -> tuple[float, str]:
    if wish.length_in is not None:
        own = arrow is not None and arrow.length_in == wish.length_in
        return wish.length_in, "as on record" if own else "as asked for"
    if minimum_in is not None and archer is not None:
        return (
            math.ceil(minimum_in * 4.0 - 1e-9) / 4.0,
            f"the least for {archer.name}, rounded up to the next quarter inch",
        )
    raise MissingRefusal(
        "The arrow length was not given. Say --length (nock throat to the back of the point), or "
        "name an archer whose draw length is on record with --archer.",
        code="missing-length",
    )


def _invented(*records: Shaft | Arrow | Archer | Bow | None) -> bool:
    return any(one is not None and one.invented for one in records)


def _notices(
    shaft: Shaft,
    archer: Archer | None,
    bow: Bow | None,
    length_in: float,
    minimum_in: float | None,
    arrow: Arrow | None,
    today: datetime.date | None,
) -> tuple[list[Notice], list[Notice]]:
    """Hard stops, and what is doubtful."""
    from loosewell.workshop.bridge import true_draw_in

    found: list[Notice] = []
    doubts: list[Notice] = []
    unfit = stops.unfit(shaft)
    if unfit is not None:
        found.append(unfit)
    today = today or datetime.datetime.now(datetime.UTC).astimezone().date()
    if archer is not None and archer.draw_length_in is not None:
        draw_in = true_draw_in(archer.draw_length_in, archer.draw_measured)
        error_in = archer.draw_error_in or 0.25
        if bow is not None and bow.draw_readings:
            found += stops.stops(bow, archer, draw_in, length_in)
            doubts += stops.warnings(bow, archer, draw_in, error_in, today)
        else:
            found += _archer_stops(archer, length_in, minimum_in or 0.0)
        if minimum_in is not None and length_in - error_in < minimum_in <= length_in:
            doubts.append(
                Notice(
                    "length-near-least",
                    f"The draw of {archer.name} is known to {error_in:.2g} in and the arrow is "
                    f"only {length_in - minimum_in:.2f} in longer than the least. Watch the point "
                    "from the side at full draw before the last cut.",
                )
            )
    else:
        doubts.append(
            Notice(
                "no-archer",
                "No archer with a draw length is named, so nothing here says whether this arrow is "
                "longer than anyone draws. Name the archer with --archer before you cut.",
            )
        )
    if stops.not_looked_over(shaft) is not None:
        doubts.append(
            Notice(
                "not-inspected",
                f"Shaft {shaft.name} was not looked over yet. Look for run-out, knots, cracks and "
                "dents, flex it away from the face, and record it before any work goes into it.",
            )
        )
    if arrow is not None and arrow.shaft != shaft.name:
        raise ContradictionRefusal(
            f"Arrow {arrow.name} is built on shaft {arrow.shaft}, and shaft {shaft.name} was "
            "given. Leave the shaft out, or name the arrow's own.",
            code="arrow-other-shaft",
        )
    return found, doubts


def _archer_stops(archer: Archer, length_in: float, minimum_in: float) -> list[Notice]:
    """The stops that need no bow."""
    found = []
    if length_in < minimum_in - 1e-9:
        found.append(
            Notice(
                "arrow-too-short",
                f"Do not cut: an arrow of {length_in:.2f} in is {minimum_in - length_in:.2f} in "
                f"shorter than the least for {archer.name}, {minimum_in:.2f} in from the nock "
                "throat to the back of the point. A short arrow comes off the bow at full draw "
                "and goes through the hand. Leave it longer.",
            )
        )
    if archer.child and archer.draw_method in (None, "arm span", "told"):
        found.append(
            Notice(
                "child-draw-not-measured",
                f"Do not cut yet: the draw of {archer.name}, a child, was not measured on a bow. "
                "Measure it with a marked arrow and a light bow.",
            )
        )
    return found


class _Bench:
    """One build being worked out: places along the shaft in inches from its nock end as it lies."""

    def __init__(
        self,
        shaft: Shaft,
        wish: BuildWish,
        arrow: Arrow | None,
        archer: Archer | None,
        bow: Bow | None,
        length_in: float,
        reason: str,
        minimum_in: float | None,
        doubts: list[Notice],
    ) -> None:
        from loosewell.workshop import bridge
        from loosewell.workshop.bench import shaft_spine
        from loosewell.workshop.wish import PURPOSES

        assert shaft.length_in is not None
        self.shaft, self.wish, self.arrow = shaft, wish, arrow
        self.archer, self.bow = archer, bow
        self.length_in, self.reason, self.minimum_in = length_in, reason, minimum_in
        self.doubts = doubts
        self.blank_in = shaft.length_in
        spine = shaft_spine(shaft)
        # Only the mass is wanted of the profile; its stiffness may be unknown.
        level = 4.0 if spine is None else spine.bending_stiffness
        self.profile: Profile = bridge.shaft_profile(shaft, level, 0.0)
        self.solid = shaft.wall_in is None and shaft.kind != "tube"
        self.nock_kind = wish.nock_kind or "plastic"
        self.point_gr = wish.point_weight_gr
        if self.point_gr is None:
            self.point_gr = PURPOSES["target"].point_weight_gr
        self.fletching = wish.fletching or bridge.standard_fletching()
        self.put: Parts = bridge.parts(
            self.point_gr, self.fletching, wish.point_kind, self.nock_kind, wish.nock_weight_gr
        )
        self.assumed: list[str] = []
        self._lay_out()

    # ---- where things lie

    def _lay_out(self) -> None:
        wish = self.wish
        throat_in = wish.throat_in
        if throat_in is None:
            throat_in = THROAT_IN[self.nock_kind]
            where = "ahead of" if throat_in >= 0.0 else "behind"
            self.assumed.append(
                f"nock throat {abs(throat_in):.3g} in {where} the shaft's end ({self.nock_kind} "
                "nock; common practice, no source): measure yours, --throat"
            )
        self.throat_in = throat_in
        socket_in = wish.point_socket_in
        self.tapered = self.solid and wish.point_kind not in ("stone", "bone")
        if not self.shaft.stations:
            self.assumed.append(
                "diameter 11/32 in (not measured): it sets the tapers and, where the shaft was not "
                "weighed, its mass"
            )
        if socket_in is None:
            socket_in = 0.0
            if self.tapered:
                from loosewell.physics import shaft as physics

                socket_in = physics.taper_length(
                    self._diameter(min(throat_in + self.length_in, self.blank_in)),
                    POINT_FLAT_IN,
                    math.radians(POINT_HALF_ANGLE_DEG),
                )
                self.assumed.append(
                    f"{socket_in:.2f} in of shaft inside the point (a "
                    f"{POINT_HALF_ANGLE_DEG:g} deg taper to {POINT_FLAT_IN:g} in; trade, from "
                    "memory): measure your point's socket, --socket"
                )
        elif not 0.0 <= socket_in <= LONGEST_SOCKET_IN:
            raise BoundRefusal(
                f"A socket of {socket_in:g} in is outside 0 to {LONGEST_SOCKET_IN:g} in. Measure "
                "how far the shaft goes into the point, with a pencil or the tail of a caliper.",
                code="bound-socket",
            )
        for value, low, high, what, advice in (
            (throat_in, -1.0, 1.0, "nock throat", ("Measure from the end of the shaft to the "
             "throat, positive when it lies inside the shaft.")),
            (wish.squaring_in, 0.0, 2.0, "squaring allowance", "An eighth of an inch is usual."),
            (wish.kerf_in, 0.0, 0.25, "saw cut", "A fine saw takes about 1/32 in."),
            (wish.spare_in, 0.0, 6.0, "length left for shooting in", "Two inches are usual."),
        ):  # fmt: skip
            if not low <= value <= high:
                raise BoundRefusal(
                    f"A {what} of {value:g} in is outside {low:g} to {high:g} in. {advice}",
                    code="bound-allowance",
                )
        net = self.length_in + throat_in + socket_in
        needs = wish.squaring_in + net + wish.kerf_in
        self.already_cut = False
        x0 = wish.squaring_in
        if self.blank_in < needs - 1e-9:
            built = self.arrow is not None and self.blank_in >= (
                self.length_in + min(throat_in, 0.0) - 1.0
            )
            if not built:
                raise BoundRefusal(
                    f"Shaft {self.shaft.name} is {self.blank_in:.2f} in long and this plan needs "
                    f"{needs:.2f} in: {self.length_in:.2f} in of arrow, {throat_in:.2f} in for the "
                    f"nock, {socket_in:.2f} in inside the point, {wish.squaring_in:.2f} in for "
                    f"squaring and {wish.kerf_in:.2f} in for the saw. Take a longer shaft"
                    + (
                        "."
                        if self.minimum_in is None or self.archer is None
                        else f"; do not shorten the arrow below {self.minimum_in:.2f} in, the "
                        f"least for {self.archer.name}."
                    ),
                    code="cut-longer-than-shaft",
                )
            # An arrow that stands built: its shaft is recorded as it was cut.
            self.already_cut = True
            x0 = 0.0
            socket_in = min(max(self.blank_in - throat_in - self.length_in, 0.0), socket_in)
            net = min(self.length_in + throat_in + socket_in, self.blank_in)
        self.socket_in, self.x0, self.needs_in = socket_in, x0, needs
        self.x_throat = x0 + throat_in
        self.x_back = min(self.x_throat + self.length_in, self.blank_in)
        self.x_front = x0 + net
        self.x_first = min(self.x_front + wish.spare_in, self.blank_in - wish.kerf_in)
        if self.already_cut:
            self.x_first = self.x_front
        self.d_nock = self._diameter(x0)
        self.d_point = self._diameter(self.x_back)

    def _diameter(self, x_in: float) -> float:
        import numpy as np

        return 2.0 * float(
            np.interp(x_in * units.INCH, self.profile.edge, self.profile.radius) / units.INCH
        )

    def _stretch(self, low_in: float, high_in: float) -> tuple[float, float]:
        """Mass of the shaft between two places, and its middle from the throat. [gr, in]"""
        import numpy as np

        low, high = (min(max(x, 0.0), self.blank_in) * units.INCH for x in (low_in, high_in))
        if high <= low:
            return 0.0, low_in - self.x_throat
        edge = np.unique(np.clip(np.concatenate((self.profile.edge, [low, high])), low, high))
        middle = 0.5 * (edge[:-1] + edge[1:])
        piece = np.clip(
            np.searchsorted(self.profile.edge, middle) - 1, 0, len(self.profile.mass_per_length) - 1
        )
        mass = self.profile.mass_per_length[piece] * np.diff(edge)
        whole = float(np.sum(mass))
        centre = float(np.sum(mass * middle)) / whole
        return whole / units.GRAIN, centre / units.INCH - self.x_throat

    # ---- the parts

    def _shaft_parts(self, x_front: float, length_in: float) -> list[BuildPart]:
        """The wood of the arrow cut so long: body, taper in the point, wood at the nock."""
        from loosewell.physics import shaft as physics

        x_back = min(self.x_throat + length_in, x_front)
        share = self.profile.mass_error
        weighed = self.shaft.weight_gr is not None
        why = "as weighed" if weighed else "not weighed: mean arrow wood, 480 kg/m³ ± 18 %"
        if not weighed and not self.solid:
            why = "not weighed: a usual tube"
        plastic = self.nock_kind in ("plastic", "other") and self.solid
        nock_taper = (
            physics.taper_length(self.d_nock, NOCK_FLAT_IN, math.radians(NOCK_HALF_ANGLE_DEG))
            if plastic and not (self.already_cut and weighed)
            else 0.0
        )
        x_body = self.x0 + nock_taper
        found: list[BuildPart] = []
        weight, at = self._stretch(x_body, x_back)
        for joint in self.shaft.joints:
            own = joint.sleeve_weight_gr
            if own is None or not x_body < joint.station_in < x_back:
                continue
            place = joint.station_in - self.x_throat
            weight, at = weight - own, (weight * at - own * place) / (weight - own)
            found.append(
                BuildPart(f"sleeve at {place:.2f} in", own, 1.0, place, 0.06, False, "as recorded")
            )
        # Wood is not alike from end to end: its own middle of mass is not its middle.
        uneven = 0.10 if len(self.shaft.stations) >= 3 else 0.15
        body = BuildPart("shaft", weight, share * weight, at, uneven, not weighed, why)
        found.insert(0, body)
        # What is weighed with the shaft shares its error; what a cone leaves adds its own.
        for what, x_wide, x_end, wide, flat in (
            ("taper inside the point", x_back, x_front, self._diameter(x_back), POINT_FLAT_IN),
            ("taper under the nock", x_body, self.x0, self.d_nock, NOCK_FLAT_IN),
        ):
            span = abs(x_end - x_wide)
            if span < 1e-6:
                continue
            full, _ = self._stretch(min(x_wide, x_end), max(x_wide, x_end))
            tapered = self.tapered if what == "taper inside the point" else True
            if self.already_cut and weighed:
                # The scale saw the taper as it is.
                part, centre = full, 0.5 * span
            elif tapered:
                volume, centre = physics.frustum(wide, min(flat, wide), span)
                part = full * volume / (physics.area_solid(wide) * span)
            else:
                part, centre = full, 0.5 * span
            way = 1.0 if x_end > x_wide else -1.0
            found.append(
                BuildPart(
                    what,
                    part,
                    max(0.15 * part, 0.2),
                    x_wide + way * centre - self.x_throat,
                    0.1,
                    True,
                    "cone by its angle and flat end (trade, from memory)",
                )
            )
        cut_slot = self.nock_kind in ("self", "reinforced self") and self.throat_in > 0.0
        if cut_slot and not (self.already_cut and weighed):
            per_inch, _ = self._stretch(self.x0, self.x0 + 1.0)
            area = physics.area_solid(self.d_nock)
            gone = per_inch * self.throat_in * min(SLOT_IN * self.d_nock / area, 0.6)
            found.append(
                BuildPart(
                    "slot of the nock, cut away",
                    -gone,
                    0.3 * gone,
                    -0.5 * self.throat_in,
                    0.05,
                    True,
                    f"a slot {SLOT_IN:g} in wide",
                )
            )
        return found

    def parts(self, x_front: float, length_in: float) -> list[BuildPart]:
        """Every part of the arrow when it is cut so long."""
        from loosewell.workshop import bridge

        wish, put = self.wish, self.put
        found = self._shaft_parts(x_front, length_in)
        known = wish.point_weight_gr is not None
        found.append(
            BuildPart(
                "point",
                put.point_mass / units.GRAIN,
                _POINT_ERROR_GR if known else 10.0,
                length_in + 0.35 * put.point_length / units.INCH,
                0.1,
                not known,
                "as given, ± 1 gr; its middle assumed a third of its length forward"
                if known
                else "not given: the usual target point",
            )
        )
        own = wish.nock_weight_gr is not None
        nock_gr = put.nock_mass / units.GRAIN
        if self.nock_kind == "self" and not own:
            nock_gr = 0.0  # its slot stands in the shaft's own lines
        if nock_gr != 0.0:
            found.append(
                BuildPart(
                    "nock",
                    nock_gr,
                    0.5 if own else _NOCK_ERROR_GR,
                    0.0,
                    0.1,
                    not own,
                    "as given" if own else f"usual {self.nock_kind} nock, from memory",
                )
            )
        if put.count:
            vane = put.material == "vane"
            per_inch = bridge.VANE_GR_PER_IN if vane else bridge.FEATHER_GR_PER_IN
            each = put.chord / units.INCH * per_inch
            middle = (put.rear + 0.5 * put.chord) / units.INCH
            share = _VANE_SHARE if vane else _FEATHER_SHARE
            found.append(
                BuildPart(
                    f"{put.count} {put.material}s, {put.chord / units.INCH:.3g} in",
                    put.count * each,
                    share * put.count * each,
                    middle,
                    0.2,
                    True,
                    f"{per_inch:g} gr an inch each, from memory",
                )
            )
            glue = wish.glue_gr
            found.append(
                BuildPart(
                    "glue and binding of the fletching",
                    bridge.GLUE_GR if glue is None else glue,
                    _GLUE_ERROR_GR if glue is None else 0.5,
                    middle,
                    0.3,
                    glue is None,
                    "thread and glue weigh 3 to 8 gr, from memory" if glue is None else "as given",
                )
            )
        if wish.finish_gr is not None:
            found.append(
                BuildPart(
                    "finish", wish.finish_gr, 1.0, 0.5 * length_in, 1.0, False, "as given, spread"
                )
            )
        for one in wish.extra_parts:
            if one.at_in > length_in + 1e-9:
                raise ContradictionRefusal(
                    f"A part ({one.what}) was given at {one.at_in:g} in from the nock throat, "
                    f"beyond the arrow length of {length_in:g} in. Check both; what sits inside "
                    "the point belongs to the point's mass.",
                    code="part-beyond-end",
                )
            found.append(
                BuildPart(one.what, one.weight_gr, 0.5, one.at_in, 0.1, False, "as recorded")
            )
        return found

    # ---- the plan

    def plan(self) -> BuildPlan:
        """Everything put together."""
        length_in = self.length_in
        lines = self.parts(self.x_front, length_in)
        weight, balance, weight_error, balance_error, lines = budget(lines)
        self._refuse_impossible(weight)
        foc = 100.0 * (balance - 0.5 * length_in) / length_in
        foc_error = 100.0 / length_in * math.hypot(balance_error, 0.5 * CUT_ERROR_IN)
        stages = self._stages()
        compared, likely = self._weighed(weight, weight_error, balance, balance_error)
        self._warn(weight)
        self.assumed += [
            f"{one.what} {one.weight_gr:.1f} gr ± {one.error_gr:.1f} gr ({one.why}): "
            f"{one.share_of_mass_percent:.0f} % of the spread in mass, "
            f"{one.share_of_balance_percent:.0f} % in balance"
            for one in lines
            if one.assumed
        ]
        body = lines[0]
        self.assumed.append(
            f"the shaft's own balance, known to ± {body.at_error_in:g} in (common practice, no "
            f"source): {body.share_of_balance_percent:.0f} % of the spread in balance; balance the "
            "bare shaft to see"
        )
        if self.wish.finish_gr is None:
            self.assumed.append(
                "no finish counted: lacquer or oil adds a few grains; weigh a shaft before and "
                "after, --finish"
            )
        put = self.put
        feathers = (
            (put.rear / units.INCH, (put.rear + put.chord) / units.INCH) if put.count else None
        )
        return BuildPlan(
            shaft=self.shaft.name,
            arrow=None if self.arrow is None else self.arrow.name,
            archer=None if self.archer is None else self.archer.name,
            bow=None if self.bow is None else self.bow.name,
            invented=_invented(self.shaft, self.arrow, self.archer, self.bow),
            stops=[],
            warnings=self.doubts,
            length_in=round(length_in, 4),
            length_reason=self.reason,
            minimum_length_in=None if self.minimum_in is None else round(self.minimum_in, 4),
            blank_in=self.blank_in,
            already_cut=self.already_cut,
            throat_in=round(self.throat_in, 4),
            nock_kind=self.nock_kind,
            socket_in=round(self.socket_in, 4),
            squaring_in=round(self.x0, 4),
            kerf_in=self.wish.kerf_in,
            cut_in=round(self.x_front - self.x0, 4),
            first_cut_in=round(self.x_first - self.x0, 4),
            needs_in=round(self.needs_in, 4),
            diameter_nock_in=round(self.d_nock, 4),
            diameter_point_in=round(self.d_point, 4),
            tapers=self._tapers(),
            parts=lines,
            weight=_band(weight, weight_error, "all parts' errors, one standard error", 1),
            balance_in=_band(balance, balance_error, "from the nock throat", 2),
            foc_percent=_band(foc, foc_error, "100 × (A − L/2) / L, L to the back of the point", 1),
            stages=stages,
            weighed=compared,
            likely=likely,
            marks=self._marks(balance, feathers),
            steps=self._steps(),
            assumed=self.assumed,
            grains_per_pound=self._per_pound(weight, weight_error),
            fletching_in=feathers,
            joints_in=[
                (round(one.station_in - self.x_throat, 3), one.sleeve_length_in or 0.0)
                for one in self.shaft.joints
                if one.station_in < self.x_front
            ],
        )

    def _refuse_impossible(self, weight: float) -> None:
        heaviest = max((one.weight_gr for one in self.wish.extra_parts), default=0.0)
        if heaviest > 0.5 * weight:
            raise ContradictionRefusal(
                f"One part of {heaviest:g} gr would be more than half of the whole arrow "
                f"({weight:.0f} gr). Check whether grams (g) were typed as grains (gr) or the "
                "other way round.",
                code="part-implausible",
            )
        if self.point_gr is not None and not 20.0 <= self.point_gr <= 500.0:
            raise BoundRefusal(
                f"A point of {self.point_gr:g} gr is outside 20 to 500 gr. Weigh the point; grains "
                "(gr) are not grams (g).",
                code="bound-point",
            )

    def _stages(self) -> list[Balance]:
        blank, middle = self._stretch(0.0, self.blank_in)
        middle += self.x_throat
        found = [
            Balance(
                "bare shaft as it lies, from its nock end",
                round(self.blank_in, 3),
                round(blank, 1),
                round(middle, 2),
                round(100.0 * (middle - 0.5 * self.blank_in) / self.blank_in, 1),
            )
        ]
        spare = self.x_first - self.x_front
        tries = [(self.x_front, self.length_in, f"arrow at {self.length_in:.2f} in")]
        if spare > 0.05:
            longer = self.length_in + spare
            tries.insert(0, (self.x_first, longer, f"arrow left {spare:.2f} in long"))
        for x_front, length_in, stage in tries:
            weight, balance, *_ = budget(self.parts(x_front, length_in))
            found.append(
                Balance(
                    stage,
                    round(length_in, 3),
                    round(weight, 1),
                    round(balance, 2),
                    round(100.0 * (balance - 0.5 * length_in) / length_in, 1),
                )
            )
        return found

    def _tapers(self) -> list[Taper]:
        found = []
        if self.nock_kind in ("plastic", "other") and self.solid:
            from loosewell.physics import shaft as physics

            long_in = physics.taper_length(
                self.d_nock, NOCK_FLAT_IN, math.radians(NOCK_HALF_ANGLE_DEG)
            )
            flat = min(NOCK_FLAT_IN, self.d_nock)
            found.append(Taper("nock", self.d_nock, flat, long_in, NOCK_HALF_ANGLE_DEG))
        if self.tapered and self.socket_in > 0.0:
            flat = self.d_point - 2.0 * self.socket_in * math.tan(
                math.radians(POINT_HALF_ANGLE_DEG)
            )
            if flat <= 0.0:
                raise ContradictionRefusal(
                    f"A socket of {self.socket_in:.2f} in at {POINT_HALF_ANGLE_DEG:g} deg is "
                    f"deeper than a shaft of {self.d_point:.3f} in can reach: its taper would end "
                    "in "
                    "nothing. Measure the socket and the diameter again.",
                    code="taper-too-long",
                )
            found.append(Taper("point", self.d_point, flat, self.socket_in, POINT_HALF_ANGLE_DEG))
        return [
            Taper(
                one.what,
                round(one.from_diameter_in, 4),
                round(one.to_diameter_in, 4),
                round(one.length_in, 3),
                one.half_angle_deg,
            )
            for one in found
        ]

    def _warn(self, weight: float) -> None:
        for one in self.shaft.sections:
            gone = one.to_in - max(self.x_front, one.from_in)
            if gone > 0.05 and one.to_in > self.x_front:
                self.doubts.append(
                    Notice(
                        "cut-through-section",
                        f"The cut takes {gone:.2f} in off the section from {one.from_in:g} in to "
                        f"{one.to_in:g} in ({one.material or 'material not recorded'}). A footing "
                        "lives by its length: build another shaft if it should stay whole.",
                    )
                )
        for joint in self.shaft.joints:
            if joint.front_in() > self.x_front - self.socket_in > joint.rear_in():
                self.doubts.append(
                    Notice(
                        "cut-through-joint",
                        f"The point would sit on the sleeve of the joint at {joint.station_in:g} "
                        "in. Move the joint or leave the arrow longer.",
                    )
                )
        draw = self._draw_weight()
        if self.bow is not None and draw is not None:
            light = stops.mass_warning(self.bow, weight, draw)
            if light is not None:
                self.doubts.insert(0, light)

    def _draw_weight(self) -> float | None:
        """Of this bow at this archer's draw. [lb]"""
        if self.bow is None or self.archer is None or self.archer.draw_length_in is None:
            return None
        if not self.bow.draw_readings:
            return None
        from loosewell.workshop import bridge

        draw = bridge.true_draw_in(self.archer.draw_length_in, self.archer.draw_measured)
        return bridge.bow_model(self.bow, draw, 0.5).weight_at(draw)

    def _per_pound(self, weight: float, error: float) -> Band | None:
        draw = self._draw_weight()
        if draw is None:
            return None
        return _band(weight / draw, error / draw, "over the draw weight at this archer's draw", 2)

    def _weighed(
        self, weight: float, weight_error: float, balance: float, balance_error: float
    ) -> tuple[list[Weighed], list[str]]:
        arrow = self.arrow
        if arrow is None:
            return [], []
        found = []
        for what, predicted, error, measured, own, unit, digits in (
            ("mass", weight, weight_error, arrow.weight_gr, SCALE_ERROR_GR, "gr", 1),
            ("balance", balance, balance_error, arrow.balance_in, BALANCE_ERROR_IN, "in", 2),
        ):
            if measured is None:
                continue
            off = measured - predicted
            found.append(
                Weighed(
                    what,
                    round(predicted, digits),
                    round(error, digits + 1),
                    measured,
                    own,
                    unit,
                    round(off, digits),
                    abs(off) <= _APART * math.hypot(error, own),
                )
            )
        return found, _explained(
            found, arrow, self.length_in, self.put.rear + self.put.chord, weight, balance
        )

    def _marks(self, balance: float, feathers: tuple[float, float] | None) -> list[Mark]:
        places = [(0.0, "nock throat: bottom of the string slot")]
        if feathers is not None:
            places += [(feathers[0], "rear edge of the fletching"), (feathers[1], "its front edge")]
        places += [
            (one.station_in - self.x_throat, "joint: carry the stiff-side line across it")
            for one in self.shaft.joints
            if one.station_in < self.x_front
        ]
        places.append((balance, "balance expected when built: compare on a knife edge"))
        places.append((self.length_in, "back of the point: the arrow length ends here"))
        if self.socket_in > 0.0:
            places.append((self.x_front - self.x_throat, "last cut: front end of the shaft"))
        if self.x_first - self.x_front > 0.05:
            places.append((self.x_first - self.x_throat, "first cut: saw here, in front of it"))
        return [
            Mark(round(at + self.throat_in, 3), round(at, 3), what)
            for at, what in sorted(places, key=lambda one: one[0])
        ]

    def _steps(self) -> list[str]:
        length = f"{self.length_in:.2f} in ({self.length_in * 25.4:.0f} mm)"
        if self.already_cut:
            return [
                (
                    f"The shaft on record is {self.blank_in:.2f} in long, as it was cut: nothing "
                    "is "
                    "left to cut. What follows is what the built arrow should weigh."
                )
            ]
        slot = {
            "self": f"Saw the string slot {self.throat_in:.2f} in deep, across the growth rings, "
            "and bind below it.",
            "reinforced self": f"Set the reinforcement, then saw the slot {self.throat_in:.2f} in "
            "deep across the growth rings, and bind below it.",
        }.get(
            self.nock_kind,
            "Cut the nock's seat"
            + (f" ({NOCK_HALF_ANGLE_DEG:g} deg taper)" if self._tapers_nock() else "")
            + "; turn the nock so that the string lies across the growth rings.",
        )
        steps = [
            (
                "Look the shaft over and record it. Mark the stiff side with a pencil line along "
                "the "
                "whole shaft, and its name under where the feathers will sit, so that sanding "
                "does not "
                "take it."
            ),
            (
                f"Square the nock end: {self.x0:.3f} in ({self.x0 * 25.4:.1f} mm) off. Every other "
                "mark is measured from there."
            ),
            slot,
        ]
        spare = self.x_first - self.x_front
        if spare > 0.05:
            first = self.x_first - self.x0
            steps.append(
                f"Saw the front at {first:.2f} in ({first * 25.4:.0f} mm): {spare:.2f} in longer "
                "than asked for. Point on, feathers on, and shoot it as it is."
            )
            count = max(1, math.ceil(spare / STEP_IN - 1e-9))
            steps.append(
                f"Only then shorten, from the front, in {count} steps of at most {STEP_IN:g} in "
                f"({STEP_IN * 25.4:.0f} mm), with a new point taper and a few shots after each. "
                "Stop as soon as it flies as you want it: more than one length may."
            )
        else:
            steps.append(
                f"The blank leaves only {max(spare, 0.0):.2f} in to spare: this cut cannot be "
                "tried long first. Check the draw again before you saw."
            )
        least = "" if self.minimum_in is None else f"; never below {self.minimum_in:.2f} in"
        steps.append(
            f"Last cut: front end at {self.x_front - self.x0:.2f} in "
            f"({(self.x_front - self.x0) * 25.4:.0f} mm) from the squared nock end, which makes "
            f"{length} from nock throat to the back of the point{least}."
        )
        steps.append(
            "Warm glue and a heated point burn fingers and give off fumes: hold the point in "
            "pliers, with a window open. Weigh and balance the finished arrow and record both."
        )
        return steps

    def _tapers_nock(self) -> bool:
        return self.nock_kind in ("plastic", "other") and self.solid


def budget(
    lines: Sequence[BuildPart],
) -> tuple[float, float, float, float, list[BuildPart]]:
    """Mass and balance of a list of parts, their standard errors, and who causes how much of them.

    Parameters
    ----------
    lines : sequence of BuildPart
        Masses, places and their errors, taken as independent.

    Returns
    -------
    weight, balance : float
        Sum of the masses [gr] and their common centre [in].
    weight_error, balance_error : float
        One standard error, first order. [gr, in]
    lines : list of BuildPart
        The same, each with its share of the two variances. [percent]
    """
    weight = sum(one.weight_gr for one in lines)
    balance = sum(one.weight_gr * one.at_in for one in lines) / weight
    of_mass = [one.error_gr**2 for one in lines]
    of_balance = [
        ((one.at_in - balance) / weight * one.error_gr) ** 2
        + (one.weight_gr / weight * one.at_error_in) ** 2
        for one in lines
    ]
    all_mass, all_balance = sum(of_mass), sum(of_balance)
    told = [
        BuildPart(
            one.what,
            round(one.weight_gr, 2),
            round(one.error_gr, 2),
            round(one.at_in, 3),
            one.at_error_in,
            one.assumed,
            one.why,
            round(100.0 * mass / all_mass, 1) if all_mass else 0.0,
            round(100.0 * place / all_balance, 1) if all_balance else 0.0,
        )
        for one, mass, place in zip(lines, of_mass, of_balance, strict=True)
    ]
    return weight, balance, math.sqrt(all_mass), math.sqrt(all_balance), told


def _band(middle: float, error: float, reason: str, digits: int) -> Band:
    return Band(
        round(middle, digits), round(middle - error, digits), round(middle + error, digits), reason
    )


def _explained(
    found: Sequence[Weighed],
    arrow: Arrow,
    length_in: float,
    fletching_front: float,
    weight: float,
    balance: float,
) -> list[str]:
    """What a difference between predicted and weighed most likely comes from."""
    if not found:
        return ["Neither mass nor balance of the built arrow is on record: weigh and balance it."]
    if all(one.within_errors for one in found):
        return [
            (
                "Predicted and weighed agree within their errors: no part is missing or counted "
                "twice "
                "as far as these figures can tell."
            )
        ]
    off_gr = next((one for one in found if one.what == "mass"), None)
    if off_gr is None or arrow.weight_gr is None:
        return [
            (
                "The balance lies elsewhere than the parts say. Weigh the whole arrow too: mass "
                "and "
                "balance together tell where the difference sits."
            )
        ]
    if off_gr.within_errors:
        return [
            (
                "The mass agrees and the balance does not: a part sits elsewhere than assumed "
                "(point's "
                "middle, insert, binding), or the shaft is heavier at one end. Balance the bare "
                "shaft."
            )
        ]
    more = "more" if off_gr.difference > 0 else "less"
    text = f"It weighs {abs(off_gr.difference):.1f} gr {more} than its parts."
    if arrow.balance_in is None:
        return [f"{text} Balance it on a knife edge: that tells where the difference sits."]
    # Where the difference would have to sit, by the lever rule.
    place = (arrow.weight_gr * arrow.balance_in - weight * balance) / (arrow.weight_gr - weight)
    front_in = fletching_front / units.INCH
    if place > length_in + 2.0 or place < -2.0:
        where = (
            "would have to sit beyond the arrow: one of mass and balance, or a part's place, "
            "is wrong. Read both again"
        )
    elif place > length_in - 4.0:
        where = "sits near the point: point, insert, point glue or a dense front end"
    elif place < front_in + 2.0:
        where = "sits at the rear: nock, feathers, binding, glue or cap paint"
    else:
        where = "sits along the shaft: its own mass (damp, another board), finish or a sleeve"
    return [f"{text} By the lever rule the difference {where} (about {place:.1f} in from throat)."]
