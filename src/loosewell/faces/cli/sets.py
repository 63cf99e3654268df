"""``loosewell sets``: which shafts of the rack belong together, for whom, and what of the rest."""

from __future__ import annotations

import datetime
import sys
from collections.abc import Sequence
from pathlib import Path
from typing import TYPE_CHECKING, Annotated, Any

import typer

from loosewell.faces.cli.common import JsonOption, WorkshopOption, open_workshop, print_json

if TYPE_CHECKING:
    from rich.console import Console

    from loosewell.workshop.keep import Kind, Workshop
    from loosewell.workshop.sets import ChosenSet, SetsAnswer, Want


def register(app: typer.Typer) -> None:
    """The command sets, hung into the app."""
    app.command("sets")(sets)


def sets(
    wanted: Annotated[
        list[str] | None,
        typer.Option(
            "--for",
            metavar="TEXT",
            help='For whom: "BOW, ARCHER" or "BOW, ARCHER, PURPOSE". May be given again; the '
            "rack is then shared out among them.",
        ),
    ] = None,
    size: Annotated[int, typer.Option("--size", metavar="N", help="Arrows in a set.")] = 6,
    per_bow: Annotated[int, typer.Option("--per-bow", metavar="N", help="Sets for each bow.")] = 1,
    point: Annotated[
        str | None, typer.Option("--point", metavar="GR", help='Mass of the points, "125 gr".')
    ] = None,
    length: Annotated[
        str | None,
        typer.Option("--length", metavar="IN", help="Nock throat to the back of the point."),
    ] = None,
    distance: Annotated[
        str | None, typer.Option("--distance", metavar="YD", help='To the butt, "20 yd".')
    ] = None,
    time_limit: Annotated[
        float,
        typer.Option(
            "--time-limit",
            metavar="S",
            help="Seconds for the choice; after them the best so far is given, and says so.",
        ),
    ] = 60.0,
    save: Annotated[
        str | None,
        typer.Option("--save", metavar="CODE", help="Keep the sets under this code, with marks."),
    ] = None,
    csv: Annotated[
        Path | None,
        typer.Option("--csv", metavar="FILE.csv", help="Write the sets to this new file."),
    ] = None,
    picture: Annotated[
        Path | None,
        typer.Option("--picture", metavar="FILE.svg", help="Draw spine against mass to this file."),
    ] = None,
    workshop: WorkshopOption = None,
    as_json: JsonOption = False,
) -> None:
    """Sort the rack into sets that hit alike, for one or more bows, with a use for the rest."""
    from loosewell import units
    from loosewell.errors import BoundRefusal
    from loosewell.faces.cli.match import Waiting
    from loosewell.workshop import sets as making

    if not 0.5 <= time_limit <= 3600.0:
        raise BoundRefusal(
            f"A time limit of {time_limit:g} s is outside 0.5 to 3600 s.", code="sets-time-limit"
        )
    for path in (csv, picture):
        _is_new(path)
    asked: dict[str, Any] = {
        "point_weight_gr": (point, "gr", "Point weight"),
        "length_in": (length, "in", "Arrow length"),
        "distance_yd": (distance, "yd", "Distance"),
    }
    wish: dict[str, Any] = {
        key: None if typed is None else units.quantity(typed, unit, what=what)
        for key, (typed, unit, what) in asked.items()
    }
    with open_workshop(workshop) as kept, Waiting() as waiting:
        wants = [_want(kept, one) for one in wanted or ()]
        shafts: list[Any] = [one.record for one in kept.list("shaft")]
        arrows: list[Any] = [one.record for one in kept.list("arrow")]
        in_use: list[Any] = [one.record for one in kept.list("set")]
        gone: list[Any] = [one.record for one in kept.list("set", retired=True)]
        answer = making.choose(
            wants,
            shafts,
            size=size,
            per_bow=per_bow,
            arrows=arrows,
            jigs=kept.jigs(),
            taken={m.shaft: one.name for one in in_use for m in one.members},
            codes=[one.name for one in (*in_use, *gone)],
            code=save,
            seconds=time_limit,
            progress=waiting,
            **wish,
        )
        if save is not None:
            today = datetime.datetime.now(datetime.UTC).astimezone().date()
            kept.add_all(making.records(answer, today))
    if picture is not None:
        from loosewell.faces.drawing import resolved
        from loosewell.faces.drawing.sets import sets_chart

        weights = {one.name: one.weight_gr for one in shafts if one.weight_gr is not None}
        _write(picture, resolved(sets_chart(answer, weights).svg()))
    if csv is not None:
        _write(csv, table(answer))
    if as_json:
        print_json(as_plain(answer))
    else:
        from rich.console import Console

        print_sets(answer, Console(highlight=False), save is not None)


def _want(kept: Workshop, typed: str) -> Want:
    """Bow, archer and purpose from "BOW, ARCHER" or "BOW, ARCHER, PURPOSE"."""
    from loosewell.errors import MissingRefusal, NotFoundRefusal
    from loosewell.workshop.sets import Want
    from loosewell.workshop.wish import PURPOSES

    parts = [" ".join(part.split()) for part in typed.split(",")]
    purpose = "target"
    if len(parts) > 2 and parts[-1].casefold() in PURPOSES:
        purpose = parts.pop().casefold()
    if len(parts) < 2 or not all(parts):
        raise MissingRefusal(
            f"For whom was given as '{typed[:60]}'. Name the bow and the archer with a comma "
            'between, such as --for "Alder, Fern", and the purpose behind another: '
            f"{', '.join(PURPOSES)}.",
            code="sets-for",
        )
    # A name may hold a comma of its own: the first split that names two records is meant.
    for cut in range(1, len(parts)):
        bow, archer = ", ".join(parts[:cut]), ", ".join(parts[cut:])
        try:
            return Want(_record(kept, "bow", bow), _record(kept, "archer", archer), purpose)
        except NotFoundRefusal:
            if len(parts) == 2:
                raise
    # No split names two records: the third word was meant as a purpose, and is judged as one.
    bow, archer = parts[0], parts[1]
    return Want(_record(kept, "bow", bow), _record(kept, "archer", archer), parts[-1])


def _record(kept: Workshop, kind: Kind, name: str) -> Any:
    from loosewell.errors import ContradictionRefusal

    found = kept.get(kind, name)
    if found.retired:
        raise ContradictionRefusal(
            f"The {kind} {found.record.name} is retired. Restore it first, or choose another "
            f"{kind}.",
            code="retired",
        )
    return found.record


def _is_new(path: Path | None) -> None:
    """A refusal before the work when the file to be written is there already."""
    from loosewell.errors import FileRefusal

    if path is not None and path.exists():
        raise FileRefusal(
            f"The file {path} is there already and is not written over. Name a new one.",
            code="file-exists",
        )


def _write(path: Path, text: str) -> None:
    from loosewell.errors import FileRefusal

    try:
        with path.open("x", encoding="utf-8", newline="") as file:
            file.write(text)
    except OSError as error:
        reason = (error.strerror or str(error)).lower()
        raise FileRefusal(f"The file {path} cannot be written: {reason}.", code="file") from None
    print(f"Wrote {path}", file=sys.stderr)


def as_plain(answer: SetsAnswer) -> dict[str, Any]:
    """The answer as plain values for JSON, floats rounded to what they are worth."""
    import dataclasses

    def rounded(value: Any) -> Any:
        if isinstance(value, dict):
            return {key: rounded(one) for key, one in value.items()}
        if isinstance(value, (list, tuple)):
            return [rounded(one) for one in value]
        return round(value, 4) if isinstance(value, float) else value

    plain = rounded(dataclasses.asdict(answer))
    assert isinstance(plain, dict)
    return plain


def table(answer: SetsAnswer) -> str:
    """The sets and what is left over as a table of text, units in its first line."""
    import csv
    import io

    out = io.StringIO()
    writer = csv.writer(out)
    writer.writerow(
        [
            "set", "bow", "archer", "purpose", "shaft", "spine 26 in span 2 lb (lb)",
            "spine error (lb)", "deflection 28 in span 1.94 lb (in)", "arrow weight (gr)",
            "hit left of the set (in)", "hit high of the set (in)", "hit error (in)",
            "clean shots (percent)", "nock angle (deg)", "mark", "use",
        ]
    )  # fmt: skip
    for one in answer.sets:
        for m in one.members:
            angle = "" if m.nock_angle_deg is None else f"{m.nock_angle_deg:.0f}"
            writer.writerow(
                [
                    one.code, one.bow, one.archer, one.purpose, m.shaft,
                    f"{m.spine_26in_2lb_lb:.2f}", f"{m.spine_error_lb:.2f}",
                    f"{m.deflection_28in_1_94lb_in:.4f}", f"{m.arrow_weight_gr:.1f}",
                    f"{m.hit_left_in:.2f}", f"{m.hit_high_in:.2f}", f"{m.hit_error_in:.2f}",
                    f"{m.chance_percent:.0f}", angle, m.stiff_side_mark, "in the set",
                ]
            )  # fmt: skip
    for row in answer.leftovers:
        spine = "" if row.spine_26in_2lb_lb is None else f"{row.spine_26in_2lb_lb:.2f}"
        writer.writerow(
            [
                "",
                "",
                "",
                "",
                row.shaft,
                spine,
                *[""] * 9,
                f"{row.use}: {row.text} {row.where}".strip(),
            ]
        )
    return out.getvalue()


def print_sets(answer: SetsAnswer, console: Console, kept: bool) -> None:
    """An answer as text for people: stops, the sets, what small differences move, the rest."""
    from rich.text import Text

    def say(text: str, style: str = "") -> None:
        console.print(Text(text, style=style))

    for stop in answer.stops:
        say(f"STOP. {stop.text}", "bold red")
    if answer.invented:
        say("Invented records: to try things on, measured by nobody.", "italic")
    if answer.warnings:
        _head(console, "First")
        _bullets(console, [one.text for one in answer.warnings])
    for one in answer.sets:
        _print_set(one, console)
    for text in answer.unfilled:
        console.print()
        say(text, "bold")
    _head(console, "What a small difference moves at the target")
    _bullets(console, [one.text for one in answer.moves])
    _print_leftovers(answer, console)
    _head(console, "How it was chosen")
    say(answer.objective)
    say(answer.proof, "" if answer.proven else "bold")
    worst = max(one.surface_error_in for one in answer.moves)
    say(
        f"Hits are read off a surface over stiffness and mass, held against shots between its "
        f"nodes: {worst:.2f} in off (root mean square). They are differences between arrows, not "
        "a promise of where one lands."
    )
    if answer.cautions:
        _head(console, "Before you shoot")
        _bullets(console, [one.text for one in answer.cautions])
    console.print()
    if kept:
        codes = ", ".join(one.code for one in answer.sets)
        say(f"Kept as {codes}. See them with: loosewell set show '{answer.sets[0].code}'.")
    else:
        say("Nothing was kept. Keep the sets with --save CODE; more with --csv, --picture, --json.")
    say("A set is no fitness answer: inspect every shaft by hand before each shoot.", "italic")


def _head(console: Console, words: str) -> None:
    from rich.text import Text

    console.print()
    console.print(Text(words, style="bold underline"))


def _bullets(console: Console, lines: Sequence[str]) -> None:
    from rich.table import Table
    from rich.text import Text

    grid = Table.grid(padding=(0, 1, 0, 0))
    grid.add_column(no_wrap=True)
    grid.add_column(overflow="fold")
    for line in lines:
        grid.add_row("-", Text(line))
    console.print(grid)


def _side(value: float, plus: str, minus: str) -> str:
    if abs(value) < 0.05:
        return "0"
    return f"{abs(value):.1f} {plus if value > 0.0 else minus}"


def _print_set(one: ChosenSet, console: Console) -> None:
    from rich.table import Table
    from rich.text import Text

    purpose = "" if one.purpose == "target" else f", {one.purpose}"
    _head(console, f"Set {one.code}: {one.bow} with {one.archer}{purpose}")
    console.print(
        Text(
            f"{len(one.members)} arrows, {one.length_in:g} in from nock throat to back of point, "
            f"point {one.point_weight_gr:g} gr. Hits in inches from the middle of the set, seen "
            "from behind."
        )
    )
    rows = Table(box=None, pad_edge=False, padding=(0, 2, 0, 0))
    rows.add_column("Shaft", overflow="fold")
    for word in ("Spine lb", "Arrow gr", "Left/right", "High/low", "Clean"):
        rows.add_column(word, justify="right", no_wrap=True)
    rows.add_column("Mark", overflow="fold")
    for m in one.members:
        mark = "; ".join(filter(None, [m.stiff_side_mark, m.notes]))
        rows.add_row(
            Text(m.shaft, style="bold"),
            f"{m.spine_26in_2lb_lb:.1f} ± {m.spine_error_lb:.1f}",
            f"{m.arrow_weight_gr:.0f}",
            _side(m.hit_left_in, "left", "right"),
            _side(m.hit_high_in, "high", "low"),
            f"{m.chance_percent:.0f} %",
            Text(mark),
        )
    console.print(rows)
    s = one.spread
    console.print(
        Text(
            f"Spread: {s.spine_lb:.1f} lb (26 in span, 2 lb), {s.weight_gr:.0f} gr; at the target "
            f"{s.hit_left_in:.1f} in left to right and {s.hit_high_in:.1f} in high to low. With "
            f"the errors of the readings truly {s.true_spine_lb.low:.1f} to "
            f"{s.true_spine_lb.high:.1f} lb, {s.true_hit_left_in.low:.1f} to "
            f"{s.true_hit_left_in.high:.1f} in and {s.true_hit_high_in.low:.1f} to "
            f"{s.true_hit_high_in.high:.1f} in (8 of 10 draws)."
        )
    )
    for text in one.said:
        console.print(Text(text))


def _print_leftovers(answer: SetsAnswer, console: Console) -> None:
    from rich.text import Text

    if not answer.leftovers:
        return
    _head(console, "Left over")
    groups: dict[tuple[str, str], list[str]] = {}
    for row in answer.leftovers:
        name = f"{row.shaft} ({row.where})" if row.where else row.shaft
        groups.setdefault((row.use, row.text), []).append(name)
    for (use, text), names in sorted(groups.items(), key=lambda pair: pair[0]):
        console.print(
            Text.assemble((f"{use[0].upper()}{use[1:]}: ", "bold"), f"{', '.join(names)}. {text}")
        )
