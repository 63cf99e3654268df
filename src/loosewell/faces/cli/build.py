"""Commands of making: build (cut plan), scrape (taking a shaft down), takedown (joints)."""

from __future__ import annotations

import re
import sys
from collections.abc import Sequence
from pathlib import Path
from typing import TYPE_CHECKING, Annotated, Any

import typer

from loosewell.faces.cli.common import JsonOption, WorkshopOption, open_workshop, print_json

if TYPE_CHECKING:
    from rich.console import Console

    from loosewell.records import Archer, Arrow, Bow, Fletching, Jig, Shaft
    from loosewell.workshop.answer import Band, Notice
    from loosewell.workshop.build import BuildPlan
    from loosewell.workshop.keep import Kind, Workshop
    from loosewell.workshop.scrape import ScrapePlan
    from loosewell.workshop.takedown import Adapter, AdapterResult, Change, Takedown

_ShaftName = Annotated[str, typer.Argument(metavar="SHAFT", help="Name of the shaft on the rack.")]
_Bow = Annotated[str | None, typer.Option("--bow", metavar="NAME", help="The bow it is for.")]
_Archer = Annotated[
    str | None, typer.Option("--archer", metavar="NAME", help="The archer it is for.")
]
_Point = Annotated[
    str | None, typer.Option("--point", metavar="GR", help='Mass of the point, "125 gr".')
]
_Length = Annotated[
    str | None,
    typer.Option(
        "--length", metavar="IN", help='Nock throat to the back of the point, "28 1/2 in".'
    ),
]
_Picture = Annotated[
    Path | None, typer.Option("--picture", metavar="FILE.svg", help="Draw it to this new file.")
]
_Csv = Annotated[
    Path | None, typer.Option("--csv", metavar="FILE.csv", help="Write the figures to this file.")
]


def register(app: typer.Typer) -> None:
    """The commands build, scrape and takedown, hung into the app."""
    app.command("build")(build)
    app.command("scrape")(scrape)
    app.command("takedown")(takedown)


# ---- what the three share


def _record(kept: Workshop, kind: Kind, name: str | None) -> Any:
    """A record in use, or None when none was named."""
    from loosewell.errors import ContradictionRefusal

    if name is None:
        return None
    found = kept.get(kind, name)
    if found.retired:
        raise ContradictionRefusal(
            f"The {kind} {found.record.name} is retired. Restore it first, or choose another "
            f"{kind}.",
            code="retired",
        )
    return found.record


def _quantity(typed: str | None, unit: str, what: str) -> float | None:
    from loosewell import units

    return None if typed is None else units.quantity(typed, unit, what=what)


def _jigs(kept: Workshop) -> list[Jig]:
    return [one.record for one in kept.list("jig")]  # type: ignore[misc]


def _write(path: Path, text: str) -> None:
    """A new file; nothing that is there is written over."""
    from loosewell.errors import FileRefusal

    try:
        with path.open("x", encoding="utf-8", newline="") as file:
            file.write(text)
    except FileExistsError:
        raise FileRefusal(
            f"The file {path} is there already and is not written over. Name a new one.",
            code="file-exists",
        ) from None
    except OSError as error:
        reason = (error.strerror or str(error)).lower()
        raise FileRefusal(f"The file {path} cannot be written: {reason}.", code="file") from None
    print(f"Wrote {path}", file=sys.stderr)


def _table(header: Sequence[str], rows: Sequence[Sequence[Any]]) -> str:
    import csv
    import io

    out = io.StringIO()
    writer = csv.writer(out)
    writer.writerow(header)
    writer.writerows(["" if cell is None else cell for cell in row] for row in rows)
    return out.getvalue()


def _console() -> Console:
    from rich.console import Console

    return Console(highlight=False, soft_wrap=False)


def _say(console: Console, text: str, style: str = "") -> None:
    from rich.text import Text

    console.print(Text(text, style=style))


def _head(console: Console, text: str) -> None:
    console.print()
    _say(console, text, "bold")


def _bullets(console: Console, lines: Sequence[str], numbered: bool = False) -> None:
    from rich.padding import Padding
    from rich.table import Table
    from rich.text import Text

    grid = Table.grid(padding=(0, 1, 0, 0))
    grid.add_column(no_wrap=True, justify="right")
    grid.add_column(overflow="fold")
    for number, line in enumerate(lines, 1):
        grid.add_row(f"{number}." if numbered else "-", Text(line))
    console.print(Padding(grid, (0, 0, 0, 2)))


def _notices(console: Console, stops: Sequence[Notice], warnings: Sequence[Notice]) -> None:
    for one in stops:
        console.print()
        _say(console, f"STOP. {one.text}", "bold red")
    if warnings:
        _head(console, "First")
        _bullets(console, [one.text for one in warnings])


def _both(value_in: float, digits: int = 2) -> str:
    return f"{value_in:.{digits}f} in ({value_in * 25.4:.{max(digits - 2, 0)}f} mm)"


def _within(band: Band, unit: str, digits: int) -> str:
    """A middle with its error: "482 gr ± 3 gr"."""
    error = 0.5 * (band.high - band.low)
    return f"{band.middle:.{digits}f} {unit} ± {error:.{digits}f} {unit}"


_LAST = (
    "Nothing here says that a shaft is sound. Inspect every shaft by hand, and follow the bow's "
    "maker, your local rules and a qualified instructor."
)


# ---- build


def build(
    shaft: Annotated[
        str | None, typer.Argument(metavar="[SHAFT]", help="Name of the shaft on the rack.")
    ] = None,
    arrow: Annotated[
        str | None,
        typer.Option("--arrow", metavar="NAME", help="An arrow on record, in place of a shaft."),
    ] = None,
    archer: _Archer = None,
    bow: _Bow = None,
    length: _Length = None,
    point: _Point = None,
    point_kind: Annotated[
        str | None,
        typer.Option("--point-kind", metavar="WORD", help="Kind of point, as on record."),
    ] = None,
    socket: Annotated[
        str | None,
        typer.Option("--socket", metavar="IN", help='Shaft inside the point, "7/8 in"; "0 in".'),
    ] = None,
    nock: Annotated[
        str | None,
        typer.Option("--nock", metavar="WORD", help="self, reinforced self, plastic, inserted."),
    ] = None,
    nock_weight: Annotated[
        str | None, typer.Option("--nock-weight", metavar="GR", help='Weighed nock, "10 gr".')
    ] = None,
    throat: Annotated[
        str | None,
        typer.Option(
            "--throat",
            metavar="IN",
            help='Nock throat from the shaft\'s end: "5/16 in" inside it, "-1/16 in" behind it.',
        ),
    ] = None,
    fletching: Annotated[
        str | None,
        typer.Option(
            "--fletching",
            metavar="TEXT",
            help='"3 feathers 4 in", "4 vanes 2 in" or "none"; and "0.5 in high", "1 in rear".',
        ),
    ] = None,
    glue: Annotated[
        str | None, typer.Option("--glue", metavar="GR", help="Glue and binding of the fletching.")
    ] = None,
    finish: Annotated[
        str | None, typer.Option("--finish", metavar="GR", help="Oil or lacquer on the shaft.")
    ] = None,
    part: Annotated[
        list[str] | None,
        typer.Option(
            "--part",
            metavar="TEXT",
            help='Another part from the nock throat, "insert 20 gr @ 27 in". May be given again.',
        ),
    ] = None,
    squaring: Annotated[
        str, typer.Option("--squaring", metavar="IN", help="Taken off to square the nock end.")
    ] = "1/8 in",
    kerf: Annotated[
        str, typer.Option("--kerf", metavar="IN", help="Width of the saw cut.")
    ] = "1/32 in",
    spare: Annotated[
        str, typer.Option("--spare", metavar="IN", help="Left long until it has been shot.")
    ] = "2 in",
    picture: _Picture = None,
    csv: _Csv = None,
    workshop: WorkshopOption = None,
    as_json: JsonOption = False,
) -> None:
    """Plan the cuts of an arrow: lengths, tapers, marks, and every part's mass and the balance."""
    from loosewell.errors import MissingRefusal
    from loosewell.faces.cli import typed
    from loosewell.records.arrow import ExtraPart
    from loosewell.workshop.build import BuildWish
    from loosewell.workshop.build import build as plan_of

    wish = BuildWish(
        length_in=_quantity(length, "in", "The arrow length"),
        point_weight_gr=_quantity(point, "gr", "The point weight"),
        point_kind=_word(point_kind, "point"),
        point_socket_in=_quantity(socket, "in", "The socket of the point"),
        nock_kind=_word(nock, "nock"),
        nock_weight_gr=_quantity(nock_weight, "gr", "The mass of the nock"),
        throat_in=_quantity(throat, "in", "The nock throat"),
        fletching=_fletching(fletching),
        glue_gr=_quantity(glue, "gr", "The mass of glue and binding"),
        finish_gr=_quantity(finish, "gr", "The mass of the finish"),
        extra_parts=tuple(ExtraPart(**typed.extra_part(one)) for one in part or ()),
        squaring_in=_quantity(squaring, "in", "The squaring allowance") or 0.0,
        kerf_in=_quantity(kerf, "in", "The saw cut") or 0.0,
        spare_in=_quantity(spare, "in", "The length left for shooting in") or 0.0,
    )
    if shaft is None and arrow is None:
        raise MissingRefusal(
            "Neither a shaft nor an arrow was named. Say loosewell build SHAFT, or loosewell build "
            "--arrow NAME for one on record.",
            code="missing-shaft",
        )
    with open_workshop(workshop) as kept:
        the_arrow: Arrow | None = _record(kept, "arrow", arrow)
        name = shaft if shaft is not None else (the_arrow.shaft if the_arrow is not None else None)
        the_shaft: Shaft = _record(kept, "shaft", name)
        the_archer: Archer | None = _record(kept, "archer", archer)
        the_bow: Bow | None = _record(kept, "bow", bow)
    plan = plan_of(the_shaft, wish, arrow=the_arrow, archer=the_archer, bow=the_bow)
    if picture is not None and not plan.stops:
        from loosewell.faces.drawing import resolved
        from loosewell.faces.drawing.build import cut_plan

        _write(picture, resolved(cut_plan(plan).svg()))
    if csv is not None and not plan.stops:
        _write(csv, _build_table(plan))
    if as_json:
        print_json(plan.as_dict())
        return
    _print_build(plan, _console())


def _word(typed: str | None, what: str) -> str | None:
    """A kind of point or nock as the records know it."""
    from loosewell.errors import BoundRefusal
    from loosewell.faces.cli.fields import FIELDS

    if typed is None:
        return None
    field = next(one for one in FIELDS["arrow"] if one.path == f"{what}_kind")
    plain = " ".join(typed.lower().split())
    if plain in field.choices:
        return plain
    raise BoundRefusal(
        f"A kind of {what} was given as '{typed[:40]}'. Accepted are {', '.join(field.choices)}.",
        code=f"choice-{what}-kind",
    )


_FLETCHED = re.compile(
    r"(?:(?P<count>[0-9]+)\s+)?(?P<kind>feather|vane|tape)s?\s*,?\s*(?P<rest>.*)", re.IGNORECASE
)
_SIZED = re.compile(r"(?P<size>[0-9][^,;]*?(?:in|mm|cm|\"))\.?\s*(?P<word>high|tall|rear|long)?\b")


def _fletching(typed: str | None) -> Fletching | None:
    """A fletching from "3 feathers 4 in, 0.5 in high, 1 in rear" or "none"."""
    from loosewell import units
    from loosewell.errors import UnitRefusal
    from loosewell.records import Fletching

    if typed is None:
        return None
    plain = " ".join(typed.lower().split())
    if plain == "none":
        return Fletching(material="none")
    found = _FLETCHED.fullmatch(plain)
    fields: dict[str, Any] = {}
    rest = "" if found is None else found["rest"]
    for size in _SIZED.finditer(rest):
        word = {"high": "height", "tall": "height", "rear": "rear"}.get(
            size["word"] or "", "length"
        )
        if f"{word}_in" in fields:
            found = None
            break
        fields[f"{word}_in"] = units.quantity(size["size"], "in", what=f"The fletching {word}")
    if found is None or _SIZED.sub("", rest).strip(" ,;"):
        raise UnitRefusal(
            f"A fletching was given as '{typed[:60]}', which could not be read. Type it as "
            '"3 feathers 4 in, 0.5 in high, 1 in rear", or "none" for a bare shaft.',
            code="reading-unreadable",
        )
    if found["count"] is not None:
        fields["count"] = int(found["count"])
    return Fletching(material=found["kind"], **fields)


def _build_table(plan: BuildPlan) -> str:
    header = [
        "part",
        "mass (gr)",
        "error (gr)",
        "from nock throat (in)",
        "error of place (in)",
        "assumed",
        "why",
        "share of mass error (percent)",
        "share of balance error (percent)",
    ]
    rows = [
        (
            one.what, one.weight_gr, one.error_gr, one.at_in, one.at_error_in,
            "yes" if one.assumed else "no", one.why, one.share_of_mass_percent,
            one.share_of_balance_percent,
        )
        for one in plan.parts
    ]  # fmt: skip
    return _table(header, rows)


def _print_build(plan: BuildPlan, console: Console) -> None:
    from rich.table import Table
    from rich.text import Text

    whom = f" for {plan.archer}" if plan.archer else ""
    console.print()
    _say(
        console,
        f"Cut plan: shaft {plan.shaft}{whom}" + (", invented" if plan.invented else ""),
        "bold",
    )
    _notices(console, plan.stops, plan.warnings)
    if plan.stops:
        _say(console, plan.steps[0])
        return
    assert plan.weight is not None
    assert plan.balance_in is not None
    assert plan.foc_percent is not None
    _head(console, "Lengths")
    least = (
        "" if plan.minimum_length_in is None else f"; never below {plan.minimum_length_in:.2f} in"
    )
    lines = [
        (
            f"Arrow {_both(plan.length_in)} from nock throat to the back of the point "
            f"({plan.length_reason}){least}."
        ),
    ]
    if not plan.already_cut:
        lines += [
            (
                f"Cut the shaft to {_both(plan.cut_in)}, end to end, once its nock end is "
                f"squared: the throat of the {plan.nock_kind} nock lies "
                f"{abs(plan.throat_in):.3f} in {'inside' if plan.throat_in >= 0 else 'behind'} "
                f"that end, and the point covers {plan.socket_in:.2f} in of the front."
            ),
            (
                f"The shaft on the rack is {_both(plan.blank_in)}; this plan needs "
                f"{plan.needs_in:.2f} in of it with squaring and saw."
            ),
        ]
    lines += [
        f"{one.what.capitalize()} taper: {one.half_angle_deg:g} deg to the axis, "
        f"{_both(one.length_in, 3)} long, from {one.from_diameter_in:.3f} to "
        f"{one.to_diameter_in:.3f} in thick (trade, from memory)."
        for one in plan.tapers
    ]
    _bullets(console, lines)
    _head(console, "In this order")
    _bullets(console, plan.steps, numbered=True)
    _head(console, "Marks to pencil")
    table = Table(box=None, pad_edge=False, padding=(0, 2, 0, 2))
    for name in ("From squared nock end", "From nock throat"):
        table.add_column(name, justify="right", no_wrap=True)
    table.add_column("What", overflow="fold")
    for mark in plan.marks:
        table.add_row(_both(mark.from_end_in), _both(mark.from_throat_in), Text(mark.what))
    console.print(table)
    _head(console, "Every part's mass")
    table = Table(box=None, pad_edge=False, padding=(0, 2, 0, 2))
    table.add_column("Part", overflow="fold")
    for name in ("gr", "±", "g", "at, in"):
        table.add_column(name, justify="right", no_wrap=True)
    table.add_column("From", overflow="fold")
    for one in plan.parts:
        table.add_row(
            Text(one.what),
            f"{one.weight_gr:.1f}",
            f"{one.error_gr:.1f}",
            f"{one.weight_gr * 0.06479891:.2f}",
            f"{one.at_in:.2f}",
            Text(("assumed: " if one.assumed else "") + one.why),
        )
    console.print(table)
    weight, balance = plan.weight, plan.balance_in
    lines = [
        (
            f"Whole arrow {_within(weight, 'gr', 0)} ({weight.middle * 0.06479891:.1f} g), balance "
            f"{_within(balance, 'in', 2)} ({balance.middle * 25.4:.0f} mm) from the nock throat, "
            "front "
            f"of centre {_within(plan.foc_percent, '%', 1)}."
        ),
    ]
    if plan.grains_per_pound is not None:
        lines.append(
            f"{_within(plan.grains_per_pound, 'grains per pound', 2)} of draw weight at this "
            "archer's draw."
        )
    _bullets(console, lines)
    _head(console, "Balance before and after")
    _bullets(
        console,
        [
            f"{one.stage}: {one.weight_gr:.0f} gr, balance {_both(one.balance_in)}, front of "
            "centre "
            f"{one.foc_percent:.1f} %"
            for one in plan.stages
        ],
    )
    if plan.arrow is not None:
        _head(console, f"Predicted beside the scale: arrow {plan.arrow}")
        _bullets(
            console,
            [
                f"{one.what}: predicted {one.predicted:g} {one.unit} ± {one.predicted_error:g} "
                f"{one.unit}, on record {one.measured:g} {one.unit}: {one.difference:+g} "
                f"{one.unit}, "
                + ("within the errors" if one.within_errors else "beyond the errors")
                for one in plan.weighed
            ]
            + plan.likely,
        )
    _head(console, "Assumed")
    _bullets(console, plan.assumed)
    console.print()
    _say(console, _LAST, "italic")


# ---- scrape


def scrape(
    shaft: _ShaftName,
    to: Annotated[
        str | None,
        typer.Option("--to", metavar="LB", help='Spine to come down to, "45 lb" (26 in, 2 lb).'),
    ] = None,
    to_diameter: Annotated[
        str | None,
        typer.Option("--to-diameter", metavar="IN", help='Or the thickness, "5/16 in".'),
    ] = None,
    where: Annotated[
        str, typer.Option("--where", metavar="WORD", help="whole, rear, front or middle.")
    ] = "whole",
    over: Annotated[
        str | None,
        typer.Option("--over", metavar="IN", help="Length of that stretch; rear and front 10 in."),
    ] = None,
    per_pass: Annotated[
        str | None,
        typer.Option("--per-pass", metavar="IN", help="Diameter one pass of your paper takes."),
    ] = None,
    bow: _Bow = None,
    archer: _Archer = None,
    point: _Point = None,
    length: _Length = None,
    picture: _Picture = None,
    csv: _Csv = None,
    workshop: WorkshopOption = None,
    as_json: JsonOption = False,
) -> None:
    """Plan sanding or scraping a shaft down: how much, in which steps, and where to stop."""
    from loosewell.faces.cli.match import Waiting
    from loosewell.workshop.scrape import ScrapeWish
    from loosewell.workshop.scrape import scrape as plan_of

    wish = ScrapeWish(
        to_lb=_quantity(to, "lb", "The spine to come down to"),
        to_diameter_in=_quantity(to_diameter, "in", "The diameter to come down to"),
        where=" ".join(where.lower().split()),
        over_in=_quantity(over, "in", "The length of the stretch"),
        per_pass_in=_quantity(per_pass, "in", "The diameter a pass takes"),
    )
    with open_workshop(workshop) as kept:
        the_shaft: Shaft = _record(kept, "shaft", shaft)
        the_bow: Bow | None = _record(kept, "bow", bow)
        the_archer: Archer | None = _record(kept, "archer", archer)
        jigs = _jigs(kept)
    with Waiting() as waiting:
        plan = plan_of(
            the_shaft,
            wish,
            bow=the_bow,
            archer=the_archer,
            point_weight_gr=_quantity(point, "gr", "The point weight"),
            length_in=_quantity(length, "in", "The arrow length"),
            jigs=jigs,
            progress=waiting,
        )
    if picture is not None and plan.steps:
        from loosewell.faces.drawing import resolved
        from loosewell.faces.drawing.build import scrape_chart

        _write(picture, resolved(scrape_chart(plan).svg()))
    if csv is not None and plan.steps:
        _write(csv, _scrape_table(plan))
    if as_json:
        print_json(plan.as_dict())
        return
    _print_scrape(plan, _console())


def _scrape_table(plan: ScrapePlan) -> str:
    header = (
        "step,off diameter (in),diameter (in),spine (lb; 26 in span and 2 lb),low (lb),high (lb),"
        f"deflection (in; {plan.rig.replace(', ', ' and ')}),mass (gr),passes,"
        "bending share of breaking stress (percent)"
    ).split(",")
    rows = [
        (
            number, one.off_diameter_in, one.diameter_in, one.spine_lb.middle, one.spine_lb.low,
            one.spine_lb.high, one.reads_in, one.weight_gr, one.passes, one.stress_percent,
        )
        for number, one in enumerate(plan.steps, 1)
    ]  # fmt: skip
    return _table(header, rows)


def _print_scrape(plan: ScrapePlan, console: Console) -> None:
    from rich.table import Table

    from loosewell.faces import wording

    console.print()
    material = f", {plan.material}" if plan.material else ""
    _say(
        console,
        f"Taking down shaft {plan.shaft}{material}" + (", invented" if plan.invented else ""),
        "bold",
    )
    _notices(console, plan.stops, plan.warnings)
    if not plan.steps:
        _say(console, "Nothing was planned: settle the stop first.")
        return
    assert plan.spine_after is not None
    assert plan.off_diameter_in is not None
    off = plan.off_diameter_in
    _head(console, "How much")
    lines = [
        (
            f"Now {_within(plan.spine_now, 'lb', 1)} ({wording.WOOD_STANDARD}), from "
            f"{plan.readings} "
            f"reading{'s' if plan.readings != 1 else ''}; afterwards "
            f"{_within(plan.spine_after, 'lb', 1)} ({wording.WOOD_STANDARD}), "
            f"{wording.later_deflection_in(plan.spine_after.middle):.3f} in "
            f"({wording.LATER_STANDARD})."
        ),
        (
            f"{off.middle:.4f} in ({off.middle * 25.4:.2f} mm) off the diameter, "
            f"{0.5 * off.middle:.4f} in all round; between {off.low:.4f} and {off.high:.4f} in for "
            f"{off.reason}."
        ),
        f"From {plan.from_in:.1f} to {plan.until_in:.1f} in from the nock end: {plan.shape}.",
    ]
    if plan.weight_now is not None and plan.weight_after is not None:
        lines.append(
            f"Mass {_within(plan.weight_now, 'gr', 0)} now, {_within(plan.weight_after, 'gr', 0)} "
            f"after ({plan.weight_after.middle * 0.06479891:.1f} g)."
        )
    if plan.stress_after_percent is not None:
        lines.append(
            f"Bent as it was read, it is at {plan.stress_now_percent:.0f} % of the handbook's mean "
            f"breaking stress now and {plan.stress_after_percent:.0f} % after "
            f"({plan.stress_words})."
        )
    _bullets(console, lines)
    _head(console, "Step by step")
    table = Table(box=None, pad_edge=False, padding=(0, 2, 0, 2))
    table.add_column("", justify="right", no_wrap=True)
    passes = any(one.passes is not None for one in plan.steps)
    named = [
        "Take off, in",
        "All off, in",
        "Thick, in",
        "Expect, lb",
        "Reads, in",
        "gr",
    ]
    for name in [*named, *(["Passes"] if passes else [])]:
        table.add_column(name, justify="right")
    before = 0.0
    for number, one in enumerate(plan.steps, 1):
        cells = [
            f"{number}.",
            f"{one.off_diameter_in - before:.4f}",
            f"{one.off_diameter_in:.4f}",
            f"{one.diameter_in:.4f}",
            _within(one.spine_lb, "", 1).replace(" ± ", "± ").strip(),
            f"{one.reads_in:.3f}",
            "-" if one.weight_gr is None else f"{one.weight_gr:.0f}",
        ]
        table.add_row(*cells, *([str(one.passes)] if passes else []))
        before = one.off_diameter_in
    console.print(table)
    first = (
        "Take half, then bend again. After every step read anew and ask again with that reading."
    )
    if any(one.code == "one-reading" for one in plan.warnings):
        first = "Before step 1: the second reading. Not a stroke before it is on record. " + first
    where = (
        f"Thick: {plan.diameter_at_in:g} in from the nock end. Expect: pounds (26 in span, 2 lb), "
        f"one standard error. Reads: what your own rig should show ({plan.rig})."
    )
    _bullets(console, [where, first, *plan.words])
    if plan.floors:
        _head(console, "Never beyond")
        _bullets(
            console,
            [
                f"{one.off_diameter_in:.4f} in off, {one.spine_lb:.1f} lb "
                f"({wording.WOOD_STANDARD}): "
                f"{one.reason}"
                for one in plan.floors
            ],
        )
    _head(console, "What the error is made of, and what is assumed")
    _bullets(console, [*plan.spine_reasons, *plan.assumed])
    console.print()
    _say(console, _LAST, "italic")


# ---- takedown


def takedown(
    shaft: _ShaftName,
    bow: Annotated[str, typer.Option("--bow", metavar="NAME", help="The bow it is for.")],
    archer: Annotated[str, typer.Option("--archer", metavar="NAME", help="The archer it is for.")],
    compare: Annotated[
        list[str] | None,
        typer.Option(
            "--compare",
            metavar="TEXT",
            help='An adapter: "brass: sleeve 2 in, 45 gr, stiffness 150 %, give 0.5 deg/ftlb, '
            'play 0.2 deg". May be given again; the name is yours.',
        ),
    ] = None,
    at: Annotated[
        list[str] | None,
        typer.Option(
            "--at",
            metavar="IN",
            help="Place of a joint from the nock end. Given again for more joints. Without it: as "
            "on record, else the middle.",
        ),
    ] = None,
    point: _Point = None,
    length: _Length = None,
    distance: Annotated[
        str | None, typer.Option("--distance", metavar="YD", help="To the butt.")
    ] = None,
    picture: _Picture = None,
    csv: _Csv = None,
    workshop: WorkshopOption = None,
    as_json: JsonOption = False,
) -> None:
    """Compare joints of a take-down shaft by what they do to the match."""
    from loosewell import units
    from loosewell.faces.cli.match import Waiting
    from loosewell.workshop.takedown import takedown as compared

    adapters = [_adapter(text, number) for number, text in enumerate(compare or (), 1)]
    places = [units.quantity(one, "in", what="The place of a joint") for one in at or ()]
    with open_workshop(workshop) as kept:
        the_shaft: Shaft = _record(kept, "shaft", shaft)
        the_bow: Bow = _record(kept, "bow", bow)
        the_archer: Archer = _record(kept, "archer", archer)
        jigs = _jigs(kept)
    with Waiting() as waiting:
        told = compared(
            the_shaft,
            the_bow,
            the_archer,
            adapters,
            at_in=places,
            length_in=_quantity(length, "in", "The arrow length"),
            point_weight_gr=_quantity(point, "gr", "The point weight"),
            distance_yd=_quantity(distance, "yd", "The distance"),
            jigs=jigs,
            progress=waiting,
        )
    if picture is not None and told.plain is not None:
        from loosewell.faces.drawing import resolved
        from loosewell.faces.drawing.build import joint_chart

        _write(picture, resolved(joint_chart(told).svg()))
    if csv is not None and told.plain is not None:
        _write(csv, _takedown_table(told))
    if as_json:
        print_json(told.as_dict())
        return
    _print_takedown(told, _console())


_NAMED = re.compile(r"\s*(?P<name>[^:;]*?)\s*:\s*(?P<rest>.*)", re.DOTALL)
_PLACED = re.compile(r"\bat\b|@", re.IGNORECASE)


def _adapter(text: str, number: int) -> Adapter:
    """An adapter from "brass: sleeve 2 in, 45 gr, stiffness 150 %, play 0.2 deg"."""
    from loosewell.errors import ContradictionRefusal, MissingRefusal
    from loosewell.faces.cli import typed
    from loosewell.records.shaft import Joint
    from loosewell.workshop.takedown import Adapter

    found = _NAMED.fullmatch(text)
    words = ("sleeve", "stiffness", "give", "play", "weight", "mass")
    name, rest = f"adapter {number}", text
    last = "" if found is None else (found["name"].lower().split() or [""])[-1]
    if found is not None and last and last not in words:
        name, rest = found["name"], found["rest"]
    if _PLACED.search(rest):
        raise ContradictionRefusal(
            f"An adapter was given as '{text[:60]}', with a place. All adapters are tried at the "
            "same places: leave it out there and say --at once for each joint.",
            code="adapter-with-place",
        )
    if not rest.strip():
        raise MissingRefusal(
            f"An adapter was given as '{text[:60]}', without anything about it. Type it as "
            '"brass: sleeve 2 in, 45 gr, stiffness 150 %, give 0.5 deg/ftlb, play 0.2 deg"; leave '
            "out what you do not know.",
            code="reading-incomplete",
        )
    fields = typed.joint(f"at 10 in, {rest}")
    # Held against the bounds of a joint before anything is shot.
    Joint(**fields)
    del fields["station_in"]
    return Adapter(name, **fields)


def _takedown_table(told: Takedown) -> str:
    header = [
        "adapter",
        "joints (in)",
        "sleeve (in)",
        "sleeve mass (gr)",
        "stiffness (percent)",
        "give (deg/ftlb)",
        "play (deg)",
        "bench spine (lb; 26 in span and 2 lb)",
        "arrow mass (gr)",
        "balance (in)",
        "clean shots (percent)",
        "change (percent)",
        "noise (percent)",
        "best wood (lb)",
        "change (lb)",
        "noise (lb)",
        "speed (fps)",
        "change (fps)",
        "noise (fps)",
        "lands left by (in)",
        "noise (in)",
        "lands higher by (in)",
        "noise (in)",
    ]

    def two(change: Change | None) -> tuple[float | None, float | None]:
        return (None, None) if change is None else (change.value, change.noise)

    def row(one: AdapterResult) -> list[Any]:
        return [
            one.name, " and ".join(f"{x:g}" for x in one.joints_in), one.sleeve_length_in,
            one.sleeve_weight_gr, one.stiffness_percent, one.give_deg_per_ftlb, one.play_deg,
            one.bench_spine_lb, one.arrow_weight_gr, one.balance_in, one.share_percent,
            *two(one.share_change_percent), one.best_spine_lb, *two(one.best_change_lb),
            one.speed_fps, *two(one.speed_change_fps), *two(one.hit_left_change_in),
            *two(one.hit_high_change_in),
        ]  # fmt: skip

    every = [one for one in (told.plain, *told.adapters) if one is not None]
    return _table(header, [row(one) for one in every])


def _print_takedown(told: Takedown, console: Console) -> None:
    from rich.table import Table
    from rich.text import Text

    from loosewell.faces import wording

    console.print()
    _say(
        console,
        f"Joints on shaft {told.shaft}: {told.archer} ({told.hand} hand) with {told.bow}"
        + (", invented" if told.invented else ""),
        "bold",
    )
    _notices(console, told.stops, told.warnings)
    if told.plain is None or told.plain_spine_lb is None:
        _say(console, "Nothing was shot: settle the stop first.")
        return
    plain = told.plain
    _say(
        console,
        f"Arrow {_both(told.length_in)}, {told.point_weight_gr:.0f} gr point, butt at "
        f"{told.distance_yd:g} yd. The wood in one piece: {_within(told.plain_spine_lb, 'lb', 1)} "
        f"({wording.WOOD_STANDARD}).",
    )
    _head(console, "What each does, against the same wood in one piece")
    _bullets(console, told.verdict)
    console.print()
    table = Table(box=None, pad_edge=False, padding=(0, 2, 0, 2))
    table.add_column("As it is", overflow="fold")
    for name in ("Bench, lb", "gr", "Balance, in", "Clean of 100", "fps"):
        table.add_column(name, justify="right", no_wrap=True)
    for one in (plain, *told.adapters):
        table.add_row(
            Text(one.name), f"{one.bench_spine_lb:.1f}", f"{one.arrow_weight_gr:.0f}",
            f"{one.balance_in:.2f}", f"{one.share_percent:.0f} ±{one.share_noise_percent:.0f}",
            f"{one.speed_fps:.1f}",
        )  # fmt: skip
    console.print(table)
    console.print()
    table = Table(box=None, pad_edge=False, padding=(0, 1, 0, 1))
    table.add_column("Changed by", overflow="fold")
    for name in ("Clean", "Best wood, lb", "fps", "Left, in", "High, in"):
        table.add_column(name, justify="right", no_wrap=True)
    for one in told.adapters:
        table.add_row(
            Text(one.name), _changed(one.share_change_percent, 0),
            "open"
            if plain.best_open is not None
            else (">" if one.best_open == "stiff" else "") + _changed(one.best_change_lb, 1),
            _changed(one.speed_change_fps, 1), _changed(one.hit_left_change_in, 1),
            _changed(one.hit_high_change_in, 1),
        )  # fmt: skip
    console.print(table)
    _bullets(
        console,
        [
            (
                f"Bench: what the shaft reads with the joint in it ({wording.WOOD_STANDARD}). "
                "Clean: "
                "of "
                f"100 shots. Best wood: the plain spine ({wording.WOOD_STANDARD}) that would fly "
                "best "
                "with this joint; > means at least, open that it cannot be told."
            ),
            told.noise_words,
            wording.SEEN_FROM,
            told.clean_definition,
        ],
    )
    _head(console, "So that the parts go back the same way")
    _bullets(console, told.marks, numbered=True)
    _head(console, "Onto the inspection list")
    _bullets(console, told.inspect)
    console.print()
    _say(console, _LAST, "italic")


def _changed(change: Change | None, digits: int) -> str:
    if change is None:
        return "-"
    value = f"{change.value:+.{digits}f}"
    if float(value) == 0.0:
        value = value[1:]
    return f"{value} ±{change.noise:.{digits}f}".replace("-", "−")
