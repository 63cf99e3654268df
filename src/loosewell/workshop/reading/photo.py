"""Places and angles from points set on a photograph of the butt.

The picture is taken square to the butt, from the shooting line or nearer. Four things are set on
it: two ends of something whose length is known, in the plane of the butt; the aim; and for each
arrow where it enters and its nock. A nock stands nearer to the camera than its hole, so that it
shows farther from the middle of the picture even when the arrow stands straight: that is taken
off by the camera's distance.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

from loosewell.errors import BoundRefusal, MissingRefusal

CLICK_ERROR_PX = 2.0
"""Standard error of one point set on the picture, each way. [px] Modelling choice."""
SQUARE_ERROR_DEG = 3.0
"""How far the camera may look past square to the butt. [deg] Modelling choice."""

Point = tuple[float, float]


@dataclass(frozen=True)
class Marked:
    """One arrow on the picture: its hole, its nock, and how much of it stands out. [px, in]"""

    entry: Point
    nock: Point | None
    standing_out_in: float | None
    bare: bool = False
    arrow: str | None = None


@dataclass(frozen=True)
class Picture:
    """What was set on one photograph.

    ``scale`` are the two ends of ``scale_in``; x grows to the right and y downward as pictures do;
    ``middle`` is the middle of the uncropped picture, ``camera_in`` the camera's distance from the
    butt.
    """

    scale: tuple[Point, Point]
    scale_in: float
    aim: Point
    middle: Point
    camera_in: float | None
    arrows: tuple[Marked, ...]


@dataclass(frozen=True)
class Measured:
    """One arrow as measured: left and high positive, from behind the archer. [in, deg]"""

    left_in: float
    high_in: float
    place_error_in: float
    nock_left_deg: float | None
    nock_high_deg: float | None
    angle_error_deg: float | None
    bare: bool
    arrow: str | None


def measured(picture: Picture) -> list[Measured]:
    """Places and angles of all arrows on a photograph, with their errors.

    Parameters
    ----------
    picture : Picture
        Points set on it. [px, in]

    Returns
    -------
    arrows : list of Measured
        In the order they were set; angles are None where no nock or no length was given. [in, deg]

    Raises
    ------
    Refusal
        Without a scale that is long enough, or with an angle that cannot be.

    Source
    ------
    Pinhole camera square to the butt, derived in docs/reading.md: a point standing L out of the
    butt before a camera at D shows its offset from the optical axis D / (D - L) times as far.
    """
    first, second = picture.scale
    span = math.hypot(second[0] - first[0], second[1] - first[1])
    if span < 20.0 or not picture.scale_in > 0.0:
        raise MissingRefusal(
            f"The scale on the picture is {span:.0f} px for {picture.scale_in:g} in, too short to "
            "measure by. Set two points on the butt whose distance is known, as far apart as can "
            "be, such as the ends of a ruler held against it.",
            code="photo-scale",
        )
    per_in = span / picture.scale_in
    click = CLICK_ERROR_PX / per_in
    scale_error = CLICK_ERROR_PX * math.sqrt(2.0) / span
    return [_arrow(picture, one, per_in, click, scale_error) for one in picture.arrows]


def _arrow(
    picture: Picture, one: Marked, per_in: float, click: float, scale_error: float
) -> Measured:
    left = (picture.aim[0] - one.entry[0]) / per_in
    high = (picture.aim[1] - one.entry[1]) / per_in
    far = math.hypot(left, high)
    error = math.hypot(click * math.sqrt(2.0), far * scale_error)
    if one.nock is None or one.standing_out_in is None:
        return Measured(left, high, error, None, None, None, one.bare, one.arrow)
    out = one.standing_out_in
    if not 4.0 <= out <= 45.0:
        raise BoundRefusal(
            f"The arrow stands out of the butt by {out:g} in, which is outside 4 to 45 in. Measure "
            "from the butt to the throat of the nock.",
            code="photo-standing-out",
        )
    camera = picture.camera_in
    nearer = 1.0 if camera is None else (camera - out) / camera
    if nearer <= 0.2:
        raise BoundRefusal(
            f"A camera {camera:g} in from the butt is too near for arrows that stand out {out:g} "
            "in. Step back to at least twice that.",
            code="photo-too-near",
        )
    nock_left = (picture.middle[0] - one.nock[0]) / per_in * nearer
    nock_high = (picture.middle[1] - one.nock[1]) / per_in * nearer
    base_left = (picture.middle[0] - one.entry[0]) / per_in
    base_high = (picture.middle[1] - one.entry[1]) / per_in
    sideways, upward = nock_left - base_left, nock_high - base_high
    if math.hypot(sideways, upward) >= out:
        raise BoundRefusal(
            f"The nock is set {math.hypot(sideways, upward):.0f} in beside its hole, and only "
            f"{out:g} in of the arrow stand out. Set the nock on the same arrow as its hole, and "
            "check the scale.",
            code="photo-angle",
        )
    spread = [click * math.sqrt(2.0) / out]
    if camera is None:
        # Without the camera's distance the nearer nock may pass for a crooked arrow.
        spread.append(math.hypot(base_left, base_high) * 0.15 / out)
    else:
        spread.append(math.hypot(base_left, base_high) * 0.1 / camera)
    wide = math.degrees(math.sqrt(sum(part * part for part in spread)))
    return Measured(
        left,
        high,
        error,
        math.degrees(math.asin(sideways / out)),
        math.degrees(math.asin(upward / out)),
        math.hypot(wide, SQUARE_ERROR_DEG),
        one.bare,
        one.arrow,
    )


def shots_of(found: Sequence[Measured]) -> list[dict[str, object]]:
    """The measured arrows as fields of shots seen, for the record of an outing."""
    return [
        {
            "arrow": one.arrow,
            "bare": one.bare,
            "left_in": round(one.left_in, 2),
            "high_in": round(one.high_in, 2),
            "place_error_in": round(max(one.place_error_in, 0.05), 2),
            "nock_left_deg": None if one.nock_left_deg is None else round(one.nock_left_deg, 1),
            "nock_high_deg": None if one.nock_high_deg is None else round(one.nock_high_deg, 1),
            "angle_error_deg": (
                None if one.angle_error_deg is None else round(one.angle_error_deg, 1)
            ),
        }
        for one in found
    ]
