"""How fast, and how fast for the accuracy: one table, and out/bench.json.

    make bench          or          python benchmarks/run_all.py

Times belong to the machine and to what else it does; nothing here passes or fails. Linear
algebra is kept to one thread, so that one core means one core on both sides.
"""

# ruff: noqa: E402 - the number of threads must be set before numpy is loaded

from __future__ import annotations

import os

for _name in ("OPENBLAS_NUM_THREADS", "OMP_NUM_THREADS", "MKL_NUM_THREADS"):
    os.environ.setdefault(_name, "1")

import json
import platform
import resource
import statistics
import subprocess
import sys
import tempfile
import time
from collections.abc import Callable
from pathlib import Path
from typing import Any

import numpy as np
from numpy.typing import NDArray
from rich.console import Console
from rich.progress import Progress, SpinnerColumn, TextColumn, TimeElapsedColumn
from rich.table import Table

ROOT = Path(__file__).resolve().parents[1]
OUT = ROOT / "out" / "bench.json"
Array = NDArray[np.float64]

BATCH = 2048
DISTANCE = 18.288
"""20 yd. [m]"""
CASES = ((0.6, 0.3), (0.95, 0.3), (1.35, 0.3), (0.95, 0.0))
"""Spine over draw weight, and plate offset [in], of the launches both solvers do."""
FINE_STEPS = 6_400
REFERENCE = ("RK45", 1e-6)
TRIALS = (("RK23", 1e-2), ("RK23", 1e-3), ("RK45", 1e-3), ("LSODA", 1e-3), ("LSODA", 1e-4))
"""Ways to run solve_ivp, from loose to tight; the fastest that is good enough is counted."""


def best_of(
    times: int, work: Callable[[], Any], clock: Callable[[], float] = time.perf_counter
) -> float:
    """Shortest time of several, in seconds: the one least disturbed by others."""
    found = []
    for _ in range(times):
        started = clock()
        work()
        found.append(clock() - started)
    return min(found)


class Camp:
    """Bow, archer and rack of the demo camp, and what the engine makes of them."""

    def __init__(self, folder: Path) -> None:
        from loosewell.chance.priors import sample
        from loosewell.physics import spine
        from loosewell.units import INCH
        from loosewell.workshop import bridge, demo
        from loosewell.workshop.keep import Workshop

        path = folder / "camp.sqlite"
        demo.build(path)
        bow, archer = demo.PAIRS[0]
        with Workshop.open(path) as workshop:
            self.bow_record = workshop.get("bow", bow).record
            self.archer = workshop.get("archer", archer).record
            self.shafts = [kept.record for kept in workshop.list("shaft")]
            self.arrows = [kept.record for kept in workshop.list("arrow")]
        self.loose = bridge.loose_model(self.archer)
        draw_in = next(one for one in self.loose.inputs if one.key == "draw").middle / INCH
        self.bow = bridge.bow_model(self.bow_record, draw_in, 1.5)
        self.weight_lb = self.bow.weight_at(draw_in)
        profile = bridge.uniform_profile(
            spine.stiffness_from_spine_pounds(50.0), 0.0292, 11.0 / 32.0 * INCH, 30.0 * INCH
        )
        parts = bridge.parts(125.0, bridge.standard_fletching())
        self.arrow = bridge.arrow_model(profile, 28.5 * INCH, parts)
        inputs = [*self.bow.inputs, *self.loose.inputs]
        self.values = sample(inputs, BATCH, 1)
        spread = np.linspace(0.5, 1.4, BATCH)
        self.values["stiffness_scale"] = spread * self.weight_lb / 50.0
        self.middle = {one.key: one.middle for one in inputs}

    def shoot(self, threads: int) -> None:
        """The whole batch: launch, flight, strike."""
        from loosewell.workshop import bridge

        index = np.zeros(BATCH, dtype=np.int64)
        bridge.shoot(self.bow, [self.arrow], index, self.values, "right", DISTANCE, threads=threads)

    def rows(self, values: dict[str, Any]) -> Array:
        """Rows of the launch kernel as the bridge fills them."""
        from loosewell.physics import launch
        from loosewell.workshop import bridge

        kept: list[Array] = []
        real = launch.launch_batch

        def listen(row: Array, *rest: Any, **more: Any) -> Any:
            kept.append(row)
            return real(row, *rest, **more)

        launch.launch_batch = listen
        try:
            n = len(values["stiffness_scale"])
            index = np.zeros(n, dtype=np.int64)
            bridge.shoot(self.bow, [self.arrow], index, values, "right", DISTANCE, threads=1)
        finally:
            launch.launch_batch = real
        return kept[0]

    def table(self) -> Array:
        return np.concatenate((self.bow.force[None], self.bow.string))

    def launch(self, rows: Array, threads: int, steps: int = 0) -> Array:
        """Bare launches, without flight."""
        from loosewell.physics import launch
        from loosewell.workshop import bridge

        index = np.zeros(len(rows), dtype=np.int64)
        out, _ = launch.launch_batch(
            rows, index, index, self.arrow.blocks[None], self.arrow.number[None],
            self.arrow.radius[None], self.table()[None],
            steps or bridge.DRIVE_STEPS, steps // 4 or bridge.PASS_STEPS, threads=threads,
        )  # fmt: skip
        return out


def against_solve_ivp(camp: Camp, tell: Callable[[str], None]) -> dict[str, Any]:
    """Time of both solvers for the same launches, and how far each is from a fine solution."""
    import solver

    from loosewell.physics import launch
    from loosewell.units import INCH

    values: dict[str, Any] = {key: np.full(len(CASES), v) for key, v in camp.middle.items()}
    values["stiffness_scale"] = np.array([one[0] for one in CASES]) * camp.weight_lb / 50.0
    values["plate_offset"] = np.array([one[1] for one in CASES]) * INCH
    rows = camp.rows(values)
    plain = [
        solver.Plain(row, camp.arrow.blocks, camp.arrow.number, camp.arrow.radius, camp.table())
        for row in rows
    ]
    columns = [launch.YAW_RATE, launch.PITCH_RATE]

    def away(out: Array, fine: Array) -> float:
        return float(np.sqrt(np.mean((out[:, columns] - fine[:, columns]) ** 2)))

    method, rtol = REFERENCE
    tell(f"fine solution, {method} {rtol:g}")
    fine = np.array([one.run(method, rtol, 1e-2 * rtol) for one in plain])
    ours = camp.launch(rows, 1)
    many = np.repeat(rows, 256, axis=0)
    # Time of the processor, not of the wall: other work must not tilt the comparison.
    clock = time.process_time
    kernel_s = best_of(5, lambda: camp.launch(many, 1), clock) / len(many)
    few = np.repeat(rows, 8, axis=0)
    fine_s = best_of(2, lambda: camp.launch(few, 1, FINE_STEPS), clock) / len(few)
    found: list[dict[str, Any]] = []
    for method, rtol in TRIALS:
        tell(f"solve_ivp, {method} {rtol:g}")
        started = clock()
        try:
            theirs = np.array([one.run(method, rtol, 1e-2 * rtol) for one in plain])
        except RuntimeError:
            continue
        seconds = (clock() - started) / len(plain)
        found.append(
            {"method": method, "rtol": rtol, "seconds": seconds, "error": away(theirs, fine)}
        )
    limit = away(ours, fine)
    enough = [one for one in found if one["error"] <= limit] or found[-1:]
    chosen = min(enough, key=lambda one: one["seconds"])
    return {
        "kernel_s_a_launch": kernel_s,
        "kernel_error_rad_s": limit,
        "solve_ivp": chosen,
        "solve_ivp_trials": found,
        "ratio": chosen["seconds"] / kernel_s,
        "fine_kernel_error_rad_s": away(camp.launch(rows, 1, FINE_STEPS), fine),
        "fine_kernel_s_a_launch": fine_s,
        "fine_ratio": chosen["seconds"] / fine_s,
    }


def help_seconds() -> float:
    """Median start time of `loosewell --help` as a person starts it."""
    beside = Path(sys.executable).parent / "loosewell"
    command = [str(beside)] if beside.exists() else [sys.executable, "-m", "loosewell"]
    found = []
    for _ in range(9):
        started = time.perf_counter()
        subprocess.run([*command, "--help"], check=True, capture_output=True)
        found.append(time.perf_counter() - started)
    return statistics.median(found)


def match_seconds(camp: Camp) -> tuple[float, int]:
    """Warm time of the whole answer for the camp's first pair and its rack, and its launches."""
    from loosewell.workshop.match import match

    def work() -> None:
        nonlocal launches
        answer = match(camp.bow_record, camp.archer, camp.shafts, arrows=camp.arrows)
        launches = answer.launches

    launches = 0
    work()
    return best_of(3, work), launches


def measure(tell: Callable[[str], None]) -> dict[str, Any]:
    """Every figure of the table."""
    tell("loosewell --help")
    result: dict[str, Any] = {"help_s": help_seconds()}
    with tempfile.TemporaryDirectory() as folder:
        tell("demo camp")
        camp = Camp(Path(folder))
        rows = camp.rows(camp.values)
        tell("launches")
        for threads in (1, 2):
            plural = "core" if threads == 1 else "cores"
            camp.launch(rows, threads)
            bare = best_of(5, lambda t=threads: camp.launch(rows, t))  # type: ignore[misc]
            camp.shoot(threads)
            whole = best_of(5, lambda t=threads: camp.shoot(t))  # type: ignore[misc]
            result[f"launches_per_s_{threads}_{plural}"] = BATCH / bare
            result[f"shots_per_s_{threads}_{plural}"] = BATCH / whole
        tell("match")
        result["match_s"], result["match_launches"] = match_seconds(camp)
        factor = 1 if sys.platform == "darwin" else 1024
        most = resource.getrusage(resource.RUSAGE_SELF).ru_maxrss
        result["memory_peak_mb"] = most * factor / 1e6
        compared = against_solve_ivp(camp, tell)
    result["ratio_to_solve_ivp"] = compared.pop("ratio")
    result["solve_ivp"] = compared
    result["cores"] = os.cpu_count()
    result["load_average"] = list(os.getloadavg())
    result["python"] = platform.python_version()
    return result


def show(result: dict[str, Any], console: Console) -> None:
    """The table."""
    compared = result["solve_ivp"]
    chosen = compared["solve_ivp"]
    table = Table(title="loosewell, measured in one run")
    table.add_column("what")
    table.add_column("figure", justify="right")
    table.add_column("goal")
    table.add_column("note")
    note = "two planes, 16 elements, steps as in the match"
    for threads, word in ((1, "one core"), (2, "two cores")):
        plural = "core" if threads == 1 else "cores"
        table.add_row(
            f"launches a second, {word}",
            f"{result[f'launches_per_s_{threads}_{plural}']:,.0f}",
            "",
            note,
        )
        table.add_row(
            f"shots a second, {word}",
            f"{result[f'shots_per_s_{threads}_{plural}']:,.0f}",
            "",
            "launch, flight over 20 yd and strike",
        )
    table.add_row(
        "match, warm",
        f"{1000 * result['match_s']:,.0f} ms",
        "under 6,000 ms",
        f"first pair of the demo camp, its whole rack, {result['match_launches']:,} launches",
    )
    table.add_row(
        "loosewell --help", f"{1000 * result['help_s']:,.0f} ms", "under 500 ms", "median of 9"
    )
    table.add_row(
        "times as fast as solve_ivp",
        f"{result['ratio_to_solve_ivp']:,.0f}",
        "at least 300",
        f"same equations, one core; {chosen['method']} at {chosen['rtol']:g} takes "
        f"{1000 * chosen['seconds']:,.0f} ms, the kernel "
        f"{1000 * compared['kernel_s_a_launch']:.2f} ms",
    )
    table.add_row(
        "error in yaw and pitch rate",
        f"{1000 * compared['kernel_error_rad_s']:.0f} mrad/s",
        "",
        f"kernel, root mean square from {REFERENCE[0]} at {REFERENCE[1]:g}; solve_ivp as chosen "
        f"{1000 * chosen['error']:.1f} mrad/s: stiff equations leave it no cheaper step",
    )
    table.add_row(
        "the same with fine steps",
        f"{compared['fine_ratio']:,.0f}",
        "",
        f"kernel with {FINE_STEPS:,} steps: "
        f"{1000 * compared['fine_kernel_error_rad_s']:.1f} mrad/s, "
        f"{1000 * compared['fine_kernel_s_a_launch']:.1f} ms",
    )
    table.add_row(
        "memory, at most", f"{result['memory_peak_mb']:.0f} MB", "", "up to and with the match"
    )
    console.print(table)
    load = ", ".join(f"{one:.1f}" for one in result["load_average"])
    console.print(f"{result['cores']} cores, load {load}, Python {result['python']}. In {OUT}.")


def main() -> None:
    sys.path.insert(0, str(Path(__file__).parent))
    console = Console(width=None if sys.stdout.isatty() else 130)
    columns = (SpinnerColumn(), TextColumn("{task.description}"), TimeElapsedColumn())
    with Progress(*columns, console=console, transient=True) as progress:
        task = progress.add_task("starting", total=None)
        result = measure(lambda word: progress.update(task, description=word))
    OUT.parent.mkdir(exist_ok=True)
    OUT.write_text(json.dumps(result, indent=2) + "\n", encoding="utf-8")
    show(result, console)


if __name__ == "__main__":
    main()
