"""What every record shares: frozen, strict, unknown is None, and refusals in sentences."""

from __future__ import annotations

import datetime
import re
import unicodedata
from collections.abc import Callable
from typing import Annotated, Any

from pydantic import (
    AfterValidator,
    BaseModel,
    BeforeValidator,
    ConfigDict,
    Field,
    ModelWrapValidatorHandler,
    ValidationError,
    model_validator,
)

from loosewell.errors import BoundRefusal, MissingRefusal, Refusal
from loosewell.records import bounds

# Strict: text never becomes a number here, because text without a unit must be refused before.
Number = Annotated[float, Field(strict=True, allow_inf_nan=False)]

NAME_LENGTH = 80
REMARKS_LENGTH = 4000
_DAY = re.compile(r"[0-9]{4}-[0-9]{2}-[0-9]{2}")
# Nested records whose bounds stand under a shorter name.
_SHORT_KIND = {
    "draw reading": "reading",
    "speed reading": "speed",
    "diameter station": "station",
    "bench reading": "bench",
    "extra part": "part",
    "set member": "member",
    "arrow set": "set",
    "shot seen": "shot",
    "class roster": "class",
    "range rule": "rule",
    "bow string": "string",
    "break sample": "sample",
}


def within(key: str) -> Any:
    """A validator that holds a number against its bound."""

    def hold(value: float) -> float:
        return bounds.check(value, key)

    return AfterValidator(hold)


def _one_line(said: str, longest: int) -> Callable[[str], str]:
    def clean(text: str) -> str:
        tidy = " ".join(plain_text(text, said).split())
        if not tidy:
            raise MissingRefusal(f"{said} is empty. Give it at least one letter.", code="empty")
        if len(tidy) > longest:
            raise BoundRefusal(
                f"{said} has {len(tidy)} letters; at most {longest} are accepted. "
                "Put the rest into the remarks.",
                code="too-long",
            )
        return tidy

    return clean


def _name(text: str) -> str:
    tidy = _one_line("Name", NAME_LENGTH)(text)
    if tidy.startswith("-"):
        raise BoundRefusal(
            f"Name '{tidy}' begins with a dash, which a command would take for an option. "
            "Begin it with a letter or a digit.",
            code="name-dash",
        )
    return tidy


def _remarks(text: str | None) -> str | None:
    if text is None:
        return None
    tidy = plain_text(text, "Remarks").strip()
    if len(tidy) > REMARKS_LENGTH:
        raise BoundRefusal(
            f"Remarks have {len(tidy)} letters; at most {REMARKS_LENGTH} are accepted. "
            "Keep the rest in a file of its own.",
            code="too-long",
        )
    return tidy or None


def _day(value: object) -> object:
    """A calendar day; a bare number, which would pass for a time stamp, is refused."""
    day = value
    if isinstance(value, str):
        text = value.strip()
        try:
            day = datetime.date.fromisoformat(text) if _DAY.fullmatch(text) else None
        except ValueError:
            day = None
    if not isinstance(day, datetime.date) or isinstance(day, datetime.datetime):
        shown = str(value)
        raise BoundRefusal(
            f"A day was given as '{shown if len(shown) <= 40 else shown[:37] + '...'}', which is "
            "not a day of the calendar. Write year-month-day, such as 2024-05-31.",
            code="day-unreadable",
        )
    if not 1900 <= day.year <= 2200:
        raise BoundRefusal(
            f"The day {day.isoformat()} is outside the years 1900 to 2200. Write "
            "year-month-day, such as 2024-05-31.",
            code="day-outside",
        )
    return day


def plain_text(text: str, said: str) -> str:
    """Text that a file, a page and a printer can all hold: composed letters, no control codes."""
    plain = unicodedata.normalize("NFC", text.replace("\r\n", "\n").replace("\r", "\n"))
    for letter in plain:
        if letter != "\n" and unicodedata.category(letter) in ("Cc", "Cs"):
            raise BoundRefusal(
                f"{said} holds a character that cannot be printed (code {ord(letter)}). "
                "Type it again in plain letters.",
                code="unprintable",
            )
    return plain


Name = Annotated[str, Field(strict=True), AfterValidator(_name)]
ShortText = Annotated[str, Field(strict=True), AfterValidator(_one_line("This text", 200))]
Remarks = Annotated[str | None, Field(strict=True), AfterValidator(_remarks)]
Day = Annotated[datetime.date, BeforeValidator(_day)]

_SPOKEN = {
    ("inspection", "on"): "The day",
    ("inspection", "result"): "The result (passed, failed or incomplete)",
    ("check", "what"): "What was checked",
    ("check", "finding"): "What the check found",
    ("weighing", "on"): "The day of the weighing",
    ("break sample", "of"): "What broke (strand, ply or string)",
    ("jig", "reads"): "What the deflection is read with",
    ("range rule", "what"): "What the rule is about",
    ("range rule", "on"): "The day of the rule",
    ("class roster", "on"): "The day of the class",
    ("fletching", "material"): "The material (feather, vane, tape or none)",
}


class Record(BaseModel):
    """A validated state of one thing, in trade units.

    Frozen. A value of None means unknown, and unknown is never zero. A value
    that cannot be taken raises a refusal from ``loosewell.errors``.
    """

    model_config = ConfigDict(frozen=True, extra="forbid", str_strip_whitespace=False)

    @model_validator(mode="wrap")
    @classmethod
    def _speak(cls, data: Any, handler: ModelWrapValidatorHandler[Any]) -> Any:
        try:
            return handler(data)
        except ValidationError as error:
            raise _refusal(cls, error) from None


def said(kind: str, field: str) -> str:
    """The name people use for a field: "Brace height" for brace_height_in."""
    bound = bounds.BOUNDS.get(f"{_SHORT_KIND.get(kind, kind)}.{field}")
    if bound is not None:
        return bound.said
    if (kind, field) in _SPOKEN:
        return _SPOKEN[kind, field]
    words = field
    for tail in ("_in", "_gr", "_lb", "_fps", "_deg", "_yd", "_percent", "_deg_per_ftlb", "_hz"):
        words = words.removesuffix(tail)
    return words.replace("_", " ").capitalize()


def _refusal(cls: type[BaseModel], error: ValidationError) -> Refusal:
    """The first complaint of the validator as a sentence."""
    # DrawReading is spoken of as a draw reading.
    kind = "".join(f" {c.lower()}" if c.isupper() else c for c in cls.__name__).strip()
    first = error.errors(include_url=False)[0]
    place = [str(part) for part in first["loc"]]
    field = place[0] if place else kind
    name = said(kind, field)
    given = first.get("input")
    shown = f"'{given}'" if isinstance(given, str) else repr(given)
    shown = shown if len(shown) <= 60 else shown[:57] + "..."
    if first["type"] == "missing":
        return MissingRefusal(
            f"{name} is missing for this {kind}. Give it.", code=f"missing-{field}"
        )
    if first["type"] == "extra_forbidden":
        return BoundRefusal(
            f"A {kind} has no field called '{field}'. Leave it out, or put it into the remarks.",
            code="unknown-field",
        )
    if first["type"] == "literal_error":
        choices = first.get("ctx", {}).get("expected", "")
        return BoundRefusal(
            f"{name} was given as {shown}. Accepted are {choices}."
            + (
                ""
                if field in ("hand", "result", "what", "finding")
                else " Leave it out when it is not known."
            ),
            code=f"choice-{field}",
        )
    return BoundRefusal(
        f"{name} was given as {shown}, which cannot be taken: "
        f"{first['msg'][:1].lower()}{first['msg'][1:]}. Type it again.",
        code=f"unreadable-{field}",
    )
