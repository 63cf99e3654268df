"""The tables of docs/physics/launch.md: what strike plate, limbs and string do to the best spine.

    python docs/figures/plate.py          prints them as they stand there; about three minutes

Best is told by the yaw rate with which the arrow leaves: negative (nose to the right) for weak
shafts, positive for stiff ones, and where it passes through zero the arrow leaves straight.
The first tables come from the launch kernel, the last from `benchmarks/solver.py`, which can
count what the kernel leaves out: how the gap at the plate changes because the arrow slides past.
"""

# ruff: noqa: T201, E402, I001 - it prints a table, and its path must be set first

from __future__ import annotations

import sys
from pathlib import Path
from typing import Any

import numpy as np
from numpy.typing import NDArray

ROOT = Path(__file__).resolve().parents[2]
sys.path[:0] = [str(ROOT / "benchmarks"), str(ROOT / "tests")]

import solver
from physics.launches import bow_table, built_arrow, row

from loosewell.physics import launch, spine
from loosewell.units import GRAIN, INCH

Array = NDArray[np.float64]
OFFSETS = (-0.1, 0.0, 0.2, 0.3, 0.4, 0.5)
"""Of the plate from the string plane. [in]"""
POUNDS = np.arange(30.0, 112.5, 2.5)
FEW = np.arange(35.0, 100.0, 10.0)
USUAL: dict[str, float] = {
    "plate_stiffness": 40_000.0,
    "plate_damping": 40.0,
    "shelf_stiffness": 40_000.0,
    "shelf_damping": 40.0,
    "loose_push": 0.0095,
    "loose_travel": 0.014,
    "finger_stiffness": 10_000.0,
    "limb_mass": 0.105,
}
"""As the bridge assumes them for a 57 lb plain wooden bow with a leather plate."""


def arrow(elements: int) -> Any:
    """28.5 in of 11/32 in wood of 50 lb, 125 gr point, three 4 in feathers."""
    return built_arrow(
        elements,
        bending_stiffness=spine.stiffness_from_spine_pounds(50.0),
        length=28.5 * INCH,
        shaft_mass=328.0 * GRAIN,
        fletching=(1.0 * INCH, 5.0 * INCH),
    )


def rates(rows: list[Array]) -> Array:
    """Yaw rate on leaving, by the kernel."""
    one = arrow(16)
    index = np.zeros(len(rows), dtype=np.int64)
    out, _ = launch.launch_batch(
        np.array(rows), index, index, one.blocks[None], one.number[None], one.radius[None],
        bow_table()[None], 800, 200,
    )  # fmt: skip
    return np.where(out[:, launch.STATUS] == launch.FINE, out[:, launch.YAW_RATE], np.nan)


def rates_plainly(rows: list[Array], **more: float) -> Array:
    """The same by the plain solver, with eight elements."""
    one = arrow(8)
    found = []
    for single in rows:
        plain = solver.Plain(single, one.blocks, one.number, one.radius, bow_table(), **more)
        found.append(plain.run("RK23", 1e-3, 1e-5)[launch.YAW_RATE])
    return np.array(found)


def crossing(pounds: Array, rate: Array) -> str:
    """Spines at which the rate passes from minus to plus."""
    found = []
    for i in range(len(pounds) - 1):
        if rate[i] < 0.0 <= rate[i + 1]:
            part = rate[i] / (rate[i] - rate[i + 1])
            found.append(f"{pounds[i] + part * (pounds[i + 1] - pounds[i]):.0f}")
    return " and ".join(found) or "none"


def table(
    head: str, settings: list[tuple[str, dict[str, float]]], by: Any = rates, pounds: Array = POUNDS
) -> None:
    """One table: a line a setting, a column an offset."""
    print(f"| {head} | " + " | ".join(f"{one:+.1f} in" for one in OFFSETS) + " |")
    print("|---|" + "---|" * len(OFFSETS))
    for name, changes in settings:
        rows = [
            row(
                **USUAL | changes | {"plate_offset": offset * INCH, "stiffness_scale": pound / 50.0}
            )
            for offset in OFFSETS
            for pound in pounds
        ]
        rate = by(rows).reshape(len(OFFSETS), len(pounds))
        cells = []
        for one in rate:
            at = [float(np.interp(x, pounds, one)) for x in (45.0, 75.0)]
            cells.append(f"{crossing(pounds, one)} ({at[0]:+.1f}, {at[1]:+.1f})")
        print(f"| {name} | " + " | ".join(cells) + " |", flush=True)
    print()


def plate(stiffness: float, relaxation: float) -> dict[str, float]:
    """Columns of a plate and a shelf alike."""
    damping = stiffness * relaxation
    return {
        "plate_stiffness": stiffness,
        "shelf_stiffness": stiffness,
        "plate_damping": damping,
        "shelf_damping": damping,
    }


def main() -> None:
    print("Kernel. Spine in lb (26 in span, 2 lb) where the yaw rate passes zero, and in brackets")
    print("the yaw rate in rad/s at 45 and 75 lb.\n")
    table(
        "relaxation",
        [(f"{1e3 * t:g} ms", plate(40_000.0, t)) for t in (0.1e-3, 0.5e-3, 1e-3, 2e-3, 4.5e-3)],
    )
    table(
        "plate stiffness",
        [(f"{k / 1000:g} N/mm", plate(k, 1e-3)) for k in (8e3, 2e4, 4e4, 1e5)],
    )
    table("limb mass", [(f"{1e3 * m:g} g", {"limb_mass": m}) for m in (0.0, 0.05, 0.075, 0.105)])
    table("push", [(f"{1e3 * p:g} mm", {"loose_push": p}) for p in (0.004, 0.007, 0.0095, 0.012)])
    print("Plain solver, the arrow's sliding past the plate counted.\n")
    for hold in (1.0, 1.5, 2.0):
        table(
            "string's hold",
            [(f"× {hold:g}", {})],
            lambda rows, h=hold: rates_plainly(rows, sliding=1.0, hold=h),
            FEW,
        )


if __name__ == "__main__":
    main()
