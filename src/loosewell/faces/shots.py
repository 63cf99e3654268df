"""A shot as typed: "fletched, 2 in left, 1 in high, straight"."""

from __future__ import annotations

import re
from typing import TYPE_CHECKING, Any

from loosewell import units
from loosewell.errors import BoundRefusal, ContradictionRefusal, MissingRefusal, UnitRefusal

if TYPE_CHECKING:
    from loosewell.records import ShotSeen

EXAMPLE = '"bare, arrow 3, 6 in right, 2 in low, nock left, powder on the tail"'
MOST_ALIKE = 50
_NEXT = re.compile(r"\s*(?:;|(?<![0-9]),|,(?![0-9]))\s*")
_PLUS_MINUS = re.compile(r"\s*(?:±|\+/-|\+-)\s*")
_PLACE = re.compile(r"(?P<size>.*[0-9].*?)\s+(?P<way>left|right|high|low|above|below|up|down)")
_NOCK = re.compile(r"nock\s+(?P<way>left|right|high|low|straight)(?:\s+(?:by\s+)?(?P<size>.+))?")
_COUNT = re.compile(r"(?:x|×)\s*(?P<n>[0-9]{1,4})|(?P<m>[0-9]{1,4})\s+(?:times|alike)")
_ARROW = re.compile(r"arrow\s*[:=]?\s*(?P<name>.+)", re.IGNORECASE)
_ERROR = re.compile(r"(?P<what>place|angle|speed)\s+error\s*(?P<size>.+)")
_PLUS = {"left": 1.0, "right": -1.0, "high": 1.0, "above": 1.0, "up": 1.0}
_SIDES = ("left", "right")
_MARKS = {
    "powder on the tail": "powder on the tail",
    "powder on tail": "powder on the tail",
    "feather worn": "feather worn",
    "worn feather": "feather worn",
    "plate marked": "plate marked",
    "mark on the plate": "plate marked",
    "knock heard": "knock heard",
    "no marks": "none",
    "no mark": "none",
}


def shots_typed(text: str) -> list[ShotSeen]:
    """One typed shot, or several alike when "x3" says so.

    Parameters
    ----------
    text : str
        Parts between commas, in any order. [with their own units]

    Returns
    -------
    shots : list of ShotSeen
        Left and high positive, seen from behind. [in, deg, fps]
    """
    from loosewell.records import ShotSeen

    fields: dict[str, Any] = {}
    marks: list[str] = []
    count = 1

    def put(field: str, value: Any, what: str) -> None:
        if field in fields:
            raise ContradictionRefusal(
                f"The shot '{text[:60]}' says {what} twice. Say it once, or give two shots.",
                code="shot-twice",
            )
        fields[field] = value

    for typed in filter(None, _NEXT.split(text.strip())):
        part = " ".join(typed.split())
        plain = part.casefold()
        if plain in ("bare", "fletched"):
            put("bare", plain == "bare", "whether it is bare")
        elif plain == "straight":
            put("nock_sideways", "straight", "how it stands")
            put("nock_upright", "straight", "how it stands")
        elif plain in ("good", "bad"):
            put("called", plain, "whether it was good")
        elif plain == "cold":
            fields["cold"] = True
        elif plain in _MARKS:
            marks.append(_MARKS[plain])
        elif counted := _COUNT.fullmatch(plain):
            count = int(counted["n"] or counted["m"])
        elif named := _ARROW.fullmatch(part):
            put("arrow", named["name"], "which arrow")
        elif nock := _NOCK.fullmatch(plain):
            _nock(put, nock["way"], nock["size"])
        elif error := _ERROR.fullmatch(plain):
            unit = {"place": "in", "angle": "deg", "speed": "percent"}[error["what"]]
            value = units.quantity(error["size"], unit, what=f"The error of the {error['what']}")
            put(f"{error['what']}_error_{unit}", value, "an error")
        elif place := _PLACE.fullmatch(_PLUS_MINUS.split(plain)[0]):
            _place(put, place["way"], place["size"], _PLUS_MINUS.split(plain)[1:])
        elif plain[:1].isdigit():
            number, *more = _PLUS_MINUS.split(plain)
            put("speed_fps", units.quantity(number, "fps", what="The speed of a shot"), "a speed")
            if more:
                percent = units.quantity(more[0], "percent", what="The error of the speed")
                put("speed_error_percent", percent, "an error")
        else:
            raise UnitRefusal(
                f"Of the shot '{text[:60]}' the part '{part[:40]}' could not be read. A shot is "
                "bare or fletched; arrow and its name; a place such as 2 in left, 1 in high; "
                "straight, or nock left, right, high or low, with an angle if there is one; good "
                "or bad; cold; powder on the tail, feather worn, plate marked, knock heard or no "
                f"marks; a speed; x3 for three alike. Type it as {EXAMPLE}.",
                code="shot-unreadable",
            )
    if marks:
        fields["marks"] = tuple(dict.fromkeys(marks))
    if "bare" not in fields:
        raise MissingRefusal(
            f"The shot '{text[:60]}' does not say whether the arrow was bare or fletched. "
            f"Type it as {EXAMPLE}.",
            code="missing-kind",
        )
    if not 1 <= count <= MOST_ALIKE:
        raise BoundRefusal(
            f"{count} shots alike were given; 1 to {MOST_ALIKE} are accepted. No two arrows land "
            "quite alike: give the places of each.",
            code="shot-count",
        )
    return [ShotSeen(**fields)] * count


def _place(put: Any, way: str, size: str, error: list[str]) -> None:
    field = "left_in" if way in _SIDES else "high_in"
    value = units.quantity(size, "in", what=f"The place {way}")
    put(field, value * _PLUS.get(way, -1.0), "a place")
    if error:
        put("place_error_in", units.quantity(error[0], "in", what="The error of a place"),
            "an error")  # fmt: skip


def _nock(put: Any, way: str, typed: str | None) -> None:
    side = way in (*_SIDES, "straight")
    if typed is None:
        put("nock_sideways" if side else "nock_upright", way, "how it stands")
        return
    if way == "straight":
        raise ContradictionRefusal(
            f"A nock was called straight with an angle of {typed[:20]}. Give one of the two.",
            code="nock-contradicts",
        )
    size, *error = _PLUS_MINUS.split(typed)
    angle = units.quantity(size, "deg", what="The angle of the nock") * _PLUS.get(way, -1.0)
    put("nock_left_deg" if side else "nock_high_deg", angle, "an angle")
    if error:
        value = units.quantity(error[0], "deg", what="The error of the angle")
        put("angle_error_deg", value, "an error")


def shot_text(one: Any) -> str:
    """A shot as it would be typed."""
    parts = ["bare" if one.bare else "fletched"]
    if one.arrow is not None:
        parts.append(f"arrow {one.arrow}")
    for value, plus, minus in ((one.left_in, "left", "right"), (one.high_in, "high", "low")):
        if value is not None:
            parts.append(f"{abs(value):.4g} in {plus if value >= 0.0 else minus}")
    if one.place_error_in is not None:
        parts.append(f"place error {one.place_error_in:.4g} in")
    if one.nock_sideways == one.nock_upright == "straight":
        parts.append("straight")
    else:
        parts += [f"nock {way}" for way in (one.nock_sideways, one.nock_upright) if way is not None]
    for value, plus, minus in (
        (one.nock_left_deg, "left", "right"),
        (one.nock_high_deg, "high", "low"),
    ):
        if value is not None:
            parts.append(f"nock {plus if value >= 0.0 else minus} {abs(value):.4g} deg")
    if one.angle_error_deg is not None:
        parts.append(f"angle error {one.angle_error_deg:.4g} deg")
    parts += [one.called] if one.called is not None else []
    parts += ["cold"] if one.cold else []
    parts += ["no marks" if mark == "none" else mark for mark in one.marks]
    if one.speed_fps is not None:
        parts.append(f"{one.speed_fps:.5g} fps")
    if one.speed_error_percent is not None:
        parts.append(f"speed error {one.speed_error_percent:.4g} %")
    return ", ".join(parts)
