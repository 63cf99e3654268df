"""An outing: what was shot, where it hit and how it stood, as it was seen."""

from __future__ import annotations

from typing import Annotated, Literal

from pydantic import model_validator

from loosewell.errors import ContradictionRefusal, MissingRefusal
from loosewell.records.base import Day, Name, Number, Record, Remarks, ShortText, within

Sideways = Literal["left", "straight", "right"]
Upright = Literal["high", "straight", "low"]
Mark = Literal["powder on the tail", "feather worn", "plate marked", "knock heard", "none"]
ChangeKind = Literal[
    "brace height",
    "nocking point",
    "point",
    "strike plate",
    "string twist",
    "feather position",
    "nock fit",
    "length",
    "shaft",
    "other",
]


class ShotSeen(Record):
    """One arrow in the butt, or several alike when ``count`` says so.

    Places are those of the point, left and high positive, seen from behind the archer;
    ``nock_sideways`` and ``nock_upright`` say to which side the nock stands, by eye in three steps,
    the angles how far. What was not looked at is unknown.
    """

    arrow: ShortText | None = None
    bare: bool = False
    left_in: Annotated[Number, within("shot.left_in")] | None = None
    high_in: Annotated[Number, within("shot.high_in")] | None = None
    place_error_in: Annotated[Number, within("shot.place_error_in")] | None = None
    nock_sideways: Sideways | None = None
    nock_upright: Upright | None = None
    nock_left_deg: Annotated[Number, within("shot.nock_left_deg")] | None = None
    nock_high_deg: Annotated[Number, within("shot.nock_high_deg")] | None = None
    angle_error_deg: Annotated[Number, within("shot.angle_error_deg")] | None = None
    called: Literal["good", "bad"] | None = None
    cold: bool = False
    marks: tuple[Mark, ...] = ()
    speed_fps: Annotated[Number, within("shot.speed_fps")] | None = None
    speed_error_percent: Annotated[Number, within("shot.speed_error_percent")] | None = None

    @model_validator(mode="after")
    def _agrees_with_itself(self) -> ShotSeen:
        for word, angle, plus in (
            (self.nock_sideways, self.nock_left_deg, "left"),
            (self.nock_upright, self.nock_high_deg, "high"),
        ):
            if word is None or angle is None or word == "straight":
                continue
            if (angle > 0.0) != (word == plus) and abs(angle) > 1.0:
                raise ContradictionRefusal(
                    f"The nock of one arrow was called {word}, and an angle of {angle:g} deg was "
                    f"given, which is to the other side ({plus} is positive). Look again from "
                    "behind the shooting line and give one of the two.",
                    code="nock-contradicts",
                )
        if "none" in self.marks and len(self.marks) > 1:
            raise ContradictionRefusal(
                "Marks of contact were given together with 'none'. Give the marks, or none.",
                code="marks-contradict",
            )
        if (self.left_in is None) != (self.high_in is None):
            raise MissingRefusal(
                "One of the two places of a shot is missing. Give how far left or right and how "
                "far high or low of the aim it hit, or neither.",
                code="missing-place",
            )
        return self


class Change(Record):
    """What was changed before this outing, one thing."""

    what: ChangeKind
    text: ShortText | None = None


class Outing(Record):
    """Shots of one archer with one bow on one day at one distance.

    ``positions_from`` says whether places are measured from the point of aim or from the
    middle of the fletched group.
    """

    name: Name
    bow: Name
    archer: Name
    on: Day
    distance_yd: Annotated[Number, within("outing.distance_yd")]
    shots: tuple[ShotSeen, ...]
    arrow: ShortText | None = None
    positions_from: Literal["aim", "fletched group"] = "aim"
    brace_height_in: Annotated[Number, within("bow.brace_height_in")] | None = None
    nocking_height_in: Annotated[Number, within("bow.nocking_height_in")] | None = None
    temperature_f: Annotated[Number, within("outing.temperature_f")] | None = None
    wind_left_fps: Annotated[Number, within("outing.wind_left_fps")] | None = None
    change: Change | None = None
    remarks: Remarks = None
    invented: bool = False

    @model_validator(mode="after")
    def _has_shots(self) -> Outing:
        if not self.shots:
            raise MissingRefusal(
                f"The outing {self.name} has no shots. Give at least one, such as --shot "
                '"bare, 4 in left, 1 in low, nock left".',
                code="missing-shots",
            )
        if len(self.shots) > MOST_SHOTS:
            raise ContradictionRefusal(
                f"The outing {self.name} has {len(self.shots)} shots; at most {MOST_SHOTS} are "
                "taken as one outing. Split it by day, distance or change of tackle.",
                code="too-many-shots",
            )
        return self


MOST_SHOTS = 1000
