"""The rack: which of its shafts fit, which act weak or stiff, and the change that would help."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from loosewell import units
from loosewell.records import Arrow, Shaft
from loosewell.workshop import bridge, session, stops, wood
from loosewell.workshop.answer import Band, RackShaft, ShaftChange
from loosewell.workshop.bench import Spine
from loosewell.workshop.session import Array, Session
from loosewell.workshop.sweep import CLEAR_SHARE, SHARE_OF_BEST, Sweep

LEAST_POINT_GR = 60.0
"""Lightest point proposed as a change. [gr]"""
FAR_OUTSIDE = 1.25
"""A shaft this many times beyond the range is called weak or stiff by its spine alone."""
TAPER_IN = 0.015
"""Difference in diameter along a shaft from which it counts as tapered."""


@dataclass(frozen=True)
class Build:
    """How a shaft of the rack is judged: its length, its parts, and the arrow built on it."""

    length_in: float
    parts: bridge.Parts
    arrow: Arrow | None


def is_bare(arrow: Arrow) -> bool:
    """Whether an arrow carries no fletching at all, as for a bare-shaft test."""
    return arrow.fletching is not None and arrow.fletching.material == "none"


def build_of(job: Session, shaft: Shaft) -> Build | str:
    """How a shaft of the rack is judged, or why it cannot be."""
    arrow = next((one for one in job.arrows if one.shaft == shaft.name), None)
    length_in = job.length_in
    part = job.parts
    if arrow is not None:
        length_in = arrow.length_in if arrow.length_in is not None else length_in
        part = bridge.parts(
            arrow.point_weight_gr if arrow.point_weight_gr is not None else job.point_gr,
            # A bare shaft is for testing: its shaft is judged with the usual fletching on.
            job.fletching if is_bare(arrow) else arrow.fletching or job.fletching,
            arrow.point_kind or job.plan.point_kind,
            arrow.nock_kind,
            arrow.nock_weight_gr,
        )
        part = bridge.fitted(part, arrow)
    if shaft.length_in is None:
        return "length not measured"
    if shaft.length_in < length_in - 1e-6:
        if shaft.length_in < job.minimum_in - 1e-6:
            return "too short"
        length_in = shaft.length_in
    if length_in < job.minimum_in - 1e-6:
        return "too short"
    return Build(length_in, part, arrow)


def judge_rack(job: Session, sweep: Sweep) -> list[RackShaft]:
    """Every shaft of the rack with its chance of a clean shot, best first."""
    rows: dict[int, RackShaft] = {}
    judged: list[tuple[int, Build, bridge.Profile, Spine]] = []
    for i, shaft in enumerate(job.shafts):
        spine = job.spines[i]
        band = (
            None
            if spine is None
            else Band(spine.spine_26in_2lb_lb, spine.low, spine.high, "; ".join(spine.reasons))
        )
        build = build_of(job, shaft)
        guess = wood.rack_guess(shaft) if spine is None else None
        acts, note = "not measured", "hang a load on it: no spine without a bench reading"
        if stops.unfit(shaft) is not None:
            assert shaft.inspection is not None
            acts = "unfit"
            note = f"failed its inspection on {shaft.inspection.on.isoformat()}"
        elif build == "too short":
            acts = "too short"
            note = f"needs {job.minimum_in:.2f} in from nock throat to back of point"
        elif build == "length not measured":
            note = "measure its length"
        elif spine is None and guess is not None:
            note = f"{_guess_note(guess, shaft)}; {note}"
        elif spine is not None:
            assert isinstance(build, Build)
            judged.append((i, build, job.profile(i), spine))
        unseen = stops.not_looked_over(shaft)
        if unseen is not None and acts != "unfit":
            note = f"{note}; {unseen}"
        rows[i] = RackShaft(
            shaft.name,
            shaft.material or "",
            band,
            None if spine is None else spine.deflection_28in_1_94lb_in,
            shaft.weight_gr,
            None,
            acts,  # type: ignore[arg-type]
            note,
            spine_by_wood_26in_2lb_lb=None if guess is None else guess.spine_26in_2lb_lb,
        )
    if judged:
        _judge(job, judged, rows, sweep)
    return sorted(
        rows.values(), key=lambda row: (row.chance_percent is None, -(row.chance_percent or 0))
    )


def _guess_note(guess: wood.WoodStep, shaft: Shaft) -> str:
    """What the wood of a shaft says before it is bent: a wide range, never a reading."""
    band, later = guess.spine_26in_2lb_lb, guess.deflection_28in_1_94lb_in
    known = "its wood" if shaft.weight_gr is None else "its wood and weight"
    return (
        f"not bent: by {known} {band.low:.0f} to {band.high:.0f} lb (26 in span, 2 lb), "
        f"{later.low:.2f} to {later.high:.2f} in (28 in span, 1.94 lb), eight of ten such shafts"
    )


def _judge(
    job: Session,
    judged: list[tuple[int, Build, bridge.Profile, Spine]],
    rows: dict[int, RackShaft],
    sweep: Sweep,
) -> None:
    assert sweep.band is not None
    models = [job.arrow(i, build.length_in, build.parts) for i, build, _, _ in judged]
    profiles = [one[2] for one in judged]
    least = max(sweep.least, SHARE_OF_BEST * CLEAR_SHARE)
    ones = np.ones(len(judged))
    chance = job.chances(models, profiles, ones, "rack")
    # Which way is better? The engine is asked, with the same shaft weaker and stiffer; for a shaft
    # far outside the range its spine tells.
    doubtful = [
        k
        for k, (_, _, _, spine) in enumerate(judged)
        if chance[k] < least
        and sweep.band.low / FAR_OUTSIDE < spine.spine_26in_2lb_lb < sweep.band.high * FAR_OUTSIDE
    ]
    leaning = {}
    if doubtful:
        some = [models[k] for k in doubtful]
        these = [profiles[k] for k in doubtful]
        few = session.RACK_WORLDS // 2
        weaker = job.chances(some, these, np.full(len(some), 0.80), "weaker", few)
        stiffer = job.chances(some, these, np.full(len(some), 1.25), "stiffer", few)
        for place, k in enumerate(doubtful):
            leaning[k] = weaker[place] - stiffer[place]
    near = []
    for k, (i, _, _, spine) in enumerate(judged):
        percent = round(100.0 * float(chance[k]), 0)
        acts = "fits"
        note = _shaft_note(job, job.shafts[i], judged[k][1], sweep.weight.middle)
        if spine.spine_26in_2lb_lb > job.spine[-1]:
            # Stiff as a rod it may fly straight, but off to the side of the aim.
            acts = "acts stiff"
            note = "; ".join(filter(None, [note, "far stiffer than the bow bends"]))
        elif chance[k] < least:
            lean = leaning.get(k, 0.0)
            if abs(lean) < 0.04:
                lean = spine.spine_26in_2lb_lb - sweep.band.middle
            acts = "acts stiff" if lean > 0 else "acts weak"
            if chance[k] > 0.4 * least and stops.not_looked_over(job.shafts[i]) is None:
                near.append((k, acts))
        elif not sweep.band.low <= spine.spine_26in_2lb_lb <= sweep.band.high:
            note = "; ".join(filter(None, [note, _why_outside(job, job.shafts[i], judged[k][1])]))
        told: dict[str, object] = {"chance_percent": percent, "acts": acts, "note": note}
        unseen = stops.not_looked_over(job.shafts[i])
        if unseen is not None:
            # Never offered: what its readings would make of it is told apart, and only as that.
            told = {
                "acts": "not inspected",
                "note": "; ".join(filter(None, [unseen, note])),
                "would_act": acts,
                "would_chance_percent": percent,
            }
        rows[i] = RackShaft(**{**rows[i].__dict__, **told})
    for k, change in _changes(job, judged, near, chance, least, sweep.weight.middle).items():
        i = judged[k][0]
        rows[i] = RackShaft(**{**rows[i].__dict__, "change": change})


def mass_per_inch(shaft: Shaft) -> float | None:
    """Mass of a shaft an inch, or None when it was not weighed or measured. [gr/in]"""
    if shaft.weight_gr is None or shaft.length_in is None:
        return None
    return shaft.weight_gr / shaft.length_in


def _why_outside(job: Session, shaft: Shaft, build: Build) -> str:
    """Why a shaft fits although its spine lies outside the range, which is a plain shaft's."""
    unlike = []
    own = mass_per_inch(shaft)
    if own is not None and abs(own / job.mass_per_inch - 1.0) > 0.04:
        kind = "heavier" if own > job.mass_per_inch else "lighter"
        unlike.append(f"{kind}, {own:.1f} gr/in")
    wide = [one.mean_in() for one in shaft.stations]
    if wide and max(wide) - min(wide) > TAPER_IN:
        unlike.append("tapered")
    if shaft.joints or shaft.sections:
        unlike.append("joined")
    if build.arrow is not None or abs(build.length_in - job.length_in) > 0.1:
        unlike.append("built otherwise")
    why = "; ".join(unlike) or "its own mass and shape are known, the plain one's are not"
    return f"fits outside the range, which is a plain shaft's ({why})"


def _whole_gr(shaft: Shaft, length_in: float, part: bridge.Parts) -> float | None:
    """Mass of the arrow built, or None when the shaft was not weighed."""
    own = mass_per_inch(shaft)
    if own is None:
        return None
    return own * length_in + part.mass / units.GRAIN


def light_gr(
    job: Session, shaft: Shaft, length_in: float, part: bridge.Parts, weight_lb: float
) -> float | None:
    """Mass of the arrow when it is too light for the bow, else None."""
    whole = _whole_gr(shaft, length_in, part)
    if whole is None or stops.mass_warning(job.bow_record, whole, weight_lb) is None:
        return None
    return whole


def _shaft_note(job: Session, shaft: Shaft, build: Build, weight_lb: float) -> str:
    notes = []
    if build.arrow is not None:
        bare = ", bare: judged with feathers on" if is_bare(build.arrow) else ""
        notes.append(f"as built: {build.arrow.name}, {build.length_in:.2f} in{bare}")
    elif build.length_in < job.length_in - 1e-6:
        notes.append(f"taken at its full {build.length_in:.2f} in")
    light = light_gr(job, shaft, build.length_in, build.parts, weight_lb)
    if light is not None:
        least_gr = job.bow_record.maker_minimum_arrow_gr
        if least_gr is not None:
            notes.append(f"too light: {light:.1f} gr, the bow's maker asks for {least_gr:g}")
        else:
            notes.append(
                f"light: {light / weight_lb:.2f} grains per pound, usual are at least "
                f"{stops.USUAL_LEAST_GRAINS_PER_POUND:.0f}"
            )
    if shaft.weight_gr is None:
        notes.append("not weighed: the mass of mean arrow wood is assumed")
    return "; ".join(notes)


def _length_words(length_in: float, more: float) -> str:
    verb = "cut to" if more < 0.0 else "leave it"
    return f"{verb} {length_in + more:.2f} in" + ("" if more < 0.0 else " long")


def _changes(
    job: Session,
    judged: list[tuple[int, Build, bridge.Profile, Spine]],
    near: list[tuple[int, str]],
    chance: Array,
    least: float,
    weight_lb: float,
) -> dict[int, ShaftChange]:
    """The cheapest change for each near miss that brings it over the limit, or helps most.

    No change is tried that would make the arrow too light for the bow, or lighter if it is.
    """
    tries: list[tuple[int, str, float, float]] = []
    for k, acts in near:
        build, profile = judged[k][1], judged[k][2]
        point = build.parts.point_mass / units.GRAIN
        blank_in = profile.length / units.INCH
        length_in = build.length_in
        points: tuple[float, ...] = (25.0, 50.0, 75.0)
        lengths: tuple[float, ...] = (0.5, 1.0, 1.5)
        if acts == "acts weak":
            points, lengths = (-25.0, -50.0), (-0.5, -1.0)
        tries += [
            (k, f"point {point + more:.0f} gr", length_in, point + more)
            for more in points
            if point + more >= LEAST_POINT_GR
        ]
        if build.arrow is None or lengths[0] < 0.0:
            tries += [
                (k, _length_words(length_in, more), length_in + more, point)
                for more in lengths
                if job.minimum_in - 1e-6 <= length_in + more <= blank_in + 1e-6
            ]

    def goes(one: tuple[int, str, float, float]) -> bool:
        k, _, length_in, point = one
        i, build = judged[k][0], judged[k][1]
        lighter = length_in < build.length_in or point < build.parts.point_mass / units.GRAIN
        part = bridge.with_point(build.parts, point)
        return not lighter or light_gr(job, job.shafts[i], length_in, part, weight_lb) is None

    tries = [one for one in tries if goes(one)]
    if not tries:
        return {}
    models, profiles = [], []
    for k, _, length_in, point in tries:
        build, profile = judged[k][1], judged[k][2]
        part = bridge.with_point(build.parts, point)
        models.append(job.arrow(judged[k][0], length_in, part))
        profiles.append(profile)
    after = job.chances(models, profiles, np.ones(len(tries)), "changes", session.RACK_WORLDS // 2)
    found: dict[int, ShaftChange] = {}
    for k, _ in near:
        own = [(t, float(after[t])) for t, one in enumerate(tries) if one[0] == k]
        own = [one for one in own if one[1] >= chance[k] + 0.08]
        if not own:
            continue
        reaching = [one for one in own if one[1] >= least]
        # Tries stand in order of cost: points first, then length; the smallest step first.
        t, reached = reaching[0] if reaching else max(own, key=lambda one: one[1])
        _, what, length_in, point = tries[t]
        found[k] = ShaftChange(
            what,
            round(length_in, 2),
            round(point, 1),
            round(100.0 * float(chance[k])),
            round(100.0 * reached),
        )
    return found
