"""The tables of docs/physics/launch.md: what string, plate, limbs and push do to the best spine.

    python docs/figures/plate.py          writes them into the page; a minute or two

A steady right-handed archer and an invented plain wooden bow, through the bridge with its own
defaults, so that no setting of the engine is written down here a second time. Best is the spine
at which the yaw rate on leaving, averaged over all that is uncertain, first passes from minus (nose
right, weak) to plus; the share is the largest share of clean shots over spine. The same samples
everywhere: settings differ by themselves alone.
"""

from __future__ import annotations

from collections.abc import Callable
from contextlib import nullcontext
from dataclasses import dataclass, field, replace
from functools import cache
from pathlib import Path
from typing import Any
from unittest import mock

import numpy as np
from numpy.typing import NDArray

from loosewell.chance.priors import sample
from loosewell.physics import launch, spine
from loosewell.records import Archer, Bow
from loosewell.records.bow import DrawReading
from loosewell.units import GRAIN, INCH, YARD
from loosewell.workshop import bridge, match
from loosewell.workshop.bridge import makes

Array = NDArray[np.float64]
PAGE = Path(__file__).resolve().parents[2] / "docs" / "physics" / "launch.md"
OFFSETS = (-0.15, 0.0, 0.2, 0.3, 0.4, 0.5)
"""Of the plate from the string plane. [in]"""
POUNDS = np.arange(30.0, 94.0, 4.0)
FAR_POUNDS = np.arange(20.0, 131.0, 10.0)
WORLDS = 64
DRAW_IN = 27.0
LENGTH = 28.5 * INCH
POINT_GR = 125.0
LIMITS = match.CleanLimits()
THIRD = -1.0
"""As the lump: a third of whatever the string weighs."""


@dataclass(frozen=True)
class Setting:
    """One line of a table: what differs from the bridge's defaults.

    ``times`` multiplies uncertain inputs by their key; ``lump`` [kg] moves sideways with the
    nock, the bridge's own guess and its error without it.
    """

    name: str
    times: dict[str, float] = field(default_factory=dict)
    bow: dict[str, Any] = field(default_factory=dict)
    lump: float | None = None
    stretches: bool = True
    point_gr: float = POINT_GR


def bow_of(offset_in: float, **changes: Any) -> Bow:
    """60 lb at 28 in standard: about 57 lb at this archer's draw."""
    plain = Bow(
        name="invented", make="plain wooden", length_in=68.0, brace_height_in=6.5,
        draw_measured="standard",
        draw_readings=(DrawReading(draw_in=28.0, weight_lb=60.0, weight_error_lb=0.5),),
        plate_offset_in=offset_in, hand="right", invented=True,
    )  # fmt: skip
    return plain.model_copy(update=changes)


def archer() -> Archer:
    """27 in standard, fingers, steady."""
    return Archer(
        name="invented", draw_length_in=DRAW_IN, draw_measured="standard",
        draw_method="marked arrow", hand="right", hook="split finger", loose="steady",
        invented=True,
    )  # fmt: skip


def model(bow: Bow) -> bridge.BowModel:
    """Its tables, with room for the scatter of the draw."""
    return bridge.bow_model(bow, DRAW_IN - bridge.TRUE_BELOW_STANDARD_IN, room_in=1.0)


@cache
def arrow(point_gr: float = POINT_GR, elements: int = bridge.ELEMENTS) -> bridge.ArrowModel:
    """28.5 in of 11/32 in wood of 50 lb and the usual feathers."""
    shaft = bridge.uniform_profile(
        spine.stiffness_from_spine_pounds(50.0), 12.0 * GRAIN / INCH, 11.0 / 32.0 * INCH, 0.9
    )
    part = bridge.parts(point_gr, bridge.standard_fletching())
    return bridge.arrow_model(shaft, LENGTH, part, elements)


def sweep(one: Setting, offset_in: float, pounds: Array = POUNDS) -> tuple[Array, Array]:
    """Mean yaw rate [rad/s] and share of clean shots at each spine."""
    stiff_string = {"polyester": 1e5, "low-stretch": 1e5}
    with nullcontext() if one.stretches else mock.patch.dict(makes.STRING_MODULUS, stiff_string):
        bow = model(bow_of(offset_in, **one.bow))
    loose = bridge.loose_model(archer())
    drawn = sample([*bow.inputs, *loose.inputs, *loose.shots], WORLDS, seed=1)
    values = {key: np.tile(value, len(pounds)) for key, value in drawn.items()}
    values["stiffness_scale"] = np.repeat(pounds / 50.0, WORLDS)
    for key, factor in one.times.items():
        values[key] = values[key] * factor
    if one.lump == THIRD:
        values["nock_serving"] = values["string_mass"] / 3.0
    elif one.lump is not None:
        values["nock_serving"] = np.full_like(values["nock_serving"], one.lump)
    which = np.zeros(len(pounds) * WORLDS, dtype=np.int64)
    shots = bridge.shoot(bow, [arrow(one.point_gr)], which, values, "right", 20.0 * YARD)
    out = shots.launch
    rate = np.where(shots.status == 0, out[:, launch.YAW_RATE], np.nan)
    knock = 1e3 * (out[:, launch.TAIL_SHAFT_Y] + out[:, launch.TAIL_FLETCHING_Y])
    # Sideways only: height has its own cure, the nocking point.
    with np.errstate(invalid="ignore"):
        clean = (
            (shots.status == 0)
            & (knock <= LIMITS.knock_mns)
            & (np.abs(np.degrees(shots.stand_left)) <= LIMITS.stand_deg)
        )
    shape = (len(pounds), WORLDS)
    with np.errstate(invalid="ignore"):
        mean = rate.reshape(shape).mean(axis=1)
    return mean, np.asarray(clean.reshape(shape).mean(axis=1))


def crossing(pounds: Array, rate: Array) -> str:
    """Spine at which the rate first passes from minus to plus."""
    for i in range(len(pounds) - 1):
        if rate[i] < 0.0 <= rate[i + 1]:
            part = rate[i] / (rate[i] - rate[i + 1])
            return f"{pounds[i] + part * (pounds[i + 1] - pounds[i]):.0f}"
    return "none"


def cell(one: Setting, offset_in: float) -> str:
    """Best spine and best share."""
    rate, share = sweep(one, offset_in)
    return f"{crossing(POUNDS, rate)}, {100.0 * share.max():.0f} %"


def table(word: str, settings: list[Setting]) -> str:
    """One table: a line a setting, a column an offset."""
    offsets = " | ".join(f"{one:+.2f} in" for one in OFFSETS)
    lines = [f"| {word} | {offsets} |", "|---|" + "---|" * len(OFFSETS)]
    lines += [
        f"| {one.name} | " + " | ".join(cell(one, offset) for offset in OFFSETS) + " |"
        for one in settings
    ]
    return "\n".join(lines)


def curves() -> str:
    """Yaw rate and clean share far to both sides of the best spine, at the defaults."""
    lines = [
        "| plate offset | " + " | ".join(f"{one:.0f} lb" for one in FAR_POUNDS) + " |",
        "|---|" + "---|" * len(FAR_POUNDS),
    ]
    for offset in OFFSETS:
        rate, share = sweep(Setting(""), offset, FAR_POUNDS)
        cells = (f"{a:+.1f}, {100.0 * b:.0f} %" for a, b in zip(rate, share, strict=True))
        lines.append(f"| {offset:+.2f} in | " + " | ".join(cells) + " |")
    return "\n".join(lines)


def middle(key: str) -> float:
    """What the bridge takes for an input, at this bow and archer."""
    everything = (*model(bow_of(0.2)).inputs, *bridge.loose_model(archer()).inputs)
    return next(one.middle for one in everything if one.key == key)


def varied(key: str, values: tuple[float, ...], words: Callable[[float], str]) -> list[Setting]:
    """Lines in which the middle of one input takes these values; its own one is marked."""
    own = middle(key)
    lines = []
    for value in sorted({*values, own}):
        name = words(value) + (" (default)" if value == own else "")
        lines.append(Setting(name, {key: value / own}))
    return lines


def strings() -> list[Setting]:
    """By mass, by fibre, and by whether it gives."""
    polyester = {"string_material": "polyester"}
    low = {"string_material": "low-stretch"}
    return [
        Setting("not known: 170 gr, polyester's stretch (default)"),
        Setting("polyester, 90 gr", bow=polyester | {"string_mass_gr": 90.0}),
        Setting("polyester, 170 gr", bow=polyester | {"string_mass_gr": 170.0}),
        Setting("polyester, 250 gr", bow=polyester | {"string_mass_gr": 250.0}),
        Setting("low-stretch, 90 gr", bow=low | {"string_mass_gr": 90.0}),
        Setting("170 gr, no stretch", bow=low | {"string_mass_gr": 170.0}, stretches=False),
    ]


def write(key: str, text: str) -> None:
    """Put a table between its two marks in the page."""
    page = PAGE.read_text(encoding="utf-8")
    first, last = f"<!-- {key}: made by docs/figures -->\n", f"<!-- end of {key} -->"
    before, _, rest = page.partition(first)
    _, _, after = rest.partition(last)
    if not after:
        raise SystemExit(f"{PAGE} has no place for the table {key}.")
    PAGE.write_text(f"{before}{first}{text}\n{last}{after}", encoding="utf-8")


def main() -> None:
    plain = Setting("")
    lumps = [
        replace(plain, name="none", lump=0.0),
        replace(
            plain,
            name=f"{1e3 * bridge.NOCK_SERVING:g} g, ± 50 % (default)",
        ),
        replace(plain, name="1 g", lump=0.001),
        replace(plain, name="a third of the string, 3.7 g", lump=THIRD),
        replace(plain, name="a third, and hold × 1.9", lump=THIRD, times={"string_hold": 1.9}),
        replace(
            plain,
            name="the same, string of 90 gr",
            lump=THIRD,
            times={"string_hold": 1.9},
            bow={"string_mass_gr": 90.0},
        ),
    ]
    points = [
        replace(plain, name=f"{one:g} gr" + (" (default)" if one == POINT_GR else ""), point_gr=one)
        for one in (75.0, 100.0, POINT_GR, 150.0, 175.0)
    ]
    for key, text in {
        "curves": curves(),
        "hold": table("hold", varied("string_hold", (0.9, 1.5, 1.9), lambda v: f"× {v:g}")),
        "lump": table("moves sideways with the nock", lumps),
        "string": table("string", strings()),
        "limbs": table(
            "limb mass", varied("limb_mass", (0.05, 0.075, 0.13), lambda v: f"{1e3 * v:.0f} g")
        ),
        "relaxation": table(
            "relaxation",
            varied("plate_relaxation", (1e-4, 8e-4, 2e-3), lambda v: f"{1e3 * v:g} ms"),
        ),
        "stiffness": table(
            "plate stiffness",
            varied("plate_stiffness", (1e4, 2.5e4, 1e5, 2e5), lambda v: f"{v / 1e3:g} N/mm"),
        ),
        "push": table(
            "push", varied("loose_push", (0.003, 0.005, 0.0095, 0.012), lambda v: f"{1e3 * v:g} mm")
        ),
        "points": table("point", points),
    }.items():
        write(key, text)


if __name__ == "__main__":
    main()
