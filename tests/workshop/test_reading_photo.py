"""Places and angles from a photograph, against a camera of another make: full projection."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

from loosewell.errors import BoundRefusal, MissingRefusal
from loosewell.records.outing import ShotSeen
from loosewell.workshop.reading.photo import Marked, Picture, measured, shots_of

FOCAL, WIDTH, HEIGHT = 3200.0, 4000.0, 3000.0


def project(point: np.ndarray, camera: float) -> tuple[float, float]:
    """Pinhole by homogeneous matrices; butt in the plane z = 0, camera at +z, x to the left."""
    matrix = np.array([[-FOCAL, 0.0, WIDTH / 2], [0.0, -FOCAL, HEIGHT / 2], [0.0, 0.0, 1.0]])
    shifted = np.array([point[0], point[1], camera - point[2]])
    image = matrix @ shifted
    return float(image[0] / image[2]), float(image[1] / image[2])


def picture(
    holes: list[tuple[float, float]], angles: list[tuple[float, float]], camera: float = 120.0
) -> Picture:
    marked = []
    out = 24.0
    for (left, high), (side, up) in zip(holes, angles, strict=True):
        x, y = out * np.sin(np.radians(side)), out * np.sin(np.radians(up))
        z = np.sqrt(out**2 - x**2 - y**2)
        nock = np.array([left + x, high + y, z])
        marked.append(
            Marked(
                project(np.array([left, high, 0.0]), camera), project(nock, camera), out, arrow="1"
            )
        )
    return Picture(
        (
            project(np.array([12.0, -10.0, 0.0]), camera),
            project(np.array([-12.0, -10.0, 0.0]), camera),
        ),
        24.0,
        project(np.array([0.0, 0.0, 0.0]), camera),
        (WIDTH / 2, HEIGHT / 2),
        camera,
        tuple(marked),
    )


HOLES = [(0.0, 0.0), (7.0, -3.0), (-9.0, 5.0)]
ANGLES = [(0.0, 0.0), (12.0, -4.0), (-6.0, 8.0)]


def test_places_and_angles_come_back_from_a_full_projection() -> None:
    for one, hole, angle in zip(measured(picture(HOLES, ANGLES)), HOLES, ANGLES, strict=True):
        assert one.left_in == pytest.approx(hole[0], abs=1e-9)
        assert one.high_in == pytest.approx(hole[1], abs=1e-9)
        # The nock of a crooked arrow is a little farther from the camera than a straight one's.
        assert one.nock_left_deg == pytest.approx(angle[0], abs=0.35)
        assert one.nock_high_deg == pytest.approx(angle[1], abs=0.35)


def test_a_straight_arrow_far_from_the_middle_is_not_called_crooked() -> None:
    (one,) = measured(picture([(20.0, 0.0)], [(0.0, 0.0)]))
    assert one.nock_left_deg == pytest.approx(0.0, abs=1e-9)
    (blind,) = measured(replace(picture([(20.0, 0.0)], [(0.0, 0.0)]), camera_in=None))
    assert blind.nock_left_deg is not None
    assert blind.angle_error_deg is not None
    # Without the distance it looks crooked, and its error says as much.
    assert blind.nock_left_deg > 5.0
    assert blind.nock_left_deg < 2.0 * blind.angle_error_deg


def test_points_set_with_an_unsteady_hand_stay_within_the_stated_errors() -> None:
    rng = np.random.default_rng(6)
    clean = picture(HOLES, ANGLES)

    def shaken(point: tuple[float, float]) -> tuple[float, float]:
        return tuple(point + rng.normal(0.0, 2.0, 2))  # type: ignore[return-value]

    inside, angles = 0, 0
    for _ in range(300):
        moved = replace(
            clean,
            scale=(shaken(clean.scale[0]), shaken(clean.scale[1])),
            aim=shaken(clean.aim),
            arrows=tuple(
                replace(one, entry=shaken(one.entry), nock=shaken(one.nock))  # type: ignore[arg-type]
                for one in clean.arrows
            ),
        )
        one = measured(moved)[1]
        assert one.nock_left_deg is not None
        assert one.angle_error_deg is not None
        inside += abs(one.left_in - 7.0) < one.place_error_in
        angles += abs(one.nock_left_deg - 12.0) < 2.0 * one.angle_error_deg
    assert 0.55 < inside / 300 < 0.85
    assert angles / 300 > 0.95


def test_measured_arrows_are_shots_of_an_outing() -> None:
    (first, *_) = shots_of(measured(picture(HOLES, ANGLES)))
    assert ShotSeen.model_validate(first).arrow == "1"
    bare = replace(picture(HOLES, ANGLES), arrows=(Marked((2000.0, 1500.0), None, None),))
    assert measured(bare)[0].nock_left_deg is None


def test_a_picture_without_a_scale_is_refused() -> None:
    with pytest.raises(MissingRefusal, match="two points on the butt"):
        measured(replace(picture(HOLES, ANGLES), scale=((5.0, 5.0), (8.0, 5.0))))


@pytest.mark.parametrize(
    ("changes", "words"),
    [
        ({"standing_out_in": 60.0}, "outside 4 to 45 in"),
        ({"nock": (3900.0, 1500.0)}, "Set the nock on the same arrow"),
    ],
)
def test_marks_that_cannot_be_are_refused(changes: dict[str, object], words: str) -> None:
    seen = picture(HOLES, ANGLES)
    with pytest.raises(BoundRefusal, match=words):
        measured(replace(seen, arrows=(replace(seen.arrows[0], **changes),)))  # type: ignore[arg-type]


def test_a_camera_nearer_than_the_arrows_reach_is_refused() -> None:
    with pytest.raises(BoundRefusal, match="Step back"):
        measured(replace(picture(HOLES, ANGLES), camera_in=26.0))
