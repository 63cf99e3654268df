"""The class: who comes, which bows and arrows there are, whose rules hold, who holds what."""

from __future__ import annotations

from typing import Annotated, Any, Literal

from pydantic import Field, model_validator

from loosewell.errors import ContradictionRefusal, MissingRefusal
from loosewell.records.archer import Archer, DrawMethod, Experience, Hand
from loosewell.records.base import Day, Name, Number, Record, Remarks, ShortText, within
from loosewell.records.bow import DrawMeasure

RuleWhat = Literal["lane", "waiting line", "stop", "overshoot", "side", "other"]
CountedFrom = Literal["shooting line", "target line"]

Count = Annotated[int, Field(strict=True)]


class Pupil(Record):
    """One person of a class; initials do for a name.

    ``strength_lb`` is the most draw weight this person holds steadily, as told by the
    instructor. ``hand`` is the hand that draws the string.
    """

    name: Name
    hand: Hand
    draw_length_in: Annotated[Number, within("archer.draw_length_in")] | None = None
    draw_measured: DrawMeasure | None = None
    draw_method: DrawMethod | None = None
    draw_error_in: Annotated[Number, within("archer.draw_error_in")] | None = None
    draw_date: Day | None = None
    child: bool | None = None
    experience: Experience | None = None
    strength_lb: Annotated[Number, within("pupil.strength_lb")] | None = None
    remarks: Remarks = None

    @model_validator(mode="before")
    @classmethod
    def _hand_is_asked(cls, data: Any) -> Any:
        if isinstance(data, dict) and data.get("hand") is None:
            raise MissingRefusal(
                f"The hand of {str(data.get('name') or 'one person')[:80]} was not given. Say "
                "whether the right or the left hand draws the string: right or left.",
                code="missing-hand",
            )
        return data

    @model_validator(mode="after")
    def _draw_is_defined(self) -> Pupil:
        if self.draw_length_in is not None and self.draw_measured is None:
            raise MissingRefusal(
                f"The draw length of {self.name} was given, but not how it was measured. Say true "
                "(string to the deepest part of the grip at full draw) or standard (that and 1.75 "
                "in more): draw 24 in true.",
                code="missing-draw-measured",
            )
        if self.draw_error_in is not None and self.draw_length_in is None:
            raise MissingRefusal(
                f"An error of the draw length of {self.name} was given without the draw length "
                "itself. Give the draw too.",
                code="missing-draw-length",
            )
        return self

    def archer(self) -> Archer:
        """The same person as the match knows people."""
        return Archer(
            name=self.name,
            hand=self.hand,
            draw_length_in=self.draw_length_in,
            draw_measured=self.draw_measured,
            draw_method=self.draw_method,
            draw_error_in=self.draw_error_in,
            draw_date=self.draw_date,
            child=self.child,
            experience=self.experience,
        )


class RangeRule(Record):
    """One rule about a range, typed by a person from a source that is named and dated.

    ``figure_yd`` is the least the rule asks for, counted from ``counted_from``; for a side zone
    ``at_yd`` is how far down the range it holds. A rule may be words alone.
    """

    what: RuleWhat
    text: ShortText
    source: ShortText
    on: Day
    figure_yd: Annotated[Number, within("rule.figure_yd")] | None = None
    at_yd: Annotated[Number, within("rule.at_yd")] | None = None
    counted_from: CountedFrom = "shooting line"

    @model_validator(mode="before")
    @classmethod
    def _has_a_source(cls, data: Any) -> Any:
        if isinstance(data, dict):
            for field, what in (("source", "source"), ("on", "date")):
                if not data.get(field):
                    raise MissingRefusal(
                        f"A rule about the range was given without its {what} "
                        f"('{str(data.get('text', ''))[:60]}'). Say whose rule it is and the day "
                        "it was read or printed: \"..., source the club's handbook, on "
                        '2026-03-01".',
                        code=f"missing-rule-{what}",
                    )
        return data

    @model_validator(mode="after")
    def _place_belongs_to_a_side(self) -> RangeRule:
        if self.at_yd is not None and (self.what != "side" or self.figure_yd is None):
            raise ContradictionRefusal(
                f"A rule about the {self.what} was given with a place down the range "
                f"({self.at_yd:g} yd). Only the width of a side zone changes with the place: give "
                "its figure and where it holds, such as side 20 yd at 100 yd.",
                code="rule-place",
            )
        return self


class Holding(Record):
    """Who holds what: one person, the bow and the turn at it, and the arrows."""

    person: Name
    bow: Name
    turn: Annotated[Count, within("class.turns")] = 1
    arrows: tuple[Name, ...] = ()


class ClassRoster(Record):
    """A class on one day: people, bows, arrows, and the plan that was kept.

    ``turns`` is how many people may shoot one bow one after another; ``loss_percent`` the share
    of arrows lost or broken in the day; ``held`` the plan as it was kept. What is ``out`` broke,
    left or was lost on the day.
    """

    name: Name
    on: Day | None = None
    people: tuple[Pupil, ...] = ()
    bows: tuple[Name, ...] = ()
    sets: tuple[Name, ...] = ()
    arrows: tuple[Name, ...] = ()
    arrows_each: Annotated[Count, within("class.arrows_each")] | None = None
    turns: Annotated[Count, within("class.turns")] | None = None
    loss_percent: Annotated[Number, within("class.loss_percent")] | None = None
    rules: tuple[RangeRule, ...] = ()
    held: tuple[Holding, ...] = ()
    people_out: tuple[Name, ...] = ()
    bows_out: tuple[Name, ...] = ()
    arrows_out: tuple[Name, ...] = ()
    remarks: Remarks = None
    invented: bool = False

    @model_validator(mode="after")
    def _each_once(self) -> ClassRoster:
        for what, names in (
            ("person", [one.name for one in self.people]),
            ("bow", self.bows),
            ("set", self.sets),
            ("arrow", self.arrows),
            ("holding of", [one.person for one in self.held]),
            ("arrow held:", [name for one in self.held for name in one.arrows]),
        ):
            seen: set[str] = set()
            for name in names:
                if name.casefold() in seen:
                    raise ContradictionRefusal(
                        f"The {what} {name} was given twice for the class {self.name}. "
                        + (
                            "Tell two people of one name apart by a letter or a number."
                            if what == "person"
                            else "Name each once."
                        ),
                        code="class-twice",
                    )
                seen.add(name.casefold())
        if len(self.people) > MOST_PEOPLE:
            raise ContradictionRefusal(
                f"The class {self.name} has {len(self.people)} people; at most {MOST_PEOPLE} are "
                "planned at once. Split it into groups that share nothing.",
                code="class-too-many",
            )
        return self


MOST_PEOPLE = 200
