"""The bow as its owner can measure it."""

from __future__ import annotations

from typing import Annotated, Any, Literal

from pydantic import model_validator

from loosewell.errors import ContradictionRefusal, MissingRefusal
from loosewell.records.base import Name, Number, Record, Remarks, ShortText, within

DrawMeasure = Literal["true", "standard"]
BowHand = Literal["right", "left", "either"]
Make = Literal["plain wooden", "backed", "reflex-deflex", "recurve"]
ShelfMaterial = Literal["leather", "hide with hair", "felt", "bare wood", "horn or bone", "plastic"]
StringMaterial = Literal["polyester", "low-stretch", "linen", "hemp", "nylon", "sinew", "other"]

# A standard draw is the true draw (string to the deepest part of the grip) and 1.75 in more.
STANDARD_BEYOND_TRUE_IN = 1.75
# A hanging scale pulled slowly reads to about a pound (common practice, no source).
USUAL_WEIGHT_ERROR_LB = 1.0
# Two readings count as taken at the same draw when a tape could not tell them apart.
SAME_DRAW_IN = 0.0625


class DrawReading(Record):
    """Draw weight read at one draw; the draw is in the bow's own ``draw_measured``."""

    draw_in: Annotated[Number, within("reading.draw_in")]
    weight_lb: Annotated[Number, within("reading.weight_lb")]
    weight_error_lb: Annotated[Number, within("reading.weight_error_lb")] | None = None

    def error_lb(self) -> float:
        """The stated error, or the usual one of a hanging scale. [lb]"""
        return USUAL_WEIGHT_ERROR_LB if self.weight_error_lb is None else self.weight_error_lb


class SpeedReading(Record):
    """Speed of one arrow from this bow at one draw, in the bow's own ``draw_measured``."""

    arrow_weight_gr: Annotated[Number, within("speed.arrow_weight_gr")]
    speed_fps: Annotated[Number, within("speed.speed_fps")]
    draw_in: Annotated[Number, within("reading.draw_in")]


class Bow(Record):
    """A bow: everything but its name and the hand it is built for may be unknown."""

    name: Name
    make: Make | None = None
    length_in: Annotated[Number, within("bow.length_in")] | None = None
    brace_height_in: Annotated[Number, within("bow.brace_height_in")] | None = None
    draw_measured: DrawMeasure | None = None
    draw_readings: tuple[DrawReading, ...] = ()
    drawn_to_limit_in: Annotated[Number, within("bow.drawn_to_limit_in")] | None = None
    plate_offset_in: Annotated[Number, within("bow.plate_offset_in")] | None = None
    plate_offset_error_in: Annotated[Number, within("bow.plate_offset_error_in")] | None = None
    plate_material: ShortText | None = None
    shelf_material: ShelfMaterial | None = None
    nocking_height_in: Annotated[Number, within("bow.nocking_height_in")] | None = None
    string_material: StringMaterial | None = None
    string_mass_gr: Annotated[Number, within("bow.string_mass_gr")] | None = None
    hand: BowHand
    speed_readings: tuple[SpeedReading, ...] = ()
    maker_minimum_arrow_gr: Annotated[Number, within("bow.maker_minimum_arrow_gr")] | None = None
    loaner: bool | None = None
    remarks: Remarks = None
    invented: bool = False

    @model_validator(mode="before")
    @classmethod
    def _hand_is_asked(cls, data: Any) -> Any:
        if isinstance(data, dict) and data.get("hand") is None:
            raise MissingRefusal(
                "The hand of the bow was not given. Say whether it is built for a right-handed "
                "archer (right), a left-handed one (left), or for both (either): --hand right.",
                code="missing-hand",
            )
        return data

    @model_validator(mode="after")
    def _agrees_with_itself(self) -> Bow:
        self._measure_is_known()
        self._draws_lie_in_order()
        self._weights_lie_in_order()
        return self

    def _measure_is_known(self) -> None:
        draws = self.draw_readings or self.speed_readings or self.drawn_to_limit_in is not None
        if draws and self.draw_measured is None:
            raise MissingRefusal(
                f"The bow {self.name} has a draw on record but not how draw was measured. Say "
                "--draw-measured true (string to the deepest part of the grip) or --draw-measured "
                "standard (that and 1.75 in more).",
                code="missing-draw-measured",
            )
        if self.plate_offset_error_in is not None and self.plate_offset_in is None:
            raise MissingRefusal(
                "An error of the plate offset was given without the plate offset itself. "
                "Give --plate-offset too.",
                code="missing-plate-offset",
            )

    def _draws_lie_in_order(self) -> None:
        beyond = STANDARD_BEYOND_TRUE_IN if self.draw_measured == "standard" else 0.0
        draws = [(one.draw_in, "a draw weight was read") for one in self.draw_readings]
        draws += [(one.draw_in, "a speed was read") for one in self.speed_readings]
        limit = self.drawn_to_limit_in
        for draw, what in draws:
            if self.brace_height_in is not None and draw - beyond <= self.brace_height_in:
                raise ContradictionRefusal(
                    f"For the bow {self.name} {what} at {draw:g} in ({self.draw_measured} draw), "
                    f"which lies before the string leaves its brace height of "
                    f"{self.brace_height_in:g} in. Check both lengths and how draw was measured.",
                    code="draw-before-brace",
                )
            if limit is not None and draw > limit + SAME_DRAW_IN:
                raise ContradictionRefusal(
                    f"For the bow {self.name} {what} at {draw:g} in, beyond its drawn-to limit of "
                    f"{limit:g} in. Check both; do not draw the bow further to find out.",
                    code="reading-beyond-limit",
                )
        if (
            limit is not None
            and self.brace_height_in is not None
            and limit - beyond <= self.brace_height_in
        ):
            raise ContradictionRefusal(
                f"The drawn-to limit of the bow {self.name}, {limit:g} in ({self.draw_measured} "
                f"draw), lies before its brace height of {self.brace_height_in:g} in. "
                "Check both lengths.",
                code="limit-before-brace",
            )

    def _weights_lie_in_order(self) -> None:
        ordered = sorted(self.draw_readings, key=lambda one: (one.draw_in, one.weight_lb))
        for place, lower in enumerate(ordered):
            for higher in ordered[place + 1 :]:
                allowed = lower.error_lb() + higher.error_lb()
                if higher.draw_in - lower.draw_in <= SAME_DRAW_IN:
                    if abs(higher.weight_lb - lower.weight_lb) > allowed:
                        raise ContradictionRefusal(
                            f"For the bow {self.name} two readings contradict each other: "
                            f"{lower.weight_lb:g} lb and {higher.weight_lb:g} lb at a draw of "
                            f"{higher.draw_in:g} in, further apart than their errors "
                            f"({allowed:g} lb together). Read the scale again and keep one, or "
                            "give each reading its error.",
                            code="readings-contradict",
                        )
                elif lower.weight_lb > higher.weight_lb + allowed:
                    raise ContradictionRefusal(
                        f"For the bow {self.name} the draw weight falls from {lower.weight_lb:g} "
                        f"lb at {lower.draw_in:g} in to {higher.weight_lb:g} lb at "
                        f"{higher.draw_in:g} in. A bow grows heavier as it is drawn: check which "
                        "weight belongs to which draw.",
                        code="weight-falls",
                    )
