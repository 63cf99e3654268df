"""The archer: what the person brings to the match."""

from __future__ import annotations

from typing import Annotated, Any, Literal

from pydantic import model_validator

from loosewell.errors import MissingRefusal
from loosewell.records.base import Day, Name, Number, Record, Remarks, within
from loosewell.records.bow import DrawMeasure

Hand = Literal["right", "left"]
DrawMethod = Literal["marked arrow", "arm span", "told"]
Hook = Literal["split finger", "three under", "thumb", "mechanical"]
Loose = Literal["steady", "unsteady"]
Experience = Literal["beginner", "experienced"]


class Archer(Record):
    """An archer: everything but the name and the hand may be unknown.

    ``hand`` is the hand that draws the string. ``cant_deg`` is how far the top of
    the bow leans over at full draw, positive toward the side of that hand.
    """

    name: Name
    draw_length_in: Annotated[Number, within("archer.draw_length_in")] | None = None
    draw_measured: DrawMeasure | None = None
    draw_method: DrawMethod | None = None
    draw_error_in: Annotated[Number, within("archer.draw_error_in")] | None = None
    draw_date: Day | None = None
    hand: Hand
    hook: Hook | None = None
    loose: Loose | None = None
    cant_deg: Annotated[Number, within("archer.cant_deg")] | None = None
    child: bool | None = None
    experience: Experience | None = None
    remarks: Remarks = None
    invented: bool = False

    @model_validator(mode="before")
    @classmethod
    def _hand_is_asked(cls, data: Any) -> Any:
        if isinstance(data, dict) and data.get("hand") is None:
            raise MissingRefusal(
                "The hand of the archer was not given. Say whether the right or the left hand "
                "draws the string: --hand right or --hand left.",
                code="missing-hand",
            )
        return data

    @model_validator(mode="after")
    def _draw_is_defined(self) -> Archer:
        if self.draw_length_in is not None and self.draw_measured is None:
            raise MissingRefusal(
                f"The draw length of {self.name} was given, but not how it was measured. Say "
                "--draw-measured true (string to the deepest part of the grip at full draw) or "
                "--draw-measured standard (that and 1.75 in more).",
                code="missing-draw-measured",
            )
        if self.draw_error_in is not None and self.draw_length_in is None:
            raise MissingRefusal(
                f"An error of the draw length of {self.name} was given without the draw length "
                "itself. Give --draw-length too.",
                code="missing-draw-length",
            )
        return self
