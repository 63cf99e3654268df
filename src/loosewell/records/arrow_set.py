"""The set: shafts that were chosen to go together, and how each of them is marked."""

from __future__ import annotations

from typing import Annotated

from pydantic import model_validator

from loosewell.errors import ContradictionRefusal
from loosewell.records.base import Day, Name, Number, Record, Remarks, ShortText, within


class SetMember(Record):
    """A shaft of the set.

    ``nock_angle_deg`` is the turn from the shaft's own mark to the side that faces
    the strike plate, ``stiff_side_mark`` what shows its stiff side.
    """

    shaft: Name
    nock_angle_deg: Annotated[Number, within("member.nock_angle_deg")] | None = None
    stiff_side_mark: ShortText | None = None


class ArrowSet(Record):
    """Shafts of the rack that go together, for a bow and an archer when these are known.

    ``code`` is what is written on every shaft of the set.
    """

    name: Name
    code: ShortText | None = None
    bow: Name | None = None
    archer: Name | None = None
    members: tuple[SetMember, ...] = ()
    made_on: Day | None = None
    purpose: ShortText | None = None
    remarks: Remarks = None
    invented: bool = False

    @model_validator(mode="after")
    def _each_shaft_once(self) -> ArrowSet:
        seen: set[str] = set()
        for one in self.members:
            if one.shaft.casefold() in seen:
                raise ContradictionRefusal(
                    f"The shaft {one.shaft} was given twice for the set {self.name}. Name each "
                    "shaft once.",
                    code="member-twice",
                )
            seen.add(one.shaft.casefold())
        return self
