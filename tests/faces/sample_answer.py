"""A made-up answer with plausible shapes, for tests of the faces alone.

Nothing here comes from the engine: a straight line, a first free-free bending shape
and a decaying swing, so that the drawings have something honest-looking to draw.
"""

from __future__ import annotations

import math
from dataclasses import replace
from typing import Literal

from loosewell.workshop.answer import (
    Band,
    ChosenArrow,
    ContactSpell,
    InputUsed,
    LaunchPicture,
    MatchAnswer,
    Notice,
    RackShaft,
    RuleOfThumb,
    ShaftChange,
    ShareAtSpine,
)


def _nock(time_ms: float) -> float:
    """Nock position: accelerating from 26 in behind the plate, then coasting."""
    stroke, end, speed = 19.5, 17.0, 1.8
    if time_ms >= end:
        return -6.5 + speed * (time_ms - end)
    part = time_ms / end
    return -26.0 + stroke * (1.45 * part**2 - 0.45 * part**3)


def launch(label: str, spine: float, swing: float, hertz: float, drift: float) -> LaunchPicture:
    """One made-up launch of a right-handed archer."""
    length, stations = 28.5, [i * 28.5 / 16 for i in range(17)]
    times = [i * 0.25 for i in range(94)]
    nock_x, path_y, path_z = [], [], []
    for time in times:
        nock_x.append(_nock(time))
        part = min(time / 17.0, 1.0)
        bend = swing * math.sin(2 * math.pi * hertz * time / 1000.0) * min(1.0, time / 3.0)
        base = 0.06 * math.sin(min(time, 3.0))
        rows = []
        for station in stations:
            u = station / length
            line = base + 0.62 * u * (1 - part) + part * (0.30 + drift * u)
            shape = math.cos(2 * math.pi * (u - 0.5)) - 0.15
            rows.append(line + bend * shape)
        path_y.append(rows)
        path_z.append([0.15] * 17)
    knock = {"fits": 0.0, "too weak": 46.0, "too stiff": 31.0}[label]
    spells = [ContactSpell("shaft", "plate", 0.0, 6.5, 120.0, False)]
    if knock:
        part: Literal["shaft", "fletching"] = "shaft" if label == "too stiff" else "fletching"
        spells.append(ContactSpell(part, "plate", 18.2, 20.1, knock, True))
    return LaunchPicture(
        label=label,  # type: ignore[arg-type]
        hand="right",
        spine_26in_2lb_lb=spine,
        length_in=length,
        point_weight_gr=125.0,
        point_length_in=1.1,
        diameter_in=0.344,
        fletching_rear_in=1.0,
        fletching_front_in=6.0,
        fletching_height_in=0.55,
        fletching_count=3,
        plate_offset_in=0.31,
        brace_height_in=6.5,
        draw_in=26.0,
        bow_length_in=68.0,
        time_ms=times,
        station_in=stations,
        nock_x_in=nock_x,
        path_y_in=path_y,
        path_z_in=path_z,
        plate_left_ms=6.5,
        string_left_ms=17.0,
        nock_past_plate_ms=20.6,
        contacts=spells,
        tail_knock_mns=knock,
        distance_yd=20.0,
        flight_time_s=0.41,
        strike_speed_fps=141.0,
        hit_left_in={"fits": 0.0, "too weak": -3.4, "too stiff": 2.6}[label],
        hit_high_in={"fits": 0.0, "too weak": -0.8, "too stiff": 0.3}[label],
        stand_nock_left_deg={"fits": 0.4, "too weak": -3.6, "too stiff": 2.4}[label],
        stand_nock_high_deg={"fits": 0.8, "too weak": 1.1, "too stiff": 0.9}[label],
        stand_low_deg={"fits": -0.6, "too weak": -5.2, "too stiff": 0.7}[label],
        stand_high_deg={"fits": 1.3, "too weak": -1.6, "too stiff": 4.2}[label],
        share_clean_percent={"fits": 86.0, "too weak": 22.0, "too stiff": 41.0}[label],
        acts=label,
        clean_knock_mns=25.0,
        marks=[]
        if label == "fits"
        else ["a rub on the right side of the shaft, 3.7 to 6.4 in from the nock (15 mN·s)"],
        straight_after_yd=None if label == "too weak" else 12.0,
        bend_left_in=0.21 if label == "too weak" else 0.03,
    )


def mirrored(picture: LaunchPicture) -> LaunchPicture:
    """The same launch for a left-handed archer."""
    return replace(
        picture,
        hand="left",
        path_y_in=[[-y for y in row] for row in picture.path_y_in],
        plate_offset_in=-picture.plate_offset_in,
        hit_left_in=-picture.hit_left_in,
        stand_nock_left_deg=-picture.stand_nock_left_deg,
        stand_low_deg=-picture.stand_high_deg,
        stand_high_deg=-picture.stand_low_deg,
    )


def sample_answer() -> MatchAnswer:
    """A full made-up answer with one hard stop, one warning and a long rack."""
    pictures = [
        launch("fits", 53.0, -0.16, 62.0, 0.12),
        launch("too weak", 40.0, -0.42, 50.0, -0.25),
        launch("too stiff", 74.0, -0.05, 82.0, 0.42),
    ]
    curve = []
    for i in range(25):
        spine = 30.0 + 2.5 * i
        share = 88.0 * math.exp(-(((spine - 53.0) / 14.0) ** 2)) + 2.0
        curve.append(ShareAtSpine(spine, share, share * 0.78, min(99.0, share * 1.1 + 2.0)))
    rules = [
        RuleOfThumb(
            name=name,
            statement=statement,
            zero_point=zero,
            spine_lb=middle,
            spine_low_lb=middle - wide,
            spine_high_lb=middle + wide,
            note="Common practice, no source.",
        )
        for name, statement, zero, middle, wide in (
            (
                "Draw weight as it is",
                "Spine in pounds equals the draw weight in pounds.",
                "28 in arrow, 125 gr point",
                52.0,
                2.5,
            ),
            ("Ten pounds under", "Ten pounds less than the draw weight.", "28 in arrow", 42.0, 2.5),
            (
                "Off-centre distance",
                "Three pounds less for each tenth of an inch short of centre.",
                "plate on the string plane",
                43.0,
                3.0,
            ),
            ("One third less", "Two thirds of the draw weight.", "uncut bow", 35.0, 3.0),
            (
                "Five a inch, five a point step",
                "Five pounds for each inch of length and each 25 gr of point.",
                "28 in arrow, 125 gr point",
                55.0,
                4.0,
            ),
            ("Low-stretch string adds", "Five pounds more.", "polyester string", 52.0, 2.5),
        )
    ]
    inputs = [
        InputUsed(
            "Plate offset", "0.31 in", "± 1/16 in, assumed", True, 44.0, "String line to the plate."
        ),
        InputUsed(
            "Looseness of the loose", "steady", "assumed", True, 23.0, "Shoot six and mark them."
        ),
        InputUsed("Draw weight", "52.3 lb at 26.0 in true draw", "± 1 lb", False, 17.0, ""),
        InputUsed("Draw length", "26.0 in true draw", "± 1/4 in", False, 11.0, ""),
        InputUsed("String mass", "110 gr", "assumed", True, 3.0, "Weigh the string."),
    ]
    woods = ("Port-Orford-cedar", "Sitka spruce", "Douglas-fir", "river cane", "hazel shoot")
    rack = []
    for i in range(30):
        spine = 34.0 + 1.5 * i
        share = 88.0 * math.exp(-(((spine - 53.0) / 14.0) ** 2)) + 2.0
        acts = "fits" if abs(spine - 53) < 6 else ("acts weak" if spine < 53 else "acts stiff")
        change = None
        if 6 < abs(spine - 53) < 10:
            change = ShaftChange(
                what="Cut 1/2 in off" if spine < 53 else "Fit a 145 gr point",
                length_in=28.0 if spine < 53 else 28.5,
                point_weight_gr=125.0 if spine < 53 else 145.0,
                chance_before_percent=share,
                chance_after_percent=min(85.0, share + 22.0),
            )
        rack.append(
            RackShaft(
                shaft=f"R{i + 1:02d}",
                material=woods[i % 5],
                spine_26in_2lb_lb=Band(spine, spine - 2.0, spine + 2.0, "ruler"),
                deflection_28in_1_94lb_in=31.4992 / spine,
                weight_gr=290.0 + 3.0 * i,
                chance_percent=share,
                acts=acts,  # type: ignore[arg-type]
                change=change,
            )
        )
    rack[4] = replace(
        rack[4], acts="unfit", chance_percent=None, note="Marked unfit: crack at the nock."
    )
    rack[11] = replace(
        rack[11],
        acts="not inspected",
        chance_percent=None,
        change=None,
        note="not inspected: look it over first",
        would_act="fits",
        would_chance_percent=71.0,
    )
    rack[7] = replace(
        rack[7],
        acts="not measured",
        spine_26in_2lb_lb=None,
        deflection_28in_1_94lb_in=None,
        chance_percent=None,
    )
    rack[9] = replace(
        rack[9], acts="too short", chance_percent=None, note="26 in long, 27 in needed."
    )
    return MatchAnswer(
        bow="Holm",
        archer="Ansgar <of the ford>",
        hand="right",
        purpose="target",
        distance_yd=20.0,
        invented=True,
        stops=[
            Notice("shaft_unfit", "Do not shoot shaft R05: it is marked unfit (crack at the nock).")
        ],
        warnings=[
            Notice(
                "mass_below_practice",
                "The arrow weighs 7.6 grains per pound; common practice for plain wooden bows is "
                "8 or more, and this bow's maker gave no minimum. Ask the maker.",
            )
        ],
        cautions=[
            Notice(
                "not_fitness", "A spine answer says nothing about whether a shaft is fit to shoot."
            )
        ],
        true_draw_in=Band(26.0, 25.75, 26.25, "measured with a marked arrow"),
        draw_weight_lb=Band(52.3, 51.1, 53.5, "from 4 readings"),
        clean_definition="No knock of the tail above 10 mN·s, and standing within 3 degrees.",
        share_stated_percent=70.0,
        best_share_percent=90.0,
        spine_range_lb=Band(53.0, 47.0, 59.0, "share of clean shots"),
        spine_range_text="Start with shafts of 47 to 59 lb and look first near 53 lb.",
        spine_range_definition="Spines at which at least 70 % of shots are clean.",
        curve=curve,
        inputs=inputs,
        narrow_next="Measure the plate offset to 1/32 in: it causes 44 % of the width.",
        rules=rules,
        rules_spread_lb=20.0,
        rules_against_engine="Four of six rules fall below the engine's range: they start from "
        "bows cut far from centre.",
        rack=rack,
        chosen=ChosenArrow(
            shaft="R13",
            cut_length_in=28.5,
            cut_length_definition="nock throat to the back of the point",
            minimum_length_in=27.75,
            point_weight_gr=125.0,
            fletching="three 5 in feathers, 0.55 in high, right wing",
            total_weight=Band(488.0, 482.0, 494.0),
            grains_per_pound=Band(9.3, 9.1, 9.6),
            balance_from_nock_throat_in=Band(17.1, 16.9, 17.3),
            foc_percent=Band(10.0, 9.3, 10.7),
            foc_definition="balance ahead of the middle, as a share of the arrow length",
            speed_fps=Band(151.0, 146.0, 156.0),
            energy_ftlb=Band(24.7, 23.1, 26.3),
            momentum_slug_fps=Band(0.327, 0.314, 0.340),
            momentum_kg_mps=Band(1.455, 1.397, 1.513),
        ),
        next_step="Shoot three bare and six fletched of R13 at 10 yd and record where they land.",
        pictures=pictures,
        launches=12800,
        seconds=4.2,
        engine="launch 0.1",
        weather="Air 1.20 kg/m³ (68 °F, 20 °C; 0 ft, 0 m), still; assumed: wind.",
        forgiveness_lb=12.0,
        fall_weak_percent_per_lb=3.4,
        fall_stiff_percent_per_lb=5.0,
    )
