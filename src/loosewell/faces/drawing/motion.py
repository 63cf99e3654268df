"""The frames the page animates: one array, one entry an arrow."""

from __future__ import annotations

from typing import Any

from loosewell.faces import wording
from loosewell.faces.drawing.launch import at, handle_outline, vane_shares
from loosewell.workshop.answer import LaunchPicture

_FRAMES = 120


def motion(pictures: list[LaunchPicture]) -> list[dict[str, Any]]:
    """The launches of an answer as plain numbers for the page's animation.

    Parameters
    ----------
    pictures : list of LaunchPicture
        The launches. [in, ms]

    Returns
    -------
    arrows : list of dict
        For each arrow its build and ``frames``: rows of time, nock position ahead of the
        strike plate, then the axis to the left of the string plane at each station. All
        arrows share the same times, so that one slider moves all. [ms, in, in]

    Source
    ------
    Linear interpolation between computed frames.
    """
    if not pictures:
        return []
    end = max(p.time_ms[-1] for p in pictures)
    times = [end * i / (_FRAMES - 1) for i in range(_FRAMES)]
    arrows = []
    for picture in pictures:
        frames = []
        for time in times:
            nock, path = at(picture, time)
            if time > picture.time_ms[-1]:
                # The frames of this arrow have ended: let it fly on at its last speed.
                gone = time - picture.time_ms[-1]
                nock += gone * _last_speed(picture)
            frames.append([round(time, 3), round(nock, 3), *(round(y, 4) for y in path)])
        left, right = vane_shares(picture)
        handle, plate = handle_outline(picture)
        arrows.append(
            {
                "label": picture.label,
                "title": wording.title_of(picture),
                "meeting": wording.bow_meeting(picture),
                "kind": wording.meeting_kind(picture),
                "hand": picture.hand,
                "length_in": picture.length_in,
                "point_length_in": picture.point_length_in,
                "diameter_in": picture.diameter_in,
                "fletching_rear_in": picture.fletching_rear_in,
                "fletching_front_in": picture.fletching_front_in,
                "fletching_height_in": picture.fletching_height_in,
                "fletching_left": left,
                "fletching_right": right,
                "plate_offset_in": picture.plate_offset_in,
                "handle_in": [[round(x, 3), round(y, 3)] for x, y in handle],
                "plate_in": [[round(x, 3), round(y, 3)] for x, y in plate],
                "brace_height_in": picture.brace_height_in,
                "string_left_ms": picture.string_left_ms,
                "nock_past_plate_ms": picture.nock_past_plate_ms,
                "contacts": [
                    {
                        "part": c.part,
                        "plane": c.plane,
                        "from_ms": c.from_ms,
                        "to_ms": c.to_ms,
                        "impulse_mns": c.impulse_mns,
                        "after_string": c.after_string,
                    }
                    for c in picture.contacts
                ],
                "station_in": [round(s, 3) for s in picture.station_in],
                "frames": frames,
            }
        )
    return arrows


def _last_speed(picture: LaunchPicture) -> float:
    run = picture.time_ms[-1] - picture.time_ms[-2]
    return (picture.nock_x_in[-1] - picture.nock_x_in[-2]) / run
