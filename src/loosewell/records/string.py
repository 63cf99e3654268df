"""The bowstring: what it is made of and how, what pieces of it broke at, what it measures."""

from __future__ import annotations

from typing import Annotated, Literal

from pydantic import Field, model_validator

from loosewell.errors import ContradictionRefusal, MissingRefusal
from loosewell.records.base import Day, Name, Number, Record, Remarks, within

StringFibre = Literal[
    "polyester",
    "low-stretch",
    "linen",
    "hemp",
    "nettle",
    "dogbane",
    "cotton",
    "silk",
    "nylon",
    "tarred nylon twine",
    "artificial sinew",
    "sinew",
    "gut",
    "rawhide",
    "parachute cord",
    "other",
]
Loops = Literal["endless", "laid in", "bowline", "timber hitch", "overhand"]
PieceOf = Literal["strand", "ply", "string"]

Count = Annotated[int, Field(strict=True)]


class BreakSample(Record):
    """One piece hung with weight until it broke: one strand, one ply, or a finished string."""

    of: PieceOf
    load_lb: Annotated[Number, within("sample.load_lb")]
    wet: bool = False
    on: Day | None = None


class BowString(Record):
    """A string: everything but its name may be unknown.

    ``strands`` are those side by side at the middle, ``plies`` the parts they are laid up in,
    ``twists`` the full turns put into the whole of it. ``strand_length_in`` and
    ``strand_weight_gr`` are one piece of one strand as it was weighed.
    """

    name: Name
    bow: Name | None = None
    fibre: StringFibre | None = None
    home_made: bool | None = None
    loops: Loops | None = None
    strands: Annotated[Count, within("string.strands")] | None = None
    plies: Annotated[Count, within("string.plies")] | None = None
    twists: Annotated[Count, within("string.twists")] | None = None
    strand_strength_lb: Annotated[Number, within("string.strand_strength_lb")] | None = None
    samples: tuple[BreakSample, ...] = ()
    strand_length_in: Annotated[Number, within("string.strand_length_in")] | None = None
    strand_weight_gr: Annotated[Number, within("string.strand_weight_gr")] | None = None
    length_in: Annotated[Number, within("string.length_in")] | None = None
    weight_gr: Annotated[Number, within("string.weight_gr")] | None = None
    diameter_in: Annotated[Number, within("string.diameter_in")] | None = None
    serving_length_in: Annotated[Number, within("string.serving_length_in")] | None = None
    serving_thread_in: Annotated[Number, within("string.serving_thread_in")] | None = None
    serving_diameter_in: Annotated[Number, within("string.serving_diameter_in")] | None = None
    nock_slot_in: Annotated[Number, within("string.nock_slot_in")] | None = None
    maker_allows_low_stretch: bool | None = None
    made_on: Day | None = None
    remarks: Remarks = None
    invented: bool = False

    @model_validator(mode="after")
    def _agrees_with_itself(self) -> BowString:
        if (self.strand_length_in is None) != (self.strand_weight_gr is None):
            raise MissingRefusal(
                f"For the string {self.name} a piece of strand was given by its length or its mass "
                "alone. Give both, --strand-length and --strand-weight, of the same piece.",
                code="missing-strand-piece",
            )
        if self.plies is not None and self.strands is not None and self.plies > self.strands:
            raise ContradictionRefusal(
                f"The string {self.name} was given {self.plies} plies and {self.strands} strands; "
                "every ply holds at least one strand. Count the strands over all plies together.",
                code="plies-beyond-strands",
            )
        served, bare = self.serving_diameter_in, self.diameter_in
        if served is not None and bare is not None and served < bare:
            raise ContradictionRefusal(
                f"The string {self.name} was given {served:g} in thick over its serving and "
                f"{bare:g} in without it. Measure both again with the string strung.",
                code="serving-thinner",
            )
        served, whole = self.serving_length_in, self.length_in
        if served is not None and whole is not None and served > whole:
            raise ContradictionRefusal(
                f"The string {self.name} was given {served:g} in of serving on {whole:g} in of "
                "string. Add up the served stretches and measure the string again.",
                code="serving-longer",
            )
        return self
