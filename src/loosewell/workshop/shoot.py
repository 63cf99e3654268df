"""A natural shoot or cane: stiffness and mass along it, and which end to put forward."""

from __future__ import annotations

import datetime
import math
from collections.abc import Sequence
from dataclasses import dataclass, field

import numpy as np
from numpy.typing import NDArray

from loosewell import units
from loosewell.chance import forecast
from loosewell.chance.normal import EIGHT_OF_TEN
from loosewell.errors import EngineRefusal, MissingRefusal
from loosewell.records import Archer, Bow, Fletching, Jig, Shaft
from loosewell.workshop import bridge, stops
from loosewell.workshop.answer import Band, Notice
from loosewell.workshop.bench import Spine, shaft_spine
from loosewell.workshop.bridge import unseen as hidden
from loosewell.workshop.session import RACK_SHOTS, Progress, Session, silent
from loosewell.workshop.sweep import SHARE_OF_BEST
from loosewell.workshop.wish import wish_of

Array = NDArray[np.float64]

LEAST_STATIONS = 3
ENDS_WORLDS = 256
RANGE_WORLDS = 64
RANGE_SCALES = np.geomspace(0.55, 1.75, 13)
TWO_ERRORS = 2.0
"""A difference smaller than this many of its standard errors is none that can be told."""
HARDLY_PERCENT = 5.0
"""A difference in clean shots below this is not worth a cut shaft. Modelling choice, no source."""
BOOTSTRAPS = 200
THIN_NOCK_IN = 5.0 / 16.0
"""Below this a string slot of 1/8 in leaves less than 3/32 in of wood to either side. [in]"""
NOCK_SIZES = ((5.0 / 16.0, "5/16 in"), (11.0 / 32.0, "11/32 in"), (23.0 / 64.0, "23/64 in"))
"""Sizes of bought nocks and points. Common practice, no source."""


@dataclass(frozen=True)
class Place:
    """The shoot at one place; bands hold eight of ten such shoots.

    ``spine_26in_2lb_lb`` is that of a parallel shaft as stiff as this place.
    """

    station_in: float
    diameter_in: float
    across_in: float | None
    measured: bool
    spine_26in_2lb_lb: Band
    mass_gr_per_in: Band


@dataclass(frozen=True)
class Cause:
    """One thing a reading at the middle cannot show, and what it leaves open."""

    what: str
    level_percent: float
    end_to_end_percent: float


@dataclass(frozen=True)
class Along:
    """Stiffness and mass along a shaft, and how sure that is."""

    shaft: str
    kind: str
    length_in: float
    weight_gr: float
    spine_text: str
    deflection_text: str
    places: list[Place]
    drawn: list[Place]
    modulus_gpa: float
    density_g_cm3: float
    reading_error_percent: float
    level_error_percent: float
    end_to_end_error_percent: float
    nock_over_front: float
    """Stiffness at the nock end over that at the front end, by the diameters. [-]"""
    weak_over_stiff: float
    oval_text: str
    causes: list[Cause]
    assumed: list[str]
    cautions: list[Notice]
    invented: bool = False


def along(shaft: Shaft, jigs: Sequence[Jig] = ()) -> Along:
    """Stiffness and mass along a shaft from its diameters, its mass and one bend reading.

    Parameters
    ----------
    shaft : Shaft
        With three stations or more, length, mass and a bench reading over any span.
    jigs : sequence of Jig
        Those of the workshop, for readings that name one.

    Returns
    -------
    along : Along
        At every station and at many places between, for a picture.

    Raises
    ------
    MissingRefusal
        Naming what is not measured yet.
    """
    spine = _measured(shaft, jigs)
    assert shaft.length_in is not None
    assert shaft.weight_gr is not None
    profile = bridge.shaft_profile(
        shaft, spine.bending_stiffness, spine.relative_error, spine.sides
    )
    middle = 0.5 * (profile.edge[:-1] + profile.edge[1:])
    unseen = _unseen(shaft, profile)
    own = np.zeros(len(middle)) if unseen is None else unseen.place
    place_error = np.hypot(own, spine.relative_error)
    growth = hidden.GROWTH.get(shaft.kind or "")
    lean = 0.0 if growth is None else growth.density_gradient
    mass_error = np.hypot(lean * (middle / profile.length - 0.5), profile.mass_error)

    def place(station_in: float, across_in: float | None, measured: bool) -> Place:
        at = station_in * units.INCH
        stiffness = _at(at, middle, profile.bending_stiffness)
        mass = _at(at, middle, profile.mass_per_length)
        diameter_in = 2.0 * float(np.interp(at, profile.edge, profile.radius)) / units.INCH
        return Place(
            round(station_in, 3),
            round(diameter_in, 4),
            across_in,
            measured,
            _spine_band(stiffness, float(np.interp(at, middle, place_error))),
            _log_band(mass * units.INCH / units.GRAIN, float(np.interp(at, middle, mass_error)), 2),
        )

    known = {one.station_in: one for one in shaft.stations}
    ends = {0.0, shaft.length_in}
    places = []
    for station_in in sorted(ends | set(known)):
        one = known.get(station_in)
        if one is None and any(abs(station_in - other) < 0.25 for other in known):
            continue
        found = place(station_in, None if one is None else one.across_in, one is not None)
        if one is not None:
            found = Place(**{**found.__dict__, "diameter_in": one.diameter_in})
        places.append(found)
    drawn = [place(one / units.INCH, None, False) for one in np.linspace(0, profile.length, 65)]
    second, area = _section(shaft)
    modulus = float(np.median(profile.bending_stiffness / second))
    density = float(np.mean(profile.mass_per_length) / np.mean(area))
    ends_ratio = float(profile.bending_stiffness[0] / profile.bending_stiffness[-1])
    pounds, later_in = _by_both_standards(profile)
    level = 0.0 if unseen is None else unseen.level
    slope = 0.0 if unseen is None else unseen.slope
    return Along(
        shaft=shaft.name,
        kind=shaft.kind or "kind not recorded",
        length_in=shaft.length_in,
        weight_gr=shaft.weight_gr,
        spine_text=f"{pounds:.1f} lb ± {pounds * spine.relative_error:.1f} lb (26 in span, 2 lb)",
        deflection_text=(
            f"{later_in:.3f} in ± {later_in * spine.relative_error:.3f} in (28 in span, 1.94 lb)"
        ),
        places=places,
        drawn=drawn,
        modulus_gpa=round(modulus / 1e9, 2),
        density_g_cm3=round(density / 1000.0, 3),
        reading_error_percent=round(100.0 * spine.relative_error, 1),
        level_error_percent=round(100.0 * math.hypot(level, hidden.unread_side(shaft)), 1),
        end_to_end_error_percent=round(100.0 * slope, 1),
        nock_over_front=round(ends_ratio, 3),
        weak_over_stiff=round(profile.weak_over_stiff, 3),
        oval_text=_oval_text(shaft, profile),
        causes=[]
        if unseen is None
        else [
            Cause(words, round(100.0 * by_level, 1), round(100.0 * by_slope, 1))
            for by_level, by_slope, words in sorted(unseen.reasons, key=lambda one: -one[1])
        ],
        assumed=_assumed(shaft),
        cautions=_cautions(shaft),
        invented=shaft.invented,
    )


def _measured(shaft: Shaft, jigs: Sequence[Jig]) -> Spine:
    """The spine of a shaft measured in full, or the sentence that names what is missing."""
    missing = []
    if len(shaft.stations) < LEAST_STATIONS:
        missing.append(
            f"diameters at {LEAST_STATIONS} stations or more ({len(shaft.stations)} given), each "
            'both ways round: --diameter-at "0.34 in x 0.33 in @ 2 in"'
        )
    if shaft.length_in is None:
        missing.append('its length: --length "32 in"')
    if shaft.weight_gr is None:
        missing.append('its mass: --weight "420 gr"')
    if not shaft.bench_readings:
        missing.append(
            'one bend reading over any span: --bench-reading "span 26 in, load 2 lb, deflection '
            '0.52 in"'
        )
    if missing:
        raise MissingRefusal(
            f"Shaft {shaft.name} still lacks {'; '.join(missing)}. A bend reading at the middle "
            "cannot tell which end is stiffer; only the diameters can.",
            code="shoot-incomplete",
        )
    spine = shaft_spine(shaft, jigs)
    assert spine is not None
    return spine


def _by_both_standards(profile: bridge.Profile) -> tuple[float, float]:
    """Pounds (26 in span, 2 lb) and inches (28 in span, 1.94 lb) the shaft itself would read.

    On a tapered shaft the two are not each other's fixed multiple, for the spans differ.
    """
    from loosewell.physics import spine as beam

    middle = 0.5 * (profile.edge[:-1] + profile.edge[1:])
    early, later = (
        beam.midspan_deflection_varying(load, span, middle, profile.bending_stiffness) / units.INCH
        for load, span in ((beam.WOOD_LOAD, beam.WOOD_SPAN), (beam.LATER_LOAD, beam.LATER_SPAN))
    )
    return 26.0 / early, later


def _unseen(shaft: Shaft, profile: bridge.Profile) -> hidden.Unseen | None:
    from loosewell.physics import spine as beam

    span = min(beam.WOOD_SPAN, 0.96 * profile.length)
    return hidden.unseen(shaft, profile.edge, profile.bending_stiffness, span)


def _section(shaft: Shaft) -> tuple[Array, Array]:
    """Second moment and area along a shaft by its diameters alone."""
    from loosewell.physics import shaft as physics

    assert shaft.length_in is not None
    at = np.array([one.station_in for one in shaft.stations]) * units.INCH
    outer = np.array([one.mean_in() for one in shaft.stations]) * units.INCH
    wall = (shaft.wall_in or 0.0) * units.INCH
    inner = np.maximum(outer - 2.0 * wall, 0.0) if wall > 0.0 else np.zeros_like(outer)
    return physics.profile_elements(at, outer, inner, shaft.length_in * units.INCH, bridge.PIECES)


def _at(place: float, middle: Array, value: Array) -> float:
    """A value at a place, carried on straight to the ends in its logarithm."""
    logarithm = np.log(value)
    if place < middle[0] or place > middle[-1]:
        i, j = (0, 1) if place < middle[0] else (-2, -1)
        rise = (logarithm[j] - logarithm[i]) / (middle[j] - middle[i])
        start = 0 if place < middle[0] else -1
        return float(np.exp(logarithm[start] + rise * (place - middle[start])))
    return float(np.exp(np.interp(place, middle, logarithm)))


def _spine_band(stiffness: float, error: float) -> Band:
    from loosewell.physics import spine as beam

    return _log_band(float(beam.spine_pounds_from_stiffness(stiffness)), error, 1)


def _log_band(middle: float, error: float, digits: int) -> Band:
    reach = math.exp(EIGHT_OF_TEN * error)
    return Band(round(middle, digits), round(middle / reach, digits), round(middle * reach, digits))


def _oval_text(shaft: Shaft, profile: bridge.Profile) -> str:
    weak = profile.weak_over_stiff
    if weak > 0.98:
        return "Round, or alike both ways as far as it was measured."
    turned = [one for one in shaft.bench_readings if one.rotation_deg is not None]
    how = "by its readings all round" if len(turned) >= 3 else "by its diameters both ways round"
    text = f"Oval: {100.0 * (1.0 - weak):.0f} % weaker one way round than the other, {how}."
    if hidden.unread_side(shaft) > 0.0:
        text += (
            " The bend reading does not say which way round it lay, which widens its stiffness; "
            "bend it with the broad side up and once a quarter turn on."
        )
    return text


def _assumed(shaft: Shaft) -> list[str]:
    found = ["It lay with its middle over the middle of the span when it was bent."]
    growth = hidden.GROWTH.get(shaft.kind or "")
    if growth is None:
        found.append(
            f"A {shaft.kind or 'shaft whose kind is not recorded'} is taken as one material all "
            "along. If it grew as it is, say --kind shoot or --kind cane: the ranges widen."
        )
        return found
    found += [
        (
            f"Stiffness of the wood from end to end: ± {100 * growth.gradient:.0f} %; from place "
            f"to place: ± {100 * growth.local:.0f} % over {growth.local_length / units.INCH:.0f} "
            "in (modelling choices, no source)."
        ),
        f"Diameters known to {hidden.CALIPER_IN:g} in, straight between stations.",
        (
            f"Density from end to end: ± {100 * growth.density_gradient:.0f} % (modelling "
            "choice, no source)."
        ),
    ]
    if shaft.kind == "cane" and shaft.wall_in is None:
        found.append("Wall not measured: taken as growing with the diameter.")
    if shaft.kind == "shoot":
        found.append(
            "Pith: taken as part of the wood. One as thick as a third of the shoot takes 1 % of "
            "the stiffness and 11 % of the section, and both readings hold it already."
        )
    return found


def _cautions(shaft: Shaft) -> list[Notice]:
    found = [
        Notice(
            "shoot-inspect",
            "Stiffness is no strength. Feel along it for knots, cracks, insect holes and thin "
            "places, and flex it gently away from your face before it is ever shot.",
        )
    ]
    if shaft.kind in hidden.GROWTH:
        found.append(
            Notice(
                "shoot-crook",
                "Crooks do not show in a bend reading that is taken as the difference before and "
                "after the load. They throw the arrow all the same: straighten before you match. "
                "Where heat is used for that, wear gloves, keep flame off and stay in moving air: "
                "hot bark, resin, glue and finish give off fumes.",
            )
        )
    return found


@dataclass(frozen=True)
class Way:
    """One way round: what the engine and the tape say of it."""

    name: str
    """as it lies, or turned round."""
    thick_end: str
    """forward, back, or alike."""
    clean_percent: Band
    nock_diameter_in: float
    front_diameter_in: float
    nock_text: str
    arrow_weight_gr: Band
    balance_from_nock_throat_in: Band
    foc_percent: Band
    spine_range_lb: Band | None
    spine_range_text: str


@dataclass(frozen=True)
class Ends:
    """Both ways round of one shaft on one bow with one archer."""

    shaft: str
    bow: str
    archer: str
    hand: str
    distance_yd: float
    length_in: float
    point_weight_gr: float
    stops: list[Notice]
    warnings: list[Notice]
    cautions: list[Notice]
    spine_text: str = ""
    ways: list[Way] = field(default_factory=list)
    better: str | None = None
    """The name of the better way, None when it cannot be told."""
    difference_percent: float | None = None
    difference_error_percent: float | None = None
    verdict: str = ""
    range_shift_text: str = ""
    practice: str = ""
    cut_text: str = ""
    clean_definition: str = ""
    assumed: list[str] = field(default_factory=list)
    along: Along | None = None
    launches: int = 0
    invented: bool = False


PRACTICE = (
    "Makers disagree: some put the thick end forward for weight in front and a stiff foreshaft, "
    "some put it back for wood around the nock. Common practice, no source; the engine's answer "
    "above is for this shoot, this bow and this archer only."
)


def ends(
    bow: Bow,
    archer: Archer,
    shaft: Shaft,
    *,
    jigs: Sequence[Jig] = (),
    purpose: str = "target",
    distance_yd: float | None = None,
    point_weight_gr: float | None = None,
    length_in: float | None = None,
    fletching: Fletching | None = None,
    seed: int = 20260211,
    today: datetime.date | None = None,
    progress: Progress | None = None,
) -> Ends:
    """Which end of a shaft to put forward, both ways shot by the engine in the same worlds.

    Parameters
    ----------
    bow, archer : Bow, Archer
        As in match.
    shaft : Shaft
        Measured in full: three stations, length, mass, a bench reading.
    jigs, purpose, distance_yd, point_weight_gr, length_in, fletching, seed, today, progress
        As in match.

    Returns
    -------
    ends : Ends
        With stops first; after a stop nothing is computed.

    Raises
    ------
    Refusal
        For records from which no answer can be had, in a sentence.
    """
    wish = wish_of(
        bow, archer, purpose, distance_yd, point_weight_gr, length_in, fletching, None,
        None, None, None, seed,
    )  # fmt: skip
    told = along(shaft, jigs)
    assert shaft.length_in is not None
    today = today or datetime.datetime.now(datetime.UTC).astimezone().date()
    loose = bridge.loose_model(archer)
    draw = next(one for one in loose.inputs if one.key == "draw")
    draw_in = draw.middle / units.INCH
    if not bow.draw_readings:
        bridge.bow_model(bow, draw_in)  # refuses in a sentence
    failed = stops.unfit(shaft)
    found = stops.stops(bow, archer, draw_in, length_in) + ([] if failed is None else [failed])
    doubts = stops.warnings(bow, archer, draw_in, draw.spread / units.INCH, today)
    if failed is None and (shaft.inspection is None or shaft.inspection.result != "passed"):
        doubts = [
            *doubts,
            Notice(
                "shoot-not-inspected",
                f"No passed inspection of {shaft.name} is on record. What follows is no advice to "
                "shoot it: look it over by hand first (loosewell inspect).",
            ),
        ]
    usual = [*stops.cautions(archer, purpose, [shaft.material]), *told.cautions]
    invented = bow.invented or archer.invented or shaft.invented
    if found:
        return Ends(
            shaft.name, bow.name, archer.name, archer.hand, wish.distance_yd,
            length_in or shaft.length_in, wish.point_gr, found, doubts, usual,
            verdict="Nothing was computed: settle the stop first.", invented=invented,
        )  # fmt: skip
    job = Session(bow, archer, [shaft], (), wish, loose, draw_in, progress or silent, jigs)
    cut_in = min(job.length_in, shaft.length_in)
    if cut_in < job.minimum_in - 1e-6:
        raise EngineRefusal(
            f"Shaft {shaft.name} is {shaft.length_in:g} in long, and {archer.name} needs "
            f"{job.minimum_in:.2f} in from nock throat to back of point. Neither way round helps.",
            code="too-short",
        )
    return _shot_both_ways(job, shaft, told, cut_in, doubts, usual, invented)


def _shot_both_ways(
    job: Session,
    shaft: Shaft,
    told: Along,
    cut_in: float,
    doubts: list[Notice],
    usual: list[Notice],
    invented: bool,
) -> Ends:
    assert shaft.length_in is not None
    spine = job.spines[0]
    assert spine is not None
    lies = job.profile(0)
    profiles = [lies, lies.turned_round()]
    models = [bridge.arrow_model(one, cut_in * units.INCH, job.parts) for one in profiles]
    leanings = [
        job.leaning(model, one, turned)
        for model, one, turned in zip(models, profiles, (False, True), strict=True)
    ]
    clean = job.clean_shots(models, profiles, np.ones(2), "both ways round", ENDS_WORLDS, leanings)
    share = clean.mean(axis=2)
    difference = share[1] - share[0]
    apart, unsure = 100.0 * float(difference.mean()), 100.0 * _error(difference)
    curves = _ranges(job, models, profiles, leanings, spine.spine_26in_2lb_lb)
    names = ("as it lies", "turned round")
    thick = _thick(told.nock_over_front)
    growth = hidden.GROWTH.get(shaft.kind or "")
    lean = 0.0 if growth is None else growth.density_gradient
    ways = []
    for k, name in enumerate(names):
        model = models[k]
        ranges = curves[k][0]
        shaft_mass = model.mass - job.parts.mass
        mass_error = profiles[k].mass_error * shaft_mass / model.mass
        # Density leaning from end to end moves a rod's balance by a twelfth of its length.
        moved = lean * model.length / 12.0 * shaft_mass / model.mass
        balance = model.balance / units.INCH
        reach = EIGHT_OF_TEN * math.hypot(moved / units.INCH, PARTS_BALANCE_IN)
        nock_in = 2.0 * float(model.radius[0]) / units.INCH
        ways.append(
            Way(
                name,
                thick if k == 0 else {"back": "forward", "forward": "back"}.get(thick, thick),
                _share_band(share[k]),
                round(nock_in, 3),
                round(2.0 * float(model.radius[-1]) / units.INCH, 3),
                _nock_text(nock_in),
                _log_band(model.mass / units.GRAIN, mass_error, 0),
                Band(round(balance, 2), round(balance - reach, 2), round(balance + reach, 2)),
                _foc(balance, reach, cut_in),
                ranges,
                _range_text(ranges, spine),
            )
        )
    better = None
    if abs(apart) > TWO_ERRORS * unsure:
        better = names[1] if apart > 0.0 else names[0]
    return Ends(
        shaft=shaft.name,
        bow=job.bow_record.name,
        archer=job.archer.name,
        hand=job.archer.hand,
        distance_yd=job.distance_yd,
        length_in=cut_in,
        point_weight_gr=job.point_gr,
        stops=[],
        warnings=doubts,
        cautions=usual,
        spine_text=told.spine_text,
        ways=ways,
        better=better,
        difference_percent=round(apart, 1),
        difference_error_percent=round(unsure, 1),
        verdict=_verdict(ways, better, apart, unsure),
        range_shift_text=_shift_text(curves),
        practice=PRACTICE,
        cut_text=_cut_text(shaft.length_in, cut_in),
        clean_definition=job.limits.text(),
        assumed=[*told.assumed, *_parts_assumed(job)],
        along=told,
        launches=job.launches,
        invented=invented,
    )


PARTS_BALANCE_IN = 0.12
"""What parts that were not weighed leave open of the balance. [in] Modelling choice, no source."""


def _error(values: Array) -> float:
    return float(np.std(values, ddof=1) / math.sqrt(len(values)))


def _share_band(share: Array) -> Band:
    middle, reach = 100.0 * float(share.mean()), 100.0 * EIGHT_OF_TEN * _error(share)
    return Band(
        round(middle, 1), round(max(middle - reach, 0.0), 1), round(min(middle + reach, 100.0), 1)
    )


Ranged = tuple[Band | None, Array, Array]


def _ranges(
    job: Session,
    models: list[bridge.ArrowModel],
    profiles: list[bridge.Profile],
    leanings: list[tuple[bridge.ArrowModel, bridge.ArrowModel]],
    spine_lb: float,
) -> list[Ranged]:
    """Of each way the range of spines of shoots so shaped, its own spines, and shares by world."""
    count = len(RANGE_SCALES)
    clean = job.clean_shots(
        [model for model in models for _ in range(count)],
        [one for one in profiles for _ in range(count)],
        np.tile(RANGE_SCALES, len(models)),
        "so shaped",
        RANGE_WORLDS,
        [pair for pair in leanings for _ in range(count)],
    ).reshape(len(models), count, RANGE_WORLDS, RACK_SHOTS)
    spines = RANGE_SCALES * spine_lb
    found: list[Ranged] = []
    for flags in clean:
        curve = forecast.share_curve(spines, flags)
        best = float(curve.share.max())
        band = None
        if best > 0.0:
            stretch = forecast.range_over(spines, curve.share, SHARE_OF_BEST * best)
            assert stretch is not None
            low, high, open_low, open_high = stretch
            reason = " and ".join(
                word for word, it in (("low end", open_low), ("high end", open_high)) if it
            )
            middle = _weighted_middle(spines, curve.share, low, high)
            band = Band(round(middle, 1), round(low, 1), round(high, 1), reason)
        found.append((band, spines, flags.mean(axis=2)))
    return found


def _weighted_middle(spines: Array, share: Array, low: float, high: float) -> float:
    inside = (spines >= low) & (spines <= high)
    if not inside.any():
        return 0.5 * (low + high)
    return float(np.sum(share[inside] * spines[inside]) / np.sum(share[inside]))


def _shift_text(curves: list[Ranged]) -> str:
    """How far the range moves when the shoot is turned round, with its error by bootstrap."""
    (lies, spines, one), (turned, _, other) = curves
    if lies is None or turned is None:
        return "Not one shot came out clean one way round, so no ranges can be set side by side."
    rng = np.random.default_rng(5)
    shifts = []
    for _ in range(BOOTSTRAPS):
        pick = rng.integers(0, RANGE_WORLDS, RANGE_WORLDS)
        centres = [
            float(np.sum(spines * share[:, pick].mean(axis=1) ** 2))
            / max(float(np.sum(share[:, pick].mean(axis=1) ** 2)), 1e-12)
            for share in (one, other)
        ]
        shifts.append(centres[1] - centres[0])
    middle, error = float(np.mean(shifts)), float(np.std(shifts, ddof=1))
    if abs(middle) <= TWO_ERRORS * error:
        return (
            f"Turned round, the spines that suit move by {middle:+.1f} ± {error:.1f} lb (26 in "
            "span, 2 lb): within the noise, cannot tell."
        )
    way = "stiffer" if middle > 0.0 else "weaker"
    return (
        f"Turned round, a shoot so shaped must read {way}, by {abs(middle):.1f} ± {error:.1f} lb "
        "(26 in span, 2 lb), to do the same."
    )


def _range_text(band: Band | None, spine: Spine) -> str:
    if band is None:
        return "no shot came out clean at any spine reckoned"
    text = f"{band.low:.0f} to {band.high:.0f} lb (26 in span, 2 lb) for a shoot so shaped"
    if band.reason:
        text += f" ({band.reason} not reached)"
    own = spine.spine_26in_2lb_lb
    if own < band.low:
        return text + f"; this one, {own:.0f} lb, lies {band.low - own:.0f} lb below"
    if own > band.high:
        return text + f"; this one, {own:.0f} lb, lies {own - band.high:.0f} lb above"
    return text + f"; this one, {own:.0f} lb, lies inside"


def _verdict(ways: list[Way], better: str | None, apart: float, unsure: float) -> str:
    lies, turned = ways
    said = (
        f"out of 100 shots {lies.clean_percent.middle:.0f} come out clean as it lies "
        f"(thick end {lies.thick_end}) and {turned.clean_percent.middle:.0f} turned round (thick "
        f"end {turned.thick_end}); the difference is {apart:+.1f} ± {unsure:.1f}"
    )
    if better is None:
        return (
            f"Cannot tell which end to put forward: {said}, within the noise. Choose by the nock: "
            "put the end back that takes it better."
        )
    word = "Leave it as it lies" if better == lies.name else "Turn it round"
    how = "nock end" if better == lies.name else "front end"
    text = f"{word}, its present {how} to the string: {said}."
    if abs(apart) < HARDLY_PERCENT:
        text += " That is real by the engine and too little to see on a butt."
    return text


def _thick(nock_over_front: float) -> str:
    if abs(math.log(nock_over_front)) < 0.05:
        return "alike"
    return "back" if nock_over_front > 1.0 else "forward"


def _nock_text(nock_in: float) -> str:
    near, name = min(NOCK_SIZES, key=lambda one: abs(one[0] - nock_in))
    text = f"nock end {nock_in:.3f} in"
    if nock_in < THIN_NOCK_IN - 0.005:
        return (
            f"{text}: thin. A slot for the string leaves little wood beside it: bind a self nock "
            "below the slot or set in a harder piece, and look at it before every shot"
        )
    if abs(near - nock_in) <= 0.008:
        return f"{text}: near a bought nock of {name}; wood there for a self nock, bound"
    fit = "tapers down to" if nock_in > near else "is under"
    return f"{text}: {fit} a bought nock of {name}; wood there for a self nock, bound"


def _foc(balance_in: float, reach_in: float, length_in: float) -> Band:
    low, middle, high = (
        round(100.0 * (balance_in + way * reach_in - 0.5 * length_in) / length_in, 1)
        for way in (-1.0, 0.0, 1.0)
    )
    return Band(middle, low, high)


def _cut_text(length_in: float, cut_in: float) -> str:
    over = length_in - cut_in
    if over < 0.05:
        return "Nothing is cut away: the shaft is as long as the arrow."
    return (
        f"The arrow is {cut_in:.2f} in from nock throat to back of point, so {over:.2f} in are cut "
        "from whichever end goes forward: the two ways are not the same piece of wood."
    )


def _parts_assumed(job: Session) -> list[str]:
    part = job.parts
    return [
        (
            f"Nock {part.nock_mass / units.GRAIN:.0f} gr, fletching "
            f"{part.fletching_mass / units.GRAIN:.0f} gr with its glue (usual ones)."
        ),
        "The nocking point is set right for level flight first.",
    ]
