"""The jig: what a shaft is bent on, and how far its readings can be trusted."""

from __future__ import annotations

from typing import Annotated, Literal

from pydantic import model_validator

from loosewell.errors import MissingRefusal
from loosewell.records.base import Day, Name, Number, Record, Remarks, ShortText, within

JigReads = Literal["dial gauge", "fine ruler", "eye and thread"]


class Jig(Record):
    """Two supports, a load and a way to read the sag; everything but the name may be unknown.

    ``stiffness_factor`` is what a stiffness read on this jig must be multiplied by,
    found by reading a rod of known stiffness (``checked_with``) on it.
    """

    name: Name
    span_in: Annotated[Number, within("jig.span_in")] | None = None
    span_error_in: Annotated[Number, within("jig.span_error_in")] | None = None
    load_lb: Annotated[Number, within("jig.load_lb")] | None = None
    load_error_percent: Annotated[Number, within("jig.load_error_percent")] | None = None
    reads: JigReads | None = None
    deflection_error_in: Annotated[Number, within("jig.deflection_error_in")] | None = None
    stiffness_factor: Annotated[Number, within("jig.stiffness_factor")] | None = None
    stiffness_factor_error_percent: (
        Annotated[Number, within("jig.stiffness_factor_error_percent")] | None
    ) = None
    checked_on: Day | None = None
    checked_with: ShortText | None = None
    remarks: Remarks = None
    invented: bool = False

    @model_validator(mode="after")
    def _check_has_a_factor(self) -> Jig:
        told = (self.stiffness_factor_error_percent, self.checked_on, self.checked_with)
        if self.stiffness_factor is None and any(one is not None for one in told):
            raise MissingRefusal(
                f"A check of the jig {self.name} was given without the factor it found. Give "
                "--stiffness-factor too (1 when the known rod read as it should), or leave the "
                "check out.",
                code="missing-stiffness-factor",
            )
        return self
