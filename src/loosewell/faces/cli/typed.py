"""Values as typed on the command line, read into what the records take."""

from __future__ import annotations

import re
from collections.abc import Callable, Mapping
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
_TAP_EXAMPLE = '"62 Hz, 171 Hz, length 32 in, mass 368 gr"'
_SAMPLE_EXAMPLE = '"52 lb, strand" or "170 lb, ply, wet, on 2026-11-01"'
_MEMBER_EXAMPLE = '"S1, nock angle 90 deg, mark red dot"'
_ON = re.compile(r"\s+on\s+", re.IGNORECASE)
# What is no number in a bench reading: the name of the jig up to the next comma, the day, and
# whether the shaft lay end for end.
_JIG_NAME = re.compile(r"[,;]?\s*\bjig\b\s*[:=]?\s*([^,;]*)", re.IGNORECASE)
_ON_DAY = re.compile(r"[,;]?\s*\bon\b\s*[:=]?\s*([^,;]*)", re.IGNORECASE)
_TURNED = re.compile(
    r"[,;]?\s*\b(?P<not>not\s+)?(?:turned(?:\s+end for end)?|end for end)\b", re.IGNORECASE
)
_TAP_WORD = re.compile(r"(length|mass|weight|damping|on|file)\b\s*[:=]?\s*", re.IGNORECASE)
_PART = re.compile(
    r"(?P<what>.*?\S)[\s,:]+(?P<mass>[+-]?[0-9.,][0-9.,/]*\s*[a-z]+\.?)\s*(?:@|\bat\b)\s*"
    r"(?P<at>[^@]+)",
    re.IGNORECASE,
)
_MEMBER_WORD = re.compile(r"((?:nock )?angle|(?:stiff side )?mark)\b\s*[:=]?\s*", re.IGNORECASE)
_CHECK = re.compile(
    r"(?P<what>[a-z]+(?:[ -]out)?)\s*[:=]?\s+(?P<finding>fine|fault|not\s+looked\s+at)"
    r"(?:\s*[:;,]\s*(?P<note>.*))?",
    re.IGNORECASE,
)
_BENCH_WORD = re.compile(
    r"(?:^|[,;]?\s*)\b(span|load|water|jug|deflection|error|rotation)\b\s*[:=]?\s*"
)


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
    if field.takes == "number":
        return _number(field, text)
    if field.takes in _READERS:
        return _READERS[field.takes](text)
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


def bench_reading(text: str) -> dict[str, Any]:
    """A bench reading from "span 26 in, load 2 lb, deflection 0.52 in, turned, jig two nails"."""
    found: dict[str, Any] = {}
    rest = text.strip()
    for field, said in (("jig", _JIG_NAME), ("on", _ON_DAY), ("turned", _TURNED)):
        named = said.search(rest)
        if named is None:
            continue
        rest = f"{rest[: named.start()]},{rest[named.end() :]}"
        found[field] = not named["not"] if field == "turned" else named[1].strip(" '\"")
    before, *parts = _BENCH_WORD.split(rest.lower())
    pairs = list(zip(parts[::2], parts[1::2], strict=True))
    words = [word for word, _ in pairs]
    if before.strip(" ,;") or len(set(words)) != len(words):
        raise UnitRefusal(
            f"A bench reading was given as '{text[:60]}', which could not be read. "
            'Type it as "span 26 in, load 2 lb, deflection 0.52 in".',
            code="reading-unreadable",
        )
    if "load" in words and "water" in words:
        raise UnitRefusal(
            f"A bench reading was given as '{text[:60]}', with a load and with water. Give the "
            "load of all that hung, or the water with its jug.",
            code="reading-unreadable",
        )
    hung = "load" if "water" not in words else "water"
    missing = [word for word in ("span", hung, "deflection") if word not in words]
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
    water, jug = None, None
    for word, typed in pairs:
        plain = typed.strip().strip(",; ")
        if word == "water":
            water = units.quantity(plain, "litre", what="The water")
        elif word == "jug":
            jug = units.quantity(plain, "lb", what="The jug")
        else:
            field, unit, what = fields[word]
            found[field] = units.quantity(plain, unit, what=what)
    if water is not None:
        from loosewell.workshop.jig import hung_water

        found["load_lb"] = round(hung_water(water, jug).load_lb, 4)
    elif jug is not None:
        raise MissingRefusal(
            f"A bench reading was given as '{text[:60]}', with a jug and no water. Type "
            '"water 0.907 L, jug 45 g".',
            code="reading-incomplete",
        )
    return found


def weighing(text: str) -> dict[str, Any]:
    """A mass and its day from "355 gr on 2026-10-02" or "23 g +- 0.1 g on 2026-10-02"."""
    mass, *day = _ON.split(text.strip())
    if len(day) != 1:
        raise MissingRefusal(
            f"A weighing was given as '{text[:60]}', and it must say on which day. "
            'Type it as "355 gr on 2026-10-02".',
            code="reading-incomplete",
        )
    number, *error = _PLUS_MINUS.split(mass)
    if len(error) > 1:
        raise UnitRefusal(
            f"A weighing was given as '{text[:60]}', with more than one error. "
            'Type it as "23 g +- 0.1 g on 2026-10-02".',
            code="reading-unreadable",
        )
    found: dict[str, Any] = {
        "on": day[0],
        "weight_gr": units.quantity(number, "gr", what="The mass at the weighing"),
    }
    if error:
        found["weight_error_gr"] = units.quantity(error[0], "gr", what="The error of the weighing")
    return found


def tap(text: str) -> dict[str, Any]:
    """A tap from "62 Hz, 171 Hz, length 32 in, mass 368 gr, damping 0.4 %"."""
    found: dict[str, Any] = {}
    frequencies: list[float] = []
    for part in filter(None, _NEXT.split(text.strip())):
        named = _TAP_WORD.match(part)
        if named is None:
            frequencies.append(units.quantity(part, "hz", what="The frequency of the tap"))
            continue
        word, typed = named[1].lower(), part[named.end() :]
        field, what = {
            "length": ("length_in", "The length of the tapped shaft"),
            "mass": ("weight_gr", "The mass of the tapped shaft"),
            "weight": ("weight_gr", "The mass of the tapped shaft"),
            "damping": ("damping_ratio", "The damping of the tap"),
            "on": ("on", "The day of the tap"),
            "file": ("file", "The recording of the tap"),
        }[word]
        if field in found:
            raise _twice("A tap", text, what, _TAP_EXAMPLE)
        if word == "damping":
            found[field] = units.quantity(typed, "percent", what=what) / 100.0
        elif word in ("on", "file"):
            found[field] = typed
        else:
            found[field] = units.quantity(typed, field.rsplit("_", 1)[1], what=what)
    missing = [] if frequencies else ["frequencies"]
    missing += [] if "length_in" in found else ["length of the shaft"]
    missing += [] if "weight_gr" in found else ["mass of the shaft"]
    if missing:
        raise MissingRefusal(
            f"A tap was given as '{text[:60]}', without the {' and the '.join(missing)}. "
            f"Type it as {_TAP_EXAMPLE}.",
            code="reading-incomplete",
        )
    return {"frequencies_hz": frequencies, **found}


def extra_part(text: str) -> dict[str, Any]:
    """A part, its mass and its place from "sleeve 12 gr @ 0.5 in"."""
    named = _PART.fullmatch(text.strip())
    if named is None:
        raise MissingRefusal(
            f"A part was given as '{text[:60]}', and it must say what it is, what it weighs and "
            'where it lies. Type it as "sleeve 12 gr @ 0.5 in", from the nock throat.',
            code="reading-incomplete",
        )
    return {
        "what": named["what"],
        "weight_gr": units.quantity(named["mass"], "gr", what="The mass of the part"),
        "at_in": units.quantity(named["at"], "in", what="The place of the part"),
    }


def member(text: str) -> dict[str, Any]:
    """A shaft of a set from "S1, nock angle 90 deg, mark red dot"."""
    shaft, *parts = _NEXT.split(text.strip())
    found: dict[str, Any] = {"shaft": shaft}
    for part in filter(None, parts):
        named = _MEMBER_WORD.match(part)
        if named is None:
            raise UnitRefusal(
                f"A shaft of the set was given as '{text[:60]}', and '{part[:30]}' could not be "
                f"read. Type it as {_MEMBER_EXAMPLE}.",
                code="reading-unreadable",
            )
        angle = "angle" in named[1].lower()
        field = "nock_angle_deg" if angle else "stiff_side_mark"
        what = "The nock angle" if angle else "The mark of the stiff side"
        if field in found:
            raise _twice("A shaft of the set", text, what, _MEMBER_EXAMPLE)
        rest = part[named.end() :]
        found[field] = units.quantity(rest, "deg", what=what) if angle else rest
    return found


def break_sample(text: str) -> dict[str, Any]:
    """A broken piece from "52 lb, strand" or "170 lb, ply, wet, on 2026-11-01"."""
    load, *parts = _NEXT.split(text.strip())
    found: dict[str, Any] = {
        "load_lb": units.quantity(load, "lb", what="The breaking load of a piece")
    }
    for part in filter(None, parts):
        word = part.strip().casefold()
        if word in ("strand", "ply", "string") and "of" not in found:
            found["of"] = word
        elif word in ("wet", "dry") and "wet" not in found:
            found["wet"] = word == "wet"
        elif word.startswith("on ") and "on" not in found:
            found["on"] = part.strip()[3:].strip()
        else:
            raise UnitRefusal(
                f"A broken piece was given as '{text[:60]}', and '{part[:30]}' could not be read. "
                f"Type it as {_SAMPLE_EXAMPLE}.",
                code="reading-unreadable",
            )
    if "of" not in found:
        raise MissingRefusal(
            f"A broken piece was given as '{text[:60]}', without saying what broke: one strand, "
            f"one ply, or a finished string. Type it as {_SAMPLE_EXAMPLE}.",
            code="reading-incomplete",
        )
    return found


def check(text: str) -> dict[str, Any]:
    """One thing looked at from "cracks fine" or "knots fault: one at 20 in"."""
    named = _CHECK.fullmatch(text.strip())
    if named is None:
        raise MissingRefusal(
            f"A check was given as '{text[:60]}', and it must say what was looked at and what was "
            'found: fine, fault or not looked at. Type it as "cracks fine" or "knots fault: one '
            'at 20 in".',
            code="reading-incomplete",
        )
    what = named["what"].lower().replace(" ", "-")
    finding = " ".join(named["finding"].lower().split())
    return {"what": what, "finding": finding, "note": named["note"] or None}


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


def class_reader(name: str) -> Callable[[str], Any]:
    """A reader of what is typed for a class, which lives with its commands."""
    from loosewell.faces.cli import class_

    found: Callable[[str], Any] = getattr(class_, name)
    return found


_READERS: dict[str, Callable[[str], Any]] = {
    "draw reading": draw_reading,
    "speed reading": speed_reading,
    "station": station,
    "bench reading": bench_reading,
    "joint": joint,
    "section": section,
    "check": check,
    "weighing": weighing,
    "tap": tap,
    "part": extra_part,
    "member": member,
    "break sample": break_sample,
    "person": class_reader("person"),
    "class name": class_reader("listed_name"),
    "range rule": class_reader("rule"),
    "holding": class_reader("holding"),
}


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


def _number(field: Field, text: str) -> float:
    plain = text.strip().replace(",", ".")
    if re.fullmatch(r"[0-9]{0,3}\.?[0-9]{1,9}", plain):
        return float(plain)
    raise BoundRefusal(
        f"{_what(field)} was given as '{text[:40]}', which is not a plain number. Type it without "
        "a unit, such as 0.97.",
        code=f"unreadable-{field.path}",
    )


def _count(field: Field, text: str) -> int:
    if re.fullmatch(r"[0-9]{1,4}", text.strip()):
        return int(text)
    raise BoundRefusal(
        f"{_what(field)} was given as '{text[:40]}', which is not a whole number. Count them.",
        code=f"unreadable-{field.path}",
    )
