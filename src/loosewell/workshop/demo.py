"""An invented woodland camp to try everything on: bows, people, a rack of shafts, a few arrows.

Nobody here exists and nothing was measured; every record says that it is
invented. The numbers are what such a camp could well have written down: most
things measured, some told, some unknown, one shaft unfit. The rack itself lies
in `demo_camp/shafts.csv`, made by `builders/demo_shafts.py`, and comes in the
way anybody's table does.
"""

from __future__ import annotations

import datetime
from importlib import resources
from pathlib import Path

from loosewell.errors import FileRefusal
from loosewell.records.archer import Archer
from loosewell.records.arrow import Arrow, Fletching
from loosewell.records.bow import Bow, DrawReading, SpeedReading
from loosewell.workshop.keep import Workshop

PAIRS = (("Yew", "Wren"), ("Rowan", "Corin"))
"""Bow and archer of the two matches of the demo: as unlike as the camp has them."""


def _readings(*pairs: tuple[float, float], error_lb: float | None = 1.0) -> tuple[DrawReading, ...]:
    return tuple(
        DrawReading(draw_in=draw, weight_lb=weight, weight_error_lb=error_lb)
        for draw, weight in pairs
    )


def bows() -> list[Bow]:
    """The camp's bows, each of another make."""
    return [
        Bow(
            name="Yew",
            make="plain wooden",
            length_in=72.0,
            brace_height_in=6.5,
            draw_measured="true",
            draw_readings=_readings(
                (16.0, 30.6), (20.0, 42.2), (23.0, 50.6), (25.0, 56.3), (26.25, 60.0)
            ),
            drawn_to_limit_in=26.5,
            plate_offset_in=0.40,
            plate_offset_error_in=1 / 32,
            plate_material="leather",
            shelf_material="leather",
            nocking_height_in=0.44,
            string_material="polyester",
            string_mass_gr=165.0,
            hand="right",
            loaner=False,
            remarks="Longbow with a short shelf. Marked 60 lb at 28 in standard draw.",
            invented=True,
        ),
        Bow(
            name="Ash",
            make="plain wooden",
            length_in=66.0,
            brace_height_in=6.25,
            draw_measured="true",
            draw_readings=_readings((14.0, 17.1), (18.0, 26.8), (22.0, 36.6), (25.0, 44.2)),
            drawn_to_limit_in=26.0,
            plate_offset_in=0.30,
            plate_offset_error_in=1 / 32,
            plate_material="leather",
            shelf_material="hide with hair",
            nocking_height_in=0.375,
            string_material="linen",
            string_mass_gr=180.0,
            hand="right",
            loaner=True,
            remarks="Flat bow, narrow at the grip.",
            invented=True,
        ),
        Bow(
            name="Willow",
            make="plain wooden",
            length_in=48.0,
            brace_height_in=5.25,
            draw_measured="true",
            draw_readings=_readings((12.0, 7.5), (16.0, 12.0), (20.0, 16.4), error_lb=0.5),
            drawn_to_limit_in=21.0,
            plate_offset_in=0.35,
            plate_offset_error_in=1 / 16,
            plate_material="felt",
            shelf_material="felt",
            nocking_height_in=0.375,
            string_material="polyester",
            string_mass_gr=85.0,
            hand="either",
            loaner=True,
            remarks="Children's bow with a shelf on both sides.",
            invented=True,
        ),
        Bow(
            name="Larch",
            make="reflex-deflex",
            length_in=66.0,
            brace_height_in=7.25,
            draw_measured="true",
            draw_readings=_readings((16.0, 22.4), (20.0, 32.3), (24.0, 42.0), (26.25, 47.8)),
            drawn_to_limit_in=27.5,
            plate_offset_in=0.06,
            plate_offset_error_in=1 / 32,
            plate_material="leather",
            shelf_material="hide with hair",
            nocking_height_in=0.5,
            string_material="low-stretch",
            string_mass_gr=112.0,
            hand="right",
            speed_readings=(SpeedReading(arrow_weight_gr=478.0, speed_fps=163.0, draw_in=26.25),),
            maker_minimum_arrow_gr=400.0,
            loaner=False,
            remarks="Cut near centre. Speed taken from the sound of loose and hit at 20 yd.",
            invented=True,
        ),
        Bow(
            name="Rowan",
            make="recurve",
            length_in=62.0,
            brace_height_in=8.0,
            draw_measured="true",
            draw_readings=_readings((14.0, 15.4), (18.0, 24.0), (22.0, 31.7), (26.0, 40.2)),
            drawn_to_limit_in=28.0,
            plate_offset_in=-0.10,
            plate_offset_error_in=1 / 32,
            plate_material="leather",
            shelf_material="hide with hair",
            nocking_height_in=0.5,
            string_material="low-stretch",
            string_mass_gr=98.0,
            hand="left",
            maker_minimum_arrow_gr=320.0,
            loaner=True,
            remarks="Left-handed. Plate cut past centre.",
            invented=True,
        ),
        Bow(
            name="Holly",
            make="backed",
            length_in=68.0,
            draw_measured="standard",
            draw_readings=_readings((28.0, 45.0), error_lb=2.0),
            hand="right",
            loaner=True,
            remarks="One figure inked on the belly, 45 at 28. Its limit is not known.",
            invented=True,
        ),
    ]


def archers() -> list[Archer]:
    """The camp's people."""
    return [
        Archer(
            name="Wren",
            draw_length_in=25.0,
            draw_measured="true",
            draw_method="marked arrow",
            draw_error_in=0.25,
            draw_date=datetime.date(2026, 3, 14),
            hand="right",
            hook="split finger",
            loose="steady",
            child=False,
            experience="experienced",
            invented=True,
        ),
        Archer(
            name="Tamsin",
            draw_length_in=24.25,
            draw_measured="true",
            draw_method="marked arrow",
            draw_error_in=0.25,
            draw_date=datetime.date(2026, 3, 14),
            hand="right",
            hook="three under",
            loose="steady",
            child=False,
            experience="experienced",
            invented=True,
        ),
        Archer(
            name="Corin",
            draw_length_in=26.0,
            draw_measured="true",
            draw_method="marked arrow",
            draw_error_in=0.25,
            draw_date=datetime.date(2026, 3, 15),
            hand="left",
            hook="split finger",
            loose="steady",
            child=False,
            experience="experienced",
            invented=True,
        ),
        Archer(
            name="Pip",
            draw_length_in=19.5,
            draw_measured="true",
            draw_method="marked arrow",
            draw_error_in=0.5,
            draw_date=datetime.date(2026, 3, 15),
            hand="right",
            hook="three under",
            loose="unsteady",
            child=True,
            experience="beginner",
            remarks="Grows fast.",
            invented=True,
        ),
        Archer(
            name="Bram",
            draw_length_in=27.5,
            draw_measured="standard",
            draw_method="arm span",
            draw_error_in=1.0,
            draw_date=datetime.date(2026, 4, 2),
            hand="right",
            hook="split finger",
            loose="unsteady",
            child=False,
            experience="beginner",
            remarks="First term.",
            invented=True,
        ),
        Archer(
            name="Linnet",
            draw_length_in=23.5,
            draw_measured="true",
            draw_method="marked arrow",
            draw_error_in=0.5,
            draw_date=datetime.date(2026, 4, 2),
            hand="right",
            hook="thumb",
            loose="steady",
            child=False,
            experience="experienced",
            remarks="Thumb ring; the arrow still passes on the left of the bow.",
            invented=True,
        ),
        Archer(
            name="Hale",
            hand="right",
            hook="split finger",
            loose="steady",
            child=False,
            experience="experienced",
            remarks="Looks the shafts over. Draw never measured.",
            invented=True,
        ),
    ]


def arrows() -> list[Arrow]:
    """A few arrows already built on shafts of the rack."""
    hand_cut = Fletching(
        material="feather",
        length_in=5.0,
        height_in=0.5,
        count=3,
        angle_deg=1.5,
        wing="left",
        rear_in=1.0,
    )
    short = Fletching(
        material="feather",
        length_in=4.0,
        height_in=0.5,
        count=3,
        angle_deg=1.0,
        wing="right",
        rear_in=1.0,
    )
    return [
        Arrow(
            name="Wren 1",
            shaft="K1",
            length_in=28.5,
            point_kind="field",
            point_weight_gr=125.0,
            nock_kind="self",
            fletching=hand_cut,
            weight_gr=496.0,
            balance_in=17.25,
            invented=True,
        ),
        Arrow(
            name="Wren 2",
            shaft="K2",
            length_in=28.5,
            point_kind="field",
            point_weight_gr=125.0,
            nock_kind="self",
            fletching=hand_cut,
            weight_gr=473.0,
            invented=True,
        ),
        Arrow(
            name="Wren bare",
            shaft="K4",
            length_in=28.5,
            point_kind="field",
            point_weight_gr=125.0,
            nock_kind="self",
            fletching=Fletching(material="none"),
            remarks="For the bare-shaft group.",
            invented=True,
        ),
        Arrow(
            name="Corin 1",
            shaft="T1",
            length_in=29.0,
            point_kind="bullet",
            point_weight_gr=100.0,
            nock_kind="plastic",
            nock_weight_gr=9.0,
            fletching=short,
            weight_gr=425.0,
            invented=True,
        ),
        Arrow(
            name="Pip 1",
            shaft="L1",
            length_in=24.5,
            point_kind="blunt",
            point_weight_gr=70.0,
            nock_kind="plastic",
            nock_weight_gr=9.0,
            fletching=short,
            remarks="Two more inches than Pip can reach, and a rubber head.",
            invented=True,
        ),
    ]


def shaft_table() -> Path:
    """The rack as a table in a file, the units in its headers."""
    return Path(str(resources.files("loosewell.workshop") / "demo_camp" / "shafts.csv"))


def build(path: Path) -> None:
    """Write the invented camp into a new workshop file; an existing file is refused."""
    if path.exists():
        raise FileRefusal(
            f"There is a file at {path} already, and the demo camp never writes over one. "
            "Name another file, or move that one away."
        )
    path.parent.mkdir(parents=True, exist_ok=True)
    with Workshop.open(path) as workshop:
        for bow in bows():
            workshop.add(bow)
        for archer in archers():
            workshop.add(archer)
        workshop.import_shafts(shaft_table())
        for arrow in arrows():
            workshop.add(arrow)
