"""Command purpose: the arrow for what it is wanted for, beside the plain target arrow."""

from __future__ import annotations

import datetime
import re
from collections.abc import Iterator, Sequence
from contextlib import contextmanager
from pathlib import Path
from typing import TYPE_CHECKING, Annotated, Any

import typer

from loosewell.faces.cli.build import _bullets, _console, _head, _notices, _quantity, _record, _say
from loosewell.faces.cli.build import _write as write_new
from loosewell.faces.cli.common import JsonOption, WorkshopOption, open_workshop, print_json

if TYPE_CHECKING:
    from rich.console import Console

    from loosewell.workshop.answer import Band
    from loosewell.workshop.fishing import Aim, Fishing
    from loosewell.workshop.hunting import ColdShot, Rule
    from loosewell.workshop.purposes import Asked, Figure, PurposeAnswer, Reach
    from loosewell.workshop.reach import FarShot

_LAST = (
    "Nothing here says that an arrow, a bow or a place is fit to shoot. Inspect every arrow by "
    "hand, and follow the bow's maker, the rules where you stand and a qualified instructor."
)
_METRIC = {
    "gr": (0.06479891, "g", 1), "gr/lb": (0.0, "", 0), "in": (25.4, "mm", 0), "%": (0.0, "", 0),
    "fps": (0.3048, "m/s", 0), "ft-lb": (1.3558179483314, "J", 1),
    "slug-ft/s": (4.4482216152605, "kg·m/s", 2), "s": (0.0, "", 0), "cm²": (0.15500031, "sq in", 2),
    "yd": (0.9144, "m", 0),
}  # fmt: skip


def register(app: typer.Typer) -> None:
    """The command purpose, hung into the app."""
    app.command("purpose")(purpose)


def _text(name: str, metavar: str, help_: str) -> Any:
    return typer.Option(name, metavar=metavar, help=help_)


def purpose(
    name: Annotated[
        str,
        typer.Argument(
            metavar="PURPOSE",
            help="target, field, 3D, stumping, hunting, small game, flu-flu, fishing, long shot.",
        ),
    ],
    bow: Annotated[str, _text("--bow", "NAME", "The bow on record.")],
    archer: Annotated[str, _text("--archer", "NAME", "The archer on record.")],
    arrow: Annotated[
        str | None, _text("--arrow", "NAME", "An arrow on record, in place of one to build.")
    ] = None,
    point: Annotated[str | None, _text("--point", "GR", 'Mass of the point, "145 gr".')] = None,
    length: Annotated[
        str | None, _text("--length", "IN", 'Nock throat to the back of the point, "29 in".')
    ] = None,
    distance: Annotated[
        str | None, _text("--distance", "YD", 'Shooting distance, "20 yd"; else the purpose\'s.')
    ] = None,
    feathers: Annotated[
        str | None,
        _text("--feathers", "TEXT", '"4 feathers 5.5 in, 1 in high" or "none".'),
    ] = None,
    cut: Annotated[
        str | None, _text("--cut", "WORD", "Feathers: trimmed, full height or spiral.")
    ] = None,
    temperature: Annotated[str | None, _text("--temperature", "F", 'Such as "60 F".')] = None,
    altitude: Annotated[str | None, _text("--altitude", "FT", 'Such as "500 ft".')] = None,
    tail_wind: Annotated[
        str | None,
        _text("--tail-wind", "FPS", 'From behind, "10 mph"; "-10 mph" from ahead.'),
    ] = None,
    far_shot: Annotated[
        str | None,
        _text(
            "--far-shot", "TEXT", 'A far shot of your own, "62 yd +- 2 yd" or "62 yd at 40 deg".'
        ),
    ] = None,
    slow: Annotated[
        str | None, _text("--slow", "FPS", "Flu-flu: the speed that no longer counts as fast.")
    ] = None,
    eye_height: Annotated[
        str | None, _text("--eye-height", "FT", "Fishing: the eye above the water.")
    ] = None,
    arrow_height: Annotated[
        str | None, _text("--arrow-height", "FT", "Fishing: the arrow above the water.")
    ] = None,
    water: Annotated[str, _text("--water", "WORD", "Fishing: fresh or sea.")] = "fresh",
    ripple: Annotated[
        str | None, _text("--ripple", "DEG", "Fishing: tilt of the surface by ripples.")
    ] = None,
    fish_distance: Annotated[
        str | None, _text("--fish-distance", "FT", "Fishing: level distance to one fish.")
    ] = None,
    fish_depth: Annotated[
        str | None, _text("--fish-depth", "IN", "Fishing: its true depth.")
    ] = None,
    line: Annotated[
        bool | None, typer.Option("--line/--no-line", help="Fishing: whether there is a line.")
    ] = None,
    line_ahead: Annotated[
        bool | None,
        typer.Option(
            "--line-ahead/--line-behind", help="Fishing: the line runs ahead of the string."
        ),
    ] = None,
    line_at_nock: Annotated[
        bool | None,
        typer.Option("--line-at-nock/--line-on-slide", help="Fishing: what holds the line."),
    ] = None,
    line_round_hand: Annotated[
        bool | None,
        typer.Option("--line-round-hand/--line-clear", help="Fishing: whether a hand is in it."),
    ] = None,
    head_width: Annotated[
        str | None, _text("--head-width", "IN", "Hunting: broadhead, edge to edge.")
    ] = None,
    head_length: Annotated[
        str | None, _text("--head-length", "IN", "Hunting: length of its blades.")
    ] = None,
    rule: Annotated[
        list[str] | None,
        _text(
            "--rule",
            "TEXT",
            'Hunting: "draw weight at least 40 lb; source ...; date 2026-01-31". Again for more.',
        ),
    ] = None,
    cold: Annotated[
        list[str] | None,
        _text(
            "--cold-shot",
            "TEXT",
            'Hunting: first arrow of a day, "2026-10-01, 18 yd, 3 in left, 2 in high".',
        ),
    ] = None,
    circle: Annotated[
        str | None, _text("--circle", "IN", "Hunting: diameter of the place to be hit.")
    ] = None,
    picture: Annotated[
        Path | None, _text("--picture", "FILE.svg", "Draw it to this new file.")
    ] = None,
    workshop: WorkshopOption = None,
    as_json: JsonOption = False,
) -> None:
    """The arrow for a purpose: what to build, why, and what changes against a target arrow."""
    from loosewell.workshop import fishing
    from loosewell.workshop.purposes import Asked
    from loosewell.workshop.purposes import purpose as answer_of

    asked = Asked(
        point_weight_gr=_quantity(point, "gr", "The point weight"),
        length_in=_quantity(length, "in", "The arrow length"),
        distance_yd=_quantity(distance, "yd", "The distance"),
        fletching=_feathers(feathers),
        cut=_cut(cut),  # type: ignore[arg-type]
        temperature_f=_quantity(temperature, "degF", "The temperature"),
        altitude_ft=_quantity(altitude, "ft", "The altitude"),
        tail_wind_fps=_quantity(tail_wind, "fps", "The tail wind"),
        far_shot=_far_shot(far_shot),
        slow_fps=_quantity(slow, "fps", "The slow speed"),
        water=fishing.Water(
            _quantity(eye_height, "ft", "The eye height"),
            _quantity(arrow_height, "ft", "The height of the arrow"),
            water,
            _quantity(ripple, "deg", "The tilt of the surface"),
        ),
        line=fishing.Line(line, line_ahead, line_at_nock, line_round_hand),
        fish_distance_ft=_quantity(fish_distance, "ft", "The distance of the fish"),
        fish_depth_in=_quantity(fish_depth, "in", "The depth of the fish"),
        head_width_in=_quantity(head_width, "in", "The width of the head"),
        head_length_in=_quantity(head_length, "in", "The length of the blades"),
        rules=tuple(_rule(one) for one in rule or ()),
        cold=tuple(_cold(one) for one in cold or ()),
        circle_in=_quantity(circle, "in", "The circle"),
    )
    with open_workshop(workshop) as kept, progress_bar(as_json) as tell:
        asked = _with_outings(kept, asked, bow, archer)
        answer = answer_of(
            _record(kept, "bow", bow),
            _record(kept, "archer", archer),
            [one.record for one in kept.list("shaft")],  # type: ignore[misc]
            name,
            asked,
            arrow=_record(kept, "arrow", arrow),
            jigs=kept.jigs(),
            progress=tell,
        )
    if picture is not None and not answer.stops:
        from loosewell.faces.drawing import pen
        from loosewell.faces.drawing.purpose import purpose_drawing

        write_new(picture, pen.resolved(purpose_drawing(answer).svg()))
    if as_json:
        print_json(answer.as_dict())
    else:
        show(answer)


# ---- what is typed


def _with_outings(kept: Any, asked: Asked, bow: str, archer: str) -> Asked:
    """Cold first shots of this pair's outings, with those typed."""
    from dataclasses import replace

    from loosewell.workshop.hunting import cold_of

    names = {
        kind: kept.get(kind, name).record.name for kind, name in (("bow", bow), ("archer", archer))
    }
    own = [
        one.record
        for one in kept.list("outing")
        if one.record.bow == names["bow"] and one.record.archer == names["archer"]
    ]
    typed = {one.on for one in asked.cold}
    found = [one for one in cold_of(own) if one.on not in typed]
    return replace(asked, cold=(*found, *asked.cold))


def _feathers(typed: str | None) -> Any:
    if typed is None:
        return None
    from loosewell.faces.cli.build import _fletching

    return _fletching(typed)


def _cut(typed: str | None) -> str | None:
    from loosewell.errors import BoundRefusal
    from loosewell.workshop.reach import AREA_SHARE

    if typed is not None and typed not in AREA_SHARE:
        raise BoundRefusal(
            f"Feathers cut '{typed[:40]}' are not known. Accepted are {', '.join(AREA_SHARE)}.",
            code="cut",
        )
    return typed


def _far_shot(typed: str | None) -> FarShot | None:
    """A far shot from "62 yd", "62 yd +- 2 yd" or "62 yd +- 2 yd at 40 deg"."""
    if typed is None:
        return None
    from loosewell.workshop.reach import FarShot

    far, *angle = re.split(r"\s*@\s*|\s+at\s+", typed)
    carry, *error = re.split(r"\s*(?:±|\+/-|\+-)\s*", far)
    yards = _quantity(carry, "yd", "The far shot") or 0.0
    off = _quantity(error[0], "yd", "The error of the far shot") if error else None
    # Paced, when nobody said how it was measured.
    off = 0.05 * yards if off is None else off
    at = _quantity(angle[0], "deg", "The angle of the far shot") if angle else None
    return FarShot(yards, off, at)


_RULE = re.compile(
    r"(?P<what>.*?)\s+(?P<bound>at least|at most|minimum|maximum)\s+(?P<value>[^;]+)", re.IGNORECASE
)


def _rule(typed: str) -> Rule:
    """A rule from "draw weight at least 40 lb; source TEXT; date 2026-01-31"."""
    from loosewell.errors import BoundRefusal
    from loosewell.workshop.hunting import RULE_UNITS, Rule

    first, *rest = [part.strip() for part in typed.split(";")]
    read = _RULE.fullmatch(first)
    if read is None:
        raise BoundRefusal(
            f"A rule was given as '{typed[:60]}', which cannot be read. Type it as "
            '"draw weight at least 40 lb; source game law of ..., page 12; date 2026-01-31".',
            code="rule",
        )
    what = read["what"].strip().lower()
    bound = {"minimum": "at least", "maximum": "at most"}.get(
        read["bound"].lower(), read["bound"].lower()
    )
    source, day = "", None
    for part in rest:
        word, _, tail = part.partition(" ")
        if word.lower().rstrip(":") == "source":
            source = tail.strip()
        elif word.lower().rstrip(":") == "date":
            day = _day(tail)
    return Rule(what, bound, _rule_value(RULE_UNITS.get(what, ""), read["value"]), source, day)


def _rule_value(unit: str, typed: str) -> float:
    from loosewell import units
    from loosewell.errors import UnitRefusal

    if unit in ("lb", "gr", "in", "fps"):
        return units.quantity(typed.strip(), unit, what="The number of a rule")
    read = re.fullmatch(r"\s*([0-9]+(?:[.,][0-9]+)?)\s*(.*?)\s*", typed)
    names = {
        "gr/lb": {"gr/lb": 1.0, "grains per pound": 1.0},
        "ft-lb": {"ft-lb": 1.0, "ftlb": 1.0, "ft lb": 1.0, "j": 1.0 / 1.3558179483314},
    }.get(unit, {})
    if read is None or (names and read[2].lower() not in names):
        raise UnitRefusal(
            f"The number of a rule was given as '{typed.strip()[:40]}'. Type it with its unit, "
            f"such as {'6 gr/lb' if unit == 'gr/lb' else '25 ft-lb'}.",
            code="unit-unreadable",
        )
    return float(read[1].replace(",", ".")) * names.get(read[2].lower(), 1.0)


def _day(typed: str) -> datetime.date:
    from loosewell.errors import BoundRefusal

    try:
        return datetime.date.fromisoformat(typed.strip())
    except ValueError:
        raise BoundRefusal(
            f"A day was given as '{typed.strip()[:30]}'. Type it as 2026-01-31.", code="day"
        ) from None


def _cold(typed: str) -> ColdShot:
    """A cold first shot from "2026-10-01, 18 yd, 3 in left, 2 in high"."""
    from loosewell import units
    from loosewell.errors import MissingRefusal
    from loosewell.workshop.hunting import ColdShot

    parts = [part.strip() for part in typed.split(",")]
    places: dict[str, float] = {}
    if len(parts) >= 3:
        for part in parts[2:]:
            amount, _, way = part.rpartition(" ")
            sign = {"left": 1.0, "right": -1.0, "high": 1.0, "low": -1.0}.get(way.lower())
            if sign is None:
                continue
            key = "left" if way.lower() in ("left", "right") else "high"
            places[key] = sign * units.quantity(amount, "in", what="The place of a cold shot")
    if len(places) < 2:
        raise MissingRefusal(
            f"A cold first shot was given as '{typed[:60]}'. Type day, distance and where it hit "
            'from the point of aim: "2026-10-01, 18 yd, 3 in left, 2 in high" ("0 in left").',
            code="cold-shot",
        )
    yards = units.quantity(parts[1], "yd", what="The distance of a cold shot")
    return ColdShot(_day(parts[0]), yards, places["left"], places["high"])


@contextmanager
def progress_bar(quiet: bool) -> Iterator[Any]:
    """A bar on standard error while the engine works; none for JSON or without a terminal."""
    import sys

    from rich.console import Console
    from rich.progress import BarColumn, Progress, TextColumn

    if quiet or not sys.stderr.isatty():
        yield None
        return
    with Progress(
        TextColumn("{task.description:<16}"), BarColumn(), console=Console(stderr=True),
        transient=True,
    ) as bar:  # fmt: skip
        task = bar.add_task("engine", total=1.0)
        yield lambda word, part: bar.update(task, description=word, completed=part)


# ---- what is said


def show(answer: PurposeAnswer) -> None:
    """The answer in plain text, stops first."""
    console = _console()
    console.print()
    _say(console, f"{answer.title}: {answer.archer} with {answer.bow}", "bold")
    if answer.invented:
        _say(console, "Invented records: for trying out only.")
    _notices(console, answer.stops, answer.warnings)
    if answer.line_checks:
        _say(console, "")
        _say(console, "STOP until the line is looked at (nobody said it was):", "bold red")
        _bullets(console, answer.line_checks)
    if answer.stops:
        _head(console, "Nothing was computed: settle the stop first.")
        _bullets(console, [one.text for one in answer.cautions])
        return
    _head(console, "Mind" if answer.purpose != "target" else "Before shooting")
    _bullets(console, [one.text for one in answer.cautions])
    _head(console, f"Arrow {answer.arrow}" if answer.arrow else "The arrow to build")
    rows = [*answer.build, ("Feathers reckoned", answer.fletching), ("Spine", answer.spine_text)]
    _pairs(console, rows)
    _head(console, "Why")
    _bullets(console, answer.why)
    _head(
        console, "What it does" + (" beside the plain target arrow" if answer.plain_words else "")
    )
    if answer.plain_words:
        _say(console, "  " + answer.plain_words)
        if answer.plain_spine_text:
            _say(console, f"  Its spine: {answer.plain_spine_text}.")
    _figures(console, answer.figures)
    _distances(console, answer)
    if answer.slowing is not None:
        _head(console, "Where it stops being fast")
        _say(console, f"  Feathers {answer.slowing.feather_area_in2:.1f} sq in, one side of all "
             f"({answer.slowing.feather_area_in2 * 6.4516:.0f} cm²), cut {answer.slowing.cut}. "
             + answer.slowing.text)  # fmt: skip
    if answer.fishing is not None:
        _fishing(console, answer.fishing)
    if answer.hunting is not None:
        _head(console, "Feathers and head")
        _say(console, "  " + answer.hunting.head.text)
        _head(console, "Your own distance, from cold first shots")
        _say(console, "  " + answer.hunting.cold.text)
        _head(console, "Rules you typed")
        told = [one.text for one in answer.hunting.rules]
        _bullets(console, told or ["None. Nothing here knows the rules of any place."])
    if answer.reach is not None:
        _reach(console, answer.reach)
    if answer.notes:
        _head(console, "Notes")
        _bullets(console, answer.notes)
    console.print()
    _say(console, f"{answer.weather} {answer.engine}.")
    _say(console, "Ranges hold eight of ten worlds. " + _LAST)


def _pairs(console: Console, rows: Sequence[tuple[str, str]]) -> None:
    from rich.padding import Padding
    from rich.table import Table
    from rich.text import Text

    grid = Table.grid(padding=(0, 2, 0, 0))
    grid.add_column(no_wrap=True)
    grid.add_column(overflow="fold")
    for what, told in rows:
        grid.add_row(Text(what), Text(told))
    console.print(Padding(grid, (0, 0, 0, 2)))


def _range(value: Band, digits: int, factor: float = 1.0) -> str:
    from loosewell.faces.wording import number

    low, high = number(value.low * factor, digits), number(value.high * factor, digits)
    return low if low == high else f"{low} to {high}"


def _both(value: Band, unit: str, digits: int) -> str:
    factor, other, fine = _METRIC[unit]
    text = f"{_range(value, digits)} {unit}"
    return f"{text} ({_range(value, fine, factor)} {other})" if factor else text


def _signed(value: Band, unit: str, digits: int) -> str:
    from loosewell.faces.wording import number

    def sign(one: float) -> str:
        text = number(one, digits)
        return text if text.startswith("−") or float(text) == 0.0 else f"+{text}"

    low, high = sign(value.low), sign(value.high)
    return f"{low if low == high else f'{low} to {high}'} {unit}"


def _figures(console: Console, figures: Sequence[Figure]) -> None:
    from rich.padding import Padding
    from rich.table import Table

    table = Table(box=None, padding=(0, 2, 0, 0), header_style="bold")
    table.add_column("")
    table.add_column("this arrow")
    if any(one.change is not None for one in figures):
        table.add_column("change")
    for one in figures:
        row = [one.name, _both(one.this, one.unit, one.digits)]
        if one.change is not None:
            row.append(_signed(one.change, one.unit, one.digits))
        table.add_row(*row)
    console.print(Padding(table, (0, 0, 0, 2)))


def _distances(console: Console, answer: PurposeAnswer) -> None:
    from rich.padding import Padding
    from rich.table import Table

    _head(console, "By distance, loosed level")
    table = Table(box=None, padding=(0, 2, 0, 0), header_style="bold")
    for word in ("", "speed", "energy", "time", "falls", "and misjudged short by"):
        table.add_column(word)
    for row in answer.table:
        table.add_row(
            f"{row.distance_yd:g} yd ({row.distance_yd * 0.9144:.0f} m)",
            _both(row.speed_fps, "fps", 0),
            f"{_range(row.energy_ftlb, 0)} ft-lb",
            f"{row.time_s.middle:.2f} s",
            f"{_range(row.drop_in, 0)} in",
            f"{row.misjudged_yd:g} yd: {_range(row.misjudged_in, 0)} in low",
        )
    console.print(Padding(table, (0, 0, 0, 2)))


def _reach(console: Console, reach: Reach) -> None:
    _head(console, "How far it carries, for your own range plan")
    _say(console, "  " + reach.text)
    rows = [
        ("Farthest, eight of ten", _both(reach.farthest_yd, "yd", 0)),
        (f"with {reach.windy_mph:g} mph more behind it", _both(reach.windy_yd, "yd", 0)),
        ("Longest reckoned", f"{reach.longest_yd:.0f} yd ({reach.longest_yd * 0.9144:.0f} m)"),
    ]
    if reach.plain_yd is not None:
        rows.append(("The plain target arrow", _both(reach.plain_yd, "yd", 0)))
    if reach.calibration is not None:
        drag = f"{_range(reach.calibration, 2)} of the guess ({reach.far_shot})"
        rows.append(("Drag by your far shot", drag))
    rows += [
        (f"at {angle:g}°", _both(carry, "yd", 0))
        for angle, carry in zip(reach.angles_deg, reach.carry_yd, strict=True)
        if angle in (5.0, 10.0, 20.0, 31.0, 40.0, 50.0, 60.0, 80.0)
    ]
    _pairs(console, rows)
    if reach.causes:
        _say(console, "  What makes it uncertain:")
        _bullets(
            console,
            [
                f"{one.share_percent:.0f} %: {one.name}, {one.value}, {one.error}"
                + (" (assumed)" if one.assumed else "")
                + (f"; {one.how_to_measure}" if one.how_to_measure else "")
                for one in reach.causes
            ],
        )


def fishing_rows(card: Sequence[Aim]) -> tuple[list[float], dict[float, list[Aim]]]:
    """The card by rows: depths, and for each distance its aims in their order."""
    depths = sorted({one.depth_in for one in card})
    rows: dict[float, list[Aim]] = {}
    for one in card:
        rows.setdefault(one.distance_ft, []).append(one)
    return depths, {far: sorted(row, key=lambda a: a.depth_in) for far, row in rows.items()}


def _cell(one: Aim) -> str:
    error = max(one.error_in, 1.0)
    text = f"{one.below_in:.0f} ± {error:.0f} in ({one.below_in * 2.54:.0f} cm)"
    return text + (" s" if one.may_skip else "")


def _fishing(console: Console, told: Fishing) -> None:
    from rich.padding import Padding
    from rich.table import Table

    _head(console, "Where to aim: this far below the fish you see, by its TRUE depth")
    depths, rows = fishing_rows(told.card)
    table = Table(box=None, padding=(0, 1, 0, 0), header_style="bold")
    table.add_column("out", no_wrap=True)
    for deep in depths:
        table.add_column(f"{deep:g} in ({deep * 2.54:.0f} cm)", no_wrap=True)
    for far, row in rows.items():
        table.add_row(
            f"{far:g} ft ({far * 0.3048:.1f} m)",
            *(_cell(one) for one in row),
        )
    console.print(Padding(table, (0, 0, 0, 2)))
    _say(
        console,
        f"  Eye {told.eye_height_ft:g} ft ({told.eye_height_ft * 0.3048:.2f} m) and arrow "
        f"{told.arrow_height_ft:g} ft above the water. ± holds ripples, the eye's height and an "
        "inch of depth. s: so flat that the arrow may skip, by a rule for balls; without an s it "
        "may skip all the same. It is a practice table, no promise.",
    )
    if told.asked is not None:
        one = told.asked
        _head(console, "The fish you asked about")
        _say(
            console,
            f"  {one.distance_ft:g} ft out and truly {one.depth_in:g} in down it looks "
            f"{one.seen_depth_in:.1f} in down. Aim {one.below_in:.1f} ± {one.error_in:.1f} in "
            f"({one.below_in * 2.54:.0f} cm) below where you see it. The way dips {one.dip_deg:.0f}"
            f"°; at {one.critical_dip_deg:.0f}° and flatter this arrow may skip"
            + (": it may." if one.may_skip else "."),
        )
    _head(console, "On its way to a fish a foot down, and below the water")
    table = Table(box=None, padding=(0, 2, 0, 0), header_style="bold")
    for word in ("out", "falls in the air", "meets the water at", "may skip", "still fast down to"):
        table.add_column(word)
    for entry in told.entries:
        table.add_row(
            f"{entry.distance_ft:g} ft",
            f"{_range(entry.fall_in, 1)} in",
            f"{entry.dip_deg:.0f}°",
            f"{entry.may_skip_percent:.0f} of 100",
            f"{entry.depth_wet_in:.0f} to {entry.depth_dry_in:.0f} in"
            + (" and more" if entry.beyond else ""),
        )
    console.print(Padding(table, (0, 0, 0, 2)))
    _say(
        console,
        "  The fall is in your gaps already if you shoot by them. Down to 16 fps (5 m/s): the "
        "shaft wet all along for the lesser depth, dry in its cavity for the greater; a line's own "
        "drag is not in it, so that the lesser is nearer the truth.",
    )
    _head(console, "Steadiness without feathers")
    _bullets(
        console,
        [
            f"To {one.distance_ft:g} ft its largest swing off its way is "
            f"{_range(one.swing_deg, 0)}°; {one.tumbles_percent:.0f} of 100 turn past 30° and are "
            "lost."
            for one in told.steady
        ],
    )
    _say(console, "  Assumed: " + "; ".join(told.assumed) + ".")
