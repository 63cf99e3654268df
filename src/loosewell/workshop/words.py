"""The answer in words: what went in, what to measure next, the rules, and the next step."""

from __future__ import annotations

import math
from collections.abc import Sequence

from loosewell import units
from loosewell.workshop import bridge, rules, stops
from loosewell.workshop.answer import Band, ChosenArrow, InputUsed, RackShaft, RuleOfThumb
from loosewell.workshop.session import Session
from loosewell.workshop.sweep import CLEAR_SHARE, Sweep


def inputs_used(job: Session, sweep: Sweep) -> list[InputUsed]:
    """Every input with its error and its part of the width of the range, widest first."""
    notes = [*job.bow.notes, *job.loose.notes]
    notes.append(
        bridge.Assumed(
            "mass_scale",
            "Mass of a shaft of a given spine",
            f"{job.mass_per_inch:.1f} gr/in, {job.mass_reason}",
            f"±{100 * job.mass_spread:.0f} %",
            not job.mass_reason.startswith("median of the rack"),
            "weigh and bend the shafts of the rack",
            0.02,
        )
    )
    by_input = sweep.spread.by_input
    rows = [
        InputUsed(
            one.name,
            one.value,
            one.error,
            one.assumed,
            round(100.0 * by_input.get(one.key, 0.0), 1),
            one.how_to_measure,
        )
        for one in notes
    ]
    rows.append(
        InputUsed(
            "What the bow forgives and the loose scatters",
            "computed, no error of measuring",
            "",
            False,
            round(100.0 * sweep.spread.within, 1),
            "nothing to measure: a bow that forgives more takes more spines",
        )
    )
    if sweep.spread.rest > 0.005:
        rows.append(
            InputUsed(
                "Several inputs together",
                "computed",
                "",
                False,
                round(100.0 * sweep.spread.rest, 1),
            )
        )
    return sorted(rows, key=lambda row: -row.share_of_width_percent)


def narrow_next(job: Session, sweep: Sweep) -> str:
    """The one measurement that would narrow the range most, and by how much."""
    assert sweep.band is not None
    width = sweep.band.high - sweep.band.low
    notes = {one.key: one for one in [*job.bow.notes, *job.loose.notes]}
    gains = []
    for one in job.shared:
        note = notes.get(one.key)
        if note is None or note.measured_error <= 0.0 or one.spread <= 0.0:
            continue
        left = min(1.0, note.measured_error / one.spread)
        gain = sweep.spread.by_input.get(one.key, 0.0) * (1.0 - left**2)
        gains.append((gain, note))
    gain, note = max(gains, key=lambda pair: pair[0], default=(0.0, None))
    narrower = width * math.sqrt(max(1.0 - gain, 0.0))
    if note is not None and width - narrower >= 0.5:
        return (
            f"{note.name}: {note.how_to_measure}. The range would narrow from {width:.1f} lb "
            f"wide to about {narrower:.1f} lb."
        )
    text = "No single bench measurement would narrow the range by half a pound."
    if sweep.spread.within > 0.5:
        text += " Most of its width is what the bow forgives and the loose scatters."
    unseen = [
        (share, notes[key].name)
        for key, share in sweep.spread.by_input.items()
        if key in notes and notes[key].measured_error <= 0.0 and share >= 0.01
    ]
    if unseen:
        text += (
            f" Of what no bench can measure, “{max(unseen)[1]}” costs most; only shooting shows it."
        )
    return text


def next_step(job: Session, sweep: Sweep, rack: list[RackShaft], chosen: ChosenArrow) -> str:
    """What to do now, in words for the bench."""
    fitting = [row for row in rack if row.acts == "fits"]
    if not fitting and any(row.would_act == "fits" for row in rack):
        unseen = sum(row.acts == "not inspected" for row in rack)
        one = "1 shaft that nobody has" if unseen == 1 else f"{unseen} shafts that nobody has"
        passed = any(row.acts in ("acts weak", "acts stiff") for row in rack)
        start = (
            "No shaft that was looked over fits as it is"
            if passed
            else "No shaft on the rack has passed an inspection, so none is offered"
        )
        return (
            f"{start}. There {'is' if unseen == 1 else 'are'} {one} looked over to the end: do "
            "that first (loosewell inspect NAME), record what you find, and ask again."
        )
    if not fitting and sweep.best_share < CLEAR_SHARE:
        return (
            "Build nothing for this pair yet: no spine stands out. Try a shorter distance, a "
            "heavier or lighter point, or another bow for this archer, and ask again."
        )
    if not fitting:
        return (
            "No measured shaft on the rack fits as it is: look for "
            f"{chosen.shaft}, weigh and bend "
            "it, and ask again."
        )
    best = next((row for row in fitting if row.shaft == chosen.shaft), fitting[0])
    beside = ", with an instructor beside" if stops.is_novice(job.archer) else ""
    spare = ""
    shaft = next(one for one in job.shafts if one.name == best.shaft)
    built = any(one.shaft == best.shaft for one in job.arrows)
    if built:
        return (
            f"Shoot the arrow on shaft {best.shaft} as it is: six fletched shots at 10 yd{beside}, "
            "note where they land and how they stand, and change nothing until then."
        )
    if shaft.length_in is not None and shaft.length_in >= chosen.cut_length_in + 0.9:
        spare = " Leave it an inch longer at first: cutting cannot be undone."
    return (
        f"Build one arrow on shaft {best.shaft}: "
        f"{chosen.cut_length_in:.2f} in from nock throat "
        f"to back of point, {chosen.point_weight_gr:.0f} gr "
        f"point.{spare} Shoot it six "
        f"times at 10 yd{beside}, and note where it lands and how it stands before building more."
    )


def fletching_words(part: bridge.Parts) -> str:
    """The fletching in words."""
    if not part.count:
        return "none (bare shaft)"
    kind = {"feather": "feathers", "vane": "vanes", "tape": "tape vanes"}.get(
        part.material, "feathers"
    )
    return (
        f"{part.count} {kind}, {part.chord / units.INCH:.3g} in long, "
        f"{part.height / units.INCH:.2g} in high"
    )


def _quoted(names: Sequence[str]) -> str:
    return "; ".join(f"“{one}”" for one in names)


def against(thumb: Sequence[RuleOfThumb], left_out: Sequence[str], band: Band | None) -> str:
    """Where the rules and the engine agree or not, and why that may be."""
    assert band is not None
    least = rules.LEAST_SPOKEN_LB
    silent = ""
    if left_out:
        silent = (
            f" Left out, for {'it comes' if len(left_out) == 1 else 'they come'} out below "
            f"{least:.0f} lb, where no rule can speak: {_quoted(left_out)}."
        )
    if not thumb:
        return f"None of the trade's rules can speak of so light a bow.{silent}"
    said = [one.spine_lb for one in thumb]
    inside = sum(band.low <= one <= band.high for one in said)
    above = [one.name for one in thumb if one.spine_lb > band.high]
    below = [one.name for one in thumb if one.spine_lb < band.low]
    if len(thumb) == 1:
        text = f"The one rule left says {said[0]:.0f} lb"
    else:
        text = f"The rules stand {max(said) - min(said):.0f} lb apart"
    verb = "falls" if inside == 1 else "fall"
    text += (
        f". {inside} of {len(thumb)} {verb} inside the engine's {band.low:.0f} to "
        f"{band.high:.0f} lb."
    )
    if above:
        text += f" Stiffer: {_quoted(above)}."
    if below:
        text += f" Weaker: {_quoted(below)}."
    return (
        f"{text}{silent} Each rule starts from another usual arrow and bow; none of them knows "
        "this plate offset, this string or this loose, and the engine knows neither exactly."
    )
