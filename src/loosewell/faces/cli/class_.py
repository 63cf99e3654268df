"""Commands of a class: roster in and out, its plan, and swaps in the day."""

from __future__ import annotations

import re
from collections.abc import Sequence
from pathlib import Path
from typing import TYPE_CHECKING, Annotated, Any

import typer

from loosewell import units
from loosewell.errors import MissingRefusal, UnitRefusal
from loosewell.faces.cli.common import JsonOption, WorkshopOption, open_workshop, print_json

if TYPE_CHECKING:
    from loosewell.workshop.classes import Plan
    from loosewell.workshop.keep import Workshop

_PERSON_EXAMPLE = (
    '"A.B., left, draw 24 in true, marked arrow, on 2026-03-02, child, beginner, strength 20 lb"'
)
_RULE_EXAMPLE = (
    '"overshoot 110 yd from the shooting line, source the club\'s handbook, on 2026-03-01"'
)
_NEXT = re.compile(r"\s*(?:;|(?<![0-9]),|,(?![0-9]))\s*")
_RULE = re.compile(
    r"(?P<what>lane|waiting line|stop|overshoot|side|other)\b\s*(?P<rest>.*)", re.IGNORECASE
)
_FIGURE = re.compile(
    r"(?P<figure>[0-9][0-9.,/ ]*\s*(?:yd|yards?|m|metres?|meters?|ft|feet)\b)", re.IGNORECASE
)


def person(text: str) -> dict[str, Any]:
    """A person of a class from "A.B., left, draw 24 in true, marked arrow, strength 20 lb"."""
    name, *parts = _NEXT.split(text.strip())
    found: dict[str, Any] = {"name": name}

    def put(field: str, value: object) -> None:
        if field in found:
            raise UnitRefusal(
                f"A person was given as '{text[:60]}', which tells one thing twice ('{value}'). "
                f"Type it as {_PERSON_EXAMPLE}.",
                code="reading-unreadable",
            )
        found[field] = value

    for part in filter(None, parts):
        word, _, rest = part.partition(" ")
        low = " ".join(part.casefold().split())
        if low in ("right", "left"):
            put("hand", low)
        elif low in ("marked arrow", "arm span", "told"):
            put("draw_method", low)
        elif low in ("child", "grown"):
            put("child", low == "child")
        elif low in ("beginner", "experienced"):
            put("experience", low)
        elif word.casefold() == "draw" and rest:
            measure = rest.split()[-1].casefold()
            if measure in ("true", "standard"):
                put("draw_measured", measure)
                rest = rest[: -len(measure)].strip()
            put("draw_length_in", units.quantity(rest, "in", what=f"The draw of {name[:40]}"))
        elif word.casefold() == "error" and rest:
            put("draw_error_in", units.quantity(rest, "in", what=f"The draw error of {name[:40]}"))
        elif word.casefold() == "strength" and rest:
            put("strength_lb", units.quantity(rest, "lb", what=f"The strength of {name[:40]}"))
        elif word.casefold() == "on" and rest:
            put("draw_date", rest)
        elif word.casefold() == "note" and rest:
            put("remarks", rest)
        else:
            raise UnitRefusal(
                f"A person was given as '{text[:60]}', and '{part[:30]}' could not be read. Type "
                f"it as {_PERSON_EXAMPLE}.",
                code="reading-unreadable",
            )
    return found


def rule(text: str) -> dict[str, Any]:
    """A rule about the range from "overshoot 110 yd, source the club's handbook, on 2026-03-01"."""
    named = _RULE.match(text.strip())
    if named is None:
        raise UnitRefusal(
            f"A rule was given as '{text[:60]}', which does not begin with what it is about: lane, "
            f"waiting line, stop, overshoot, side or other. Type it as {_RULE_EXAMPLE}.",
            code="reading-unreadable",
        )
    found: dict[str, Any] = {"what": named["what"].casefold()}
    words = []
    for part in filter(None, _NEXT.split(named["rest"])):
        word, _, rest = part.partition(" ")
        if word.casefold() == "source" and rest:
            found["source"] = rest
        elif word.casefold() == "on" and rest:
            found["on"] = rest
        else:
            words.append(part)
    said = ", ".join(words)
    figures = _FIGURE.findall(said)
    if figures:
        found["figure_yd"] = units.quantity(figures[0], "yd", what="The figure of the rule")
    at = re.search(r"\bat\s+(?P<place>[0-9].*)", said)
    if at is not None and len(figures) > 1:
        found["at_yd"] = units.quantity(figures[1], "yd", what="The place of the rule")
    if re.search(r"target line|behind the targets?\b", said, re.IGNORECASE):
        found["counted_from"] = "target line"
    found["text"] = said or named["what"]
    return found


def holding(text: str) -> dict[str, Any]:
    """Who holds what from "A.B. with Ash, turn 1, arrows A1, A2"."""
    head, *parts = _NEXT.split(text.strip())
    person_, divider, bow = head.partition(" with ")
    if not divider:
        raise UnitRefusal(
            f"Who holds what was given as '{text[:60]}'. Type it as "
            '"A.B. with Ash, turn 1, arrows A1, A2".',
            code="reading-unreadable",
        )
    found: dict[str, Any] = {"person": person_.strip(), "bow": bow.strip(), "arrows": []}
    for part in filter(None, parts):
        word, _, rest = part.partition(" ")
        if word.casefold() == "turn" and rest.strip().isdigit():
            found["turn"] = int(rest)
        elif word.casefold() in ("arrows", "arrow") and rest:
            found["arrows"].append(rest.strip())
        else:
            found["arrows"].append(part)
    return found


def listed_name(text: str) -> str:
    """The name of a bow, a set or an arrow of the class."""
    return text.strip()


def register(group: typer.Typer) -> None:
    """The commands plan, swap, import and export, hung into the group of classes."""
    group.command("plan")(_plan)
    group.command("swap")(_swap)
    group.command("import")(_import)
    group.command("export")(_export)


_NAME = Annotated[str, typer.Argument(metavar="NAME", help="The class on record.")]
_KEEP = Annotated[
    bool, typer.Option("--keep", help="Write who holds what into the class; swaps start from it.")
]
_PICTURE = Annotated[
    Path | None, typer.Option("--picture", metavar="FILE.svg", help="Draw the plan.")
]


def _plan(
    name: _NAME,
    no_reserve: Annotated[
        bool, typer.Option("--no-reserve", help="Leave out what happens when two bows break.")
    ] = False,
    keep: _KEEP = False,
    picture: _PICTURE = None,
    workshop: WorkshopOption = None,
    as_json: JsonOption = False,
) -> None:
    """Give each person a bow within their strength and arrows of the length they need."""
    with open_workshop(workshop) as kept:
        record: Any = kept.get("class", name).record
        plan = _planned(kept, record, as_json, reserve=not no_reserve, keep_held=False)
        if keep:
            kept.change("class", record.name, held=plan.holdings)
    _tell(plan, picture, as_json, kept_=keep)


def _swap(
    name: _NAME,
    breaks: Annotated[
        list[str] | None, typer.Option("--breaks", metavar="BOW", help="A bow that broke.")
    ] = None,
    leaves: Annotated[
        list[str] | None, typer.Option("--leaves", metavar="PERSON", help="Who left.")
    ] = None,
    loses: Annotated[
        list[str] | None, typer.Option("--loses", metavar="ARROW", help="Lost or broken arrow.")
    ] = None,
    mended: Annotated[
        list[str] | None, typer.Option("--mended", metavar="BOW", help="A bow that is back.")
    ] = None,
    returns: Annotated[
        list[str] | None, typer.Option("--returns", metavar="PERSON", help="Who is back.")
    ] = None,
    keep: _KEEP = False,
    picture: _PICTURE = None,
    workshop: WorkshopOption = None,
    as_json: JsonOption = False,
) -> None:
    """After a bow broke or a person left: the plan that changes as little as can be."""
    from loosewell.workshop import classes

    with open_workshop(workshop) as kept:
        record: Any = kept.get("class", name).record
        if not record.held:
            raise MissingRefusal(
                f"No plan is kept for {record.name}, so nothing says who holds what. Make one "
                f"first: loosewell class plan '{record.name}' --keep.",
                code="class-no-plan",
            )
        after = classes.swap(
            record,
            bows_out=breaks or (),
            people_out=leaves or (),
            arrows_out=loses or (),
            bows_back=mended or (),
            people_back=returns or (),
        )
        plan = _planned(kept, after, as_json, reserve=False, keep_held=True)
        if keep:
            kept.change(
                "class",
                record.name,
                held=plan.holdings,
                people_out=after.people_out,
                bows_out=after.bows_out,
                arrows_out=after.arrows_out,
            )
    _tell(plan, picture, as_json, kept_=keep)


def _import(
    name: _NAME,
    table: Annotated[Path, typer.Argument(metavar="FILE.csv", help="The roster.")],
    workshop: WorkshopOption = None,
    as_json: JsonOption = False,
) -> None:
    """Take a roster in from a table (CSV); the class is made where it is not there yet.

    Columns: name, hand, draw (in), draw measured, draw method, draw error (in), draw date, child,
    experience, strength (lb), remarks. Of people already on the roster the new line holds.
    """
    from loosewell.errors import NotFoundRefusal
    from loosewell.faces.cli import show
    from loosewell.records import ClassRoster
    from loosewell.workshop.class_table import read_people

    people = read_people(table)
    with open_workshop(workshop, create=True) as kept:
        try:
            before: Any = kept.get("class", name).record
        except NotFoundRefusal:
            done = kept.add(ClassRoster(name=name, people=tuple(people)))
        else:
            new = {one.name.casefold() for one in people}
            old = [one for one in before.people if one.name.casefold() not in new]
            done = kept.change("class", before.name, people=(*old, *people))
    if as_json:
        print_json(show.kept_json("class", done))
        return
    count = "1 person" if len(people) == 1 else f"{len(people)} people"
    print(f"Took {count} from {table.name} into the class {done.record.name}.")


def _export(
    name: _NAME,
    table: Annotated[Path, typer.Argument(metavar="FILE.csv", help="The table to write.")],
    workshop: WorkshopOption = None,
    as_json: JsonOption = False,
) -> None:
    """Write the roster of a class to a new table (CSV) that import reads back."""
    from loosewell.workshop.class_table import write_people

    with open_workshop(workshop) as kept:
        record: Any = kept.get("class", name).record
    write_people(record.people, table)
    if as_json:
        print_json({"file": str(table), "people": len(record.people)})
        return
    print(f"Wrote {len(record.people)} people to {table}.")


def _planned(kept: Workshop, record: Any, as_json: bool, *, reserve: bool, keep_held: bool) -> Plan:
    from rich.console import Console
    from rich.progress import BarColumn, Progress, TextColumn, TimeElapsedColumn

    from loosewell.workshop import classes

    def of(kind: Any) -> list[Any]:
        return [one.record for one in kept.list(kind)]

    given = of("bow"), of("set"), of("shaft"), of("arrow"), kept.jigs()
    with Progress(
        TextColumn("{task.description:<20}"),
        BarColumn(),
        TimeElapsedColumn(),
        console=Console(stderr=True),
        transient=True,
        disable=as_json,
    ) as bar:
        task = bar.add_task("", total=1.0)
        return classes.plan(
            record,
            *given,
            reserve=reserve,
            keep_held=keep_held,
            progress=lambda word, part: bar.update(task, description=word, completed=part),
        )


def _tell(plan: Plan, picture: Path | None, as_json: bool, kept_: bool) -> None:
    if picture is not None:
        from loosewell.faces.cli.build import _write
        from loosewell.faces.drawing import classes as drawing
        from loosewell.faces.drawing import pen

        _write(picture, pen.resolved(drawing.plan(plan)))
    if as_json:
        import dataclasses

        plain = dataclasses.asdict(plan)
        plain["holdings"] = [one.model_dump(mode="json") for one in plan.holdings]
        print_json({**plain, "kept": kept_})
        return
    print("\n".join(plan_lines(plan)))
    if kept_:
        print(f"Kept: {plan.name} now says who holds what.")
    if picture is not None:
        print(f"Drew {picture}.")


def plan_lines(plan: Plan) -> list[str]:
    """A plan as lines of text, stops first."""
    lines = [f"Class {plan.name}, {plan.on}" + (" (invented)" if plan.invented else "")]
    for head, notices in (("STOP", plan.stops), ("Watch", plan.warnings)):
        lines += [f"{head}: {one.text}" for one in notices]
    if plan.changes:
        lines += ["", "What changes"] + [f"  {one}" for one in plan.changes]
    armed = sum(1 for one in plan.lines if one.arrows)
    lines += [
        "",
        (
            f"Who shoots what: {armed} with bow and {plan.arrows_each} arrows, "
            f"{len(plan.lines) - armed} with a bow and arrows to be made, "
            f"{sum(1 for one in plan.without if one.lacks == 'bow')} without a bow. "
            f"Turns at one bow: {plan.turns} ({plan.turns_reason})."
        ),
    ]
    for one in plan.lines:
        lines.append(
            f"  {one.person} ({one.hand} hand, true draw {_inches(one.true_draw_in)}): {one.bow}, "
            f"turn {one.turn}, {one.draw_weight_lb:.1f} ± {one.draw_weight_error_lb:g} lb at this "
            f"draw; holds {one.strength_lb:.1f} lb; bow drawn to "
            f"{_inches(one.drawn_to_limit_in)} at most."
        )
        if one.arrows:
            assert one.arrow_length_in is not None
            beyond = one.arrow_length_in - one.least_length_in
            lines.append(
                f"      {', '.join(one.arrows)} ({one.lot}): "
                f"{one.spine_low_26in_2lb_lb:.0f} to {one.spine_high_26in_2lb_lb:.0f} lb (26 in "
                f"span, 2 lb), {_inches(one.arrow_length_in)}, {beyond:.2f} in beyond the least; "
                f"about {one.clean_percent:.0f} of 100 shots clean, the best spine "
                f"{one.best_clean_percent:.0f}."
            )
    if plan.without:
        lines += ["", "Who has nothing, or no arrows, and why"]
        for gone in plan.without:
            lines.append(f"  {gone.person}, no {gone.lacks}: {gone.why}")
            lines.append(f"      Needs: {gone.needs}")
    if plan.orders or plan.bow_orders:
        lines += ["", "To make or buy"]
        lines += [f"  {one.text[0].upper()}{one.text[1:]}." for one in plan.orders]
        lines += [f"  {one}" for one in plan.bow_orders]
    if plan.bows_left:
        lines += ["", f"Bows left on the rack: {', '.join(plan.bows_left)}."]
    if plan.spares:
        lines += [
            "",
            (
                f"Spares ({plan.loss_percent:g} % of arrows lost or broken in the day: "
                f"{plan.loss_reason})"
            ),
        ]
        for lot in plan.spares:
            left = ", ".join(lot.spares) or "none left"
            short = f"; {lot.missing:g} missing" if lot.missing else ""
            lines.append(f"  {lot.lot}: {left}; expected loss {lot.expected_loss:g}{short}.")
    if plan.left_out:
        lines += ["", "Arrows left out"]
        reasons: dict[str, list[str]] = {}
        for name, why in plan.left_out:
            reasons.setdefault(why, []).append(name)
        lines += [f"  {', '.join(names)}: {why}." for why, names in reasons.items()]
    if plan.reserve is not None:
        lines += ["", "If two bows break", f"  {plan.reserve.text}"]
        lines += [f"  {one}" for one in plan.reserve.changes]
    lines += ["", f"How it was chosen. {plan.objective}", plan.proof]
    lines += [f"  {one.wish}: {one.value:g}" for one in plan.wishes]
    lines += ["", *(one.text for one in plan.cautions)]
    return lines


def _inches(value: float) -> str:
    twin, unit = units.metric(value, "in")
    return f"{value:.2f} in ({twin:.0f} {unit})"


def without(record: Any, already: dict[str, Any], name: str) -> dict[str, Any] | None:
    """The class without one thing named after its word, "person A.B."; None for another word."""
    word, _, rest = name.strip().lstrip("-").partition(" ")
    fields = {"person": "people", "bow": "bows", "set": "sets", "arrow": "arrows"}
    field = fields.get(word.casefold())
    if field is None or not rest.strip():
        return None
    some: Sequence[Any] = already.get(field, getattr(record, field))

    def called(one: Any) -> str:
        return str(getattr(one, "name", one)).casefold()

    left = tuple(one for one in some if called(one) != rest.strip().casefold())
    if len(left) == len(some):
        known = ", ".join(str(getattr(one, "name", one)) for one in some) or "none"
        raise MissingRefusal(
            f"The class {record.name} has no {word} called '{rest[:40]}'. There are: {known}.",
            code="unknown-member",
        )
    return {field: left}
