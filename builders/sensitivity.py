"""How far a shot moves when one input is off by its honest measuring error.

    .venv/bin/python builders/sensitivity.py

writes docs/physics/sensitivity.md. Two pairs of the invented camp, the arrow that `match`
chooses for each. Every input is moved by its error up and down, everything else at its
middle, over the same shots of that archer's scatter; the means of the shots are compared,
so that one slap more or less does not decide. The seeds are fixed: the same page comes out
again.
"""

from __future__ import annotations

import math
import tempfile
import time
from collections.abc import Callable, Iterator
from dataclasses import dataclass, replace
from pathlib import Path

import numpy as np
import shooting
from numpy.typing import NDArray

from loosewell.physics import launch as kernel
from loosewell.physics import spine
from loosewell.records import Archer, Bow
from loosewell.units import GRAIN, INCH, YARD
from loosewell.workshop import ask, bridge, demo
from loosewell.workshop.bench import shaft_spine
from loosewell.workshop.match import PURPOSES

Array = NDArray[np.float64]

PAGE = Path(__file__).resolve().parents[1] / "docs" / "physics" / "sensitivity.md"
PAIRS = (("Yew", "Wren"), ("Larch", "Wren"))
"""The demo's first pair, and the same archer with a bow cut nearly to centre."""
SHOTS = 256
DISTANCE_YD = 20.0

OUTCOMES = (
    ("exit yaw rate", "deg/s", 0),
    ("gap at the tail", "in", 3),
    ("knock", "mN·s", 1),
    ("hits left", "in", 2),
    ("stands left", "deg", 2),
)


@dataclass(frozen=True)
class SetUp:
    """One pair with its arrow, everything at its middle; what a move may replace."""

    bow: Bow
    archer: Archer
    shaft: str
    profile: bridge.Profile
    part: bridge.Parts
    length: float
    stand: shooting.Stand
    values: dict[str, float]
    distance: float = DISTANCE_YD * YARD
    air: Array | None = None
    built: bridge.ArrowModel | None = None

    def arrow(self) -> bridge.ArrowModel:
        """The arrow as it stands now."""
        return self.built or bridge.arrow_model(self.profile, self.length, self.part)

    def outcomes(self) -> tuple[Array, Array, float]:
        """Mean of each outcome over the shots, their scatter, and the share of clean shots."""
        values = self.stand.middles(SHOTS) | self.stand.shots(SHOTS)
        for key, value in self.values.items():
            values[key] = np.full(SHOTS, value)
        shots = bridge.shoot(
            self.stand.bow, [self.arrow()], np.zeros(SHOTS, dtype=np.int64), values,
            self.stand.hand, self.distance, self.air,
        )  # fmt: skip
        good = shots.status == 0
        mirror = 1.0 if self.stand.hand == "right" else -1.0
        table = np.column_stack([
            mirror * np.degrees(shots.launch[:, kernel.YAW_RATE]),
            shots.launch[:, kernel.CLEARANCE_Y] / INCH,
            1e3 * shots.tail_knock,
            shots.hit_left / INCH,
            np.degrees(shots.stand_left),
        ])[good]  # fmt: skip
        return table.mean(axis=0), table.std(axis=0), float(shooting.clean(shots).mean())

    def middle(self, key: str) -> float:
        """Middle of an input."""
        return next(one.middle for one in self.stand.inputs if one.key == key)

    def spread(self, key: str) -> float:
        """Standard error of an input, relative for a log-normal one."""
        return next(one.spread for one in self.stand.inputs if one.key == key)

    def put(self, **values: float) -> SetUp:
        """The same with inputs at other values."""
        return replace(self, values=self.values | values)


Move = Callable[[float], SetUp]


def set_up(path: Path, bow_name: str, archer_name: str) -> SetUp:
    """The pair with the arrow that `match` chooses from the camp's rack."""
    gathered = ask.gather(path, ask.Question(bow=bow_name, archer=archer_name))
    answer = ask.answer(gathered)
    assert answer.chosen is not None
    shaft = next(one for one in gathered.shafts if one.name == answer.chosen.shaft)
    own = next((one for one in gathered.arrows if one.shaft == shaft.name), None)
    usual = PURPOSES["target"]
    standard = bridge.standard_fletching()
    if own is None:
        part = bridge.parts(usual.point_weight_gr, standard, usual.point_kind)
    else:
        part = bridge.parts(
            own.point_weight_gr or usual.point_weight_gr, own.fletching or standard,
            own.point_kind, own.nock_kind, own.nock_weight_gr,
        )  # fmt: skip
        part = bridge.fitted(part, own)
    read = shaft_spine(shaft)
    assert read is not None
    profile = bridge.shaft_profile(shaft, read.bending_stiffness, read.relative_error)
    length = answer.chosen.cut_length_in * INCH
    arrow = bridge.arrow_model(profile, length, part)
    bow, archer = shooting.bow_of(bow_name), shooting.archer_of(archer_name)
    words = f"{shaft.name} ({shaft.material}, {read.spine_text()}), {length / INCH:.2f} in"
    words += f" with a {part.point_mass / GRAIN:.0f} gr point"
    return SetUp(bow, archer, words, profile, part, length, shooting.stand(bow, archer, arrow), {})


def with_bow(one: SetUp, **changes: float) -> SetUp:
    """The same shot from a bow record that reads otherwise; nocking point as it was."""
    loose = one.stand.loose
    room_in = one.stand.bow.top / INCH - one.stand.draw_in
    model = bridge.bow_model(one.bow.model_copy(update=changes), one.stand.draw_in, room_in)
    tuned = next(i for i in one.stand.inputs if i.key == "nock_path")
    inputs = tuple(
        tuned if i.key == "nock_path" else i for i in (*model.inputs, *loose.inputs)
    )  # fmt: skip
    return replace(one, stand=replace(one.stand, bow=model, inputs=inputs))


def unlike(one: SetUp, sign: float) -> SetUp:
    """A shaft 5 % stiffer one way round, nocked with that side to the plate (+) or across."""
    part = replace(one.part, stiff_side=0.0 if sign > 0 else 0.5 * math.pi)
    model = bridge.arrow_model(one.profile, one.length, part)
    return replace(one, built=replace(model, stiff_over_mean=1.025, weak_over_stiff=0.95))


def moves(one: SetUp) -> Iterator[tuple[str, str, str, Move]]:
    """Name, error, how it is known, and the set-up moved by it (sign +1 or -1)."""
    bench, ground, guess = "bench", "range", "no bench method"
    stiffness = float(np.mean(one.profile.bending_stiffness))
    deflection = float(spine.wood_deflection_from_stiffness(stiffness)) / INCH
    weight = one.stand.weight_lb
    draw_error = next(i.spread for i in one.stand.loose.inputs if i.key == "draw")

    def added(key: str, error: float) -> Move:
        return lambda sign: one.put(**{key: one.middle(key) + sign * error})

    def times(key: str, error: float) -> Move:
        return lambda sign: one.put(**{key: one.middle(key) * math.exp(sign * error)})

    def stiffer(error: float) -> Move:
        return lambda sign: one.put(stiffness_scale=1.0 + sign * error)

    def parts(**changes: float) -> Move:
        def move(sign: float) -> SetUp:
            new = {key: getattr(one.part, key) + sign * value for key, value in changes.items()}
            return replace(one, part=replace(one.part, **new))

        return move

    def profile(**changes: float) -> Move:
        def move(sign: float) -> SetUp:
            new = {key: getattr(one.profile, key) + sign * v for key, v in changes.items()}
            return replace(one, profile=replace(one.profile, **new))

        return move

    def nocking(sign: float) -> SetUp:
        # The string's path stays; only the arrow starts higher on it.
        rise = sign * INCH / 32.0
        path = one.middle("nock_path") + rise / one.middle("draw")
        return one.put(nock_height=one.middle("nock_height") + rise, nock_path=path)

    def heavier(grains: float) -> Move:
        whole = float(np.sum(one.profile.mass_per_length * np.diff(one.profile.edge)))
        return lambda sign: one.put(mass_scale=1.0 + sign * grains * GRAIN / whole)

    yield (
        "Draw length",
        f"±{draw_error / INCH:.2g} in, marked arrow",
        bench,
        added("draw", draw_error),
    )
    yield "Draw weight", "±1 lb, hanging scale", bench, added("force_scale", 1.0 / weight)
    brace = one.middle("brace") / INCH
    yield (
        "Brace height",
        "±1/16 in",
        bench,
        lambda sign: with_bow(one, brace_height_in=brace + sign / 16.0),
    )
    yield "Nocking point", "±1/32 in, square", bench, nocking
    yield "Plate offset", "±1/32 in", bench, added("plate_offset", INCH / 32.0)
    yield "String mass", "±2 gr", bench, added("string_mass", 2.0 * GRAIN)
    length_in = one.bow.length_in or 68.0
    yield "Bow length", "±1/4 in", bench, lambda sign: with_bow(one, length_in=length_in + sign / 4)
    yield "Cant", "±3 deg", bench, added("cant", math.radians(3.0))
    yield "Shaft: deflection by dial", "±0.005 in", bench, stiffer(0.005 / deflection)
    yield "Shaft: deflection by fine ruler", "±1/64 in", bench, stiffer(1 / 64 / deflection)
    yield "Shaft: span", "±1/8 in", bench, stiffer(3.0 / 8.0 / 26.0)
    yield "Shaft: load", "±1.5 %", bench, stiffer(0.015)
    yield (
        "Shaft: stiff side to the plate, or across",
        "5 % stiffer one way round",
        bench,
        (lambda sign: unlike(one, sign)),
    )
    yield "Shaft: mass, 0.1 g scale", "±1.5 gr", bench, heavier(1.5)
    yield "Shaft: mass, kitchen scale", "±15 gr", bench, heavier(15.0)
    yield "Shaft: diameter, spine as measured", "±0.003 in", bench, profile(radius=0.0015 * INCH)
    yield (
        "Arrow length",
        "±1/16 in",
        bench,
        lambda sign: replace(one, length=one.length + sign * INCH / 16.0),
    )
    yield "Point mass", "±1.5 gr", bench, parts(point_mass=1.5 * GRAIN)
    yield "Feather height", "±1/32 in", bench, parts(height=INCH / 32.0)
    yield "Feather place along the shaft", "±1/16 in", bench, parts(rear=INCH / 16.0)
    yield (
        "Distance",
        "±1 %, tape",
        ground,
        lambda sign: replace(one, distance=one.distance * (1.0 + 0.01 * sign)),
    )
    yield (
        "Air temperature",
        "±10 °F",
        ground,
        lambda sign: replace(one, air=bridge.weather_row(68.0 + 10.0 * sign, None, None)[0]),
    )
    yield (
        "Wind across, by feel",
        "±3 fps",
        ground,
        lambda sign: replace(one, air=bridge.weather_row(68.0, None, 3.0 * sign)[0]),
    )
    mass = one.spread("virtual_mass")
    speed = "speed measured" if one.bow.speed_readings else "speed not measured"
    yield (
        "Virtual mass of losses",
        f"±{1e3 * mass:.1f} g, {speed}",
        guess,
        added("virtual_mass", mass),
    )
    for key, name in (
        ("limb_mass", "Mass of the limbs at the tips"),
        ("string_hold", "Firmness of the string sideways"),
        ("nock_serving", "String that goes sideways with the nock"),
        ("plate_stiffness", "Give of the strike plate"),
        ("plate_relaxation", "What the plate swallows"),
        ("fletching_stiffness", "Stiffness of the feathers"),
        ("loose_push", "Sideways push of the fingers"),
        ("loose_travel", "Travel in which they push"),
    ):
        yield name, f"±{100.0 * one.spread(key):.0f} %", guess, times(key, one.spread(key))
    yield "Path of the string in height", "±0.0015", guess, added("nock_path", 0.0015)
    yield "Grip of the nock on the string", "±3 N", guess, parts(nock_pinch=3.0)
    yield (
        "Damping of the shaft",
        "±50 %",
        guess,
        profile(damping_ratio=0.5 * one.profile.damping_ratio),
    )


@dataclass(frozen=True)
class Line:
    """One row of the table."""

    name: str
    error: str
    known: str
    up: Array
    down: Array

    @property
    def size(self) -> Array:
        """The larger of the two ways, of each outcome."""
        return np.maximum(np.abs(self.up), np.abs(self.down))

    def cell(self, i: int) -> str:
        """Change of one outcome; a plain sign says what the plus of the error does."""
        places = OUTCOMES[i][2]
        up, down = float(self.up[i]), float(self.down[i])
        half = 0.5 * (up - down)
        larger = up if abs(up) > abs(down) else down
        if up * down > 0.0 and abs(larger) > 2.0 * abs(half):
            text, told = f"{larger:+.{places}f}", "both ways "
        else:
            text, told = f"{half:+.{places}f}", ""
        return "0" if float(text) == 0.0 else told + text


def lines_of(one: SetUp) -> tuple[list[Line], Array, Array, str]:
    """Every row, with the middle shot, the scatter from shot to shot, and the clean shots."""
    base, scatter, share = one.outcomes()
    lines, shares = [], []
    for name, error, known, move in moves(one):
        (up, _, high), (down, _, low) = move(1.0).outcomes(), move(-1.0).outcomes()
        lines.append(Line(name, error, known, up - base, down - base))
        shares.append((min(high, low), name))
    worst, name = min(shares)
    told = f"Of 100 of these shots {100.0 * share:.0f} are clean, and "
    if worst > share - 0.005:
        told += "no single row changes that: it takes several together."
    else:
        told += f"at the worst {100.0 * worst:.0f} ({name.lower()})."
    return lines, base, scatter, told


def rank(lines: list[Line]) -> Array:
    """How much each row matters: its outcomes over the largest of all rows, averaged. [percent]"""
    size = np.array([line.size for line in lines])
    largest = size.max(axis=0)
    return np.asarray(100.0 * (size / np.where(largest > 0.0, largest, 1.0)).mean(axis=1))


def table_of(lines: list[Line], base: Array, scatter: Array) -> list[str]:
    """The table in markdown."""
    weight = rank(lines)
    head = ["input", "error", "known by"] + [f"{n} ({u})" for n, u, _ in OUTCOMES] + ["weight"]
    out = ["| " + " | ".join(head) + " |", "|" + "---|" * len(head)]
    middle = [f"{base[i]:.{OUTCOMES[i][2]}f}" for i in range(len(base))]
    out.append("| *the mean shot* |  |  | " + " | ".join(f"*{m}*" for m in middle) + " |  |")
    loose = [f"±{scatter[i]:.{OUTCOMES[i][2]}f}" for i in range(len(base))]
    out.append("| *one shot to the next* |  |  | " + " | ".join(loose) + " |  |")
    for k in np.argsort(-weight, kind="stable"):
        line = lines[int(k)]
        cells = [line.cell(i) for i in range(len(OUTCOMES))]
        out.append(
            f"| {line.name} | {line.error} | {line.known} | " + " | ".join(cells)
            + f" | {weight[k]:.0f} |"
        )  # fmt: skip
    return out


def in_words(lines: list[Line]) -> str:
    """What leads the table, in a sentence."""
    weight = rank(lines)
    order = [lines[int(k)] for k in np.argsort(-weight, kind="stable")]
    bench = [line.name for line in order if line.known == "bench"][:4]
    guess = [line.name for line in order if line.known == "no bench method"][:3]
    small = [line.name for k, line in enumerate(lines) if line.known == "bench" and weight[k] < 5.0]
    told = "Of what a bench can measure, most hangs on: " + "; ".join(bench)
    told += ". Of what it cannot: " + "; ".join(guess) + "."
    if small:
        told += " Below a weight of 5: " + "; ".join(small) + "."
    return told


HEAD = f"""# Sensitivity

What moves the shot, and by how much: each input off by the error of one careful person measuring
it (common practice, no source), or, where there is no bench method, by the spread the engine
assumes. Made by `builders/sensitivity.py` with fixed seeds.

Each row is the mean of {SHOTS} shots of that archer's own scatter, at {DISTANCE_YD:.0f} yd, with
the input moved up, less the same with it moved down, halved. *Both ways* marks an outcome that
moves to the same side whichever way the input is off: it lies near its best or its worst. *Gap at
the tail* is the least gap of shaft and plate behind the string, *knock* everything that touches
the bow then. *Hits left* and *stands left* (nock to the left) are as seen from behind, yaw positive
with the nose to the left. *Weight* is the average of the five changes, each over the
largest of its column, in percent; rows are sorted by it. The bow's nocking point is tuned to the
middle shot first. *Hits left* counts from the plane of the bow, not from where the archer aims.

A change much smaller than the line *one shot to the next* cannot be seen at the butt with a few
arrows. Errors of different rows add as squares.
"""


def main() -> None:
    """Shoot both pairs and write the page."""
    started = time.perf_counter()
    out = [HEAD]
    with tempfile.TemporaryDirectory() as folder:
        path = Path(folder) / "camp.sqlite"
        demo.build(path)
        for bow, archer in PAIRS:
            one = set_up(path, bow, archer)
            lines, base, scatter, told = lines_of(one)
            offset = one.middle("plate_offset") / INCH
            out += [
                f"## {bow} and {archer} (invented)",
                "",
                (
                    f"A {one.bow.make} bow of {one.stand.weight_lb:.0f} lb at "
                    f"{one.stand.draw_in:.2f} in true draw, plate offset {offset:+.2f} in; "
                    f"{one.archer.loose} loose. Arrow: {one.shaft}."
                ),
                "",
                in_words(lines) + " " + told,
                "",
                *table_of(lines, base, scatter),
                "",
            ]
    PAGE.write_text("\n".join(out).rstrip() + "\n", encoding="utf-8")
    print(f"{PAGE}: {time.perf_counter() - started:.0f} s")


if __name__ == "__main__":
    main()
