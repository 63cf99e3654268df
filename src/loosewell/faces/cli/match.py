"""``loosewell match``: which shafts fit this bow and this archer, and what they will do."""

from __future__ import annotations

import sys
import time
from pathlib import Path
from types import TracebackType
from typing import TYPE_CHECKING, Annotated

import typer

from loosewell.faces.cli.common import JsonOption, WorkshopOption, print_json

if TYPE_CHECKING:
    from rich.console import Console
    from rich.progress import Progress

    from loosewell.workshop.answer import MatchAnswer

# Shorter waits show nothing: a bar that flashes up tells nobody anything.
_PATIENCE_S = 0.8


class Waiting:
    """A progress bar on standard error for work that takes longer than a moment.

    Call it with a stage in words and the share done. Where standard error is no
    screen, each stage is one plain line.
    """

    def __init__(self) -> None:
        self._began = time.monotonic()
        self._bar: Progress | None = None
        self._task: int | None = None
        self._stage = ""

    def __enter__(self) -> Waiting:
        return self

    def __exit__(
        self,
        kind: type[BaseException] | None,
        error: BaseException | None,
        trace: TracebackType | None,
    ) -> None:
        if self._bar is not None:
            self._bar.stop()

    def __call__(self, stage: str, share: float) -> None:
        """Take note of the stage and the share done."""
        from loosewell.faces import wording

        stage = wording.stage(stage)
        if time.monotonic() - self._began < _PATIENCE_S:
            return
        if not sys.stderr.isatty():
            if stage != self._stage:
                print(f"{stage} ...", file=sys.stderr, flush=True)
            self._stage = stage
            return
        if self._bar is None:
            from rich.console import Console
            from rich.progress import BarColumn, Progress, TaskProgressColumn, TextColumn

            self._bar = Progress(
                TextColumn("{task.description}"),
                BarColumn(),
                TaskProgressColumn(),
                console=Console(stderr=True),
                transient=True,
            )
            self._task = self._bar.add_task(stage, total=1.0)
            self._bar.start()
        assert self._task is not None
        # Escaped: a stage may carry a record's own name.
        from rich.markup import escape
        from rich.progress import TaskID

        self._bar.update(TaskID(self._task), description=escape(stage), completed=share)


def print_match(answer: MatchAnswer, console: Console, full: bool = False) -> None:
    """An answer as text for people: hard stops, the range, what to do next, then the reasons.

    Parameters
    ----------
    answer : MatchAnswer
        The answer. [trade units]
    console : rich.console.Console
        Where to print; from 72 columns on nothing is cut. [object]
    full : bool
        Whether definitions, each rule's statement, every shaft's note and every input are
        printed as well. [1]
    """
    from rich.text import Text

    from loosewell.faces import wording

    console.print()
    console.print(Text(wording.heading(answer), style="bold"))
    console.print(Text(wording.setting(answer)))
    if answer.weather and answer.pictures:
        console.print(Text(answer.weather))
    _print_notices(answer, console)
    _print_spine(answer, console, full)
    if answer.next_step:
        _heading(console, "Next step")
        console.print(Text(answer.next_step))
    _print_chosen(answer, console)
    _print_launches(answer, console)
    if full:
        _print_whole_rack(answer, console)
    else:
        _print_rack(answer, console)
    _print_rules(answer, console, full)
    _print_inputs(answer, console, full)
    if answer.cautions:
        _heading(console, "Before you shoot")
        _bullets([caution.text for caution in answer.cautions], console)
    console.print()
    console.print(
        Text(
            "A spine answer is no fitness answer. Follow the bow maker's word, your local rules "
            "and a qualified instructor first.",
            style="italic",
        )
    )
    if not full:
        console.print(
            Text("More with --full (definitions, rules in words, every shaft), --out DIR, --json.")
        )


def _heading(console: Console, words: str) -> None:
    from rich.text import Text

    console.print()
    console.print(Text(words, style="bold underline"))


def _bullets(lines: list[str], console: Console) -> None:
    from rich.table import Table
    from rich.text import Text

    table = Table.grid(padding=(0, 1))
    for line in lines:
        table.add_row(Text("-"), Text(line))
    console.print(table)


def _print_notices(answer: MatchAnswer, console: Console) -> None:
    from rich.box import HEAVY, SQUARE
    from rich.panel import Panel
    from rich.text import Text

    console.print()
    if answer.stops:
        text = Text("\n\n".join(stop.text for stop in answer.stops), style="bold")
        console.print(Panel(text, title="STOP", box=HEAVY, border_style="red", padding=(0, 1)))
    else:
        console.print(
            Text(
                "No hard stop in what was entered. That does not replace looking every shaft, "
                "nock, string and limb over."
            )
        )
    if answer.warnings:
        text = Text("\n\n".join(warning.text for warning in answer.warnings))
        console.print(
            Panel(text, title="Warning", box=SQUARE, border_style="yellow", padding=(0, 1))
        )


def _pairs(rows: list[tuple[str, str]], console: Console) -> None:
    from rich.table import Table
    from rich.text import Text

    table = Table.grid(padding=(0, 2))
    table.add_column(max_width=30, min_width=14)
    table.add_column(overflow="fold")
    for name, value in rows:
        table.add_row(Text(name), Text(value))
    console.print(table)


def _print_spine(answer: MatchAnswer, console: Console, full: bool) -> None:
    from rich.text import Text

    from loosewell.faces import wording

    _heading(console, "Which spine")
    range_ = answer.spine_range_lb
    if range_ is not None and not wording.open_range(answer):
        console.print(Text(wording.spine_range(range_.low, range_.high), style="bold"))
    if answer.spine_range_text and not wording.repeats_range(answer):
        console.print(Text(answer.spine_range_text))
    elif range_ is not None:
        console.print(Text(f"Look first near {wording.spine(range_.middle)}."))
    rows = []
    weight = answer.draw_weight_lb
    draw = answer.true_draw_in
    if draw is not None:
        rows.append(("True draw", _with_reason(wording.length_band(draw), draw.reason, full)))
    rows.append(
        (
            "Draw weight at this draw",
            "not known"
            if weight is None
            else _with_reason(wording.draw_weight(weight), weight.reason, full),
        )
    )
    if answer.best_share_percent is not None:
        best = wording.percent(answer.best_share_percent)
        if range_ is not None:
            best += f"; inside the range at least {wording.percent(answer.share_stated_percent)}"
        rows.append(("Clean shots at best", best))
    if full and answer.spine_range_definition:
        rows.append(("The range is", answer.spine_range_definition))
    if answer.clean_definition:
        rows.append(("A clean shot", answer.clean_definition))
    if wording.forgiveness(answer):
        rows.append(("Forgiveness", wording.forgiveness(answer)))
    if answer.narrow_next:
        rows.append(("Narrow it next", answer.narrow_next))
    _pairs(rows, console)


def _with_reason(text: str, reason: str, full: bool) -> str:
    return f"{text}; {reason}" if full and reason else text


def _print_inputs(answer: MatchAnswer, console: Console, full: bool) -> None:
    from rich.table import Table
    from rich.text import Text

    from loosewell.faces import wording

    shown = wording.wideners(answer, 0.0 if full else 1.0)
    if not shown:
        return
    _heading(console, "What widens the range")
    table = Table(box=None, pad_edge=False, padding=(0, 2, 0, 0))
    table.add_column("Width", justify="right", no_wrap=True)
    table.add_column("Input", overflow="fold")
    table.add_column("Value", overflow="fold")
    table.add_column("Error", overflow="fold")
    if full:
        table.add_column("How to measure it", overflow="fold")
    for item in shown:
        cells = [
            wording.percent(item.share_of_width_percent),
            item.name + (" (assumed)" if item.assumed else ""),
            item.value,
            item.error,
        ]
        if full:
            cells.append(item.how_to_measure)
        table.add_row(*(Text(cell) for cell in cells))
    console.print(table)
    rest = len(answer.inputs) - len(shown)
    if rest:
        assumed = [i.name for i in answer.inputs if i.assumed and i not in shown]
        words = f"{rest} more inputs cause under 1 % each"
        words += f"; assumed among them: {', '.join(assumed).lower()}." if assumed else "."
        console.print(Text(words))


def _print_rules(answer: MatchAnswer, console: Console, full: bool) -> None:
    from rich.table import Table
    from rich.text import Text

    from loosewell.faces import wording
    from loosewell.workshop.answer import Band

    if not answer.rules:
        return
    _heading(console, f"Rules of thumb side by side, lb ({wording.WOOD_STANDARD})")
    table = Table(box=None, pad_edge=False, padding=(0, 2, 0, 0))
    table.add_column("Rule", overflow="fold", max_width=None if full else 24)
    table.add_column("lb", no_wrap=True)
    table.add_column("Starts from", overflow="fold")

    def row(name: Text, low: float, middle: float, high: float, zero: str) -> None:
        told = wording.band(Band(middle, low, high), "", 0)
        table.add_row(name, Text(told), Text(zero))

    if answer.spine_range_lb is not None:
        range_ = answer.spine_range_lb
        name = Text("Engine, for this pair", style="bold")
        row(name, range_.low, range_.middle, range_.high, "your readings")
    for rule in answer.rules:
        name = Text(rule.name)
        if full:
            name.append(f". {rule.statement} {rule.note}".rstrip())
        row(name, rule.spine_low_lb, rule.spine_lb, rule.spine_high_lb, rule.zero_point)
    console.print(table)
    console.print(Text(wording.rules_verdict(answer)))


def _print_rack(answer: MatchAnswer, console: Console) -> None:
    """Shafts that fit and near misses with their change as rows, all others by name."""
    from rich.table import Table
    from rich.text import Text

    from loosewell.faces import wording

    _heading(console, f"The rack, spine in lb ({wording.WOOD_STANDARD})")
    if not answer.rack:
        console.print(Text("No shaft is on the rack yet. Add the ones you have measured."))
        return
    rows = wording.rack_order(answer.rack)
    near = ("acts weak", "acts stiff")
    worth = [r for r in rows if r.acts == "fits" or (r.acts in near and r.change is not None)]
    if worth:
        table = Table(box=None, pad_edge=False, padding=(0, 2, 0, 0))
        table.add_column("Shaft", overflow="fold")
        table.add_column("Chance", justify="right", no_wrap=True)
        table.add_column("Spine", no_wrap=True)
        table.add_column("gr", justify="right", no_wrap=True)
        table.add_column("Material and note", overflow="fold")
        for acts in ("fits", *near):
            group = [row for row in worth if row.acts == acts]
            if group and acts != "fits":
                title = f"{acts.capitalize()}; with the cheapest change:"
                table.add_row("", "", "", "", Text(title, style="bold"))
            for row in group:
                spine = row.spine_26in_2lb_lb
                chance = row.chance_percent
                said = (row.material, wording.change_in_short(row), row.note)
                table.add_row(
                    Text(row.shaft, style="bold" if row.acts == "fits" else ""),
                    Text("-" if chance is None else wording.percent(chance)),
                    Text("-" if spine is None else wording.band(spine, "", 0)),
                    Text("-" if row.weight_gr is None else wording.number(row.weight_gr, 0)),
                    Text(" ".join(part for part in map(wording.sentence, said) if part)),
                )
        console.print(table)
    else:
        console.print(Text("No shaft fits, and no cut or point change brings one near."))
    for acts in (*near, "not inspected", "not measured", "too short", "unfit"):
        names = []
        for row in rows:
            if row.acts == acts and row not in worth:
                chance, would = row.chance_percent, row.would_chance_percent
                shown = "" if chance is None else f" ({wording.percent(chance)})"
                shown = shown if would is None else f" (would be {wording.percent(would)})"
                names.append(row.shaft + shown + wording.by_its_wood(row))
        if names:
            words = wording.ACTS_IN_WORDS[acts].replace(": ", ", ")
            if acts == "not inspected":
                words += " until looked over (loosewell inspect NAME)"
            style = "red" if acts in ("too short", "unfit") else ""
            console.print(
                Text.assemble((words[0].upper() + words[1:], style or "bold"), ": ")
                + Text(", ".join(names) + ".")
            )


def _print_whole_rack(answer: MatchAnswer, console: Console) -> None:
    from rich.table import Table
    from rich.text import Text

    from loosewell.faces import wording

    _heading(console, "The rack")
    if not answer.rack:
        console.print(Text("No shaft is on the rack yet. Add the ones you have measured."))
        return
    console.print(
        Text(f"Spine: lb ({wording.WOOD_STANDARD}). Deflection: in ({wording.LATER_STANDARD}).")
    )
    table = Table(box=None, pad_edge=False, padding=(0, 2, 0, 0))
    table.add_column("Shaft", no_wrap=True)
    table.add_column("Chance", justify="right", no_wrap=True)
    table.add_column("Acts", no_wrap=True)
    table.add_column("Spine lb", no_wrap=True)
    table.add_column("Defl. in", justify="right", no_wrap=True)
    table.add_column("gr", justify="right", no_wrap=True)
    table.add_column("Material", overflow="fold")
    styles = {"fits": "bold", "unfit": "red", "too short": "red"}
    rows = wording.rack_order(answer.rack)
    for row in rows:
        spine = row.spine_26in_2lb_lb
        deflection = row.deflection_28in_1_94lb_in
        chance = row.chance_percent
        table.add_row(
            Text(row.shaft, style=styles.get(row.acts, "")),
            Text("-" if chance is None else wording.percent(chance)),
            Text(row.acts, style=styles.get(row.acts, "")),
            Text("-" if spine is None else wording.band(spine, "", 0)),
            Text("-" if deflection is None else wording.number(deflection, 3)),
            Text("-" if row.weight_gr is None else wording.number(row.weight_gr, 0)),
            Text(row.material),
        )
    console.print(table)
    said = []
    for row in rows:
        parts = [
            part
            for part in (
                wording.change_sentence(row),
                wording.sentence(row.note),
                wording.would_sentence(row),
            )
            if part
        ]
        if parts:
            said.append(f"{row.shaft}: {' '.join(parts)}")
    if said:
        console.print()
        _bullets(said, console)


def _print_launches(answer: MatchAnswer, console: Console) -> None:
    from rich.padding import Padding
    from rich.text import Text

    from loosewell.faces import wording

    if not answer.pictures:
        return
    _heading(console, "Passing the bow and standing in the butt")
    console.print(Text(wording.SEEN_FROM))
    for picture in answer.pictures:
        name = picture.label[0].upper() + picture.label[1:]
        console.print(Text(f"{name}: {wording.spine(picture.spine_26in_2lb_lb)}", style="bold"))
        words = Text(
            f"{wording.bow_meeting(picture)}; {wording.shots_like_it(picture)} "
            f"{wording.nock_stands(picture)} {wording.lands(picture)} "
            f"{wording.straightens(picture)} {wording.traces(picture)}"
        )
        console.print(Padding(words, (0, 0, 0, 2)))


def _print_chosen(answer: MatchAnswer, console: Console) -> None:
    from rich.text import Text

    from loosewell.faces import wording

    _heading(console, "The arrow to build first")
    rows = wording.chosen_rows(answer)
    if rows:
        _pairs(rows, console)
    else:
        console.print(Text("No shaft on the rack is advised for this bow and archer."))


def register(app: typer.Typer) -> None:
    """The command ``match`` on the command line given."""

    @app.command("match")
    def match(
        bow: Annotated[str, typer.Option("--bow", metavar="NAME", help="Name of the bow.")],
        archer: Annotated[
            str, typer.Option("--archer", metavar="NAME", help="Name of the archer.")
        ],
        purpose: Annotated[str, typer.Option(help="What the arrow is for.")] = "target",
        distance: Annotated[
            str | None,
            typer.Option(help='Shooting distance, such as "20 yd"; else the purpose\'s own.'),
        ] = None,
        point: Annotated[
            str | None, typer.Option(help='Point weight with its unit, such as "125 gr".')
        ] = None,
        length: Annotated[
            str | None,
            typer.Option(help='Arrow length, nock throat to back of point, such as "28 1/2 in".'),
        ] = None,
        temperature: Annotated[
            str | None, typer.Option(help='Of the air, such as "60 F" or "15 C".')
        ] = None,
        altitude: Annotated[
            str | None, typer.Option(help='Of the place above the sea, such as "500 ft".')
        ] = None,
        wind: Annotated[
            str | None,
            typer.Option(help='Across the line of aim and to which side, such as "5 mph left".'),
        ] = None,
        full: Annotated[
            bool, typer.Option("--full", help="Print definitions, every rule, shaft and input.")
        ] = False,
        as_json: JsonOption = False,
        out: Annotated[
            Path | None,
            typer.Option("--out", metavar="DIR", help="Folder for report.html, SVG and PNG."),
        ] = None,
        workshop: WorkshopOption = None,
    ) -> None:
        """Match shafts to a bow and an archer: stops, spine range, rules, rack, arrow."""
        from loosewell.faces import asking
        from loosewell.workshop import ask

        question = asking.question(
            {
                "bow": bow,
                "archer": archer,
                "purpose": purpose,
                "distance": distance,
                "point": point,
                "length": length,
                "temperature": temperature,
                "altitude": altitude,
                "wind": wind,
            }
        )
        with Waiting() as waiting:
            answer = ask.answer(ask.gather(workshop, question), waiting)
            written = []
            if out is not None:
                from loosewell.faces import report

                waiting("Drawing", 1.0)
                written = report.write(answer, out)
        if as_json:
            from loosewell.faces import wording

            print_json(wording.as_json(answer))
        else:
            from rich.console import Console

            print_match(answer, Console(highlight=False), full)
        for file in written:
            print(f"Wrote {file}", file=sys.stderr)
