"""Values as typed on the command line, read into what the records take."""

from __future__ import annotations

import re
from collections.abc import Mapping
from typing import Any

from loosewell import units
from loosewell.errors import BoundRefusal, MissingRefusal, UnitRefusal
from loosewell.faces.cli.fields import Field

_PLUS_MINUS = re.compile(r"\s*(?:±|\+/-|\+-)\s*")
_AT = re.compile(r"\s*@\s*|\s+at\s+")
_WITH = re.compile(r"\s+with\s+")
_BY = re.compile(r"\s*[x×]\s*")
# Between two parts of a joint or a section, but not inside a number with a decimal comma.
_NEXT = re.compile(r"\s*(?:;|(?<![0-9]),|,(?![0-9]))\s*")
_JOINT_WORD = re.compile(
    r"(at|sleeve|weight|mass|stiffness|give|play)\b\s*[:=]?\s*|(@)\s*", re.IGNORECASE
)
_SECTION_WORD = re.compile(r"(weight|mass|stiffness)\b\s*[:=]?\s*", re.IGNORECASE)
_FROM_TO = re.compile(r"(?:from\s+)?(.+?)\s+to\s+(.+)", re.IGNORECASE)
_JOINT_EXAMPLE = '"at 10 in, sleeve 2 in, 45 gr, stiffness 150 %, play 0.2 deg"'
_SECTION_EXAMPLE = '"from 20 in to 28 in, hickory, stiffness 130 %"'
_BENCH_WORD = re.compile(r"(?:^|[,;]?\s*)\b(span|load|deflection|error|rotation)\b\s*[:=]?\s*")


def value(field: Field, text: str) -> Any:
    """One option's text as the record takes it."""
    if field.takes in ("text", "day"):
        return text
    if field.takes == "choice":
        return _choice(field, text)
    if field.takes == "yes-no":
        return _yes_no(field, text)
    if field.takes == "count":
        return _count(field, text)
    if field.takes == "draw reading":
        return draw_reading(text)
    if field.takes == "speed reading":
        return speed_reading(text)
    if field.takes == "station":
        return station(text)
    if field.takes == "bench reading":
        return bench_reading(text)
    if field.takes == "joint":
        return joint(text)
    if field.takes == "section":
        return section(text)
    return units.quantity(text, field.takes, what=_what(field))


def draw_reading(text: str) -> dict[str, float]:
    """A draw weight and its draw from "50 lb @ 28 in" or "50 lb +- 1 lb @ 28 in"."""
    weight, draw = _halves(text, "A draw weight", "50 lb @ 28 in")
    found = {}
    for half, field, what in (
        (weight, "weight_lb", "The draw weight"),
        (draw, "draw_in", "The draw of the reading"),
    ):
        number, *error = _PLUS_MINUS.split(half)
        unit = field.rsplit("_", 1)[1]
        found[field] = units.quantity(number, unit, what=what)
        if len(error) > 1 or (error and "weight_error_lb" in found):
            raise UnitRefusal(
                f"A draw weight was given as '{text[:60]}', with more than one error. "
                'Type it as "50 lb +- 1 lb @ 28 in".',
                code="reading-unreadable",
            )
        if error:
            found["weight_error_lb"] = units.quantity(
                error[0], "lb", what="The error of the draw weight"
            )
    return found


def speed_reading(text: str) -> dict[str, float]:
    """A speed, its draw and its arrow from "150 fps @ 28 in with 500 gr"."""
    speed, rest = _halves(text, "A speed", "150 fps @ 28 in with 500 gr")
    draw, *arrow = _WITH.split(rest)
    if len(arrow) != 1:
        raise MissingRefusal(
            f"A speed was given as '{text[:60]}', without the mass of the arrow. "
            'Type it as "150 fps @ 28 in with 500 gr".',
            code="reading-incomplete",
        )
    return {
        "speed_fps": units.quantity(speed, "fps", what="The speed"),
        "draw_in": units.quantity(draw, "in", what="The draw of the speed reading"),
        "arrow_weight_gr": units.quantity(arrow[0], "gr", what="The mass of the arrow"),
    }


def station(text: str) -> dict[str, float]:
    """A diameter and its station from "11/32 in @ 16 in" or "0.344 in x 0.340 in @ 16 in"."""
    across, place = _halves(text, "A diameter", "11/32 in @ 16 in")
    first, *second = _BY.split(across)
    if len(second) > 1:
        raise UnitRefusal(
            f"A diameter was given as '{text[:60]}', with more than two diameters at one place. "
            'Type it as "0.344 in x 0.340 in @ 16 in".',
            code="reading-unreadable",
        )
    found = {
        "station_in": units.quantity(place, "in", what="The station of the diameter"),
        "diameter_in": units.quantity(first, "in", what="The diameter"),
    }
    if second:
        found["across_in"] = units.quantity(second[0], "in", what="The diameter across")
    return found


def bench_reading(text: str) -> dict[str, float]:
    """A bench reading from "span 26 in, load 2 lb, deflection 0.52 in"."""
    before, *rest = _BENCH_WORD.split(text.strip().lower())
    pairs = list(zip(rest[::2], rest[1::2], strict=True))
    words = [word for word, _ in pairs]
    if before.strip(" ,;") or len(set(words)) != len(words):
        raise UnitRefusal(
            f"A bench reading was given as '{text[:60]}', which could not be read. "
            'Type it as "span 26 in, load 2 lb, deflection 0.52 in".',
            code="reading-unreadable",
        )
    missing = [word for word in ("span", "load", "deflection") if word not in words]
    if missing:
        raise MissingRefusal(
            f"A bench reading was given as '{text[:60]}', without its {' and '.join(missing)}. "
            'A deflection means nothing without its span and its load: type "span 26 in, load '
            '2 lb, deflection 0.52 in".',
            code="reading-incomplete",
        )
    fields = {
        "span": ("span_in", "in", "The span"),
        "load": ("load_lb", "lb", "The load"),
        "deflection": ("deflection_in", "in", "The deflection"),
        "error": ("deflection_error_in", "in", "The error of the deflection"),
        "rotation": ("rotation_deg", "deg", "The rotation"),
    }
    found = {}
    for word, typed in pairs:
        field, unit, what = fields[word]
        found[field] = units.quantity(typed.strip().strip(",;"), unit, what=what)
    return found


def joint(text: str) -> dict[str, float]:
    """A joint from "at 10 in, sleeve 2 in, 45 gr, stiffness 150 %, play 0.2 deg"."""
    fields = {
        "at": ("station_in", "in", "The station of the joint"),
        "sleeve": ("sleeve_length_in", "in", "The length of the sleeve"),
        "weight": ("sleeve_weight_gr", "gr", "The mass of the sleeve"),
        "stiffness": ("stiffness_percent", "percent", "The stiffness of the jointed stretch"),
        "give": ("give_deg_per_ftlb", "deg_per_ftlb", "The give of the joint"),
        "play": ("play_deg", "deg", "The play of the joint"),
    }
    found: dict[str, float] = {}
    for part in filter(None, _NEXT.split(text.strip())):
        named = _JOINT_WORD.match(part)
        # A part without its word is the mass, the one thing here that is weighed.
        word, typed = "weight", part
        if named is not None:
            word, typed = (named[1] or "at").lower(), part[named.end() :]
        field, unit, what = fields["weight" if word == "mass" else word]
        if field in found:
            raise _twice("A joint", text, what, _JOINT_EXAMPLE)
        found[field] = units.quantity(typed, unit, what=what)
    if "station_in" not in found:
        raise MissingRefusal(
            f"A joint was given as '{text[:60]}', without the place where it is. "
            f"Type it as {_JOINT_EXAMPLE}.",
            code="reading-incomplete",
        )
    return found


def section(text: str) -> dict[str, Any]:
    """A section from "from 20 in to 28 in, hickory, stiffness 130 %"."""
    stretch, *parts = _NEXT.split(text.strip())
    ends = _FROM_TO.fullmatch(stretch)
    if ends is None:
        raise MissingRefusal(
            f"A section was given as '{text[:60]}', without the stretch it fills. "
            f"Type it as {_SECTION_EXAMPLE}, both from the nock end.",
            code="reading-incomplete",
        )
    found: dict[str, Any] = {
        "from_in": units.quantity(ends[1], "in", what="The start of the section"),
        "to_in": units.quantity(ends[2], "in", what="The end of the section"),
    }
    for part in filter(None, parts):
        named = _SECTION_WORD.match(part)
        if named is not None and named[1].lower() == "stiffness":
            field, what = "stiffness_percent", "The stiffness of the section"
            read: Any = units.quantity(part[named.end() :], "percent", what=what)
        elif named is not None or part[:1].isdigit():
            field, what = "weight_gr", "The mass of the section"
            read = units.quantity(part[named.end() if named else 0 :], "gr", what=what)
        else:
            field, what, read = "material", "The material of the section", part
        if field in found:
            raise _twice("A section", text, what, _SECTION_EXAMPLE)
        found[field] = read
    return found


def record_fields(fields: tuple[Field, ...], given: Mapping[str, Any]) -> dict[str, Any]:
    """The options that were given, as fields of the record; nested ones as dictionaries."""
    found: dict[str, Any] = {}
    for field in fields:
        typed = given.get(field.plain.replace("-", "_"))
        if typed is None or typed == []:
            continue
        read = [value(field, one) for one in typed] if field.repeats else value(field, typed)
        head, _, part = field.path.partition(".")
        if part:
            found.setdefault(head, {})[part] = read
        else:
            found[head] = read
    return found


def _what(field: Field) -> str:
    return field.said or field.plain.replace("-", " ").capitalize()


def _twice(thing: str, text: str, what: str, example: str) -> UnitRefusal:
    return UnitRefusal(
        f"{thing} was given as '{text[:60]}', which says {what[:1].lower()}{what[1:]} twice. "
        f"Type it as {example}.",
        code="reading-unreadable",
    )


def _halves(text: str, what: str, example: str) -> tuple[str, str]:
    halves = _AT.split(text.strip())
    if len(halves) != 2:
        raise MissingRefusal(
            f"{what} was given as '{text[:60]}', and it must say where it was read. "
            f'Type it as "{example}".',
            code="reading-incomplete",
        )
    return halves[0], halves[1]


def _choice(field: Field, text: str) -> str:
    plain = " ".join(text.split()).casefold()
    for candidate in (plain, plain.replace("-", " ")):
        if candidate in field.choices:
            return candidate
    raise BoundRefusal(
        f"{_what(field)} was given as '{text[:40]}'. Accepted are {', '.join(field.choices)}."
        + ("" if field.path == "hand" else " Leave it out when it is not known."),
        code=f"choice-{field.path}",
    )


def _yes_no(field: Field, text: str) -> bool:
    plain = text.strip().casefold()
    if plain in ("yes", "y", "true"):
        return True
    if plain in ("no", "n", "false"):
        return False
    raise BoundRefusal(
        f"{_what(field)} was given as '{text[:40]}'. Say yes or no, or leave it out when it is "
        "not known.",
        code=f"choice-{field.path}",
    )


def _count(field: Field, text: str) -> int:
    if re.fullmatch(r"[0-9]{1,4}", text.strip()):
        return int(text)
    raise BoundRefusal(
        f"{_what(field)} was given as '{text[:40]}', which is not a whole number. Count them.",
        code=f"unreadable-{field.path}",
    )
