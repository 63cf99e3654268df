"""What is wished of the arrow: purposes, clean limits, and the checks on what was asked."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

import numpy as np
from numpy.typing import NDArray

from loosewell.errors import BoundRefusal
from loosewell.records import Archer, Bow, Fletching, bounds
from loosewell.workshop import bridge, stops

Array = NDArray[np.float64]
Cut = Literal["trimmed", "full height", "spiral"]


@dataclass(frozen=True)
class CleanLimits:
    """What makes a shot clean. Few, documented, and the user's to change.

    Modelling choices, no source: a knock of 15 mN·s is what turns the tail of a
    30 g arrow by half a metre a second; eight degrees is what a fletched arrow may
    swing near the bow and still stand nearly straight at 20 yd; three degrees in the
    butt put the nock an inch and a half aside.
    """

    knock_mns: float = 15.0
    swing_deg: float = 8.0
    stand_deg: float = 3.0

    def text(self) -> str:
        """The definition in words."""
        return (
            f"A shot is clean when the tail passes the bow with a knock below "
            f"{self.knock_mns:g} mN·s, the arrow never swings more than {self.swing_deg:g}° off "
            f"its path, and it stands within {self.stand_deg:g}° of its path in the butt."
        )


NOVICE_LIMITS = CleanLimits(knock_mns=25.0, swing_deg=12.0, stand_deg=5.0)
"""For beginners and children, whose slow arrows and loose fingers swing further; a
modelling choice, no source."""


FISHING_LIMITS = CleanLimits(knock_mns=25.0, swing_deg=20.0, stand_deg=20.0)
"""For arrows without fletching over a few yards, where going in point first is all that is asked;
a modelling choice, no source."""


@dataclass(frozen=True)
class Purpose:
    """What a purpose changes in the engine: distance, point, fletching, what counts as clean.

    ``cut`` is how the feathers are left: low and curved, full height, or wound in a spiral.
    """

    name: str
    distance_yd: float
    point_weight_gr: float
    point_kind: str
    fletching_length_in: float
    fletching_height_in: float
    fletching_count: int = 3
    fletching_angle_deg: float = 2.0
    cut: Cut = "trimmed"
    limits: CleanLimits | None = None

    def fletching(self) -> Fletching:
        """The fletching usual for it; with no feathers at all, none."""
        if self.fletching_count == 0:
            return Fletching(material="none")
        return Fletching(
            material="feather",
            length_in=self.fletching_length_in,
            height_in=self.fletching_height_in,
            count=self.fletching_count,
            angle_deg=self.fletching_angle_deg,
            rear_in=1.0,
        )


PURPOSES = {
    "target": Purpose("target", 20.0, 125.0, "field", 4.0, 0.5),
    "field": Purpose("field", 25.0, 125.0, "field", 4.0, 0.5),
    "3D": Purpose("3D", 20.0, 125.0, "field", 4.0, 0.5),
    "stumping": Purpose("stumping", 25.0, 145.0, "blunt", 5.0, 0.55),
    "hunting": Purpose("hunting", 15.0, 145.0, "broadhead", 5.0, 0.55),
    "small game": Purpose("small game", 15.0, 145.0, "blunt", 5.0, 0.55),
    "flu-flu": Purpose("flu-flu", 15.0, 145.0, "blunt", 5.5, 1.0, 4, 2.0, "full height"),
    "fishing": Purpose("fishing", 5.0, 350.0, "fishing", 0.0, 0.0, 0, 0.0, limits=FISHING_LIMITS),
    "long shot": Purpose("long shot", 40.0, 80.0, "bullet", 2.25, 0.4, 3, 1.0),
}
"""Common practice, no source: feathers of a flu-flu 5 to 5.5 in long and 0.9 to 1.2 in high, four
or six or one wound in a spiral; fishing below about 20 ft, no feathers, a heavy front."""


@dataclass(frozen=True)
class Wish:
    """What is asked of the arrow, checked and with the purpose's own values filled in."""

    plan: Purpose
    distance_yd: float
    point_gr: float
    length_in: float | None
    fletching: Fletching
    limits: CleanLimits
    air: Array
    weather: str
    seed: int


def wish_of(
    bow: Bow,
    archer: Archer,
    purpose: str,
    distance_yd: float | None,
    point_weight_gr: float | None,
    length_in: float | None,
    fletching: Fletching | None,
    limits: CleanLimits | None,
    temperature_f: float | None,
    altitude_ft: float | None,
    wind_left_fps: float | None,
    seed: int,
) -> Wish:
    """The wish checked, or a refusal that says what is accepted."""
    if purpose not in PURPOSES:
        raise BoundRefusal(
            f"Purpose '{purpose}' is not known yet. Accepted are {', '.join(PURPOSES)}."
        )
    plan = PURPOSES[purpose]
    distance_yd = plan.distance_yd if distance_yd is None else distance_yd
    point_gr = plan.point_weight_gr if point_weight_gr is None else point_weight_gr
    if point_weight_gr is None and bow.draw_readings:
        usual = _usual_point_gr(max(r.weight_lb for r in bow.draw_readings))
        # A fishing point is heavier than any other, on a light bow too.
        heavy = plan.point_weight_gr / 125.0 if plan.point_kind == "fishing" else 1.0
        point_gr = min(point_gr, usual * heavy)
    for value, low, high, what, advice in (
        (distance_yd, 3.0, 120.0, "A distance of {} yd is outside 3 to 120 yd.",
         "Give the distance from the shooting line to the butt."),
        (point_gr, 20.0, 500.0, "A point of {} gr is outside 20 to 500 gr.",
         "Weigh the point; grains (gr) are not grams (g)."),
        (temperature_f, -40.0, 130.0, "A temperature of {} °F is outside -40 to 130 °F.",
         "Give the temperature of the air, such as 60 F or 15 C."),
        (altitude_ft, -1500.0, 20000.0, "An altitude of {} ft is outside -1500 to 20000 ft.",
         "Give the height of the place above the sea."),
        (wind_left_fps, -75.0, 75.0, "A wind of {} fps is outside -75 to 75 fps.",
         "Give its speed square to the line of aim, to the left positive."),
    ):  # fmt: skip
        if value is not None and not low <= value <= high:
            raise BoundRefusal(f"{what.format(f'{value:g}')} {advice}")
    if length_in is not None:
        bounds.check(length_in, "arrow.length_in")
    air, weather = bridge.weather_row(temperature_f, altitude_ft, wind_left_fps)
    return Wish(
        plan,
        distance_yd,
        point_gr,
        length_in,
        fletching or plan.fletching(),
        limits or plan.limits or (NOVICE_LIMITS if stops.is_novice(archer) else CleanLimits()),
        air,
        weather,
        seed,
    )


def _usual_point_gr(weight_lb: float) -> float:
    """Heaviest point usual for a bow: light bows throw light points. Common practice, no source."""
    for limit, point in ((22.0, 70.0), (32.0, 100.0)):
        if weight_lb < limit:
            return point
    return 500.0
