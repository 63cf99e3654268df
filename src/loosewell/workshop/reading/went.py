"""The last change against its expectation: whether bare shafts moved the other way."""

from __future__ import annotations

import math
import re

from loosewell.records import Outing
from loosewell.workshop.reading import groups
from loosewell.workshop.reading.answer import ChangeTold, ReadAnswer

WORTH_TELLING_IN = 0.75
"""Smallest move that an expectation speaks of. [in]"""
LEAST_ERROR_IN = 0.3
"""No middle of a group is known better than this. [in] Modelling choice."""


def difference(outing: Outing) -> tuple[float, float, float] | None:
    """Bare against fletched: left, high and the error of each. [in]"""
    between = groups.bare_against_fletched(outing)
    if between is not None:
        return between.left_in, between.high_in, max(between.error_in, LEAST_ERROR_IN)
    bare = groups.group([one for one in groups.counted(outing) if one.bare])
    if bare is None or outing.positions_from != "fletched group":
        return None
    scatter = bare.scatter_in if bare.scatter_in is not None else groups.USUAL_SCATTER_IN
    # The fletched group itself is taken as six.
    error = scatter * math.sqrt(1.0 / bare.count + 1.0 / 6.0)
    return bare.left_in, bare.high_in, max(error, LEAST_ERROR_IN)


_UP = re.compile(r"\b(up|rais\w*|higher|more|out|thicker|built)\b|\+")
_DOWN = re.compile(r"\b(down|lower\w*|less|in|off|thinner|untwist\w*)\b|(?<![\w])-")
_KINDS = {
    "brace height": ("brace up", "brace down"),
    "string twist": ("brace up", "brace down"),
    "nocking point": ("nock up", "nock down"),
    "strike plate": ("plate out", "plate in"),
    "nock fit": ("nock eased", "nock eased"),
    "feather position": ("feather clear", "feather clear"),
}


def option_of(previous: ReadAnswer, outing: Outing) -> ChangeTold | None:
    """Which of the changes thought of last time was made, or None when that is not plain."""
    change = outing.change
    if change is None:
        return None
    text = (change.text or "").casefold()
    by_key = {one.key: one for one in previous.changes}
    if change.what == "point" and previous.point_gr is not None:
        number = re.search(r"([0-9]+(?:\.[0-9]+)?)\s*gr", text)
        if number is None:
            return None
        more = float(number[1]) - previous.point_gr
        points = {float(key.split()[1]): one for key, one in by_key.items() if key[:6] == "point "}
        near = [size for size in points if size * more > 0.0 and abs(size - more) <= 15.0]
        return points[min(near, key=lambda size: abs(size - more))] if near else None
    pair = _KINDS.get(change.what)
    if pair is None:
        return None
    # A size such as "1/4 in" is no direction.
    words = re.sub(r"[0-9][0-9./ ]*(in|mm|cm)\b", " ", text)
    up, down = bool(_UP.search(words)), bool(_DOWN.search(words))
    if pair[0] != pair[1] and up == down:
        return None
    return by_key.get(pair[0] if up or pair[0] == pair[1] else pair[1])


def went_wrong(previous: ReadAnswer | None, outing: Outing) -> str | None:
    """What the last change did against its expectation by more than the errors, or None.

    Told by the bare shafts against the fletched ones, which no change of aim moves; without both
    in both outings nothing is said.
    """
    if previous is None or outing.change is None or previous.difference_in is None:
        return None
    if abs(previous.distance_yd - outing.distance_yd) > 0.5:
        return None
    now, was, option = difference(outing), previous.difference_in, option_of(previous, outing)
    if now is None or option is None:
        return None
    error = math.hypot(now[2], was[2])
    for k, (plus, minus) in enumerate((("left", "right"), ("up", "down"))):
        expected = (option.apart_left_in, option.apart_high_in)[k]
        own = (option.apart_error_left_in, option.apart_error_high_in)[k]
        if expected is None or own is None or abs(expected) < WORTH_TELLING_IN:
            continue
        moved = now[k] - was[k]
        against = moved * expected < 0.0 and abs(moved) > error
        if against and abs(moved - expected) > 2.0 * math.hypot(error, own):
            return (
                f"After the change of {outing.change.what} the bare shafts should have moved about "
                f"{abs(expected):.0f} in {plus if expected > 0.0 else minus} against the fletched "
                f"ones, and moved {abs(moved):.0f} in {plus if moved > 0.0 else minus} (± "
                f"{error:.0f} in)."
            )
    return None
