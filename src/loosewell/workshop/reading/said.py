"""An outing and its causes in words: what was seen, what it comes to, what nobody looked at."""

from __future__ import annotations

import math
from collections import Counter
from collections.abc import Sequence
from typing import Any

import numpy as np

from loosewell.records import Outing, ShotSeen
from loosewell.workshop.reading import groups, learn
from loosewell.workshop.reading.answer import CauseTold, TestTold

UNLIKE = (
    "Cannot tell: these shots contradict one another, or are unlike anything the engine expects of "
    "this bow and archer. Look at the record again, and for what the engine does not know: a loose "
    "point, a split nock, a cracked shaft or limb."
)


def seen_words(outing: Outing) -> list[str]:
    """What was seen, as sentences: groups, how arrows stood, marks, what was left aside."""
    counted = groups.counted(outing)
    found = []
    for bare, word in ((False, "Fletched"), (True, "Bare")):
        shots = [one for one in outing.shots if one.bare == bare]
        group = groups.group([one for one in counted if one.bare == bare])
        if group is not None:
            found.append(f"{word}, {group.text()}.")
        stood = _stood(shots)
        if stood:
            found.append(f"{word} arrows stood: {stood}.")
    between = groups.bare_against_fletched(outing)
    if between is not None:
        found.append(sentence(between.text()))
    marks = Counter(mark for one in outing.shots for mark in one.marks)
    none = marks.pop("none", 0)
    if marks:
        told = ", ".join(f"{mark} ({n})" for mark, n in marks.most_common())
        found.append(f"Marks of contact: {told}.")
    if none:
        found.append(f"Looked for marks of contact and found none: {_times(none)}.")
    speeds = [one.speed_fps for one in outing.shots if one.speed_fps is not None]
    if speeds:
        found.append(f"Speed: {float(np.mean(speeds)):.0f} fps, {_times(len(speeds))}.")
    for one in groups.fliers(outing):
        if one.believed:
            found.append(
                f"Arrow {one.arrow} flies off the others, {_place(one.left_in, one.high_in)}: to "
                f"be believed (false alarm {100.0 * one.chance:.1f} %)."
            )
        elif one.more is not None and one.chance < 0.3:
            found.append(
                f"Arrow {one.arrow} may be off, {_place(one.left_in, one.high_in)}: not to be "
                f"believed yet; shoot each arrow {_times(one.more)} more."
            )
    bad = sum(one.called == "bad" for one in outing.shots)
    cold = sum(one.cold for one in outing.shots)
    if bad:
        found.append(f"Called bad before looking and left aside: {bad}.")
    if cold:
        found.append(f"Cold first shots, kept apart: {cold}.")
    return found


def _times(count: int) -> str:
    return "once" if count == 1 else f"{count} times"


def _place(left_in: float, high_in: float) -> str:
    side = "left" if left_in >= 0.0 else "right"
    way = "high" if high_in >= 0.0 else "low"
    return f"{abs(left_in):.1f} in {side} and {abs(high_in):.1f} in {way}"


def _stood(shots: Sequence[ShotSeen]) -> str:
    words: Counter[str] = Counter()
    angles: dict[str, list[float]] = {"left": [], "high": []}
    for one in shots:
        for word, angle, way in (
            (one.nock_sideways, one.nock_left_deg, "left"),
            (one.nock_upright, one.nock_high_deg, "high"),
        ):
            if angle is not None:
                angles[way].append(angle)
            elif word == "straight":
                words["straight " + ("sideways" if way == "left" else "in height")] += 1
            elif word is not None:
                words[f"nock {word}"] += 1
    found = [f"{word} ({n})" for word, n in words.most_common()]
    for way, other in (("left", "right"), ("high", "low")):
        if angles[way]:
            mean = float(np.mean(angles[way]))
            side = way if mean >= 0.0 else other
            found.append(f"nock {abs(mean):.0f} deg {side} on average ({len(angles[way])})")
    return ", ".join(found)


def not_looked_at(outing: Outing) -> list[str]:
    """Kinds of evidence that nobody gave, each with what it would tell."""
    shots = groups.counted(outing) or list(outing.shots)
    found = []
    if not any(one.bare for one in outing.shots):
        found.append("No bare shaft was shot: it is what shows stiff or weak most.")
    if all(one.nock_sideways is None and one.nock_left_deg is None for one in outing.shots):
        found.append("How the arrows stood was not told.")
    if not any(one.marks for one in outing.shots):
        found.append("Nobody looked for marks of contact on feather, tail and plate.")
    if not any(one.left_in is not None for one in shots):
        found.append("No place was measured.")
    return found


def verdict_words(causes: Sequence[CauseTold], reading: Any, shots: int) -> tuple[str, str]:
    """What it comes to, and what the shots cannot tell apart."""
    if not reading.explained:
        return UNLIKE, ""
    if not reading.weighed.trusted:
        return "Cannot tell yet: the reckoning did not settle. Shoot more and read again.", ""
    top = causes[0]
    if reading.confident:
        head = f"Most likely {top.words} ({top.chance_percent:.0f} %)."
    elif top.chance_percent >= 50.0:
        head = f"Perhaps {top.words} ({top.chance_percent:.0f} %), but that is not sure yet."
    else:
        head = f"Cannot tell yet. First in the list: {top.words} ({top.chance_percent:.0f} %)."
    if shots == 1:
        head += " One shot tells little: it may be the archer's own scatter."
    likely, total = [], 0.0
    for one in causes:
        likely.append(one)
        total += one.chance_percent
        if total >= 80.0:
            break
    if len(likely) == 1:
        return head, ""
    names = [one.words for one in likely[:5]]
    more = len(likely) - len(names)
    text = "; ".join(names) + (f"; and {more} more" if more else "")
    return head, f"These shots cannot tell apart: {text}."


def cannot_tell(tests: Sequence[TestTold], kind: str) -> str:
    """What to shoot more of before one cause stands out, and how many."""
    if not tests:
        return ""
    able = next((one for one in tests if one.shots is not None and one.key != "powder"), None)
    if able is None:
        return (
            "No number of further shots up to 24 of one kind is expected to make one cause stand "
            "out." + ("" if kind == "test" else f" What tells most: {tests[0].words}")
        )
    if kind == "test" and able is tests[0]:
        return ""  # the next step says it
    return f"To tell them apart, about {able.shots} of this: {able.words}"


def learned_words(job: Any, learned: dict[str, Any] | None) -> list[str]:
    """What this outing taught, by input, strongest first."""
    from loosewell.chance import carried

    if learned is None:
        return []
    after = carried.start(job.shared, carried.from_plain(learned)).inputs
    rows = []
    for was, now in zip(job.shared, after, strict=True):
        if was.key not in learn.NAMES or was == now:
            continue
        shift = math.log(now.middle / was.middle) if was.kind == "log" else now.middle - was.middle
        size = (shift / was.spread) ** 2 + (was.spread / now.spread) ** 2 - 1.0
        if size < 0.05:
            continue
        old, new = learn.said(was), learn.said(now)
        name = learn.NAMES[was.key].name
        rows.append((size, f"{name}: {' '.join(old)} before, now {' '.join(new)}."))
    return [text for _, text in sorted(rows, key=lambda one: -one[0])]


def sentence(words: str) -> str:
    """A phrase as a sentence."""
    return words[:1].upper() + words[1:] + "."
