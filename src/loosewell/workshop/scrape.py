"""Taking a shaft down: how much diameter for how much spine, in steps, and where to stop.

Wood that is gone does not come back: one reading is never trusted alone, every step
ends with a new reading, and too weak is a stop and no tuning note.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Sequence
from dataclasses import asdict, dataclass, field, replace
from typing import TYPE_CHECKING, Any

import numpy as np
from numpy.typing import NDArray

from loosewell import units
from loosewell.errors import BoundRefusal, ContradictionRefusal, EngineRefusal, MissingRefusal
from loosewell.records import Archer, Bow, Jig, Shaft, bounds
from loosewell.workshop import stops
from loosewell.workshop.answer import Band, Notice

if TYPE_CHECKING:
    from loosewell.reference.reader import Wood
    from loosewell.workshop.bench import Spine
    from loosewell.workshop.session import Progress, Session

Array = NDArray[np.float64]

RUPTURE_SHARE = 0.40
"""No bending beyond this share of the handbook's mean breaking stress. A modelling choice: clear
straight-grained wood scatters by 16 % (handbook, derived), and a shaft's grain, knots and years
are not clear wood."""
BLIND_IN = 0.010
"""At most this much diameter is planned off a wood whose strength is not known. A modelling
choice, no source."""
CALIPER_IN = 0.003
"""Error of a diameter by a caliper; common practice, no source."""
CHANGE_IN = 0.001
"""Error of a change read twice with the same caliper at the same place; common practice."""
LEAST_STEP_IN = 0.001
"""Smaller steps are below what a caliper shows."""
REAR_IN = 10.0
"""Usual length of a rear taper; trade, no source: the last 9 to 10 in."""
THINNEST = 0.5
"""Nothing is planned below this share of the present diameter."""
GRID = 1025

WHERE = ("whole", "rear", "front", "middle")


@dataclass(frozen=True)
class ScrapeWish:
    """What is wished: the spine to come down to, and where wood is taken."""

    to_lb: float | None = None
    to_diameter_in: float | None = None
    """Or the diameter to come down to, where most is taken."""
    where: str = "whole"
    over_in: float | None = None
    """Length of the stretch; the usual one of each place without it."""
    per_pass_in: float | None = None
    """Diameter one pass of your own paper takes off."""


@dataclass(frozen=True)
class ScrapeStep:
    """One step: what is off the diameter by then, and what the next reading should show."""

    off_diameter_in: float
    diameter_in: float
    spine_lb: Band
    reads_in: float
    """What the rig of the first reading on record should show. [in]"""
    weight_gr: float | None
    passes: int | None
    stress_percent: float | None
    what: str


@dataclass(frozen=True)
class Floor:
    """One limit below which nothing is taken."""

    what: str
    off_diameter_in: float
    spine_lb: float
    reason: str


@dataclass(frozen=True)
class ScrapePlan:
    """How to take a shaft down to a spine."""

    shaft: str
    material: str
    invented: bool
    stops: list[Notice]
    warnings: list[Notice]
    where: str
    from_in: float
    until_in: float
    shape: str
    spine_now: Band
    target_lb: float
    readings: int
    rig: str
    spine_reasons: tuple[str, ...]
    diameter_in: float = 0.0
    diameter_at_in: float = 0.0
    off_diameter_in: Band | None = None
    spine_after: Band | None = None
    weight_now: Band | None = None
    weight_after: Band | None = None
    stress_now_percent: float | None = None
    stress_after_percent: float | None = None
    stress_words: str = ""
    steps: list[ScrapeStep] = field(default_factory=list)
    words: list[str] = field(default_factory=list)
    floors: list[Floor] = field(default_factory=list)
    curve: list[tuple[float, float, float, float]] = field(default_factory=list)
    """Off the diameter in inches, spine, its low and its high end in pounds."""
    assumed: list[str] = field(default_factory=list)
    diameters: list[tuple[float, float, float]] = field(default_factory=list)
    """Place from the nock end, diameter now and after. [in]"""

    def as_dict(self) -> dict[str, Any]:
        """The plan as plain dictionaries and lists, ready for JSON."""
        return asdict(self)


def scrape(
    shaft: Shaft,
    wish: ScrapeWish,
    *,
    bow: Bow | None = None,
    archer: Archer | None = None,
    point_weight_gr: float | None = None,
    length_in: float | None = None,
    jigs: Sequence[Jig] = (),
    progress: Progress | None = None,
) -> ScrapePlan:
    """How much to take off a shaft to bring its spine down, with every stop on the way.

    Parameters
    ----------
    shaft : Shaft
        Solid, with its length, at least one diameter and bench readings.
    wish : ScrapeWish
        Spine wanted (26 in span, 2 lb) and where to work.
    bow, archer : optional
        Together: nothing is taken below the weak end of their own range.
    point_weight_gr, length_in : optional
        As in match, for that range.
    jigs : sequence of Jig
        Of the workshop, for the readings that name one.
    progress : callable, optional
        Told a stage and the share done, while the engine works out the range.

    Returns
    -------
    plan : ScrapePlan
        Ends at the first floor it meets, and says so first.

    Raises
    ------
    Refusal
        For a shaft that cannot be scraped or was not measured, or a spine above the present one.
    """
    from loosewell.workshop.bench import shaft_spine

    _refuse_unfit_for_scraping(shaft, wish)
    spine = shaft_spine(shaft, jigs)
    assert spine is not None
    now = spine.spine_26in_2lb_lb
    if wish.to_lb is not None and wish.to_lb >= now:
        raise ContradictionRefusal(
            f"Shaft {shaft.name} reads {spine.spine_text()} and {wish.to_lb:g} lb was asked for, "
            "which is not weaker. Scraping only ever takes stiffness away; give a spine below the "
            "present one, or choose a stiffer shaft.",
            code="target-not-weaker",
        )
    found = []
    unfit = stops.unfit(shaft)
    if unfit is not None:
        found.append(unfit)
    if (bow is None) != (archer is None):
        raise MissingRefusal(
            "A bow without its archer, or an archer without the bow, gives no range of spine to "
            "stay above. Give both --bow and --archer, or neither.",
            code="missing-pair",
        )
    work = _Work(shaft, spine, wish)
    if wish.to_diameter_in is not None:
        work.aim_at_diameter(wish.to_diameter_in)
    if found:
        return work.nothing(found)
    floors, pair_stops, weakest = _pair_floor(
        work, bow, archer, point_weight_gr, length_in, jigs, progress
    )
    if pair_stops:
        return work.nothing(pair_stops)
    return work.plan(floors, weakest)


def _refuse_unfit_for_scraping(shaft: Shaft, wish: ScrapeWish) -> None:
    if shaft.wall_in is not None or shaft.kind in ("tube", "cane"):
        what = "cane" if shaft.kind == "cane" else "a tube"
        why = (
            "its stiffest fibres lie at the surface, so that no rule says what a scrape takes"
            if shaft.kind == "cane"
            else "its wall would be thinned and its strength lost"
        )
        raise ContradictionRefusal(
            f"Shaft {shaft.name} is {what}: {why}. Only solid wood is planned here; weaken this "
            "one by a heavier point or a longer cut.",
            code="not-scrapable",
        )
    if not shaft.bench_readings:
        raise MissingRefusal(
            f"Shaft {shaft.name} has no bench reading, so nobody knows how stiff it is now. Hang "
            "a load on it, at least twice, a quarter turn apart.",
            code="missing-bench-reading",
        )
    if shaft.length_in is None:
        raise MissingRefusal(
            f"The length of shaft {shaft.name} is not recorded. Measure it from end to end.",
            code="missing-length",
        )
    if not shaft.stations:
        raise MissingRefusal(
            f"No diameter of shaft {shaft.name} is on record, and spine goes with its fourth "
            'power. Measure it, best at three places: --diameter-at "0.344 in @ 16 in".',
            code="missing-diameter",
        )
    if (wish.to_lb is None) == (wish.to_diameter_in is None):
        raise MissingRefusal(
            'Say how far to go, in one of two ways: --to "45 lb" for a spine (26 in span, 2 lb), '
            'or --to-diameter "5/16 in" for the thickness where most is taken.',
            code="missing-target",
        )
    if wish.to_lb is not None:
        bounds.check(wish.to_lb, "shaft.spine_lb")
    if wish.where not in WHERE:
        raise BoundRefusal(
            f"The stretch '{wish.where}' is not known. Accepted are {', '.join(WHERE)}.",
            code="choice-where",
        )
    if wish.over_in is not None and not 1.0 <= wish.over_in <= shaft.length_in:
        raise BoundRefusal(
            f"A stretch of {wish.over_in:g} in is outside 1 in to the shaft's own length, "
            f"{shaft.length_in:g} in. Give the length to be worked on.",
            code="bound-over",
        )
    if wish.per_pass_in is not None and not 1e-5 <= wish.per_pass_in <= 0.02:
        raise BoundRefusal(
            f"A pass of {wish.per_pass_in:g} in is outside 0.00001 to 0.02 in. Take twenty passes "
            "all round, caliper before and after, and divide.",
            code="bound-pass",
        )


def wood_of(material: str | None) -> tuple[Wood | None, str]:
    """The handbook's row for a wood as people call it, the weakest where several answer.

    Parameters
    ----------
    material : str or None
        As recorded on the shaft.

    Returns
    -------
    wood : Wood or None
        With a breaking stress at 12 % moisture; None when the name answers to none.
    words : str
        Which row was taken and why.
    """
    from loosewell.reference import reader

    def plain(text: str) -> str:
        return " ".join(text.lower().replace("-", " ").replace(",", " ").split())

    if not material:
        return None, "the wood is not recorded"
    known = [one for one in reader.woods() if one.rupture_dry_psi is not None]
    asked = plain(material)
    same = [one for one in known if plain(one.species) == asked]
    if not same:
        words = set(asked.split())
        same = [
            one
            for one in known
            if words <= set(plain(one.species).split()) or asked in plain(one.species)
        ]
        if not same:
            same = [one for one in known if plain(one.species) in asked]
    if not same:
        return None, f"'{material}' is not a wood of the handbook's table here"
    weakest = min(same, key=lambda one: one.rupture_dry_psi or 0.0)
    told = f"{weakest.species}, {weakest.rupture_dry_psi:.0f} psi at 12 % moisture"
    if len(same) > 1:
        told += f" (the weakest of {len(same)} that '{material}' may mean)"
    return weakest, f"{told}; {weakest.source.split(';')[0]}, {weakest.mark}"


class _Work:
    """One shaft being taken down; places in metres from its nock end."""

    def __init__(self, shaft: Shaft, spine: Spine, wish: ScrapeWish) -> None:
        from loosewell.physics import spine as physics
        from loosewell.workshop import bridge

        assert shaft.length_in is not None
        self.shaft, self.spine, self.wish = shaft, spine, wish
        self.now_lb = spine.spine_26in_2lb_lb
        self.length = shaft.length_in * units.INCH
        stations = sorted(shaft.stations, key=lambda one: one.station_in)
        at = np.array([one.station_in for one in stations]) * units.INCH
        wide = np.array([one.mean_in() for one in stations]) * units.INCH
        self.profile = bridge.shaft_profile(
            shaft, spine.bending_stiffness, spine.relative_error, spine.sides
        )
        low, high, self.shape = self._stretch()
        self.low, self.high = low, high
        grid = np.linspace(0.0, self.length, GRID)
        self.place = np.unique(np.concatenate((grid, [low, high], at)))
        self.diameter = np.interp(self.place, at, wide)
        self.span = min(physics.WOOD_SPAN, 0.96 * self.length)
        if shaft.joints or shaft.sections:
            piece = np.clip(
                np.searchsorted(self.profile.edge, self.place, side="right") - 1,
                0,
                len(self.profile.bending_stiffness) - 1,
            )
            self.stiffness = self.profile.bending_stiffness[piece]
        else:
            self.stiffness = self.diameter**4
        # Level by the reading, whatever the shape.
        read = physics.midspan_deflection(physics.WOOD_LOAD, self.span, spine.bending_stiffness)
        self.stiffness = self.stiffness * (self._deflection(self.stiffness) / read)
        self.read = read
        self.target_lb = self.now_lb if wish.to_lb is None else wish.to_lb
        self.share = self._share()
        self.at_in = self._reference()
        self.wood, self.wood_words = wood_of(shaft.material)
        self.paired = False
        """Whether a bow and archer say how it is bent when it is shot."""

    def _stretch(self) -> tuple[float, float, str]:
        where, over = self.wish.where, self.wish.over_in
        length_in = self.length / units.INCH
        if where == "whole":
            return 0.0, self.length, "the same amount everywhere"
        if where == "middle":
            over_in = length_in / 3.0 if over is None else over
            half = 0.5 * over_in * units.INCH
            return (
                0.5 * self.length - half,
                0.5 * self.length + half,
                "the same amount along the stretch, faded out over the last inch at both its ends",
            )
        over_in = min(REAR_IN if over is None else over, length_in)
        if where == "rear":
            return 0.0, over_in * units.INCH, "a straight taper, most at the nock end"
        return (
            self.length - over_in * units.INCH,
            self.length,
            "a straight taper, most at the front",
        )

    def _share(self) -> Array:
        """How much of the full amount is taken at each place, 0 to 1."""
        x = self.place
        if self.wish.where == "whole":
            return np.ones_like(x)
        if self.wish.where == "rear":
            return np.clip(1.0 - x / self.high, 0.0, 1.0)
        if self.wish.where == "front":
            return np.clip((x - self.low) / (self.high - self.low), 0.0, 1.0)
        fade = min(units.INCH, 0.25 * (self.high - self.low))
        return np.clip(np.minimum(x - self.low, self.high - x) / fade, 0.0, 1.0)

    def _reference(self) -> float:
        """Where the caliper is set: where most is taken. [in]"""
        if self.wish.where == "rear":
            return 0.0
        if self.wish.where == "front":
            return self.length / units.INCH
        return 0.5 * self.length / units.INCH

    def _deflection(self, stiffness: Array) -> float:
        from loosewell.physics import spine as physics

        return physics.midspan_deflection_varying(
            physics.WOOD_LOAD, self.span, self.place, stiffness
        )

    def aim_at_diameter(self, to_in: float) -> None:
        """Take the spine that a wished diameter leaves as the target."""
        wide = float(np.interp(self.at_in * units.INCH, self.place, self.diameter))
        wide_in = wide / units.INCH
        if not THINNEST * wide_in <= to_in < wide_in:
            raise ContradictionRefusal(
                f"Shaft {self.shaft.name} is {wide_in:.4f} in thick {self.at_in:g} in from its "
                f"nock end, and {to_in:.4f} in was asked for. Give a diameter below the present "
                f"one and not below half of it ({THINNEST * wide_in:.3f} in).",
                code="target-not-thinner",
            )
        self.target_lb = self.spine_at(wide - to_in * units.INCH)

    def ratio(self, off: float) -> Array:
        """Diameter after over diameter now along the shaft, off taken where most is taken."""
        return np.asarray((self.diameter - off * self.share) / self.diameter)

    def spine_at(self, off: float) -> float:
        """Spine read after so much is off the diameter. [lb]"""
        after = self._deflection(self.stiffness * self.ratio(off) ** 4)
        return float(self.now_lb * self.read / after)

    def reads_at(self, off: float) -> float:
        """Deflection that the rig of the first reading should show then. [in]"""
        from loosewell.physics import spine as physics

        first = self.shaft.bench_readings[0]
        load, span = first.load_lb * units.POUND_FORCE, first.span_in * units.INCH
        after = physics.midspan_deflection_varying(
            load, span, self.place, self.stiffness * self.ratio(off) ** 4
        )
        before = physics.midspan_deflection_varying(load, span, self.place, self.stiffness)
        same = [
            one.deflection_in
            for one in self.shaft.bench_readings
            if (one.load_lb, one.span_in) == (first.load_lb, first.span_in)
        ]
        return float(np.mean(same) * after / before)

    def error_at(self, off: float) -> float:
        """Relative error of that spine: the reading's, the caliper's, and the change's own. [1]"""
        tiny = 1e-6
        slope = abs(math.log(self.spine_at(off + tiny) / self.spine_at(max(off - tiny, 0.0))))
        slope /= off + tiny - max(off - tiny, 0.0)
        change = slope * CHANGE_IN * units.INCH if off > 0.0 else 0.0
        # A diameter read too large makes the same scrape count for more.
        middle = float(np.mean(self.diameter))
        caliper = (
            slope * off / middle * CALIPER_IN * units.INCH / math.sqrt(len(self.shaft.stations))
        )
        return math.sqrt(self.spine.relative_error**2 + change**2 + caliper**2)

    def band_at(self, off: float) -> Band:
        """That spine with its error. [lb]"""
        pounds, error = self.spine_at(off), self.error_at(off)
        return Band(
            round(pounds, 2),
            round(pounds * (1.0 - error), 2),
            round(pounds * (1.0 + error), 2),
            "reading, caliper and the change in diameter",
        )

    def weight_share(self, off: float) -> float:
        """Mass after over mass now. [1]"""
        edge = self.profile.edge
        density = np.interp(self.place, 0.5 * (edge[:-1] + edge[1:]), self.profile.mass_per_length)
        whole = np.trapezoid(density, self.place)
        return float(np.trapezoid(density * self.ratio(off) ** 2, self.place) / whole)

    def weight_at(self, off: float) -> Band | None:
        """Mass with its error. [gr]"""
        if self.shaft.weight_gr is None:
            return None
        share = self.weight_share(off)
        weight = self.shaft.weight_gr * share
        own = self.profile.mass_error * weight
        # What is gone is known as well as the change in diameter.
        gone = self.shaft.weight_gr * (1.0 - share)
        change = gone * (CHANGE_IN * units.INCH / off) if off > 0.0 else 0.0
        error = math.hypot(own, change)
        return Band(round(weight, 1), round(weight - error, 1), round(weight + error, 1), "")

    def bench_stress(self, off: float) -> float:
        """Largest bending stress when this shaft is read again as it was read. [Pa]

        The largest over its own readings, each with its own load and span; and, where nobody
        says what bow it is for, under no less than the usual 2 lb over 26 in.
        """
        from loosewell.physics import shaft as physics

        thin = self.diameter * self.ratio(off)
        worst = 0.0
        rigs = {
            (one.load_lb * units.POUND_FORCE, one.span_in * units.INCH)
            for one in self.shaft.bench_readings
        }
        if not self.paired:
            rigs.add((2.0 * units.POUND_FORCE, self.span))
        for load, span in rigs:
            rear = 0.5 * (self.length - span)
            arm = np.clip(np.minimum(self.place - rear, rear + span - self.place), 0.0, None)
            stress = physics.bending_stress_solid(0.5 * load * arm, thin)
            worst = max(worst, float(np.max(stress)))
        return worst

    def rupture(self) -> float | None:
        """Handbook breaking stress of its wood. [Pa]"""
        if self.wood is None or self.wood.rupture_dry_psi is None:
            return None
        return self.wood.rupture_dry_psi * units.POUND_FORCE / units.INCH**2

    @property
    def most(self) -> float:
        """Nothing is planned beyond this much off the diameter. [m]"""
        return (1.0 - THINNEST) * float(np.min(self.diameter))

    def off_for(self, pounds: float) -> float | None:
        """How much off the diameter brings the reading to a spine; None when nothing would."""
        return self._solve(lambda off: self.spine_at(off) - pounds)

    def _solve(self, falling: Callable[[float], float]) -> float | None:
        from scipy.optimize import brentq

        if falling(0.0) <= 0.0:
            return 0.0
        if falling(self.most) > 0.0:
            return None
        return float(brentq(falling, 0.0, self.most, xtol=1e-9))

    # ---- the plan

    def floors(self, launch: Callable[[float], float] | None = None) -> list[Floor]:
        """Where the wood itself says stop."""
        rupture = self.rupture()
        if rupture is None:
            off = BLIND_IN * units.INCH
            return [
                Floor(
                    "strength not known",
                    round(off / units.INCH, 4),
                    round(self.spine_at(min(off, self.most)), 2),
                    f"{self.wood_words}: whether it stands the bending cannot be told, so no more "
                    f"than {BLIND_IN:g} in is planned off its diameter. Record the wood with "
                    "--material, such as Sitka spruce.",
                )
            ]
        found = []
        for what, stress in (("bending at the bench", self.bench_stress), ("launch", launch)):
            if stress is None:
                continue
            off_m = self._solve(lambda off, of=stress: RUPTURE_SHARE * rupture - of(off))  # type: ignore[misc]
            if off_m is None:
                continue
            found.append(
                Floor(
                    what,
                    round(off_m / units.INCH, 4),
                    round(self.spine_at(off_m), 2),
                    f"{what}: beyond this it bends past {100 * RUPTURE_SHARE:.0f} % of the "
                    f"handbook's mean breaking stress ({self.wood_words})"
                    + (self._lighter() if what != "launch" else ""),
                )
            )
        return found

    def _lighter(self) -> str:
        """That the load at the bench is one's own choice."""
        if not self.paired:
            return "; name the bow and the archer, and it is held against their own shots instead"
        return "; read it under a lighter load, and this stop moves"

    def nothing(self, found: list[Notice]) -> ScrapePlan:
        """A plan that is only its stops."""
        return self._bare(found, [])

    def _bare(self, found: list[Notice], doubts: list[Notice]) -> ScrapePlan:
        spine = self.spine
        return ScrapePlan(
            shaft=self.shaft.name,
            material=self.shaft.material or "",
            invented=self.shaft.invented,
            stops=found,
            warnings=doubts,
            where=self.wish.where,
            from_in=round(self.low / units.INCH, 3),
            until_in=round(self.high / units.INCH, 3),
            shape=self.shape,
            spine_now=Band(
                round(self.now_lb, 2), round(spine.low, 2), round(spine.high, 2), "bench readings"
            ),
            target_lb=round(self.target_lb, 2),
            readings=len(self.shaft.bench_readings),
            rig=(
                f"{self.shaft.bench_readings[0].span_in:g} in span, "
                f"{self.shaft.bench_readings[0].load_lb:g} lb"
            ),
            spine_reasons=spine.reasons,
        )

    def doubts(self) -> list[Notice]:
        """What must be settled before wood is taken."""
        found = []
        if len(self.shaft.bench_readings) < 2:
            found.append(
                Notice(
                    "one-reading",
                    f"Shaft {self.shaft.name} was read once. Wood that is gone does not come "
                    "back: never scrape on one reading. Read it again a quarter turn further, and "
                    "once with the load taken off and hung anew; record both before you begin.",
                )
            )
        elif any("differ by more" in reason for reason in self.spine.reasons):
            found.append(
                Notice(
                    "readings-differ",
                    "The readings differ by more than their errors: the shaft is stiffer one way "
                    "round, or one reading slipped. Read all round again, and scrape by the mean.",
                )
            )
        if stops.not_looked_over(self.shaft) is not None:
            found.append(
                Notice(
                    "not-inspected",
                    f"Shaft {self.shaft.name} was not looked over yet: look for run-out, knots and "
                    "cracks first. A thinner shaft forgives none of them.",
                )
            )
        if self.shaft.kind == "shoot":
            found.append(
                Notice(
                    "shoot-not-even",
                    "A grown shoot has bark, pith and fibres of unlike stiffness: diameter to the "
                    "fourth power is only a guess for it. Halve every step and read more often.",
                )
            )
        gap = self.now_lb - self.target_lb
        if self.wish.to_lb is not None and gap < self.now_lb * self.spine.relative_error:
            found.append(
                Notice(
                    "within-error",
                    f"The {gap:.1f} lb asked for are less than the error of the reading itself "
                    f"({self.spine.spine_text()}): the bench cannot tell the two apart. Read "
                    "better before taking wood.",
                )
            )
        return found

    def plan(self, pair_floors: list[Floor], launch: Callable[[float], float] | None) -> ScrapePlan:
        """The whole plan, down to the target or to the first floor above it."""
        off = self.off_for(self.target_lb)
        floors = [*pair_floors, *self.floors(launch)]
        if off is None:
            reached = self.spine_at(self.most)
            raise EngineRefusal(
                f"Taking wood from {self.low / units.INCH:.1f} to {self.high / units.INCH:.1f} in "
                f"of shaft {self.shaft.name} cannot bring its reading to {self.target_lb:.1f} lb "
                f"(26 in span, 2 lb): even half of its diameter there leaves {reached:.0f} lb. The "
                "bench hardly feels the ends. Work along the whole shaft (--where whole).",
                code="stretch-too-small",
            )
        found: list[Notice] = []
        reached_off = off
        for one in sorted(floors, key=lambda floor: floor.off_diameter_in):
            if one.off_diameter_in * units.INCH < reached_off - 1e-9:
                reached_off = one.off_diameter_in * units.INCH
                found.append(
                    Notice(
                        "too-weak",
                        f"Do not take it to {self.target_lb:.1f} lb: stop at {one.spine_lb:.1f} lb "
                        f"(26 in span, 2 lb), {one.off_diameter_in:.4f} in off the diameter. "
                        f"{one.reason[:1].upper()}{one.reason[1:]}.".replace("..", "."),
                    )
                )
        rupture = self.rupture()

        def stress_percent(at: float) -> float | None:
            return None if rupture is None else round(100.0 * self.bench_stress(at) / rupture, 1)

        ends = self.band_at(reached_off)
        wide_at = float(np.interp(self.at_in * units.INCH, self.place, self.diameter))
        error_off = self._off_error(reached_off)
        off_in = reached_off / units.INCH
        offs = np.linspace(0.0, min(1.35 * max(off, reached_off), self.most), 41)
        bare = self._bare(found, self.doubts())
        return replace(
            bare,
            diameter_in=round(wide_at / units.INCH, 4),
            diameter_at_in=round(self.at_in, 2),
            off_diameter_in=Band(
                round(off_in, 4),
                round(max(off_in - error_off, 0.0), 4),
                round(off_in + error_off, 4),
                "the error of a change by the caliper"
                if self.wish.to_diameter_in is not None
                else "the error of the spine as read, and of the caliper",
            ),
            spine_after=ends,
            weight_now=self.weight_at(0.0),
            weight_after=self.weight_at(reached_off),
            stress_now_percent=stress_percent(0.0),
            stress_after_percent=stress_percent(reached_off),
            stress_words=self.wood_words,
            steps=self._steps(reached_off, wide_at, stress_percent),
            words=self._words(),
            floors=floors,
            curve=[
                (round(float(at) / units.INCH, 5), one.middle, one.low, one.high)
                for at, one in zip(offs, map(self.band_at, map(float, offs)), strict=True)
            ],
            assumed=self._assumed(),
            diameters=[
                (
                    round(float(x) / units.INCH, 3),
                    round(float(np.interp(x, self.place, self.diameter)) / units.INCH, 4),
                    round(
                        float(
                            np.interp(x, self.place, self.diameter * self.ratio(reached_off))
                            / units.INCH
                        ),
                        4,
                    ),
                )
                for x in np.linspace(0.0, self.length, 33)
            ],
        )

    def _off_error(self, off: float) -> float:
        """How unsure the amount itself is: spine's error over its slope. [in]"""
        if self.wish.to_diameter_in is not None:
            return CHANGE_IN
        tiny = 1e-6
        slope = (self.spine_at(off) - self.spine_at(off + tiny)) / tiny
        if slope <= 0.0:
            return 0.0
        return float(self.spine_at(off) * self.error_at(off) / slope / units.INCH)

    def _steps(
        self, off: float, wide_at: float, stress: Callable[[float], float | None]
    ) -> list[ScrapeStep]:
        places: list[float] = []
        rest = off
        while rest > 2.0 * LEAST_STEP_IN * units.INCH and len(places) < 5:
            rest *= 0.5
            places.append(off - rest)
        places.append(off)
        found, before = [], 0.0
        for number, at in enumerate(places):
            step_in = (at - before) / units.INCH
            last = number == len(places) - 1
            passes = self.wish.per_pass_in
            band = self.band_at(at)
            weight = self.weight_at(at)
            words = (
                f"take {step_in:.4f} in off the diameter ({25.4 * step_in:.2f} mm; "
                f"{0.5 * step_in:.4f} in all round)"
            )
            words += (
                ", then read it last and stop"
                if last
                else f", then bend again: {band.middle:.1f} lb is expected"
            )
            found.append(
                ScrapeStep(
                    round(at / units.INCH, 4),
                    round((wide_at - at * self._share_at()) / units.INCH, 4),
                    band,
                    round(self.reads_at(at), 4),
                    None if weight is None else weight.middle,
                    None if passes is None else max(1, math.ceil(step_in / passes)),
                    stress(at),
                    words,
                )
            )
            before = at
        return found

    def _share_at(self) -> float:
        return float(np.interp(self.at_in * units.INCH, self.place, self.share))

    def _words(self) -> list[str]:
        found = [
            (
                "Pencil a scribble all round and take it off evenly: what is left shows where you "
                "have "
                "not been. Turn the shaft as you go, along the grain, fine paper last."
            ),
            (
                "Caliper at the same pencilled places before and after every step: a change read "
                "twice "
                "with one caliper is true to about 0.001 in, a diameter only to about 0.003 in."
            ),
            (
                "After each step let it cool, read it twice a quarter turn apart, and work out the "
                "rest anew from what it reads; a shaft that falls faster than told has a soft side."
            ),
        ]
        if self.wish.per_pass_in is None:
            found.append(
                "Count your own passes: caliper, take twenty passes all round, caliper again, and "
                "give what one took with --per-pass; then the steps come out in passes."
            )
        if self.wish.where in ("rear", "front"):
            found.append(
                "A reading at the middle hardly feels the ends and cannot tell which end is "
                "thinner: trust the caliper for the shape and the bench for the middle."
            )
        found.append("Sanding dust of any wood is bad for the lungs: wear a mask, work outdoors.")
        return found

    def _assumed(self) -> list[str]:
        found = [
            (
                f"diameters to {CALIPER_IN:g} in and changes to {CHANGE_IN:g} in (caliper; common "
                "practice, no source)"
            ),
            (
                "solid round wood alike across its section: stiffness with the fourth power of the "
                "diameter, mass with its square"
            ),
        ]
        count = len(self.shaft.stations)
        if count < 3:
            found.append(
                f"the diameter between and beyond {count} measured place"
                f"{'s' if count > 1 else ''}: measure at three or more"
            )
        if self.shaft.weight_gr is None:
            found.append("the shaft was not weighed: no mass is told")
        if self.wood is not None:
            found.append(
                f"breaking stress of {self.wood_words}: a mean of clear wood, not of this shaft; "
                f"{100 * RUPTURE_SHARE:.0f} % of it is the limit here (a modelling choice)"
            )
        return found


def _pair_floor(
    work: _Work,
    bow: Bow | None,
    archer: Archer | None,
    point_weight_gr: float | None,
    length_in: float | None,
    jigs: Sequence[Jig],
    progress: Progress | None,
) -> tuple[list[Floor], list[Notice], Callable[[float], float] | None]:
    """The weak end of this pair's range, the stops, and the stress while it is shot."""
    if bow is None or archer is None:
        return [], [], None
    work.paired = True
    from loosewell.workshop.paired import pair
    from loosewell.workshop.sweep import sweep_spines

    job, found = pair(
        bow, archer, [work.shaft], length_in=length_in, point_weight_gr=point_weight_gr,
        jigs=jigs, progress=progress,
    )  # fmt: skip
    if job is None:
        return [], found, None
    sweep = sweep_spines(job)
    assert sweep.band is not None
    weak = sweep.band.low
    reason = (
        f"the range for {bow.name} and {archer.name} ends at {weak:.1f} lb on the weak side "
        f"({job.length_in:.2f} in arrow, {job.point_gr:.0f} gr point)"
    )
    if weak >= work.now_lb:
        return (
            [Floor("range", 0.0, round(work.now_lb, 2), f"{reason}; it is weaker already")],
            [],
            None,
        )
    off = work.off_for(weak)
    floors = []
    if off is not None:
        floors = [Floor("range", round(off / units.INCH, 4), round(weak, 2), reason)]
    return floors, [], _launch_stress(job, work)


def _launch_stress(job: Session, work: _Work) -> Callable[[float], float]:
    """Largest bending stress while the string drives a shot by the middle of everything known."""
    from loosewell.physics import launch as kernel

    model = job.arrow(0, min(job.length_in, work.length / units.INCH), job.parts)
    nodes = len(model.radius)
    step = model.length / (nodes - 1)
    place = np.linspace(0.0, model.length, nodes)
    inside, _, _ = work.profile.cut(model.length, nodes - 1)
    scales = np.linspace(0.4, 1.0, 5)
    values = {one.key: np.full(len(scales), one.middle) for one in job.sweep_inputs}
    values["stiffness_scale"] = scales
    values["mass_scale"] = np.ones(len(scales))
    shots = job.shoot(
        [model], np.zeros(len(scales), dtype=np.int64), values, "bending", frame_every=1
    )
    moments = []
    for n, scale in enumerate(scales):
        frame = shots.frame[n]
        frame = frame[(frame[:, 0] > 0.0) & (frame[:, 0] <= shots.launch[n, kernel.STRING_LEFT])]
        side = frame[:, kernel.FRAME_HEAD : kernel.FRAME_HEAD + nodes]
        high = frame[:, kernel.FRAME_HEAD + nodes :]
        bend = np.hypot(np.diff(side, 2, axis=1), np.diff(high, 2, axis=1)) / step**2
        stiff = scale * 0.5 * (inside[:-1] + inside[1:])
        moments.append(np.max(bend, axis=0) * stiff if len(frame) else np.full(nodes - 2, np.nan))
    moment = np.array(moments)

    def stress(off: float) -> float:
        from loosewell.physics import shaft as solid

        scale = work.spine_at(off) / work.now_lb
        thin = np.interp(place[1:-1], work.place, work.diameter * work.ratio(off))
        here = np.array([np.interp(scale, scales, moment[:, k]) for k in range(nodes - 2)])
        worst = float(np.max(solid.bending_stress_solid(here, thin)))
        return 0.0 if math.isnan(worst) else worst

    return stress
