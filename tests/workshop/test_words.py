"""Sentences of the answer that stand on their own: the rules, and the range."""

from __future__ import annotations

import pytest

from loosewell.workshop.answer import Band, RuleOfThumb
from loosewell.workshop.sweep import _range_words
from loosewell.workshop.words import against

BAND = Band(50.0, 45.0, 55.0)


def rule(name: str, spine_lb: float) -> RuleOfThumb:
    return RuleOfThumb(name, "Take it.", "None.", spine_lb, spine_lb - 2.5, spine_lb + 2.5)


def test_the_rules_are_told_apart_by_name() -> None:
    told = against([rule("One", 50.0), rule("Two", 40.0), rule("Three", 35.0)], [], BAND)
    assert told.startswith(
        "The rules stand 15 lb apart. 1 of 3 falls inside the engine's 45 to 55 lb. "
        "Weaker: “Two”; “Three”. Each"
    )
    told = against([rule("A", 50.0), rule("B", 52.0), rule("C", 60.0)], ["E", "F"], BAND)
    assert "2 of 3 fall inside" in told
    assert "Stiffer: “C”." in told
    assert "Left out, for they come out below 10 lb, where no rule can speak: “E”; “F”." in told


def test_one_rule_and_none_read_right() -> None:
    told = against([rule("A", 50.0)], ["B"], BAND)
    assert told.startswith("The one rule left says 50 lb. 1 of 1 falls inside")
    assert "for it comes out below" in told
    assert against([], ["A"], BAND).startswith("None of the trade's rules can speak")


@pytest.mark.parametrize(
    ("ends", "early", "later"),
    [
        ((False, False), "45 to 55 lb (26 in span, 2 lb)", "0.573 to 0.700 in (28 in span"),
        ((True, False), "up to 55 lb (26 in span, 2 lb)", "0.573 in and more (28 in span"),
        ((False, True), "45 lb and stiffer (26 in span, 2 lb)", "0.700 in and less (28 in span"),
        ((True, True), "every spine reckoned, 45 to 55 lb (26", "0.573 to 0.700 in (28 in"),
    ],
)
def test_an_open_end_of_the_range_gets_no_number(
    ends: tuple[bool, bool], early: str, later: str
) -> None:
    told = _range_words(BAND, *ends)
    assert told.startswith(early)
    assert f"the same as {later}" in told
