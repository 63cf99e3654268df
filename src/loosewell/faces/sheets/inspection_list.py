"""The inspection list: one shaft look by look, or a whole set as a table of boxes."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import TYPE_CHECKING

from loosewell.faces.sheets import figures, link
from loosewell.faces.sheets.content import Block, Facts, Grid, Lines, Sheet
from loosewell.workshop import inspection, stops

if TYPE_CHECKING:
    from loosewell.records import Arrow, Shaft

STOP = (
    "Any fault: it is not shot. A crack, a splinter or a crushed place: break it in two on the "
    "spot."
)
BOX = "☐"
_CARE = (
    "Bend and twist in gloves, away from the face, with eyes protected; feel for splinters with a "
    "cloth."
)


def of_shaft(shaft: Shaft, arrow: Arrow | None) -> Sheet:
    """Everything to look at on one shaft, with boxes for what was found."""
    looks = inspection.checklist(shaft, arrow)
    rows = tuple(
        (one.what, f"{one.look_for[0].upper()}{one.look_for[1:]}.",
         f"{one.how[0].upper()}{one.how[1:]}.", BOX, BOX)
        for one in looks
    )  # fmt: skip
    seen = shaft.inspection
    last = None if seen is None else f"{seen.result} on {seen.on.isoformat()}, by {seen.by or '?'}"
    name = f"shaft {shaft.name}" + ("" if arrow is None else f", arrow {arrow.name}")
    blocks: tuple[Block, ...] = (
        Facts(
            "",
            (
                ("Kind and material", ", ".join(x for x in (shaft.kind, shaft.material) if x)
                 or None),
                ("Looked over last", last or "never"),
            ),
        ),
        Grid(
            "Look at, all round and from end to end",
            ("What", "A fault is", "How to find it", "Fine", "Fault"),
            rows,
            (1.15, 2.6, 3.4, 0.55, 0.6),
        ),
        Facts("", (("Day and who looked", None), ("Note", None))),
        Lines("Look again after", inspection.AGAIN_AFTER, spare=True),
    )  # fmt: skip
    unfit = stops.unfit(shaft)
    return Sheet(
        kind="inspection list",
        title=f"Inspection: {name}",
        stops=((unfit.text,) if unfit is not None else ()) + (STOP,),
        blocks=blocks,
        link=link.code("shaft", shaft.name),
        back=link.command("shaft", shaft.name),
        foot=(figures.NO_FITNESS,),
        invented=shaft.invented,
    )


def of_many(
    title: str,
    shafts: Sequence[Shaft],
    arrows: Mapping[str, Arrow],
    code: str = "",
    back: str = "",
) -> Sheet:
    """A row for every shaft and a box for every look; a look a shaft does not need is crossed."""
    looks = {
        one.name: {look.what for look in inspection.checklist(one, arrows.get(one.name))}
        for one in shafts
    }
    what = [one for one in inspection.WHAT if any(one in must for must in looks.values())]
    rows = tuple(
        (one.name, *(("" if w in looks[one.name] else "–") for w in what), "") for one in shafts
    )
    told: dict[str, str] = {}
    for one in shafts:
        for look in inspection.checklist(one, arrows.get(one.name)):
            told.setdefault(look.what, look.look_for)
    unfit = [found for shaft in shafts if (found := stops.unfit(shaft)) is not None]
    blocks: tuple[Block, ...] = (
        Facts("", (("Day and who looked", None),)),
        Grid(
            "Tick what is fine, cross a fault",
            ("Shaft", *(_short(one) for one in what), "Pass or fail"),
            rows,
            (1.3, *(0.12 * len(_short(one)) + 0.25 for one in what), 1.0),
        ),
        Lines("A fault is", tuple(f"{one}: {told[one]}." for one in what), spare=True),
        Lines("Look again after", inspection.AGAIN_AFTER, spare=True),
    )
    return Sheet(
        kind="inspection list",
        title=title,
        stops=(*(one.text for one in unfit), STOP),
        blocks=blocks,
        link=code,
        back=back,
        foot=(_CARE, figures.NO_FITNESS),
        invented=any(one.invented for one in shafts),
    )


def _short(what: str) -> str:
    return {"straightness": "straight", "fletching": "feathers"}.get(what, what)
