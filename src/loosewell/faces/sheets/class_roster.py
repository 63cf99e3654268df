"""The class roster and its labels: who shoots which bow with which arrows, stops first."""

from __future__ import annotations

import datetime
from collections.abc import Mapping, Sequence
from typing import TYPE_CHECKING

from loosewell.faces import wording
from loosewell.faces.sheets import figures, link
from loosewell.faces.sheets.content import Facts, Grid, Label, Labels, Lines, Sheet
from loosewell.workshop.bridge import true_draw_in

if TYPE_CHECKING:
    from loosewell.records import Bow
    from loosewell.records.class_ import ClassRoster, Holding, Pupil

STOP = "Nobody shoots a bow or arrows not beside their own name. An exchange is made by the leader."
BLANK = "____________"


def roster(kept: ClassRoster, bows: Mapping[str, Bow], today: datetime.date) -> Sheet:
    """One row for each person: hand, draw, bow with its limit, arrows, a box for the day."""
    held = {one.person.casefold(): one for one in kept.held}
    out = {one.casefold() for one in kept.people_out}
    people = [one for one in kept.people if one.name.casefold() not in out]
    why = _why_not(kept, people, held, bows, today)
    rows = tuple(_row(one, held.get(one.name.casefold()), bows, one.name in why) for one in people)
    stopped = (f"No bow for {_named(list(why))}: the reason stands below.",) if why else ()
    reasons = tuple(text for texts in why.values() for text in texts)
    bows_out = {one.casefold() for one in kept.bows_out}
    free = [one for one in kept.bows if one.casefold() not in bows_out]
    free = [one for one in free if one.casefold() not in {h.bow.casefold() for h in kept.held}]
    return Sheet(
        kind="class roster",
        title=f"Class {kept.name}",
        under=kept.on.isoformat() if kept.on else "",
        stops=(*stopped, STOP),
        blocks=(
            *((Lines("Settle this first", reasons),) if why else ()),
            Facts("", (("Responsible, first aid", None), ("Signal to stop shooting", None))),
            Grid(
                "Who shoots what",
                ("Person", "Hand", "True draw", "Bow, turn", "Bow's limit, true draw", "Arrows",
                 "Out", "Back"),
                rows,
                (1.5, 0.75, 1.15, 1.2, 1.3, 1.6, 0.55, 0.6),
                note="Out and back: arrows counted by pencil, before and after.",
            ),
            Facts("", (("Bows in reserve", ", ".join(free) or None),)),
            Lines(
                "Through the day",
                (
                    "A bow that breaks, a person who leaves: loosewell class swap finds new pairs.",
                    "Every arrow is looked over before it goes out and after each hard strike.",
                ),
                spare=True,
            ),
        ),
        link=link.code("class", kept.name),
        back=link.command("class", kept.name),
        foot=(figures.DRAWS, figures.NO_FITNESS),
        invented=kept.invented,
    )  # fmt: skip


def labels(kept: ClassRoster, bows: Mapping[str, Bow], today: datetime.date) -> Sheet:
    """A label for each person with a bow, to be cut out and tied on; none after a stop."""
    out = {one.casefold() for one in kept.people_out}
    held = {one.person.casefold(): one for one in kept.held}
    people = [one for one in kept.people if one.name.casefold() not in out]
    why = _why_not(kept, people, held, bows, today)
    out |= {one.casefold() for one in why}
    found = []
    for one in kept.held:
        if one.person.casefold() in out:
            continue
        bow = bows.get(one.bow.casefold())
        limit = None if bow is None else _limit(bow)
        found.append(
            Label(
                one.person,
                (
                    f"Bow {one.bow}" + (f", turn {one.turn}" if one.turn > 1 else ""),
                    f"Limit, true draw: {limit or BLANK}",
                    f"Arrows: {', '.join(one.arrows) or BLANK}",
                ),
            )
        )
    if not kept.held:
        names = [one for one in kept.people if one.name.casefold() not in out]
        found = [
            Label(one.name, (f"Hand: {one.hand}", f"Bow: {BLANK}", f"Arrows: {BLANK}"))
            for one in names
        ]
    return Sheet(
        kind="labels",
        title=f"Labels: class {kept.name}",
        under=kept.on.isoformat() if kept.on else "",
        stops=(
            *((f"No label for {_named(list(why))}: see the class roster.",) if why else ()),
            "Only for the person named on it, and only to the limit on it.",
        ),
        blocks=(Labels("", tuple(found), across=3),),
        link=link.code("class", kept.name),
        back=link.command("class", kept.name),
        foot=(figures.DRAWS,),
        invented=kept.invented,
    )


def _row(
    one: Pupil, holding: Holding | None, bows: Mapping[str, Bow], stopped: bool
) -> tuple[str, ...]:
    draw = ""
    if one.draw_length_in is not None:
        true = true_draw_in(one.draw_length_in, one.draw_measured)
        draw = f"{true:.2f} in ({true * 25.4:.0f} mm)"
    name = f"{one.name}, child" if one.child else one.name
    if stopped:
        return (name, one.hand, draw, "none", "–", "none", "–", "–")
    if holding is None:
        return (name, one.hand, draw, "", "", "", "", "")
    bow = bows.get(holding.bow.casefold())
    turn = f", {holding.turn}" if holding.turn > 1 else ""
    limit = "" if bow is None else _limit(bow) or "not known"
    return (name, one.hand, draw, holding.bow + turn, limit, ", ".join(holding.arrows), "", "")


def _limit(bow: Bow) -> str | None:
    if bow.drawn_to_limit_in is None:
        return None
    return wording.length(true_draw_in(bow.drawn_to_limit_in, bow.draw_measured))


def _why_not(
    kept: ClassRoster,
    people: Sequence[Pupil],
    held: Mapping[str, Holding],
    bows: Mapping[str, Bow],
    today: datetime.date,
) -> dict[str, list[str]]:
    """People who are given no bow, each with the reasons."""
    from loosewell.workshop import class_fit

    day = kept.on or today
    broken = {one.casefold() for one in kept.bows_out}
    found: dict[str, list[str]] = {}
    for one in people:
        told = [notice.text for notice in class_fit.person_stops(one, day)]
        holding = held.get(one.name.casefold())
        if holding is not None and holding.bow.casefold() in broken:
            told.append(f"{one.name} has no bow: {holding.bow} is out. Ask for a swap.")
        elif holding is not None and not told:
            bow = bows.get(holding.bow.casefold())
            if bow is None:
                told.append(f"{one.name} has no bow: {holding.bow} is not in use.")
            else:
                stop = class_fit.pair_stop(one, class_fit.weigh(bow))
                told += [] if stop is None else [stop.text]
        if told:
            found[one.name] = told
    return found


def _named(names: Sequence[str]) -> str:
    if len(names) > 6:
        return f"{', '.join(names[:6])} and {len(names) - 6} more"
    return ", ".join(names)
