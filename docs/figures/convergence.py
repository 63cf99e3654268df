"""The convergence table of docs/physics/launch.md.

    python docs/figures/convergence.py

Root mean square over four spines and two plates of what the kernel gives with fewer elements
and steps, against 48 elements and 12,800 steps.
"""

# ruff: noqa: T201 - it prints a table

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray
from plate import INCH, USUAL, arrow, bow_table, launch, row

Array = NDArray[np.float64]
SPINES = (35.0, 50.0, 60.0, 80.0)
OFFSETS = (0.0, 0.3)


def outcome(elements: int, steps: int) -> Array:
    one = arrow(elements)
    rows = [
        row(**USUAL | {"plate_offset": offset * INCH, "stiffness_scale": pound / 50.0})
        for offset in OFFSETS
        for pound in SPINES
    ]
    index = np.zeros(len(rows), dtype=np.int64)
    out, _ = launch.launch_batch(
        np.array(rows), index, index, one.blocks[None], one.number[None], one.radius[None],
        bow_table()[None], steps, steps // 4,
    )  # fmt: skip
    return out


def main() -> None:
    fine = outcome(48, 12_800)
    print("| elements | steps on the string | yaw rate, rad/s | sideways speed, mm/s | "
          "plate impulse, mN s |")  # fmt: skip
    print("|---|---|---|---|---|")
    for elements, steps in (
        (8, 400), (12, 400), (16, 400), (24, 400), (16, 200), (16, 800), (16, 1_600), (16, 6_400),
        (24, 1_600), (32, 6_400),
    ):  # fmt: skip
        away = outcome(elements, steps) - fine
        size = np.sqrt(np.mean(away**2, axis=0))
        print(
            f"| {elements} | {steps:,} | {size[launch.YAW_RATE]:.3f} | "
            f"{1e3 * size[launch.Y_VELOCITY]:.1f} | {1e3 * size[launch.PLATE_IMPULSE]:.2f} |"
        )


if __name__ == "__main__":
    main()
