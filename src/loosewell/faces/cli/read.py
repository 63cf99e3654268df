"""``loosewell read`` and ``loosewell learned``: what lies behind an outing, and what it taught."""

from __future__ import annotations

import sys
from pathlib import Path
from typing import TYPE_CHECKING, Annotated, Any

import typer

from loosewell.faces.cli.common import (
    JsonOption,
    WorkshopOption,
    open_workshop,
    print_json,
    svg_name,
    write_picture,
)
from loosewell.faces.cli.match import Waiting

if TYPE_CHECKING:
    from rich.console import Console

    from loosewell.workshop.keep import Answered
    from loosewell.workshop.reading.answer import ReadAnswer

_BAR = 24
_SHOWN_PERCENT = 2.0
_LEAST_WIDTH, _MOST_WIDTH = 72, 100


def register(app: typer.Typer) -> None:
    """The commands read and learned, hung into the app."""
    app.command("read")(read)
    app.command("learned")(learned)


def read(
    outing: Annotated[str, typer.Argument(metavar="OUTING", help="Its name.")],
    again: Annotated[
        int | None,
        typer.Option(
            "--again", metavar="N", help="Show answer N as it was given, without reckoning."
        ),
    ] = None,
    listed: Annotated[
        bool, typer.Option("--list", help="List the answers it had, the oldest first.")
    ] = False,
    replay: Annotated[
        int | None,
        typer.Option(
            "--replay",
            metavar="N",
            help="Reckon answer N again from the records as they stood, and say whether it is "
            "the same. Nothing is kept.",
        ),
    ] = None,
    picture: Annotated[
        Path | None,
        typer.Option("--picture", metavar="FILE.svg", help="Write the picture to this file."),
    ] = None,
    seed: Annotated[
        int | None, typer.Option("--seed", help="Of the samples; the same gives the same answer.")
    ] = None,
    workshop: WorkshopOption = None,
    as_json: JsonOption = False,
) -> None:
    """Say what lies behind the shots of an outing, how sure that is, and the one next step."""
    from loosewell.errors import BoundRefusal
    from loosewell.workshop.reading import read as reading
    from loosewell.workshop.reading.answer import SEED

    if (again is not None) + (replay is not None) + listed > 1:
        raise BoundRefusal(
            "Of --again, --replay and --list only one can be asked at a time.", code="one-of"
        )
    if picture is not None:
        svg_name(picture)
    note = ""
    with open_workshop(workshop) as kept:
        if listed:
            _list(kept.get("outing", outing).record.name, kept.answers(outing), as_json)
            return
        if again is not None:
            answer, answered = reading.again(kept, outing, again)
            note = f"As answered on {answered.at:%Y-%m-%d %H:%M} UTC by {answered.engine}."
        elif replay is not None:
            with Waiting() as tell:
                answer, apart = reading.replayed(kept, outing, replay, tell)
            note = (
                f"Answer {replay} reckoned again from the records as they stood: the same."
                if not apart
                else f"Answer {replay} reckoned again comes out otherwise now, in: "
                f"{', '.join(apart).replace('_', ' ')}. The engine changed since. The old answer "
                "stays as it was given."
            )
        else:
            with Waiting() as tell:
                answer, answered = reading.read_and_keep(kept, outing, seed or SEED, tell)
            note = f"Kept as answer {len(kept.answers(outing))} to {answer.outing}."
    if picture is not None:
        _picture(answer, picture)
    if as_json:
        plain = answer.plain()
        plain.pop("replay")
        print_json({**plain, "note": note})
        return
    from rich.console import Console

    console = Console(highlight=False, soft_wrap=False)
    console.width = min(max(console.width, _LEAST_WIDTH), _MOST_WIDTH)
    print_answer(answer, console)
    console.print()
    _say(console, note)


def _picture(answer: ReadAnswer, path: Path) -> None:
    from loosewell.faces.drawing.reading import reading_sheet

    if answer.picture is None:
        print("No picture: after a stop nothing was reckoned.", file=sys.stderr)
        return
    write_picture(path, reading_sheet(answer.picture).svg())
    print(f"Wrote {path}", file=sys.stderr)


def _list(name: str, answered: list[Answered], as_json: bool) -> None:
    if as_json:
        print_json(
            [
                {
                    "number": k,
                    "at": one.at.isoformat(),
                    "outing_version": one.outing_version,
                    "engine": one.engine,
                    "seed": one.seed,
                    "verdict": one.answer["verdict"],
                    "taught": one.learned is not None,
                }
                for k, one in enumerate(answered, 1)
            ]
        )
        return
    if not answered:
        print(f"The outing {name} was not read yet. Read it with: loosewell read '{name}'.")
        return
    for k, one in enumerate(answered, 1):
        print(
            f"{k}  {one.at:%Y-%m-%d %H:%M} UTC  {one.engine}, version {one.outing_version} of the "
            f"outing: {one.answer['verdict']}"
        )


def likely(percent: float) -> str:
    """How probable something is, in a word."""
    for limit, word in (
        (95.0, "almost surely"),
        (80.0, "very likely"),
        (50.0, "more likely than not"),
        (20.0, "quite possible"),
        (5.0, "possible"),
    ):
        if percent >= limit:
            return word
    return "hardly"


def _say(console: Console, words: str, style: str = "") -> None:
    from rich.text import Text

    console.print(Text(words, style=style))


def _heading(console: Console, words: str) -> None:
    console.print()
    _say(console, words, "bold underline")


def _bullets(lines: Any, console: Console) -> None:
    from rich.table import Table
    from rich.text import Text

    table = Table.grid(padding=(0, 1))
    for line in lines:
        table.add_row(Text("-"), Text(line))
    console.print(table)


def print_answer(answer: ReadAnswer, console: Console) -> None:
    """An answer as text for people: stops and cautions, what was seen, causes, step, reasons.

    Parameters
    ----------
    answer : ReadAnswer
        The answer. [trade units]
    console : rich.console.Console
        Where to print. [object]
    """
    from rich.box import HEAVY, SQUARE
    from rich.panel import Panel
    from rich.text import Text

    console.print()
    invented = " (invented example)" if answer.invented else ""
    _say(console, f"{answer.outing}: {answer.archer} with {answer.bow}{invented}", "bold")
    _say(
        console,
        f"{answer.on}, {answer.distance_yd:g} yd, {answer.shots} "
        f"shot{'' if answer.shots == 1 else 's'}. {answer.archer} is {answer.hand}-handed; left "
        "and right are seen from behind.",
    )
    console.print()
    if answer.stops:
        text = Text("\n\n".join(one.text for one in answer.stops), style="bold")
        console.print(Panel(text, title="STOP", box=HEAVY, border_style="red", padding=(0, 1)))
    else:
        _say(
            console,
            "No hard stop in what was entered. That does not replace looking every shaft, nock, "
            "string and limb over.",
        )
    if answer.warnings:
        text = Text("\n\n".join(one.text for one in answer.warnings))
        console.print(
            Panel(text, title="Warning", box=SQUARE, border_style="yellow", padding=(0, 1))
        )
    if answer.cautions:
        _heading(console, "Before you shoot")
        _bullets([one.text for one in answer.cautions], console)
    if answer.seen:
        _heading(console, "What was seen")
        _bullets(answer.seen, console)
    _heading(console, "What lies behind it")
    _say(console, answer.verdict, "bold")
    _causes(answer, console)
    for words in (answer.alike, answer.cannot_tell):
        if words:
            _say(console, words)
    _bullets(answer.not_looked_at, console) if answer.not_looked_at else None
    _step(answer, console)
    _reasons(answer, console)
    console.print()
    _say(
        console,
        "No word here says that a shaft, a bow or a string is sound: look them over by hand, and "
        "follow your range's rules and a qualified instructor.",
        "italic",
    )


def _causes(answer: ReadAnswer, console: Console) -> None:
    from rich.table import Table
    from rich.text import Text

    if not answer.causes:
        return
    table = Table(box=None, pad_edge=False, padding=(0, 2, 0, 0), show_header=False)
    table.add_column(no_wrap=True)
    table.add_column(justify="right", no_wrap=True)
    table.add_column(overflow="fold")
    shown = [one for one in answer.causes if one.chance_percent >= _SHOWN_PERCENT]
    for one in shown or answer.causes[:3]:
        length = round(_BAR * one.chance_percent / 100.0)
        table.add_row(
            Text("#" * length + "." * (_BAR - length)),
            Text(f"{one.chance_percent:.0f} %"),
            Text(
                f"{one.words} ({likely(one.chance_percent)}; {one.before_percent:.0f} % before "
                "these shots)"
            ),
        )
    console.print(table)
    rest = len(answer.causes) - len(shown)
    if shown and rest:
        left = sum(one.chance_percent for one in answer.causes) - sum(
            one.chance_percent for one in shown
        )
        _say(console, f"{rest} more causes share {max(left, 0.0):.0f} %.")


def _step(answer: ReadAnswer, console: Console) -> None:
    step = answer.step
    if step is None or step.kind == "stop":
        return
    _heading(console, "Next step")
    _say(console, step.words, "bold")
    if step.expect:
        _say(console, step.expect)


def _reasons(answer: ReadAnswer, console: Console) -> None:
    if answer.reasons or answer.inputs:
        _heading(console, "What this rests on")
        _bullets(answer.reasons, console)
        told = [one for one in answer.inputs if one.share_of_doubt_percent >= _SHOWN_PERCENT]
        for one in told:
            assumed = " (assumed)" if one.assumed else ""
            _say(
                console,
                f"{one.share_of_doubt_percent:.0f} % of the doubt: {one.name}{assumed}, "
                f"{one.value}, {one.error}.",
            )
        others = [one.name for one in answer.inputs if one.assumed and one not in told]
        if others:
            _say(
                console,
                f"Assumed, with under {_SHOWN_PERCENT:.0f} % of the doubt each: "
                f"{', '.join(others).lower()}.",
            )
    if answer.started_from:
        _heading(console, "Started from")
        _bullets(answer.started_from, console)
    if answer.causes:
        _heading(console, "Learned for next time")
        if answer.learned:
            _bullets(answer.learned, console)
        else:
            _say(
                console,
                "Nothing yet: what these shots say of bow and archer is no more than chance "
                "could show.",
            )


def learned(
    bow: Annotated[str | None, typer.Option("--bow", help="Of this bow.")] = None,
    archer: Annotated[str | None, typer.Option("--archer", help="Of this archer.")] = None,
    forget: Annotated[
        bool,
        typer.Option(
            "--forget",
            help="Set aside what was learned of the bow, of the archer, or of both together, from "
            "now on. Nothing is deleted: every answer stays.",
        ),
    ] = False,
    why: Annotated[str, typer.Option("--why", help="Why it is set aside; must be said.")] = "",
    workshop: WorkshopOption = None,
    as_json: JsonOption = False,
) -> None:
    """Show what outings taught of a bow and an archer, and when; or set it aside."""
    from loosewell.workshop.reading import known

    with open_workshop(workshop) as kept:
        if forget:
            aside = kept.put_aside(bow, archer, why)
            whose = " and ".join(
                kept.get(kind, name).record.name  # type: ignore[arg-type]
                for kind, name in (("bow", bow), ("archer", archer))
                if name is not None
            )
            if as_json:
                print_json({"set_aside": whose, "at": aside.at.isoformat(), "why": aside.why})
                return
            print(
                f"Set aside: what was learned of {whose} up to now. Every outing and every answer "
                "stays; outings read from now on teach anew."
            )
            return
        found = known.known(kept, bow, archer)
        asides = known.set_aside(kept)
    if as_json:
        print_json({"pairs": [one.plain() for one in found], "set_aside": asides})
        return
    if not found:
        print(
            "Nothing was learned yet. Record an outing (loosewell outing add) and read it "
            "(loosewell read)."
        )
    for one in found:
        print(f"{one.archer} with {one.bow}: {one.source}.")
        for line in one.lines:
            print(f"  {line}")
        for line in one.forgotten:
            print(f"  {line}")
    for line in asides:
        print(line)
