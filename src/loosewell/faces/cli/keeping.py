"""Commands that keep bows, archers, shafts, arrows, jigs, sets, strings: seven for each."""

from __future__ import annotations

import datetime
import inspect
from collections.abc import Callable
from pathlib import Path
from typing import Annotated, Any, cast

import typer

from loosewell.errors import MissingRefusal
from loosewell.faces.cli.common import (
    JsonOption,
    RefusingGroup,
    WorkshopOption,
    open_workshop,
    print_json,
)
from loosewell.faces.cli.fields import FIELDS, Field

_NAME = Annotated[str, typer.Argument(metavar="NAME", help="Its name.")]
_ABOUT = {
    "bow": "The bows of the workshop.",
    "archer": "The people who draw them.",
    "shaft": "The shafts on the rack.",
    "arrow": "The arrows built on shafts of the rack.",
    "jig": "The jigs shafts are bent on.",
    "set": "The sets of shafts that go together.",
    "class": "Classes: who comes, who shoots what, what is short, swaps in the day.",
    "string": "The strings of the bows: planned, held against a bow, kept.",
}
_AN = {
    "bow": "a bow",
    "archer": "an archer",
    "shaft": "a shaft",
    "arrow": "an arrow",
    "jig": "a jig",
    "set": "a set",
    "class": "a class",
    "string": "a string",
}
# What lies along a shaft or in time, and the field that says where or when.
_PLACES = {
    "stations": "station_in",
    "joints": "station_in",
    "sections": "from_in",
    "weighings": "on",
}
# What is told once of each: told again, it takes the place of what was told before.
_ONCE = {"checks": "what", "members": "shaft", "people": "name", "held": "person"}
_UNITS_HELP = (
    "Values carry their unit, trade or metric: --length '66 in' or --length '168 cm', fractions "
    "such as '11/32 in' included. What is left out stays unknown."
)


def register(app: typer.Typer) -> None:
    """The group of commands for every kind of record, hung into the app."""
    for kind, about in _ABOUT.items():
        group = typer.Typer(
            name=kind, help=about, cls=RefusingGroup, no_args_is_help=True, rich_markup_mode=None
        )
        _fill(group, kind)
        if kind == "shaft":
            from loosewell.faces.cli import rack

            rack.register(group)
        if kind == "jig":
            from loosewell.faces.cli import bench

            bench.register_jig(group)
        if kind == "class":
            from loosewell.faces.cli import class_

            class_.register(group)
        if kind == "string":
            from loosewell.faces.cli import string

            string.register(group)
        app.add_typer(group)


def _fill(group: typer.Typer, kind: str) -> None:
    an = _AN[kind]
    group.command("add", help=f"Add {an}. {_UNITS_HELP}")(_adding(kind))
    group.command("list", help=f"List the {plural(kind)} in use, or the retired ones.")(
        _listing(kind)
    )
    group.command("show", help=f"Show {an} with everything known of it.")(_showing(kind))
    group.command(
        "change",
        help=f"Change {an}; the state before stays in its history. Readings given here are added "
        f"to the ones on record. --forget makes a value unknown again. {_UNITS_HELP}",
    )(_changing(kind))
    group.command("retire", help=f"Take {an} out of use. Nothing is deleted.")(_retiring(kind))
    group.command("restore", help=f"Bring a retired {kind} back into use.")(_restoring(kind))
    group.command("history", help=f"Show every state {an} ever had.")(_history(kind))


def _adding(kind: str) -> Callable[..., None]:
    def add(name: str, workshop: Path | None = None, as_json: bool = False, **given: Any) -> None:
        from loosewell.workshop.keep import RECORDS, refuse_future_days

        fields = _typed(kind, given, length_in=None)
        if kind == "arrow" and "shaft" not in fields:
            raise MissingRefusal(
                "The shaft of the arrow was not given. Say on which shaft of the rack it is "
                "built: --shaft NAME.",
                code="missing-shaft",
            )
        # The record is made before the file is opened: a refusal leaves no trace on the disk.
        record = RECORDS[kind].model_validate({"name": name, **fields})
        refuse_future_days(record, datetime.datetime.now(datetime.UTC).astimezone().date())
        # An arrow and a set need shafts that are already there, and a string may name its bow, so
        # they never make a new file.
        needs = kind in ("arrow", "set") or (kind == "string" and "bow" in fields)
        with open_workshop(workshop, create=not needs) as kept:
            _tell(kind, kept.add(record), as_json, "Added")

    return _dressed(add, [_named(), *_options(kind), *_shared()])


def _changing(kind: str) -> Callable[..., None]:
    def change(
        name: str,
        workshop: Path | None = None,
        as_json: bool = False,
        new_name: str | None = None,
        forget: list[str] | None = None,
        **given: Any,
    ) -> None:
        with open_workshop(workshop) as kept:
            before = kept.get(_kind(kind), name)
            fields = _forgotten(kind, before.record, forget or [])
            length = fields.get("length_in", getattr(before.record, "length_in", None))
            typed = _typed(kind, given, length_in=length)
            if new_name is not None:
                fields["name"] = new_name
            for head, value in typed.items():
                already = fields.get(head, getattr(before.record, head))
                if isinstance(value, list):
                    fields[head] = _added(head, already, value)
                elif isinstance(value, dict) and already is not None:
                    old = already if isinstance(already, dict) else already.model_dump()
                    inner = {
                        part: _added(part, old[part], one) if isinstance(one, list) else one
                        for part, one in value.items()
                    }
                    fields[head] = {**old, **inner}
                else:
                    fields[head] = value
            if not fields:
                raise MissingRefusal(
                    f"Nothing to change was given. Say what is different, such as "
                    f"--{FIELDS[kind][1].plain}; loosewell {kind} change --help lists all.",
                    code="missing-change",
                )
            after = kept.change(_kind(kind), name, if_version=before.version, **fields)
            same = after.version == before.version
            _tell(kind, after, as_json, "Unchanged" if same else "Changed")

    extra = [
        _parameter("new_name", str | None, typer.Option("--name", help="A new name for it.")),
        _parameter(
            "forget",
            list[str] | None,
            typer.Option(
                "--forget",
                metavar="OPTION",
                help="Make a value unknown again, such as --forget "
                f"{FIELDS[kind][2].plain}."
                + (' --forget "member S1" takes one shaft out.' if kind == "set" else "")
                + " May be given again.",
            ),
        ),
    ]
    return _dressed(change, [_named(), *_options(kind), *extra, *_shared()])


def _listing(kind: str) -> Callable[..., None]:
    def show_list(
        retired: Annotated[bool, typer.Option("--retired", help="The retired ones.")] = False,
        workshop: WorkshopOption = None,
        as_json: JsonOption = False,
    ) -> None:
        from loosewell.faces.cli import show

        with open_workshop(workshop) as kept:
            found = kept.list(_kind(kind), retired=retired)
            jigs = kept.jigs()
        if as_json:
            print_json([show.kept_json(kind, one, jigs) for one in found])
        else:
            print("\n".join(show.list_lines(kind, found, retired, jigs)))

    return show_list


def _showing(kind: str) -> Callable[..., None]:
    def show_one(name: _NAME, workshop: WorkshopOption = None, as_json: JsonOption = False) -> None:
        from loosewell.faces.cli import show

        with open_workshop(workshop) as kept:
            found = kept.get(_kind(kind), name)
            jigs = kept.jigs()
        if as_json:
            print_json(show.kept_json(kind, found, jigs))
        else:
            print("\n".join(show.kept_lines(kind, found, jigs)))

    return show_one


def _retiring(kind: str) -> Callable[..., None]:
    def retire(
        name: _NAME,
        why: Annotated[str, typer.Option("--why", help="Why, in a few words; must be said.")] = "",
        workshop: WorkshopOption = None,
        as_json: JsonOption = False,
    ) -> None:
        with open_workshop(workshop) as kept:
            _tell(kind, kept.retire(_kind(kind), name, why), as_json, "Retired")

    return retire


def _restoring(kind: str) -> Callable[..., None]:
    def restore(name: _NAME, workshop: WorkshopOption = None, as_json: JsonOption = False) -> None:
        with open_workshop(workshop) as kept:
            _tell(kind, kept.restore(_kind(kind), name), as_json, "Restored")

    return restore


def _history(kind: str) -> Callable[..., None]:
    def history(name: _NAME, workshop: WorkshopOption = None, as_json: JsonOption = False) -> None:
        from loosewell.faces.cli import show

        with open_workshop(workshop) as kept:
            versions = kept.history(_kind(kind), name)
        if as_json:
            print_json([show.version_json(one) for one in versions])
        else:
            print("\n".join(show.history_lines(kind, versions)))

    return history


def _tell(kind: str, kept: Any, as_json: bool, done: str) -> None:
    from loosewell.faces.cli import show

    if as_json:
        print_json(show.kept_json(kind, kept))
        return
    print(f"{done}: {kind} {kept.record.name} (version {kept.version}).")


def _typed(kind: str, given: dict[str, Any], *, length_in: float | None) -> dict[str, Any]:
    from loosewell import units
    from loosewell.faces.cli import typed

    fields = typed.record_fields(FIELDS[kind], given)
    lone = given.get("diameter") if kind == "shaft" else None
    if lone is not None:
        length = fields.get("length_in", length_in)
        if length is None:
            raise MissingRefusal(
                "A diameter was given without the length of the shaft. Give --length too, or say "
                'where it was measured: --diameter-at "11/32 in @ 16 in".',
                code="missing-length",
            )
        station = {
            "station_in": 0.5 * length,
            "diameter_in": units.quantity(lone, "in", what="The diameter"),
        }
        fields["stations"] = [*fields.get("stations", []), station]
    # A person names places in any order; a record wants them from the nock end forward.
    for head in fields.keys() & _PLACES.keys():
        fields[head] = _in_order(fields[head], _PLACES[head])
    return fields


def _in_order(along: Any, start: str) -> list[Any]:
    def place(one: Any) -> Any:
        found = _part_of(one, start)
        return str(found).strip() if start == "on" else float(found)

    return sorted(along, key=place)


def _added(head: str, already: Any, more: list[Any]) -> list[Any]:
    """The readings on record and the ones given now, as the record wants them."""
    once = _ONCE.get(head)
    if once is not None:
        again = {str(_part_of(one, once)).casefold() for one in more}
        already = [one for one in already if str(_part_of(one, once)).casefold() not in again]
    both = [*already, *more]
    return _in_order(both, _PLACES[head]) if head in _PLACES else both


def _part_of(one: Any, field: str) -> Any:
    return one[field] if isinstance(one, dict) else getattr(one, field)


def _forgotten(kind: str, record: Any, names: list[str]) -> dict[str, Any]:
    """Field values that make the named options unknown again."""
    gone: dict[str, Any] = {}
    for name in names:
        plain = name.strip().lstrip("-").replace("_", "-")
        field = next((one for one in FIELDS[kind] if plain in (one.plain, one.path)), None)
        head = plain.replace("-", "_")
        parted = _without_part(kind, record, gone, name)
        if parted is not None:
            gone.update(parted)
        elif kind == "set" and plain.lower().startswith("member "):
            gone["members"] = _without_member(record, gone.get("members"), name)
        elif field is not None and "." in field.path:
            head, _, part = field.path.partition(".")
            nested = gone.get(head, getattr(record, head))
            if nested is not None:
                old = nested if isinstance(nested, dict) else nested.model_dump()
                gone[head] = {**old, part: () if field.repeats else None}
        elif field is not None:
            gone[field.path] = () if field.repeats else None
            if field.path == "invented":
                gone[field.path] = False
        elif any(one.path.startswith(f"{head}.") for one in FIELDS[kind]):
            gone[head] = None
        else:
            known = ", ".join(one.plain for one in FIELDS[kind])
            raise MissingRefusal(
                f"'{name[:40]}' is nothing {_AN[kind]} could forget. --forget takes one of: "
                f"{known}.",
                code="unknown-field",
            )
    return gone


def _without_part(kind: str, record: Any, gone: dict[str, Any], name: str) -> dict[str, Any] | None:
    """A class without one person, bow, set or arrow; None where none is named."""
    if kind != "class":
        return None
    from loosewell.faces.cli import class_

    return class_.without(record, gone, name)


def plural(kind: str) -> str:
    """The word for several of a kind."""
    return "classes" if kind == "class" else f"{kind}s"


def _without_member(record: Any, already: Any, name: str) -> tuple[Any, ...]:
    """The members of a set but one, which is named after the word member."""
    shaft = name.strip().lstrip("-").split(maxsplit=1)[1]
    members = record.members if already is None else already
    left = tuple(one for one in members if one.shaft.casefold() != shaft.casefold())
    if len(left) == len(members):
        known = ", ".join(one.shaft for one in members) or "none"
        raise MissingRefusal(
            f"The set {record.name} has no shaft called '{shaft[:40]}'. Its shafts are: {known}.",
            code="unknown-member",
        )
    return left


def _kind(kind: str) -> Any:
    return cast(Any, kind)


def _options(kind: str) -> list[inspect.Parameter]:
    options = [_option(field) for field in FIELDS[kind]]
    if kind == "shaft":
        text = 'Diameter at the middle of the shaft, short for --diameter-at: "11/32 in".'
        options.append(
            _parameter("diameter", str | None, typer.Option("--diameter", metavar="IN", help=text))
        )
    return options


def _option(field: Field) -> inspect.Parameter:
    kind: Any = list[str] | None if field.repeats else str | None
    shown = field.takes.upper().replace(" ", "-")
    return _parameter(
        field.plain.replace("-", "_"),
        kind,
        typer.Option(field.flag, metavar=shown, help=field.help),
    )


def _parameter(name: str, kind: Any, option: Any) -> inspect.Parameter:
    return inspect.Parameter(
        name,
        inspect.Parameter.KEYWORD_ONLY,
        default=None,
        annotation=Annotated[kind, option],
    )


def _named() -> inspect.Parameter:
    return inspect.Parameter("name", inspect.Parameter.KEYWORD_ONLY, annotation=_NAME)


def _shared() -> list[inspect.Parameter]:
    return [
        inspect.Parameter(
            "workshop", inspect.Parameter.KEYWORD_ONLY, default=None, annotation=WorkshopOption
        ),
        inspect.Parameter(
            "as_json", inspect.Parameter.KEYWORD_ONLY, default=False, annotation=JsonOption
        ),
    ]


def _dressed(
    command: Callable[..., None], parameters: list[inspect.Parameter]
) -> Callable[..., None]:
    """The command with the options it really takes, for typer to read."""
    command.__signature__ = inspect.Signature(parameters)  # type: ignore[attr-defined]
    command.__annotations__ = {one.name: one.annotation for one in parameters}
    return command
