"""How fast, and how fast for the accuracy: one table, out/bench.json, docs/physics/speed.md.

    make bench          or          python benchmarks/run_all.py [--quick]

With --quick the million launches are left out and the page in docs stays as it is.

Times belong to the machine and to what else it does; nothing here passes or fails. Linear
algebra is kept to one thread, so that one core means one core on both sides.
"""

# ruff: noqa: E402 - the number of threads must be set before numpy is loaded

from __future__ import annotations

import os

for _name in ("OPENBLAS_NUM_THREADS", "OMP_NUM_THREADS", "MKL_NUM_THREADS"):
    os.environ.setdefault(_name, "1")

import argparse
import contextlib
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
PAGE = ROOT / "docs" / "physics" / "speed.md"
Array = NDArray[np.float64]

BATCH = 2048
CHUNK = 4096
"""Launches of one piece of the stream."""
STREAMS = (10_000, 100_000, 1_000_000)
DISTANCE = 18.288
"""20 yd. [m]"""
CASES = ((0.6, 0.3), (0.95, 0.3), (1.35, 0.3), (0.95, 0.0))
"""Spine over draw weight, and plate offset [in], of the launches both solvers do."""
FINE_STEPS = 6_400
REFERENCE = ("RK45", 1e-6)
TRIALS = (("RK23", 1e-2), ("RK23", 1e-3), ("RK45", 1e-3), ("LSODA", 1e-3), ("LSODA", 1e-4))
"""Ways to run solve_ivp, from loose to tight."""
AS_IT_COMES = ("RK45", 1e-3)
"""Its own method and tolerance, when nothing is said. The other figure is the fastest of TRIALS
that is as close to a fine solution as the kernel."""


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
        self.profile = bridge.uniform_profile(
            spine.stiffness_from_spine_pounds(50.0), 0.0292, 11.0 / 32.0 * INCH, 30.0 * INCH
        )
        self.parts = bridge.parts(125.0, bridge.standard_fletching())
        self.arrow = self.model(bridge.ELEMENTS)
        inputs = [*self.bow.inputs, *self.loose.inputs]
        self.inputs = [*inputs, *self.loose.shots]
        self.values = self.drawn(BATCH, 1)
        self.middle = {one.key: one.middle for one in inputs}

    def drawn(self, count: int, seed: int) -> dict[str, Array]:
        """Samples of all that is uncertain, over spines from weak to stiff."""
        from loosewell.chance.priors import sample

        values = sample(self.inputs, count, seed)
        values["stiffness_scale"] = np.linspace(0.5, 1.4, count) * self.weight_lb / 50.0
        return values

    def model(self, elements: int) -> Any:
        """The arrow cut into so many elements."""
        from loosewell.units import INCH
        from loosewell.workshop import bridge

        return bridge.arrow_model(self.profile, 28.5 * INCH, self.parts, elements)

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

    def launch(
        self, rows: Array, threads: int, steps: tuple[int, int] | None = None, elements: int = 0
    ) -> Array:
        """Bare launches, without flight."""
        from loosewell.physics import launch
        from loosewell.workshop import bridge

        arrow = self.model(elements) if elements else self.arrow
        drive, behind = steps or (bridge.DRIVE_STEPS, bridge.PASS_STEPS)
        index = np.zeros(len(rows), dtype=np.int64)
        out, _ = launch.launch_batch(
            rows, index, index, arrow.blocks[None], arrow.number[None], arrow.radius[None],
            self.table()[None], drive, behind, threads=threads,
        )  # fmt: skip
        return out


def converged(camp: Camp) -> dict[str, dict[str, float]]:
    """What half the step and twice the elements change, of each outcome, in percent.

    Root mean square of the change over all launches of the batch, over that of the outcome.
    """
    from loosewell.physics import launch
    from loosewell.workshop import bridge

    rows = camp.rows(camp.values)
    half = (2 * bridge.DRIVE_STEPS, 2 * bridge.PASS_STEPS)
    usual = camp.launch(rows, 2)
    others = {
        "half_the_step": camp.launch(rows, 2, half),
        "twice_the_elements": camp.launch(rows, 2, elements=2 * bridge.ELEMENTS),
    }
    sums: dict[str, tuple[int, ...]] = {
        "yaw rate": (launch.YAW_RATE,),
        "pitch rate": (launch.PITCH_RATE,),
        "sideways speed": (launch.Y_VELOCITY,),
        "rising speed": (launch.Z_VELOCITY,),
        "plate impulse": (launch.PLATE_IMPULSE,),
        "shelf impulse": (launch.SHELF_IMPULSE,),
        "tail impulse, plate": (launch.TAIL_SHAFT_Y, launch.TAIL_FLETCHING_Y),
        "tail impulse, shelf": (launch.TAIL_SHAFT_Z, launch.TAIL_FLETCHING_Z),
    }
    found: dict[str, dict[str, float]] = {}
    for name, out in others.items():
        fine = (usual[:, launch.STATUS] == launch.FINE) & (out[:, launch.STATUS] == launch.FINE)
        found[name] = {}
        for word, columns in sums.items():
            one = usual[fine][:, columns].sum(axis=1)
            two = out[fine][:, columns].sum(axis=1)
            size = float(np.sqrt(np.mean(two**2)))
            away = float(np.sqrt(np.mean((one - two) ** 2)))
            found[name][word] = 100.0 * away / size
    return found


def stream(count: int) -> dict[str, float]:
    """So many shots in chunks; nothing is kept but sums. For a process of its own."""
    from loosewell.physics import launch
    from loosewell.workshop import bridge

    with tempfile.TemporaryDirectory() as folder:
        camp = Camp(Path(folder))
    camp.shoot(2)
    started = time.perf_counter()
    done, fine, turning = 0, 0, 0.0
    while done < count:
        values = camp.drawn(CHUNK, 1 + done)
        n = min(CHUNK, count - done)
        shots = bridge.shoot(
            camp.bow, [camp.arrow], np.zeros(n, dtype=np.int64),
            {key: value[:n] for key, value in values.items()}, "right", DISTANCE,
        )  # fmt: skip
        good = shots.status == 0
        fine += int(good.sum())
        turning += float(shots.launch[good, launch.YAW_RATE].sum())
        done += n
    seconds = time.perf_counter() - started
    return {"seconds": seconds, "mb": peak_mb(), "fine": fine, "mean_yaw_rate": turning / fine}


def streamed(count: int) -> dict[str, float]:
    """The stream in a process of its own, so that its memory is its own."""
    command = [sys.executable, __file__, "--stream", str(count)]
    done = subprocess.run(command, check=True, capture_output=True, text=True)
    return dict(json.loads(done.stdout))


def peak_mb() -> float:
    """Most memory this process held; what it was started from does not count, where told apart."""
    with contextlib.suppress(OSError):
        for line in Path("/proc/self/status").read_text(encoding="ascii").splitlines():
            if line.startswith("VmHWM:"):
                return float(line.split()[1]) * 1024 / 1e6
    factor = 1 if sys.platform == "darwin" else 1024
    return resource.getrusage(resource.RUSAGE_SELF).ru_maxrss * factor / 1e6


def set_up(camp: Camp) -> dict[str, float]:
    """Milliseconds to make an arrow ready: one not seen before, the same again, and the parts."""
    from loosewell.physics import aero, beam
    from loosewell.units import INCH
    from loosewell.workshop import bridge

    def new(k: int) -> None:
        bridge.arrow_model(camp.profile, (27.0 + 0.001 * k) * INCH, camp.parts)

    def median(work: Callable[[int], Any]) -> float:
        found = []
        for k in range(60):
            started = time.perf_counter()
            work(k)
            found.append(time.perf_counter() - started)
        return 1e3 * statistics.median(found)

    same = (camp.profile, 28.5 * INCH, camp.parts)
    bridge.arrow_model(*same)
    result = {"new": median(new), "again": median(lambda _: bridge.arrow_model(*same))}
    blocks = camp.arrow.blocks
    result["its modes of bending"] = median(
        lambda _: beam.free_modes(blocks[0], blocks[1] + blocks[2], 1)
    )
    result["its profile cut"] = median(lambda k: camp.profile.cut((27.0 + 0.001 * k) * INCH, 16))
    with contextlib.ExitStack() as kept:
        spent = [0.0]
        for module, name in ((beam, "arrow_blocks"), (aero, "arrow_row")):
            real = getattr(module, name)

            def timed(*given: Any, real: Any = real, **more: Any) -> Any:
                started = time.perf_counter()
                found = real(*given, **more)
                spent[0] += time.perf_counter() - started
                return found

            setattr(module, name, timed)
            kept.callback(setattr, module, name, real)
        for k in range(60):
            new(100 + k)
        result["its matrices and air data"] = 1e3 * spent[0] / 60
    return result


def slider_ms(camp: Camp) -> float:
    """One new picture for a moved slider, warm, on the server's side."""
    from loosewell.workshop.match import picture_only

    spines = iter(np.linspace(40.0, 70.0, 16))

    def work() -> None:
        picture_only(
            camp.bow_record, camp.archer, camp.shafts, spine_lb=round(float(next(spines)), 1)
        )

    work()
    found = []
    for _ in range(9):
        started = time.perf_counter()
        work()
        found.append(time.perf_counter() - started)
    return 1e3 * statistics.median(found)


class Counted(float):
    """A number that counts what is reckoned with it."""

    done = 0


def _counting(name: str) -> Callable[..., Any]:
    real = getattr(float, name)

    def work(self: Counted, *others: Any) -> Any:
        Counted.done += 1
        found = real(self, *others)
        return found if found is NotImplemented else Counted(found)

    return work


for _name in ("add", "sub", "mul", "truediv", "pow"):
    for _side in (f"__{_name}__", f"__r{_name}__"):
        setattr(Counted, _side, _counting(_side))


def operations(camp: Camp) -> float:
    """Additions, multiplications and divisions of a step and lane, counted as they happen.

    The kernel's own source runs without compiler, with numbers that count, for one launch of
    the middle of everything. A sign turned, a comparison or a look into a table counts nothing.
    """
    import types

    from loosewell.physics import launch
    from loosewell.workshop import bridge

    source = Path(launch.__file__).read_text(encoding="utf-8")
    plain = "def njit(**_):\n    return lambda work: work\n"
    room = "w = np.empty((ROWS, SLOTS, LANES))"
    if source.count(room) != 1 or source.count("from numba import njit") != 1:
        raise RuntimeError("the kernel is not built as its counter expects")
    source = source.replace("from numba import njit", plain)
    source = source.replace(room, "w = counted(np.zeros((ROWS, SLOTS, 1)))")
    counted = np.vectorize(Counted, otypes=[object])
    module = types.ModuleType("counted_launch")
    module.__dict__["counted"] = counted
    sys.modules[module.__name__] = module
    exec(compile(source, launch.__file__, "exec"), module.__dict__)
    row = camp.rows({key: np.full(1, v) for key, v in camp.middle.items()} | {
        "stiffness_scale": np.full(1, camp.weight_lb / 50.0)
    })  # fmt: skip
    index = np.zeros(1, dtype=np.int64)
    given = (
        counted(row), index, index, counted(camp.arrow.blocks[None]),
        counted(camp.arrow.number[None]), counted(camp.arrow.radius[None]),
        counted(camp.arrow.slack[None]), counted(camp.table()[None]),
    )  # fmt: skip
    out, frame = counted(np.zeros((1, launch.OUT_COLUMNS))), np.zeros((1, 0, 1))
    done = []
    # The whole launch less one of no steps: what the loop alone costs.
    for drive, behind in ((1, 1), (bridge.DRIVE_STEPS, bridge.PASS_STEPS)):
        Counted.done = 0
        module.__dict__["launch_chunk"](0, 1, *given, drive, behind, out, frame, 0)
        done.append(Counted.done)
    return (done[1] - done[0]) / (bridge.DRIVE_STEPS + bridge.PASS_STEPS - 2)


def most_operations_per_s() -> float:
    """What one core does at best: chains of fused multiply-add on numbers at hand, by numba."""
    from numba import njit

    @njit(fastmath={"contract"})
    def chains(a: Array, b: Array, c: Array, d: Array, times: int) -> None:
        for _ in range(times):
            for i in range(len(a)):
                p, q, r, s = a[i], b[i], c[i], d[i]
                for _ in range(32):
                    p = p * 0.9999 + 1e-4
                    q = q * 0.9999 + 1e-4
                    r = r * 0.9999 + 1e-4
                    s = s * 0.9999 + 1e-4
                a[i], b[i], c[i], d[i] = p, q, r, s

    four = [np.linspace(0.0, 1.0, 512) for _ in range(4)]
    times = 2_000
    chains(*four, 1)
    seconds = best_of(7, lambda: chains(*four, times), time.process_time)
    return 2.0 * 4.0 * 32.0 * 512.0 * times / seconds


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
    small = (FINE_STEPS, FINE_STEPS // 4)
    fine_s = best_of(2, lambda: camp.launch(few, 1, small), clock) / len(few)
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
        "ratio": next(
            one["seconds"] for one in found if (one["method"], one["rtol"]) == AS_IT_COMES
        )
        / kernel_s,
        "ratio_to_best": chosen["seconds"] / kernel_s,
        "fine_kernel_error_rad_s": away(camp.launch(rows, 1, small), fine),
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


def measure(tell: Callable[[str], None], quick: bool) -> dict[str, Any]:
    """Every figure of the table."""
    tell("loosewell --help")
    result: dict[str, Any] = {"help_s": help_seconds()}
    with tempfile.TemporaryDirectory() as folder:
        tell("demo camp")
        camp = Camp(Path(folder))
        rows = camp.rows(camp.values)
        tell("launches")
        for threads in (1, 2):
            cores = "1_core" if threads == 1 else "2_cores"
            camp.launch(rows, threads)
            bare = best_of(5, lambda t=threads: camp.launch(rows, t))  # type: ignore[misc]
            camp.shoot(threads)
            whole = best_of(5, lambda t=threads: camp.shoot(t))  # type: ignore[misc]
            result[f"without_flight_per_s_{cores}"] = BATCH / bare
            result[f"launches_per_s_{cores}"] = BATCH / whole
        tell("half the step, twice the elements")
        result["converged_percent"] = converged(camp)
        tell("set-up of an arrow")
        parts = set_up(camp)
        result["setup_ms"], result["setup_again_ms"] = parts.pop("new"), parts.pop("again")
        result["setup_parts_ms"] = parts
        tell("slider")
        result["slider_ms"] = slider_ms(camp)
        tell("match")
        result["match_s"], result["match_launches"] = match_seconds(camp)
        result["memory_peak_mb"] = peak_mb()
        tell("operations of a step")
        from loosewell.workshop import bridge

        steps = bridge.DRIVE_STEPS + bridge.PASS_STEPS
        kernel_s = best_of(5, lambda: camp.launch(rows, 1), time.process_time) / BATCH
        result["step_ns"] = 1e9 * kernel_s / steps
        result["step_operations"] = operations(camp)
        result["operations_per_s"] = most_operations_per_s()
        result["step_arithmetic_ns"] = 1e9 * result["step_operations"] / result["operations_per_s"]
        compared = against_solve_ivp(camp, tell)
    result["ratio_to_solve_ivp"] = compared.pop("ratio")
    result["ratio_to_best_solve_ivp"] = compared.pop("ratio_to_best")
    result["solve_ivp"] = compared
    result["streams"] = {}
    for count in STREAMS:
        if quick and count > 100_000:
            continue
        tell(f"{count:,} launches")
        result["streams"][str(count)] = streamed(count)
    if not quick:
        most = result["streams"][str(STREAMS[-1])]
        result["million_s"], result["million_mb"] = most["seconds"], most["mb"]
    result["settings"] = [bridge.ELEMENTS, bridge.DRIVE_STEPS, bridge.PASS_STEPS]
    result["cores"] = os.cpu_count()
    result["processor"] = processor()
    result["load_average"] = list(os.getloadavg())
    result["python"] = platform.python_version()
    return result


def processor() -> str:
    """Its name, where the system tells it."""
    with contextlib.suppress(OSError):
        for line in Path("/proc/cpuinfo").read_text(encoding="utf-8").splitlines():
            if line.startswith("model name"):
                return line.partition(":")[2].strip()
    return platform.processor() or platform.machine()


Line = tuple[str, str, str, str]


def lines(result: dict[str, Any]) -> list[Line]:
    """What, figure, goal, note."""
    compared = result["solve_ivp"]
    chosen = compared["solve_ivp"]
    elements, drive, behind = result["settings"]
    worst = max(max(one.values()) for one in result["converged_percent"].values())
    half, twice = (
        max(result["converged_percent"][key].items(), key=lambda one: one[1])
        for key in ("half_the_step", "twice_the_elements")
    )
    found: list[Line] = [
        (
            "launches a second, two cores",
            f"{result['launches_per_s_2_cores']:,.0f}",
            "at least 4,000",
            (
                f"two planes, flight over 20 yd, strike; {elements} elements, {drive} + {behind} "
                "steps, as in the match"
            ),
        ),
        ("the same, one core", f"{result['launches_per_s_1_core']:,.0f}", "", ""),
        (
            "without flight, two cores",
            f"{result['without_flight_per_s_2_cores']:,.0f}",
            "",
            f"one core {result['without_flight_per_s_1_core']:,.0f}",
        ),
        (
            "change by half the step or twice the elements",
            f"{worst:.2f} %",
            "within 0.5 %",
            (
                f"at most, of exit rates and contact; step: {half[0]} {half[1]:.2f} %, elements: "
                f"{twice[0]} {twice[1]:.2f} %"
            ),
        ),
        (
            "times as fast as solve_ivp",
            f"{result['ratio_to_solve_ivp']:,.0f}",
            "at least 1,000",
            (
                f"same equations, one core; as it comes: {AS_IT_COMES[0]} at {AS_IT_COMES[1]:g}, "
                f"the kernel takes {1000 * compared['kernel_s_a_launch']:.2f} ms"
            ),
        ),
        (
            "times as fast as the best of solve_ivp",
            f"{result['ratio_to_best_solve_ivp']:,.0f}",
            "",
            (
                f"{chosen['method']} at {chosen['rtol']:g} with its Jacobian, as close as the "
                f"kernel: {1000 * chosen['seconds']:,.0f} ms"
            ),
        ),
        (
            "error in yaw and pitch rate",
            f"{1000 * compared['kernel_error_rad_s']:.0f} mrad/s",
            "",
            (
                f"kernel, root mean square from {REFERENCE[0]} at {REFERENCE[1]:g}; solve_ivp as "
                f"chosen {1000 * chosen['error']:.1f} mrad/s"
            ),
        ),
        (
            "the same with fine steps",
            f"{compared['fine_ratio']:,.0f}",
            "",
            (
                f"kernel with {FINE_STEPS:,} steps: "
                f"{1000 * compared['fine_kernel_error_rad_s']:.1f} mrad/s, "
                f"{1000 * compared['fine_kernel_s_a_launch']:.1f} ms"
            ),
        ),
        (
            "a step of one launch",
            f"{result['step_ns']:.0f} ns",
            "",
            (
                f"{result['step_operations']:,.0f} operations, "
                f"{result['step_arithmetic_ns']:.0f} ns at "
                f"the {1e-9 * result['operations_per_s']:.1f} thousand million a second that a "
                "loop of fused multiply-add reaches: "
                f"{result['step_ns'] / result['step_arithmetic_ns']:.1f} times the arithmetic alone"
            ),
        ),
    ]
    for count, one in result["streams"].items():
        goal = "below 600 MB" if int(count) == STREAMS[-1] else ""
        found.append(
            (
                f"{int(count):,} launches",
                f"{one['seconds']:,.1f} s, {one['mb']:.0f} MB",
                goal,
                (
                    f"{1e6 * one['seconds'] / int(count):,.0f} microseconds each, in chunks of "
                    f"{CHUNK:,}, in a process of its own"
                ),
            )
        )
    parts = ", ".join(f"{word} {ms:.2f} ms" for word, ms in result["setup_parts_ms"].items())
    found += [
        ("set-up of an arrow", f"{result['setup_ms']:.2f} ms", "under 1 ms", f"of it {parts}"),
        ("the same arrow again", f"{result['setup_again_ms']:.3f} ms", "", ""),
        (
            "match, warm",
            f"{1000 * result['match_s']:,.0f} ms",
            "under 3,000 ms",
            f"first pair of the demo camp, its whole rack, {result['match_launches']:,} launches",
        ),
        (
            "a slider moved",
            f"{result['slider_ms']:.0f} ms",
            "under 150 ms",
            "a new picture on the server's side, median of 9",
        ),
        (
            "loosewell --help",
            f"{1000 * result['help_s']:,.0f} ms",
            "under 500 ms",
            "median of 9",
        ),
        ("memory, at most", f"{result['memory_peak_mb']:.0f} MB", "", "up to and with the match"),
    ]
    return found


def machine(result: dict[str, Any]) -> str:
    """On what and beside what it ran."""
    load = ", ".join(f"{one:.1f}" for one in result["load_average"])
    words = f"{result['processor']}, {result['cores']} cores, Python {result['python']}, "
    words += f"load {load}."
    if result["load_average"][1] > 1.5 * (result["cores"] or 1):
        words += " The machine was busy with other work: the times are too long."
    return words


def show(result: dict[str, Any], console: Console) -> None:
    """The table."""
    table = Table(title="loosewell, measured in one run")
    table.add_column("what")
    table.add_column("figure", justify="right")
    table.add_column("goal")
    table.add_column("note")
    for line in lines(result):
        table.add_row(*line)
    console.print(table)
    console.print(f"{machine(result)} In {OUT}.")


def page(result: dict[str, Any]) -> str:
    """docs/physics/speed.md."""
    table = "\n".join("| " + " | ".join(one) + " |" for one in lines(result))
    both = result["converged_percent"]
    close = "\n".join(
        f"| {word} | {both['half_the_step'][word]:.2f} | {both['twice_the_elements'][word]:.2f} |"
        for word in both["half_the_step"]
    )
    elements, drive, behind = result["settings"]
    trials = "\n".join(
        f"| {one['method']} | {one['rtol']:g} | {1e3 * one['seconds']:,.0f} | "
        f"{1e3 * one['error']:.1f} |"
        for one in result["solve_ivp"]["solve_ivp_trials"]
    )
    return f"""# Speed

Made by `make bench` (`benchmarks/run_all.py`), one run. {machine(result)}

| what | figure | goal | note |
|---|---|---|---|
{table}

## How close the settings are

{elements} elements, {drive} steps on the string and {behind} behind it. Change in percent, root
mean square over {BATCH:,} launches of the invented camp's first pair (all that is uncertain drawn
anew, spines from half to 1.4 times the draw weight), over that of the outcome itself.

| outcome | half the step | twice the elements |
|---|---|---|
{close}

## solve_ivp

The same equations, the same matrices, the same {len(CASES)} launches, on one core by the
processor's clock. Given its Jacobian where the method takes one, and a new start at each touch. As
it comes solve_ivp uses {AS_IT_COMES[0]} at {AS_IT_COMES[1]:g}; the stiff plate holds explicit
methods to short steps whatever the tolerance. The best of these is the fastest that is no further
from a fine solution than the kernel, and against that one the factor is much smaller.

| method | relative tolerance | ms a launch | mrad/s from the fine solution |
|---|---|---|---|
{trials}

## Against the arithmetic

Operations are counted as they happen: the kernel's own source, run without compiler on numbers that
count additions, multiplications and divisions, for the middle launch. The machine's best is
measured by a loop of fused multiply-adds on numbers that stay at hand, each counting two. The
kernel may not fuse (its results would then differ from one machine to the next), which alone is a
factor of up to two; the rest is reading and writing: matrices and factors of eight launches are
{elements + 1} x 56 x 8 numbers, {(elements + 1) * 56 * 64 / 1024:.0f} KB, where the first cache
holds 32 to 48, and each is used once or twice a step.
"""


def main() -> None:
    sys.path.insert(0, str(Path(__file__).parent))
    asked = argparse.ArgumentParser(description="How fast loosewell is.")
    asked.add_argument("--quick", action="store_true", help="leave out the million launches")
    asked.add_argument("--stream", type=int, help=argparse.SUPPRESS)
    given = asked.parse_args()
    if given.stream:
        print(json.dumps(stream(given.stream)))
        return
    console = Console(width=None if sys.stdout.isatty() else 130)
    columns = (SpinnerColumn(), TextColumn("{task.description}"), TimeElapsedColumn())
    with Progress(*columns, console=console, transient=True) as progress:
        task = progress.add_task("starting", total=None)
        result = measure(lambda word: progress.update(task, description=word), given.quick)
    OUT.parent.mkdir(exist_ok=True)
    OUT.write_text(json.dumps(result, indent=2) + "\n", encoding="utf-8")
    if not given.quick:
        PAGE.write_text(page(result), encoding="utf-8")
    show(result, console)


if __name__ == "__main__":
    main()
