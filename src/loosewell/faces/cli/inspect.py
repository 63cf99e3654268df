"""Fit to shoot: ``inspect`` shows the checklist, records what was found, and lists who waits."""

from __future__ import annotations

import datetime
import re
from typing import TYPE_CHECKING, Annotated, Any

import typer

from loosewell.errors import BoundRefusal, MissingRefusal, NotFoundRefusal
from loosewell.faces.cli.common import JsonOption, WorkshopOption, open_workshop, print_json

if TYPE_CHECKING:
    from loosewell.records.arrow import Arrow
    from loosewell.records.shaft import Inspection
    from loosewell.workshop.inspection import Due, Look, Seen
    from loosewell.workshop.keep import Kept, Workshop

_FOUND = re.compile(r"(fine|fault|not\s+looked\s+at)(?:\s*[:;,]\s*(.*))?", re.IGNORECASE)
_AGE = re.compile(r"([0-9]+(?:[.,][0-9]+)?)\s*(days?|weeks?|months?|years?)", re.IGNORECASE)
_DAYS = {"day": 1.0, "week": 7.0, "month": 30.0, "year": 365.0}


def _found(what: str) -> Any:
    text = f"{what.capitalize()}: fine, fault or 'not looked at', with a note after a colon."
    return typer.Option(f"--{what}", metavar="FOUND", help=text)


def register(app: typer.Typer) -> None:
    """The command inspect, hung into the app."""
    app.command("inspect")(inspect)


def inspect(
    name: Annotated[
        str | None, typer.Argument(metavar="SHAFT", help="Name of a shaft, or of its arrow.")
    ] = None,
    by: Annotated[str | None, typer.Option("--by", help="Who looked it over.")] = None,
    on: Annotated[
        str | None, typer.Option("--on", metavar="DAY", help="The day, year-month-day.")
    ] = None,
    run_out: Annotated[str | None, _found("run-out")] = None,
    straightness: Annotated[str | None, _found("straightness")] = None,
    knots: Annotated[str | None, _found("knots")] = None,
    cracks: Annotated[str | None, _found("cracks")] = None,
    dents: Annotated[str | None, _found("dents")] = None,
    nock: Annotated[str | None, _found("nock")] = None,
    point: Annotated[str | None, _found("point")] = None,
    fletching: Annotated[str | None, _found("fletching")] = None,
    binding: Annotated[str | None, _found("binding")] = None,
    joint: Annotated[str | None, _found("joint")] = None,
    note: Annotated[str | None, typer.Option("--note", help="What else was seen or done.")] = None,
    due: Annotated[
        bool, typer.Option("--due", help="List the shafts that must be looked over.")
    ] = False,
    older_than: Annotated[
        str, typer.Option("--older-than", metavar="TIME", help="With --due: how old is too old.")
    ] = "180 days",
    workshop: WorkshopOption = None,
    as_json: JsonOption = False,
) -> None:
    """Look a shaft over: the checklist for its kind, the record of who found what, who is due.

    With --by, --on and a finding for each check it is recorded: any fault fails, anything not
    looked at does not pass. A shaft that has not passed is never offered by a match. No record
    makes a shaft sound: look at it again before every shoot.
    """
    findings = {
        what: _finding(what, typed)
        for what, typed in (
            ("run-out", run_out),
            ("straightness", straightness),
            ("knots", knots),
            ("cracks", cracks),
            ("dents", dents),
            ("nock", nock),
            ("point", point),
            ("fletching", fletching),
            ("binding", binding),
            ("joint", joint),
        )
        if typed is not None
    }
    telling = bool(findings) or any(one is not None for one in (by, on, note))
    if due:
        if name is not None or telling:
            raise BoundRefusal(
                "--due lists the whole rack and takes neither a name nor a finding. Leave it out "
                "to look over one shaft.",
                code="due-alone",
            )
        days = _age(older_than)
        with open_workshop(workshop) as kept:
            _list_due(kept, days, as_json)
        return
    if name is None:
        raise MissingRefusal(
            "Name the shaft: loosewell inspect SHAFT shows what to look at; loosewell inspect "
            "--due lists the shafts that wait.",
            code="missing-name",
        )
    if telling:
        missing = [
            f"{word} ({flag})"
            for word, flag, told in (
                ("who looked", "--by NAME", by),
                ("the day", "--on YEAR-MONTH-DAY", on),
            )
            if told is None
        ]
        if missing:
            raise MissingRefusal(
                "An inspection is recorded with its day and its person. Give "
                f"{' and '.join(missing)} too.",
                code="missing-who-when",
            )
    with open_workshop(workshop) as kept:
        shaft, arrow = _asked(kept, name)
        if telling:
            assert by is not None
            assert on is not None
            _record(kept, shaft, arrow, findings, by, on, note, as_json)
        else:
            _show(kept, shaft, arrow, as_json)


def _asked(kept: Workshop, name: str) -> tuple[Kept, Arrow | None]:
    """The shaft of that name, or the one under the arrow of that name."""
    from loosewell.records.arrow import Arrow

    arrows = [one.record for one in kept.list("arrow")]
    try:
        shaft = kept.get("shaft", name)
    except NotFoundRefusal:
        named = [one for one in arrows if " ".join(name.split()).casefold() == one.name.casefold()]
        if not named:
            raise
        assert isinstance(named[0], Arrow)
        shaft = kept.get("shaft", named[0].shaft)
    for one in arrows:
        assert isinstance(one, Arrow)
        if one.shaft == shaft.record.name:
            return shaft, one
    return shaft, None


def _record(
    kept: Workshop,
    shaft: Kept,
    arrow: Arrow | None,
    findings: dict[str, tuple[str, str | None]],
    by: str,
    on: str,
    note: str | None,
    as_json: bool,
) -> None:
    from loosewell.records.shaft import Inspection, Shaft
    from loosewell.workshop import inspection

    assert isinstance(shaft.record, Shaft)
    # The day is read by the record itself, which knows how to refuse one.
    day = Inspection.model_validate({"result": "incomplete", "on": on}).on
    seen = inspection.inspected(shaft.record, arrow, findings, by=by, on=day, note=note)
    version = inspection.record(kept, shaft.record, seen, shaft.version)
    if as_json:
        print_json(
            {
                "shaft": shaft.record.name,
                "version": version,
                "inspection": seen.model_dump(mode="json"),
                "offered_by_a_match": seen.result == "passed",
            }
        )
        return
    print(f"Recorded: shaft {shaft.record.name}, {_seen_text(seen)} (version {version}).")
    if seen.result == "failed":
        _wrapped("Do not shoot it: no match offers it any more. " + inspection.BREAK_IT)
    elif seen.result == "incomplete":
        print("Not finished, so no match offers it. Look at the rest and record it again.")
    else:
        print("A match may offer it. Look at it again before every shoot and after every hard hit.")


def _show(kept: Workshop, shaft: Kept, arrow: Arrow | None, as_json: bool) -> None:
    from loosewell.records.shaft import Shaft
    from loosewell.workshop import inspection

    record = shaft.record
    assert isinstance(record, Shaft)
    looks = inspection.checklist(record, arrow)
    past = inspection.past(kept.history("shaft", record.name))
    if as_json:
        print_json(
            {
                "shaft": record.name,
                "arrow": None if arrow is None else arrow.name,
                "checklist": [vars(one) for one in looks],
                "inspection": record.inspection and record.inspection.model_dump(mode="json"),
                "inspections": [
                    {
                        **one.inspection.model_dump(mode="json"),
                        "version": one.version,
                        "recorded_at": one.recorded_at.isoformat(),
                    }
                    for one in past
                ],
                "again_after": list(inspection.AGAIN_AFTER),
            }
        )
        return
    _print_checklist(record.name, record.kind, shaft.retired, arrow, looks)
    _print_past(record.inspection, past)
    print()
    _wrapped("Look again after " + "; after ".join(inspection.AGAIN_AFTER) + ".")
    _wrapped(inspection.BREAK_IT)
    print("All of this is common practice, no source; no record here makes a shaft sound.")
    print()
    print("Record what you find:")
    options = " ".join(f"--{one.what} fine" for one in looks)
    print(f"  loosewell inspect '{record.name}' --by YOU --on YEAR-MONTH-DAY {options}")
    print("  or 'fault: what you saw', or 'not looked at', which does not pass.")


def _print_checklist(
    name: str, kind: str | None, retired: bool, arrow: Arrow | None, looks: list[Look]
) -> None:
    import textwrap

    built = "bare, no arrow is built on it" if arrow is None else f"arrow {arrow.name} is on it"
    state = ", retired" if retired else ""
    print(f"Shaft {name} ({kind or 'kind not known'}{state}; {built}). Look at:")
    wide = max(len(one.what) for one in looks)
    for one in looks:
        for lead, text in ((one.what, one.look_for), ("", f"How: {one.how}.")):
            lines = textwrap.wrap(text, 96 - wide)
            print(f"  {lead:<{wide}}  {lines[0]}")
            for more in lines[1:]:
                print(f"  {'':<{wide}}  {more}")


def _print_past(now: Inspection | None, past: list[Seen]) -> None:
    print()
    if not past:
        print("Nobody has looked it over yet, so no match offers it.")
        return
    print(
        "Looked over, the newest first; the first line is what counts:"
        if now is not None
        else "Looked over before, but its inspection was taken back, so no match offers it:"
    )
    for one in reversed(past):
        print(f"  {_seen_text(one.inspection)}")
        for check in one.inspection.checks:
            if check.finding != "fine" or check.note:
                print(
                    f"    {check.what} {check.finding}" + (f": {check.note}" if check.note else "")
                )
        if one.inspection.note:
            print(f"    {one.inspection.note}")


def _seen_text(seen: Inspection) -> str:
    who = "nobody is named" if seen.by is None else f"by {seen.by}"
    fine = sum(one.finding == "fine" for one in seen.checks)
    checks = f"{fine} of {len(seen.checks)} checks fine" if seen.checks else "no checklist recorded"
    return f"{seen.on.isoformat()}, {who}: {seen.result} ({checks})"


def _list_due(kept: Workshop, days: float, as_json: bool) -> None:
    from loosewell.records.arrow import Arrow
    from loosewell.records.shaft import Shaft
    from loosewell.workshop import inspection

    shafts = [one.record for one in kept.list("shaft") if isinstance(one.record, Shaft)]
    arrows = [one.record for one in kept.list("arrow") if isinstance(one.record, Arrow)]
    today = datetime.datetime.now(datetime.UTC).astimezone().date()
    found = inspection.due(shafts, arrows, today, days)
    if as_json:
        print_json(
            {
                "today": today.isoformat(),
                "older_than_days": days,
                "shafts_on_the_rack": len(shafts),
                "due": [
                    {**vars(one), "on": None if one.on is None else one.on.isoformat()}
                    for one in found
                ],
                "again_after": list(inspection.AGAIN_AFTER),
            }
        )
        return
    _print_due(found, len(shafts), days)
    _wrapped("Look again after " + "; after ".join(inspection.AGAIN_AFTER) + ".")
    print("The file cannot know of these: only its days are counted here.")


def _print_due(found: list[Due], count: int, days: float) -> None:
    if not count:
        print("No shafts are on the rack.")
        return
    if not found:
        print(f"All {count} shafts on the rack passed within the last {days:g} days.")
    heads = {
        "failed": "Failed: do not shoot",
        "never inspected": "Never inspected",
        "not finished": "Inspection not finished",
        "built on since": "Passed, but not for all that is on it now",
        "due again": f"Due again: older than {days:g} days",
    }
    wide = max((len(_due_name(one)) for one in found), default=0)
    for state, head in heads.items():
        group = [one for one in found if one.state == state]
        if group:
            print(f"{head} ({len(group)} of {count} shafts)")
        for one in group:
            seen = (
                "" if one.on is None else f"; {one.on.isoformat()}, {one.by or 'nobody is named'}"
            )
            print(f"  {_due_name(one):<{wide}}  {one.why}{seen}")
    print()


def _wrapped(text: str) -> None:
    import textwrap

    print("\n".join(textwrap.wrap(text, 98)))


def _due_name(one: Due) -> str:
    return one.shaft if one.arrow is None else f"{one.shaft} (arrow {one.arrow})"


def _finding(what: str, typed: str) -> tuple[str, str | None]:
    named = _FOUND.fullmatch(" ".join(typed.split()))
    if named is None:
        raise BoundRefusal(
            f"What was found in {what} was given as '{typed[:40]}'. Say fine, fault or 'not looked "
            "at', with a note after a colon: 'fault: hairline at 3 in'.",
            code="choice-finding",
        )
    return " ".join(named[1].lower().split()), named[2] or None


def _age(typed: str) -> float:
    named = _AGE.fullmatch(" ".join(typed.split()))
    days = 0.0
    if named is not None:
        days = float(named[1].replace(",", ".")) * _DAYS[named[2].lower().rstrip("s")]
    if not 1.0 <= days <= 36500.0:
        raise BoundRefusal(
            f"--older-than was given as '{typed[:40]}'. Give a time with its unit, from 1 day up, "
            "such as '180 days', '8 weeks' or '1 year'.",
            code="unreadable-older-than",
        )
    return days
