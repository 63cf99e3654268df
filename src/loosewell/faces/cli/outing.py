"""``loosewell outing``: what was shot, where it hit and how it stood, typed in one go."""

from __future__ import annotations

import datetime
from pathlib import Path
from typing import TYPE_CHECKING, Annotated, Any

import typer

from loosewell.faces.cli.common import (
    JsonOption,
    RefusingGroup,
    WorkshopOption,
    open_workshop,
    print_json,
)

if TYPE_CHECKING:
    from loosewell.workshop.keep import Kept, Version, Workshop

_NAME = Annotated[str, typer.Argument(metavar="NAME", help="Its name, such as its day.")]
_CHANGES = (
    "brace height, nocking point, point, strike plate, string twist, feather position, nock fit, "
    "length, shaft or other"
)
_SHOT = Annotated[
    list[str] | None,
    typer.Option(
        "--shot",
        metavar="SHOT",
        help='One arrow, seen from behind: "fletched, 2 in left, 1 in high, straight" or "bare, '
        'arrow 3, 6 in right, 2 in low, nock left 8 deg, bad, powder on the tail". Also cold, '
        "feather worn, plate marked, knock heard, no marks, 152 fps, x3 for three alike. May be "
        "given again.",
    ),
]
_SHOTS = Annotated[
    Path | None,
    typer.Option(
        "--shots",
        metavar="FILE.csv",
        help="A table of shots with units in its header: kind, arrow, left (in), high (in), nock "
        "sideways, nock upright, nock left (deg), nock high (deg), called, cold, marks, "
        "speed (fps), count.",
    ),
]
_ON = Annotated[
    str | None, typer.Option("--on", metavar="DAY", help="Year-month-day; must be said.")
]
_DISTANCE = Annotated[
    str | None,
    typer.Option("--distance", metavar="YD", help='To the butt, "20 yd"; must be said.'),
]
_BOW = Annotated[str | None, typer.Option("--bow", help="Which bow; must be said.")]
_ARCHER = Annotated[str | None, typer.Option("--archer", help="Who shot; must be said.")]
_ARROW = Annotated[
    str | None,
    typer.Option("--arrow", help="Arrow or shaft of all shots that name none of their own."),
]
_FROM = Annotated[
    str | None,
    typer.Option(
        "--positions-from",
        help="What the places are measured from: aim (usual), or fletched group, its middle.",
    ),
]
_BRACE = Annotated[
    str | None,
    typer.Option("--brace-height", metavar="IN", help="That day; without it the bow's own."),
]
_NOCKING = Annotated[
    str | None,
    typer.Option("--nocking-height", metavar="IN", help="Above square, that day."),
]
_WARM = Annotated[
    str | None, typer.Option("--temperature", metavar="F", help='Of the air, "60 F" or "15 C".')
]
_WIND = Annotated[
    str | None,
    typer.Option(
        "--wind", metavar="WIND", help='Across the line and to which side, "5 mph left"; or calm.'
    ),
]
_CHANGE = Annotated[
    str | None,
    typer.Option(
        "--change",
        metavar="WHAT",
        help=f'The one thing changed since the outing before, "point: 150 gr" or "brace height: up '
        f'1/4 in". What: {_CHANGES}.',
    ),
]
_REMARKS = Annotated[str | None, typer.Option("--remarks", help="Anything else worth keeping.")]


def register(app: typer.Typer) -> None:
    """The group outing, hung into the app."""
    group = typer.Typer(
        name="outing",
        help="What was shot, where it hit and how it stood.",
        cls=RefusingGroup,
        no_args_is_help=True,
        rich_markup_mode=None,
    )
    group.command("add")(add)
    group.command("list")(show_list)
    group.command("show")(show)
    group.command("change")(change)
    group.command("retire")(retire)
    group.command("restore")(restore)
    group.command("history")(history)
    app.add_typer(group)


def _fields(given: dict[str, Any]) -> dict[str, Any]:
    """The options that were given, as fields of an outing."""
    from loosewell import units
    from loosewell.errors import BoundRefusal
    from loosewell.faces.shots import shots_typed

    found: dict[str, Any] = {}
    for field, unit, what in (
        ("distance_yd", "yd", "The distance"),
        ("brace_height_in", "in", "The brace height"),
        ("nocking_height_in", "in", "The nocking height"),
        ("temperature_f", "degF", "The temperature"),
    ):
        if given[field] is not None:
            found[field] = units.quantity(given[field], unit, what=what)
    if given["wind_left_fps"] is not None:
        from loosewell.faces.asking import wind_left_fps

        found["wind_left_fps"] = wind_left_fps(given["wind_left_fps"])
    for field in ("bow", "archer", "on", "arrow", "remarks"):
        if given[field] is not None:
            found[field] = given[field]
    if given["positions_from"] is not None:
        word = " ".join(given["positions_from"].split()).casefold()
        if word not in ("aim", "fletched group"):
            raise BoundRefusal(
                f"Places were said to be measured from '{word[:40]}'. Accepted are aim and "
                "fletched group.",
                code="choice-positions_from",
            )
        found["positions_from"] = word
    if given["change"] is not None:
        found["change"] = _changed(given["change"])
    shots = [one for text in given["shot"] or () for one in shots_typed(text)]
    if given["shots"] is not None:
        from loosewell.workshop.reading.shot_table import read_shots

        shots += read_shots(given["shots"])
    if shots:
        found["shots"] = tuple(shots)
    return found


def _changed(text: str) -> dict[str, Any]:
    from loosewell.errors import BoundRefusal

    what, _, more = text.partition(":")
    plain = " ".join(what.split()).casefold()
    known = [one.strip() for one in _CHANGES.replace(" or ", ", ").split(",")]
    if plain not in known:
        raise BoundRefusal(
            f"A change of '{plain[:40]}' is not known. Accepted are {_CHANGES}, with more after a "
            'colon: --change "point: 150 gr".',
            code="choice-change",
        )
    return {"what": plain, "text": more.strip() or None}


_NEEDED = {
    "bow": "Which bow was shot was not said. Give it: --bow NAME.",
    "archer": "Who shot was not said, and without the archer the hand is not known. Give it: "
    "--archer NAME.",
    "on": "The day was not said. Give it: --on 2026-05-31.",
    "distance_yd": 'The distance was not said. Give it: --distance "20 yd".',
    "shots": 'No shots were given. Give at least one: --shot "fletched, 2 in left, 1 in high, '
    'straight".',
}


def _must(found: dict[str, Any]) -> None:
    from loosewell.errors import MissingRefusal

    for field, sentence in _NEEDED.items():
        if field not in found:
            raise MissingRefusal(sentence, code=f"missing-{field.removesuffix('_yd')}")


def add(
    name: _NAME,
    bow: _BOW = None,
    archer: _ARCHER = None,
    on: _ON = None,
    distance: _DISTANCE = None,
    shot: _SHOT = None,
    shots: _SHOTS = None,
    arrow: _ARROW = None,
    positions_from: _FROM = None,
    brace_height: _BRACE = None,
    nocking_height: _NOCKING = None,
    temperature: _WARM = None,
    wind: _WIND = None,
    change: _CHANGE = None,
    remarks: _REMARKS = None,
    invented: Annotated[bool, typer.Option("--invented", help="An invented example.")] = False,
    workshop: WorkshopOption = None,
    as_json: JsonOption = False,
) -> None:
    """Add an outing. Left and right are seen from behind the archer; the hand is the archer's."""
    from loosewell.records import Outing
    from loosewell.workshop.keep import refuse_future_days

    found = _fields(
        {
            "bow": bow, "archer": archer, "on": on, "distance_yd": distance, "shot": shot,
            "shots": shots, "arrow": arrow, "positions_from": positions_from,
            "brace_height_in": brace_height, "nocking_height_in": nocking_height,
            "temperature_f": temperature, "wind_left_fps": wind, "change": change,
            "remarks": remarks,
        }
    )  # fmt: skip
    _must(found)
    record = Outing(name=name, invented=invented, **found)
    refuse_future_days(record, datetime.datetime.now(datetime.UTC).astimezone().date())
    with open_workshop(workshop) as kept:
        _tell(kept, kept.add(record), as_json, "Added")


def change(
    name: _NAME,
    bow: _BOW = None,
    archer: _ARCHER = None,
    on: _ON = None,
    distance: _DISTANCE = None,
    shot: _SHOT = None,
    shots: _SHOTS = None,
    arrow: _ARROW = None,
    positions_from: _FROM = None,
    brace_height: _BRACE = None,
    nocking_height: _NOCKING = None,
    temperature: _WARM = None,
    wind: _WIND = None,
    made: _CHANGE = None,
    remarks: _REMARKS = None,
    new_name: Annotated[str | None, typer.Option("--name", help="A new name for it.")] = None,
    replace_shots: Annotated[
        bool, typer.Option("--replace-shots", help="The shots given take the place of all others.")
    ] = False,
    workshop: WorkshopOption = None,
    as_json: JsonOption = False,
) -> None:
    """Change an outing; shots given are added to those on record. The state before is kept."""
    from loosewell.errors import MissingRefusal
    from loosewell.records import Outing

    found = _fields(
        {
            "bow": bow, "archer": archer, "on": on, "distance_yd": distance, "shot": shot,
            "shots": shots, "arrow": arrow, "positions_from": positions_from,
            "brace_height_in": brace_height, "nocking_height_in": nocking_height,
            "temperature_f": temperature, "wind_left_fps": wind, "change": made,
            "remarks": remarks,
        }
    )  # fmt: skip
    if new_name is not None:
        found["name"] = new_name
    if not found:
        raise MissingRefusal(
            'Nothing to change was given. Say what is different, such as --shot "fletched, 1 in '
            'left, 0 in high"; loosewell outing change --help lists all.',
            code="missing-change",
        )
    with open_workshop(workshop) as kept:
        before = kept.get("outing", name)
        assert isinstance(before.record, Outing)
        if "shots" in found and not replace_shots:
            found["shots"] = (*before.record.shots, *found["shots"])
        after = kept.change("outing", name, if_version=before.version, **found)
        done = "Unchanged" if after.version == before.version else "Changed"
        _tell(kept, after, as_json, done)


def show_list(
    retired: Annotated[bool, typer.Option("--retired", help="The retired ones.")] = False,
    workshop: WorkshopOption = None,
    as_json: JsonOption = False,
) -> None:
    """List the outings, or the retired ones."""
    from loosewell.faces.cli.show import kept_json

    with open_workshop(workshop) as kept:
        found = kept.list("outing", retired=retired)
        answers = {one.record.name: len(kept.answers(one.record.name)) for one in found}
    if as_json:
        print_json([kept_json("outing", one) for one in found])
        return
    if not found:
        what = "retired outings" if retired else "outings"
        print(f"No {what} in this workshop.")
        return
    for one in found:
        record: Any = one.record
        count = len(record.shots)
        bare = sum(each.bare for each in record.shots)
        read = answers[record.name]
        print(
            f"{record.name}: {record.on.isoformat()}, {record.archer} with {record.bow}, "
            f"{record.distance_yd:g} yd, {count} shot{'' if count == 1 else 's'} ({bare} bare), "
            + (f"read {'once' if read == 1 else f'{read} times'}" if read else "not read yet")
        )


def show(name: _NAME, workshop: WorkshopOption = None, as_json: JsonOption = False) -> None:
    """Show an outing with all its shots."""
    from loosewell.faces.cli.show import kept_json

    with open_workshop(workshop) as kept:
        found = kept.get("outing", name)
        hand = _hand(kept, found.record)
    if as_json:
        print_json({**kept_json("outing", found), "hand": hand})
        return
    print("\n".join(_lines(found, hand)))


def retire(
    name: _NAME,
    why: Annotated[str, typer.Option("--why", help="Why, in a few words; must be said.")] = "",
    workshop: WorkshopOption = None,
    as_json: JsonOption = False,
) -> None:
    """Take an outing out of use: it teaches nothing more. Nothing is deleted."""
    with open_workshop(workshop) as kept:
        _tell(kept, kept.retire("outing", name, why), as_json, "Retired")


def restore(name: _NAME, workshop: WorkshopOption = None, as_json: JsonOption = False) -> None:
    """Bring a retired outing back into use."""
    with open_workshop(workshop) as kept:
        _tell(kept, kept.restore("outing", name), as_json, "Restored")


def history(name: _NAME, workshop: WorkshopOption = None, as_json: JsonOption = False) -> None:
    """Show every state an outing ever had."""
    from loosewell.faces.cli.show import version_json

    with open_workshop(workshop) as kept:
        versions = kept.history("outing", name)
    if as_json:
        print_json([version_json(one) for one in versions])
        return
    before: Version | None = None
    for one in versions:
        print(f"{one.version}  {one.at:%Y-%m-%d %H:%M} UTC  {one.what}")
        now = _rows(one.record)
        was = {} if before is None else dict(_rows(before.record))
        for label, text in now:
            if was.get(label) != text:
                print(f"     {label}: {text}")
        before = one


def _hand(kept: Workshop, record: Any) -> str:
    archer: Any = kept.get("archer", record.archer).record
    return str(archer.hand)


def _tell(kept: Workshop, one: Kept, as_json: bool, done: str) -> None:
    from loosewell.faces.cli.show import kept_json

    record: Any = one.record
    hand = _hand(kept, record)
    if as_json:
        print_json({**kept_json("outing", one), "hand": hand})
        return
    count = len(record.shots)
    print(
        f"{done}: outing {record.name} (version {one.version}), {count} "
        f"shot{'' if count == 1 else 's'} at {record.distance_yd:g} yd. {record.archer} is "
        f"{hand}-handed; left and right are seen from behind. Read it with: loosewell read "
        f"'{record.name}'."
    )


def _rows(record: Any) -> list[tuple[str, str]]:
    from loosewell.faces.cli.show import with_metric
    from loosewell.faces.shots import shot_text

    unknown = "not known"

    def measure(value: float | None, unit: str) -> str:
        return unknown if value is None else with_metric(value, unit)

    rows = [
        ("Name", record.name),
        ("Bow", record.bow),
        ("Archer", record.archer),
        ("On", record.on.isoformat()),
        ("Distance", measure(record.distance_yd, "yd")),
        ("Arrow", record.arrow or "told by shot, or not known"),
        ("Places from", record.positions_from),
        ("Brace height", measure(record.brace_height_in, "in")),
        ("Nocking height", measure(record.nocking_height_in, "in")),
        ("Temperature", unknown if record.temperature_f is None else f"{record.temperature_f:g} F"),
        ("Wind to the left", measure(record.wind_left_fps, "fps")),
        ("Changed before", _change_text(record)),
        ("Remarks", record.remarks or unknown),
        ("Invented", "yes" if record.invented else "no"),
    ]
    rows += [(f"Shot {k}", shot_text(one)) for k, one in enumerate(record.shots, 1)]
    return rows


def _change_text(record: Any) -> str:
    if record.change is None:
        return "nothing told"
    more = "" if record.change.text is None else f": {record.change.text}"
    return f"{record.change.what}{more}"


def _lines(found: Kept, hand: str) -> list[str]:
    record: Any = found.record
    state = f", retired (version {found.version})" if found.retired else ""
    rows = _rows(record)[1:]
    rows.insert(2, ("Hand", f"{hand}, left and right seen from behind"))
    wide = max(len(label) for label, _ in rows)
    head = f"Outing {record.name}{state or f' (version {found.version})'}"
    return [head, *(f"  {label:<{wide}}  {text}" for label, text in rows)]
