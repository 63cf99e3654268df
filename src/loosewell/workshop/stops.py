"""Hard stops, warnings and cautions: what must be said before any number."""

from __future__ import annotations

import datetime
from collections.abc import Sequence

from loosewell.records import Archer, Bow, Shaft
from loosewell.workshop import purpose_words
from loosewell.workshop.answer import Notice
from loosewell.workshop.bridge import TRUE_BELOW_STANDARD_IN, true_draw_in

OVERHANG_IN = 1.0
OVERHANG_NOVICE_IN = 2.0
"""Arrow beyond the back of the bow at full draw, to the back of the point. [in]
Common practice, no source: a half to one inch for the practised, one to two for
beginners; the longer figure of each is taken."""

TERM_DAYS = 120
"""A child's draw is measured again each term. Common practice, no source."""

USUAL_LEAST_GRAINS_PER_POUND = 8.0
"""Lightest arrow usual from plain wooden bows. [gr/lb] Common practice, no source."""

BEYOND_READINGS_IN = 1.0
"""How far past the longest draw reading the draw curve is carried on. [in]"""


def is_novice(archer: Archer) -> bool:
    """Whether the longer overhang applies: beginners and children."""
    return bool(archer.child) or archer.experience == "beginner"


def minimum_length_in(archer: Archer) -> float:
    """Shortest arrow for this archer, nock throat to back of point.

    Parameters
    ----------
    archer : Archer
        With a draw length.

    Returns
    -------
    length_in : float
        True draw, 1.75 in to the back of the bow, and the overhang.
    """
    assert archer.draw_length_in is not None
    draw = true_draw_in(archer.draw_length_in, archer.draw_measured)
    overhang = OVERHANG_NOVICE_IN if is_novice(archer) else OVERHANG_IN
    return draw + TRUE_BELOW_STANDARD_IN + overhang


def stops(bow: Bow, archer: Archer, draw_in: float, length_in: float | None) -> list[Notice]:
    """Reasons not to shoot this bow with this archer at all.

    Parameters
    ----------
    bow, archer : Bow, Archer
        As recorded.
    draw_in : float
        True draw of the archer.
    length_in : float or None
        Arrow length asked for, if one was.

    Returns
    -------
    notices : list of Notice
        Empty when nothing of this kind was found. That is no fitness statement.
    """
    found: list[Notice] = []
    if bow.hand != "either" and bow.hand != archer.hand:
        found.append(
            Notice(
                "hand",
                f"Do not shoot: {bow.name} is built for a {bow.hand}-handed archer and "
                f"{archer.name} draws with the {archer.hand} hand. The arrow would pass on the "
                f"wrong side of the bow. Use a bow built for the {archer.hand} hand.",
            )
        )
    longest = max(r.draw_in for r in bow.draw_readings)
    longest_true = true_draw_in(longest, bow.draw_measured)
    if bow.drawn_to_limit_in is not None:
        limit = true_draw_in(bow.drawn_to_limit_in, bow.draw_measured)
        if draw_in > limit + 1e-9:
            found.append(
                Notice(
                    "draw-beyond-limit",
                    f"Do not shoot: {archer.name} draws {draw_in:.2f} in and {bow.name} was made "
                    f"to be drawn to {limit:.2f} in at most (both true draw). A wooden bow drawn "
                    "past its limit can burst. Use a bow made for this draw.",
                )
            )
    elif bow.loaner:
        found.append(
            Notice(
                "limit-unknown",
                f"Do not lend: the drawn-to limit of {bow.name} is not recorded. Ask its maker how "
                "far it was tillered and record it with --drawn-to-limit.",
            )
        )
    elif draw_in > longest_true + BEYOND_READINGS_IN:
        found.append(
            Notice(
                "draw-beyond-readings",
                f"Do not shoot: {archer.name} draws {draw_in:.2f} in, but the draw weight of "
                f"{bow.name} was only read to {longest_true:.2f} in (true draw) and its drawn-to "
                "limit is not recorded. Ask the bow's maker how far it may be drawn.",
            )
        )
    least = minimum_length_in(archer)
    if length_in is not None and length_in < least - 1e-9:
        found.append(
            Notice(
                "arrow-too-short",
                f"Do not shoot: an arrow of {length_in:.2f} in is {least - length_in:.2f} in "
                f"shorter than the least for {archer.name}, {least:.2f} in from the nock throat to "
                "the back of the point. A short arrow comes off the bow at full draw and goes "
                "through the hand. Use a longer arrow.",
            )
        )
    if archer.child and archer.draw_method in (None, "arm span", "told"):
        found.append(
            Notice(
                "child-draw-not-measured",
                f"Do not shoot yet: the draw of {archer.name}, a child, was not measured on a bow. "
                "Measure it with a marked arrow and a light bow.",
            )
        )
    return found


def warnings(
    bow: Bow, archer: Archer, draw_in: float, draw_error_in: float, today: datetime.date
) -> list[Notice]:
    """What is doubtful about this pair and should be settled first.

    Parameters
    ----------
    bow, archer : Bow, Archer
        As recorded.
    draw_in, draw_error_in : float
        True draw of the archer and its standard error.
    today : date
        For the age of a child's draw reading.

    Returns
    -------
    notices : list of Notice
        In order of weight.
    """
    found: list[Notice] = []
    longest = true_draw_in(max(r.draw_in for r in bow.draw_readings), bow.draw_measured)
    limit = bow.drawn_to_limit_in
    if limit is None:
        found.append(
            Notice(
                "limit-not-recorded",
                f"The drawn-to limit of {bow.name} is not recorded. Ask its maker before anyone "
                "draws it further than it has been drawn.",
            )
        )
    else:
        limit = true_draw_in(limit, bow.draw_measured)
        if draw_in + draw_error_in > limit >= draw_in:
            found.append(
                Notice(
                    "draw-near-limit",
                    f"The draw of {archer.name} ({draw_in:.2f} ± {draw_error_in:.2g} in) may pass "
                    f"the drawn-to limit of {bow.name}, {limit:.2f} in (true draw). Watch it from "
                    "the side and let down before the limit.",
                )
            )
    if draw_in > longest + 0.05:
        found.append(
            Notice(
                "draw-past-readings",
                f"The draw weight of {bow.name} was read to {longest:.2f} in and {archer.name} "
                f"draws {draw_in:.2f} in (true draw). The weight is carried on in a straight line; "
                "a bow that stacks is heavier. "
                + (
                    "Read it at this archer's own draw."
                    if limit is not None and draw_in <= limit + 1e-9
                    else "Read it at this archer's own draw only after its maker has said that it "
                    "may be drawn so far."
                ),
            )
        )
    if archer.child:
        if archer.draw_date is None:
            found.append(
                Notice(
                    "child-draw-undated",
                    f"The draw of {archer.name}, a child, carries no date. Measure it again this "
                    "term.",
                )
            )
        elif (today - archer.draw_date).days > TERM_DAYS:
            found.append(
                Notice(
                    "child-draw-old",
                    f"The draw of {archer.name}, a child, was measured on "
                    f"{archer.draw_date.isoformat()}, {(today - archer.draw_date).days} days ago. "
                    "Children grow: measure it again before cutting or lending arrows.",
                )
            )
    elif archer.draw_method in ("arm span", "told"):
        found.append(
            Notice(
                "draw-not-measured",
                f"The draw of {archer.name} was not measured on a bow ({archer.draw_method}). "
                "Measure it with a marked arrow before any shaft is cut.",
            )
        )
    if bow.make is None:
        found.append(
            Notice(
                "make-unknown",
                f"The make of {bow.name} is not recorded; it is taken as a plain wooden bow.",
            )
        )
    return found


def mass_warning(bow: Bow, weight_gr: float, draw_weight_lb: float) -> Notice | None:
    """A warning when the arrow is light for the bow, or None.

    Parameters
    ----------
    bow : Bow
        Its maker's least arrow, if recorded.
    weight_gr : float
        Whole arrow.
    draw_weight_lb : float
        At this archer's draw.

    Returns
    -------
    notice : Notice or None
        The maker's word where it is known, else common practice; an arrow above
        either is not thereby declared fit.
    """
    if bow.maker_minimum_arrow_gr is not None:
        if weight_gr < bow.maker_minimum_arrow_gr:
            return Notice(
                "arrow-below-maker-minimum",
                f"Too light: {weight_gr:.0f} gr is below the {bow.maker_minimum_arrow_gr:.0f} gr "
                f"that the maker of {bow.name} asks for. A light arrow is nearly a dry loose and "
                "can break the bow.",
            )
        return None
    if bow.make in (None, "plain wooden", "backed", "reflex-deflex"):
        least = USUAL_LEAST_GRAINS_PER_POUND * draw_weight_lb
        if weight_gr < least:
            return Notice(
                "arrow-below-practice",
                f"Light: {weight_gr:.0f} gr is {weight_gr / draw_weight_lb:.1f} grains per pound, "
                f"below the {USUAL_LEAST_GRAINS_PER_POUND:.0f} usual for wooden bows (common "
                f"practice, no source). What the maker of {bow.name} allows is not recorded: ask.",
            )
    return None


def unfit(shaft: Shaft) -> Notice | None:
    """A stop for a shaft marked as failed, or None."""
    if shaft.inspection is not None and shaft.inspection.result == "failed":
        found = [
            f"{one.what}: {one.note.rstrip(' .')}" if one.note else one.what
            for one in shaft.inspection.checks
            if one.finding == "fault"
        ]
        found += [shaft.inspection.note.rstrip(" .")] if shaft.inspection.note else []
        why = f" ({'; '.join(found)})" if found else ""
        return Notice(
            "shaft-unfit",
            f"Do not shoot shaft {shaft.name}: it failed its inspection on "
            f"{shaft.inspection.on.isoformat()}{why}. Break it so that nobody else does.",
        )
    return None


def not_looked_over(shaft: Shaft) -> str | None:
    """Why a shaft is not offered although nothing bad was found, or None when it passed.

    Parameters
    ----------
    shaft : Shaft
        As recorded; one that failed is a matter of ``unfit``.

    Returns
    -------
    reason : str or None
        A phrase that says what to do.
    """
    seen = shaft.inspection
    if seen is None:
        return "not inspected: look it over first"
    if seen.result != "incomplete":
        return None
    missed = [one.what for one in seen.checks if one.finding == "not looked at"]
    what = f", {', '.join(missed)} not looked at" if missed else ""
    return f"inspection of {seen.on.isoformat()} not finished{what}: look it over first"


def cautions(archer: Archer, purpose: str, materials: Sequence[str | None]) -> list[Notice]:
    """The usual cautions that go with any answer.

    Parameters
    ----------
    archer : Archer
        A child or beginner hears more.
    purpose : str
        What the arrow is for.
    materials : sequence of str or None
        Of the shafts on the rack.

    Returns
    -------
    notices : list of Notice
        Never empty.
    """
    found = [
        Notice(
            "inspect-first",
            "No spine answer says that a shaft is sound. Before each shoot look for cracks, knots, "
            "run-out, a loose point and a split nock, and flex it gently away from the face.",
        )
    ]
    if any("carbon" in (one or "").lower() for one in materials):
        found.append(
            Notice(
                "carbon",
                "Carbon tubes break into long splinters: after any hard hit flex and twist them "
                "before the next shot, and break a doubtful one.",
            )
        )
    found.append(
        Notice(
            "grain-up",
            "On split or sawn wood turn the run-out so that the feathered grain on top points to "
            "the target end: a break then rides up and away from the hand (common practice).",
        )
    )
    found.append(
        Notice(
            "bare-shafts",
            "Bare wooden shafts that strike sideways snap: shoot them only from 5 to 10 yd into a "
            "soft butt, with nobody near.",
        )
    )
    found += purpose_words.cautions(purpose)
    found.append(
        Notice(
            "range",
            "Use a known stop behind the butt, never draw above it, and follow the rules of your "
            "range and of its captain.",
        )
    )
    if is_novice(archer):
        found.append(
            Notice(
                "novice",
                "A beginner or a child shoots beside a qualified instructor, who watches the point "
                "at full draw.",
            )
        )
    return found
