"""The arrow: a build on a shaft."""

from __future__ import annotations

from typing import Annotated, Literal

from pydantic import Field, model_validator

from loosewell.errors import ContradictionRefusal
from loosewell.records.base import Name, Number, Record, Remarks, ShortText, within

PointKind = Literal[
    "field", "bullet", "blunt", "broadhead", "spring-arm", "fishing", "stone", "bone", "other"
]
NockKind = Literal["self", "reinforced self", "plastic", "inserted", "other"]
NockFit = Literal["loose", "snug", "tight"]
FletchingMaterial = Literal["feather", "vane", "tape", "none"]
Wing = Literal["left", "right"]

# Round all the way, so that nothing on them is a blade.
WITHOUT_BLADES = ("field", "bullet", "blunt")


class Fletching(Record):
    """Feathers or vanes: the material is said, the rest may be unknown.

    ``rear_in`` is the distance from the nock throat to the rear edge.
    """

    material: FletchingMaterial
    length_in: Annotated[Number, within("fletching.length_in")] | None = None
    height_in: Annotated[Number, within("fletching.height_in")] | None = None
    count: Annotated[int, Field(strict=True), within("fletching.count")] | None = None
    angle_deg: Annotated[Number, within("fletching.angle_deg")] | None = None
    wing: Wing | None = None
    rear_in: Annotated[Number, within("fletching.rear_in")] | None = None

    @model_validator(mode="after")
    def _none_has_no_size(self) -> Fletching:
        sizes = (
            self.length_in,
            self.height_in,
            self.count,
            self.angle_deg,
            self.wing,
            self.rear_in,
        )
        if self.material == "none" and any(size is not None for size in sizes):
            raise ContradictionRefusal(
                "The arrow was called bare (fletching none), and sizes of a fletching were given. "
                "Say what the fletching is made of, or leave its sizes out.",
                code="fletching-none-with-size",
            )
        return self


class ExtraPart(Record):
    """Another part of the arrow, such as a sleeve, an insert, glue or a binding.

    ``at_in`` runs from the nock throat forward to the middle of the part.
    """

    what: ShortText
    weight_gr: Annotated[Number, within("part.weight_gr")]
    at_in: Annotated[Number, within("part.at_in")]


class Arrow(Record):
    """An arrow built on a shaft of the rack: everything but the two names may be unknown.

    ``length_in`` runs from the nock throat to the back of the point, and
    ``balance_in`` from the nock throat. ``stiff_side_deg`` is the turn of the nocked
    arrow from the strike plate down toward the shelf to the stiff side of its
    shaft. The width and the blades are those of a broadhead or another wide point.
    """

    name: Name
    shaft: Name
    length_in: Annotated[Number, within("arrow.length_in")] | None = None
    point_kind: PointKind | None = None
    point_weight_gr: Annotated[Number, within("arrow.point_weight_gr")] | None = None
    point_width_in: Annotated[Number, within("arrow.point_width_in")] | None = None
    point_blade_length_in: Annotated[Number, within("arrow.point_blade_length_in")] | None = None
    point_blades: Annotated[int, Field(strict=True), within("arrow.point_blades")] | None = None
    nock_kind: NockKind | None = None
    nock_weight_gr: Annotated[Number, within("arrow.nock_weight_gr")] | None = None
    nock_fit: NockFit | None = None
    stiff_side_deg: Annotated[Number, within("arrow.stiff_side_deg")] | None = None
    fletching: Fletching | None = None
    weight_gr: Annotated[Number, within("arrow.weight_gr")] | None = None
    balance_in: Annotated[Number, within("arrow.balance_in")] | None = None
    extra_parts: tuple[ExtraPart, ...] = ()
    remarks: Remarks = None
    invented: bool = False

    @model_validator(mode="after")
    def _blades_belong_to_the_point(self) -> Arrow:
        bladed = self.point_blades is not None or self.point_blade_length_in is not None
        if bladed and self.point_kind in WITHOUT_BLADES:
            raise ContradictionRefusal(
                f"The point of arrow {self.name} was called {self.point_kind}, which has no "
                "blades, and blades were given for it. Say --point-kind broadhead, or leave "
                "--point-blades and --point-blade-length out.",
                code="blades-without-broadhead",
            )
        return self

    @model_validator(mode="after")
    def _agrees_with_itself(self) -> Arrow:
        parts = (self.point_weight_gr or 0.0) + (self.nock_weight_gr or 0.0)
        parts += sum(one.weight_gr for one in self.extra_parts)
        if self.weight_gr is not None and self.weight_gr <= parts:
            alone = "point, nock and extra parts" if self.extra_parts else "point and nock"
            raise ContradictionRefusal(
                f"The arrow {self.name} weighs {self.weight_gr:g} gr, not more than its {alone} "
                f"alone ({parts:g} gr). Weigh the whole arrow, and check grains against grams.",
                code="arrow-lighter-than-parts",
            )
        if self.length_in is None:
            return self
        if self.balance_in is not None and self.balance_in >= self.length_in:
            raise ContradictionRefusal(
                f"The balance point of arrow {self.name}, {self.balance_in:g} in from the nock "
                f"throat, lies beyond the arrow length of {self.length_in:g} in. Measure both "
                "from the throat of the nock.",
                code="balance-beyond-end",
            )
        for one in self.extra_parts:
            if one.at_in > self.length_in:
                raise ContradictionRefusal(
                    f"A part of arrow {self.name} ({one.what}) was given at {one.at_in:g} in from "
                    f"the nock throat, beyond the arrow length of {self.length_in:g} in. Check "
                    "both; what sits inside the point belongs to the point's mass.",
                    code="part-beyond-end",
                )
        fletching = self.fletching
        if fletching is not None:
            front = (fletching.rear_in or 0.0) + (fletching.length_in or 0.0)
            if front >= self.length_in:
                raise ContradictionRefusal(
                    f"The fletching of arrow {self.name} would reach {front:g} in from the nock "
                    f"throat, beyond the arrow length of {self.length_in:g} in. Check its length "
                    "and where its rear edge stands.",
                    code="fletching-beyond-end",
                )
        return self
