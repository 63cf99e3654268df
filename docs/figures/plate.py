"""The tables of docs/physics/launch.md: what string, plate, limbs and push do to the best spine.

    python docs/figures/plate.py          writes them into the page; about a minute

Best is told by the yaw rate with which the arrow leaves: negative (nose to the right) for weak
shafts, positive for stiff ones, and where it passes through zero the arrow leaves straight. The
last table counts clean shots, through the bridge with its defaults.
"""

# ruff: noqa: E402, I001 - its path must be set first

from __future__ import annotations

import sys
from pathlib import Path
from typing import Any

import numpy as np
from numpy.typing import NDArray

ROOT = Path(__file__).resolve().parents[2]
PAGE = ROOT / "docs" / "physics" / "launch.md"
sys.path.insert(0, str(ROOT / "tests"))

from physics.launches import bow_table, built_arrow, row

from loosewell.physics import launch, spine
from loosewell.units import GRAIN, INCH, YARD

Array = NDArray[np.float64]
OFFSETS = (-0.1, 0.0, 0.2, 0.3, 0.4, 0.5)
"""Of the plate from the string plane. [in]"""
POUNDS = np.arange(25.0, 162.5, 2.5)
USUAL: dict[str, float] = {
    "plate_stiffness": 50_000.0,
    "plate_damping": 20.0,
    "shelf_stiffness": 50_000.0,
    "shelf_damping": 20.0,
    "loose_push": 0.0071,
    "loose_travel": 0.014,
    "finger_stiffness": 10_000.0,
    "limb_mass": 0.105,
    "string_hold": 1.9,
}
"""As the bridge assumes them for a 57 lb plain wooden bow with a leather plate, steady loose."""
SHOTS = 128


def arrow(elements: int) -> Any:
    """28.5 in of 11/32 in wood of 50 lb, 125 gr point, three 4 in feathers."""
    return built_arrow(
        elements,
        bending_stiffness=spine.stiffness_from_spine_pounds(50.0),
        length=28.5 * INCH,
        shaft_mass=328.0 * GRAIN,
        fletching=(1.0 * INCH, 5.0 * INCH),
    )


def outcome(rows: list[Array], elements: int = 16, steps: int = 800) -> Array:
    """What the kernel gives for these rows."""
    one = arrow(elements)
    index = np.zeros(len(rows), dtype=np.int64)
    out, _ = launch.launch_batch(
        np.array(rows), index, index, one.blocks[None], one.number[None], one.radius[None],
        bow_table()[None], steps, steps // 4,
    )  # fmt: skip
    return out


def crossing(pounds: Array, rate: Array) -> str:
    """Spines at which the rate passes from minus to plus."""
    found = []
    for i in range(len(pounds) - 1):
        if rate[i] < 0.0 <= rate[i + 1]:
            part = rate[i] / (rate[i] - rate[i + 1])
            found.append(f"{pounds[i] + part * (pounds[i + 1] - pounds[i]):.0f}")
    return " and ".join(found) or "none"


def head(word: str) -> list[str]:
    offsets = " | ".join(f"{one:+.1f} in" for one in OFFSETS)
    return [f"| {word} | {offsets} |", "|---|" + "---|" * len(OFFSETS)]


def table(word: str, settings: list[tuple[str, dict[str, float]]]) -> str:
    """One table: a line a setting, a column an offset."""
    lines = head(word)
    for name, changes in settings:
        rows = [
            row(
                **USUAL | changes | {"plate_offset": offset * INCH, "stiffness_scale": pound / 50.0}
            )
            for offset in OFFSETS
            for pound in POUNDS
        ]
        out = outcome(rows)
        rate = np.where(out[:, launch.STATUS] == launch.FINE, out[:, launch.YAW_RATE], np.nan)
        cells = []
        for one in rate.reshape(len(OFFSETS), len(POUNDS)):
            weak, stiff = (float(np.interp(x, POUNDS, one)) for x in (45.0, 75.0))
            cells.append(f"{crossing(POUNDS, one)} ({weak:+.1f}, {stiff:+.1f})")
        lines.append(f"| {name} | " + " | ".join(cells) + " |")
    return "\n".join(lines)


def plate(stiffness: float, relaxation: float) -> dict[str, float]:
    """Columns of a plate and a shelf alike."""
    damping = stiffness * relaxation
    return {
        "plate_stiffness": stiffness,
        "shelf_stiffness": stiffness,
        "plate_damping": damping,
        "shelf_damping": damping,
    }


def band() -> str:
    """Clean shots over spine: where at least half are, and the most, for steady and unsteady."""
    from loosewell.chance.priors import sample
    from loosewell.physics import flight
    from loosewell.records import Archer, Bow
    from loosewell.records.bow import DrawReading
    from loosewell.workshop import bridge, match

    limits = match.CleanLimits()
    pounds = np.arange(20.0, 122.0, 2.0)
    lines = head("loose")
    for word in ("steady", "unsteady"):
        archer = Archer(
            name="invented", draw_length_in=26.25, draw_measured="true",
            draw_method="marked arrow", hand="right", loose=word, cant_deg=0.0, invented=True,
        )  # fmt: skip
        loose = bridge.loose_model(archer)
        cells = []
        for offset in OFFSETS:
            bow = bridge.bow_model(
                Bow(
                    name="invented", make="plain wooden", length_in=68.0, brace_height_in=6.5,
                    draw_measured="true",
                    draw_readings=(DrawReading(draw_in=26.25, weight_lb=57.0),),
                    plate_offset_in=offset, plate_material="leather", hand="right", invented=True,
                ),
                26.25,
                1.5,
            )  # fmt: skip
            shaft = bridge.uniform_profile(
                spine.stiffness_from_spine_pounds(50.0), 328.0 * GRAIN / (28.5 * INCH),
                11.0 / 32.0 * INCH, 30.0 * INCH,
            )  # fmt: skip
            part = bridge.parts(125.0, bridge.standard_fletching())
            model = bridge.arrow_model(shaft, 28.5 * INCH, part)
            n = SHOTS * len(pounds)
            values = {one.key: np.full(n, one.middle) for one in (*bow.inputs, *loose.inputs)}
            drawn = sample(list(loose.shots), SHOTS, 1)
            values |= {key: np.tile(one, len(pounds)) for key, one in drawn.items()}
            values["stiffness_scale"] = np.repeat(pounds / 50.0, SHOTS)
            shots = bridge.shoot(
                bow, [model], np.zeros(n, dtype=np.int64), values, "right", 20.0 * YARD
            )
            stand = np.degrees(np.hypot(shots.stand_left, shots.stand_high))
            swing = np.degrees(shots.flight[:, flight.LARGEST_ANGLE])
            with np.errstate(invalid="ignore"):
                clean = (
                    (shots.status == 0)
                    & (1e3 * shots.tail_knock <= limits.knock_mns)
                    & (swing <= limits.swing_deg)
                    & (stand <= limits.stand_deg)
                )
            share = clean.reshape(len(pounds), SHOTS).mean(axis=1)
            good = pounds[share >= 0.5]
            where = f"{good[0]:.0f} to {good[-1]:.0f}" if len(good) else "none"
            cells.append(f"{where}, {share.max():.0%}".replace("%", " %"))
        lines.append(f"| {word} | " + " | ".join(cells) + " |")
    return "\n".join(lines)


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
    write(
        "hold", table("hold", [(f"× {h:g}", {"string_hold": h}) for h in (1, 1.5, 1.7, 1.9, 2.1)])
    )
    write(
        "relaxation",
        table(
            "relaxation",
            [(f"{1e3 * t:g} ms", plate(50_000.0, t)) for t in (1e-4, 2e-4, 4e-4, 8e-4, 2e-3)],
        ),
    )
    write(
        "stiffness",
        table(
            "plate stiffness",
            [(f"{k / 1000:g} N/mm", plate(k, 4e-4)) for k in (1e4, 2.5e4, 5e4, 1e5, 2e5)],
        ),
    )
    write(
        "limbs",
        table(
            "limb mass",
            [(f"{1e3 * m:g} g", {"limb_mass": m}) for m in (0.0, 0.05, 0.075, 0.105, 0.13)],
        ),
    )
    write(
        "push",
        table(
            "push",
            [(f"{1e3 * p:g} mm", {"loose_push": p}) for p in (0.003, 0.005, 0.0071, 0.0095, 0.012)],
        ),
    )
    write("band", band())


if __name__ == "__main__":
    main()
