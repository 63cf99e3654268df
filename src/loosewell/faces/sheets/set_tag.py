"""The arrow-set tag: what is tied to a set, with a line for every shaft."""

from __future__ import annotations

from collections.abc import Sequence
from typing import TYPE_CHECKING

from loosewell.faces import wording
from loosewell.faces.sheets import figures, link
from loosewell.faces.sheets.content import Block, Facts, Grid, Label, Labels, Sheet

if TYPE_CHECKING:
    from loosewell.records import Arrow, ArrowSet, Jig, Shaft


def sheet(
    kept: ArrowSet, shafts: Sequence[Shaft], arrows: Sequence[Arrow], jigs: Sequence[Jig]
) -> Sheet:
    """The tag of one kept set; ``shafts`` are its members as far as they are on record."""
    spines = figures.spines(shafts, jigs)
    built = {one.shaft.casefold(): one for one in arrows}
    by_name = {one.name.casefold(): one for one in shafts}
    rows = []
    for member in kept.members:
        shaft = by_name.get(member.shaft.casefold())
        if shaft is None:
            rows.append((member.shaft, "", "", "", "", ""))
            continue
        spine = spines[shaft.name]
        arrow = built.get(shaft.name.casefold())
        whole = None if arrow is None else arrow.weight_gr
        mass = f"{wording.mass(whole)} arrow" if whole is not None else _bare(shaft)
        seen = shaft.inspection
        rows.append(
            (
                shaft.name,
                ""
                if spine is None
                else f"{spine.spine_26in_2lb_lb:.1f} lb ± {0.5 * (spine.high - spine.low):.1f} lb",
                "" if spine is None else f"{spine.deflection_28in_1_94lb_in:.3f} in",
                mass,
                "" if member.nock_angle_deg is None else f"{member.nock_angle_deg:.0f} deg",
                "" if seen is None else f"{seen.result} {seen.on.isoformat()}",
            )
        )
    code = kept.code or kept.name
    lengths = [a.length_in for one in shafts if (a := built.get(one.name.casefold())) is not None]
    length_in = next((one for one in lengths if one is not None), None)
    if any(one != length_in for one in lengths):
        length_in = None
    told = [one for one in spines.values() if one is not None]
    band = None
    if told:
        low = min(one.spine_26in_2lb_lb for one in told)
        high = max(one.spine_26in_2lb_lb for one in told)
        band = wording.spine_range(low, high, 1)
    facts = (
        ("For the bow", kept.bow),
        ("For the archer", kept.archer),
        ("Purpose", kept.purpose),
        ("Spine, weakest to stiffest as read", band),
        ("Arrow, throat to back of point", figures.maybe_length(length_in)),
        ("Put together", figures.day(kept.made_on)),
    )
    label = Label(
        code,
        (
            f"{len(kept.members)} arrows",
            f"Bow: {kept.bow or '____________'}",
            f"Archer: {kept.archer or '____________'}",
            link.code("set", kept.name),
        ),
    )
    blocks: tuple[Block, ...] = (
        Facts("The set", facts),
        Grid(
            "Its shafts",
            (
                "Shaft",
                f"Spine ({wording.WOOD_STANDARD})",
                f"Deflection ({wording.LATER_STANDARD})",
                "Mass",
                "Nock turned from its mark",
                "Looked over",
            ),
            tuple(rows),
            (0.9, 1.3, 1.1, 1.2, 0.9, 1.1),
        ),
        Labels("To cut out and tie on", (label, label)),
    )
    invented = kept.invented or any(one.invented for one in shafts)
    return Sheet(
        kind="set tag",
        title=f"Arrow set {code}",
        under="" if code == kept.name else f"Kept as {kept.name}",
        stops=_stops(kept, shafts),
        blocks=blocks,
        link=link.code("set", kept.name),
        back=link.command("set", kept.name),
        foot=("One pound of spine is read over the span and under the load named beside it.",
              figures.NO_FITNESS),
        invented=invented,
    )  # fmt: skip


def _bare(shaft: Shaft) -> str:
    return "" if shaft.weight_gr is None else f"{wording.mass(shaft.weight_gr)} bare shaft"


def _stops(kept: ArrowSet, shafts: Sequence[Shaft]) -> tuple[str, ...]:
    from loosewell.workshop import stops

    found = [one.text for shaft in shafts if (one := stops.unfit(shaft)) is not None]
    wait = [one.name for one in shafts if stops.not_looked_over(one) is not None]
    names = {one.name.casefold() for one in shafts}
    gone = [one.shaft for one in kept.members if one.shaft.casefold() not in names]
    if wait:
        found.append(f"Do not shoot yet: look over {_named(wait)} first.")
    if gone:
        found.append(f"No longer on the rack: {_named(gone)}. Take them out of the quiver.")
    found.append(
        "Only for the bow and the archer named here."
        if kept.bow and kept.archer
        else "Not for any bow yet: bow and archer of this set are not recorded."
    )
    return tuple(found)


def _named(names: Sequence[str]) -> str:
    if len(names) > 8:
        return f"{', '.join(names[:8])} and {len(names) - 8} more"
    return ", ".join(names)
