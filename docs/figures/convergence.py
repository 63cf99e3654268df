"""The convergence table of docs/physics/launch.md.

    python docs/figures/convergence.py          writes it into the page

Root mean square over seven spines and three plates, everything else at the bridge's middle values,
of what the kernel gives with fewer elements and steps, against 64 elements and 12,800 steps.
"""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray
from plate import INCH, POINT_GR, archer, arrow, bow_of, bridge, launch, model, write

Array = NDArray[np.float64]
SPINES = (35.0, 45.0, 50.0, 55.0, 60.0, 70.0, 80.0)
OFFSETS = (0.0, 0.3, 0.4)


def launches(elements: int, steps: int) -> Array:
    """What the kernel gives, a row a launch. Steps behind the string as the bridge shares them."""
    bow = model(bow_of(0.0))
    inputs = (*bow.inputs, *bridge.loose_model(archer()).inputs)
    n = len(SPINES) * len(OFFSETS)
    values = {one.key: np.full(n, one.middle) for one in inputs}
    values["plate_offset"] = np.repeat(OFFSETS, len(SPINES)) * INCH
    values["stiffness_scale"] = np.tile(SPINES, len(OFFSETS)) / 50.0
    shots = bridge.shoot(
        bow, [arrow(POINT_GR, elements)], np.zeros(n, dtype=np.int64), values, "right", 18.0,
        drive_steps=steps, pass_steps=steps * bridge.PASS_STEPS // bridge.DRIVE_STEPS,
    )  # fmt: skip
    if np.any(shots.status != 0):
        raise SystemExit(f"A launch of the table did not end well: {shots.status.tolist()}")
    return shots.launch


def main() -> None:
    fine = launches(64, 12_800)
    head = ("elements", "steps on the string", "yaw rate, mrad/s", "pitch rate, mrad/s",
            "sideways speed, mm/s", "plate impulse, mN s", "shelf impulse, mN s")  # fmt: skip
    lines = ["| " + " | ".join(head) + " |", "|---" * len(head) + "|"]
    columns = (
        launch.YAW_RATE, launch.PITCH_RATE, launch.Y_VELOCITY, launch.PLATE_IMPULSE,
        launch.SHELF_IMPULSE,
    )  # fmt: skip
    for elements, steps in (
        (8, 400), (12, 400), (16, 400), (24, 400), (32, 400), (12, 200), (12, 800), (12, 1_600),
        (24, 1_600), (48, 6_400),
    ):  # fmt: skip
        size = np.sqrt(np.mean((launches(elements, steps) - fine) ** 2, axis=0))
        cells = (1e3 * size[list(columns)]).tolist()
        shown = " | ".join(f"{one:.2g}" if one < 10.0 else f"{one:.0f}" for one in cells)
        lines.append(f"| {elements} | {steps:,} | {shown} |")
    largest = np.sqrt(np.mean(fine**2, axis=0))[list(columns)]
    shown = " | ".join(f"*{1e3 * one:.3g}*" for one in largest)
    lines.append(f"| *what it is of* | | {shown} |")
    write("convergence", "\n".join(lines))


if __name__ == "__main__":
    main()
