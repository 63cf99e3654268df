"""Makes the rack of the invented camp: src/loosewell/workshop/demo_camp/shafts.csv.

    python builders/demo_shafts.py

Nobody measured these shafts. Each is drawn from a wood's mean stiffness and
density with the scatter clear wood shows, then put on an imagined bench: every
reading carries the error its instrument would have and is rounded as a person
would write it down. The seed is fixed, so the same file comes out again.

Sources of the means: Wood Handbook, FPL-GTR-282 (2021), Table 5-3b, modulus
at 12 % moisture raised by a tenth for shear, density 1000 · G12 · 1.12 kg/m³.
Cane, shoots and the carbon tube: from memory, plausible and no more. Scatter
within a bought bundle: a modelling choice, narrower than the 22 % of clear wood.
"""

from __future__ import annotations

import csv
import math
from dataclasses import dataclass, field
from pathlib import Path

import numpy as np

TARGET = Path(__file__).resolve().parents[1] / "src/loosewell/workshop/demo_camp/shafts.csv"
SEED = 20_260_321
INCH = 0.0254
POUND_FORCE = 4.4482216152605
GRAIN = 6.479891e-5
PSI = 6894.757293168361


@dataclass(frozen=True)
class Wood:
    """A wood by its means at 12 % moisture."""

    name: str
    modulus_psi: float
    specific_gravity: float

    @property
    def modulus(self) -> float:
        """Bending modulus without shear. [Pa]"""
        return 1.10 * self.modulus_psi * PSI

    @property
    def density(self) -> float:
        """Density as it lies in the rack. [kg/m³]"""
        return 1000.0 * self.specific_gravity * 1.12


CEDAR = Wood("Port-Orford-cedar", 1.70e6, 0.43)
SPRUCE = Wood("Sitka spruce", 1.57e6, 0.40)
FIR = Wood("Douglas-fir", 1.95e6, 0.48)
PINE = Wood("lodgepole pine", 1.34e6, 0.41)
BIRCH = Wood("paper birch", 1.59e6, 0.55)
POPLAR = Wood("yellow-poplar", 1.58e6, 0.42)
ASH = Wood("white ash", 1.74e6, 0.60)


@dataclass
class Shaft:
    """One shaft as the table will hold it."""

    name: str
    kind: str
    material: str
    length_in: float
    stiffness: float  # what the bench would find with perfect tools [N m²]
    weight_gr: float
    stations: list[tuple[float, float, float | None]]
    wall_in: float | None = None
    bench: str = "dial"
    kept_where: str = ""
    inspection: str = "passed"
    inspected_on: str = "2026-03-14"
    inspected_by: str = "Hale"
    inspection_note: str = ""
    checks: list[tuple[str, str, str]] = field(default_factory=list)
    remarks: str = ""
    readings: list[tuple[float, float, float, float, float | None]] = field(default_factory=list)


# How each bench of the camp reads: span_in, load_lb, error of a deflection in inches and the
# step it is written down to. The errors are those of one careful person with that tool.
BENCHES = {
    "dial": [(26.0, 2.0, 0.005, 0.001)],
    "dial, both standards": [(26.0, 2.0, 0.005, 0.001), (28.0, 1.94, 0.005, 0.001)],
    "dial, two ways round": [(26.0, 2.0, 0.005, 0.001), (26.0, 2.0, 0.005, 0.001)],
    "ruler": [(26.0, 2.0, 1 / 64, 1 / 64)],
    "ruler, water bottle": [(26.0, 2.2, 1 / 64, 1 / 64), (26.0, 2.2, 1 / 64, 1 / 64)],
    "ruler, short": [(22.0, 2.0, 1 / 64, 1 / 64)],
    "thread": [(24.0, 2.0, 1 / 32, 1 / 32)],
    "later standard": [(28.0, 1.94, 0.005, 0.001)],
    "none": [],
}


def round_to(value: float, step: float) -> float:
    """A value as written down."""
    return round(round(value / step) * step, 4)


def read(shaft: Shaft, chance: np.random.Generator) -> None:
    """Put the shaft on its bench and write down what it shows."""
    for number, (span, load, error, step) in enumerate(BENCHES[shaft.bench]):
        # The rest of a reading's error: supports an eighth of an inch out, a bag of not quite 2 lb.
        true_span = (span + chance.normal(0.0, 0.03)) * INCH
        true_load = load * (1.0 + chance.normal(0.0, 0.006)) * POUND_FORCE
        rotation = None
        stiffness = shaft.stiffness
        if shaft.bench == "dial, two ways round":
            rotation = 90.0 * number
            stiffness *= 1.02 if number == 0 else 0.98
        deflection = true_load * true_span**3 / (48.0 * stiffness) / INCH
        shown = round_to(deflection + chance.normal(0.0, error / 2.0), step)
        shaft.readings.append((span, load, shown, round(error, 4), rotation))


def wooden(
    name: str,
    wood: Wood,
    diameter_in: float,
    chance: np.random.Generator,
    length_in: float = 31.5,
    lift: float = 1.0,
) -> Shaft:
    """One turned or planed shaft out of a bundle."""
    diameter = diameter_in + chance.normal(0.0, 0.0015)
    # Denser wood is stiffer: most of the scatter is common to both.
    common = chance.normal(0.0, 0.08)
    modulus = wood.modulus * lift * (1.0 + common + chance.normal(0.0, 0.06))
    density = wood.density * (1.0 + 0.7 * common + chance.normal(0.0, 0.03))
    metres = diameter * INCH
    stiffness = modulus * math.pi * metres**4 / 64.0
    mass = density * math.pi * metres**2 / 4.0 * length_in * INCH
    station = [(length_in / 2.0, round_to(diameter, 0.001), None)]
    length = round_to(length_in + chance.uniform(0.0, 0.5), 1 / 8)
    return Shaft(name, "solid", wood.name, length, stiffness, round_to(mass / GRAIN, 0.5), station)


def natural(
    name: str,
    material: str,
    kind: str,
    ends_in: tuple[float, float],
    modulus: float,
    weight_gr: float,
    length_in: float,
    chance: np.random.Generator,
) -> Shaft:
    """A cane or a shoot: measured across at five places, twice each."""
    stations = []
    for fraction in (0.05, 0.275, 0.5, 0.725, 0.95):
        across = ends_in[0] + (ends_in[1] - ends_in[0]) * fraction + chance.normal(0.0, 0.004)
        other = across * (1.0 + chance.normal(0.0, 0.012))
        stations.append(
            (
                round_to(length_in * fraction, 1 / 8),
                round_to(across, 0.001),
                round_to(other, 0.001),
            )
        )
    middle = stations[2][1] * INCH
    stiffness = modulus * math.pi * middle**4 / 64.0
    return Shaft(name, kind, material, length_in, stiffness, weight_gr, stations)


def rack() -> list[Shaft]:
    """Every shaft of the camp, in the order of the table."""
    chance = np.random.default_rng(SEED)
    found: list[Shaft] = []

    def bundle(
        mark: str,
        count: int,
        wood: Wood,
        diameter_in: float,
        benches: list[str],
        where: str,
        length_in: float = 31.5,
        lift: float = 1.0,
    ) -> None:
        for number in range(1, count + 1):
            shaft = wooden(f"{mark}{number}", wood, diameter_in, chance, length_in, lift)
            shaft.bench = benches[(number - 1) % len(benches)]
            shaft.kept_where = where
            found.append(shaft)

    fine = ["dial", "dial, both standards", "dial, two ways round"]
    home = ["ruler", "ruler, water bottle"]
    bundle("C", 10, CEDAR, 0.34375, fine, "rack by the stove, top", lift=1.08)
    bundle("K", 4, CEDAR, 0.359375, fine, "rack by the stove, top", lift=1.05)
    bundle("S", 6, SPRUCE, 0.34375, ["dial"], "rack by the stove, middle")
    bundle("F", 4, FIR, 0.34375, ["dial", "ruler"], "rack by the stove, middle")
    bundle("G", 3, FIR, 0.359375, ["dial, both standards"], "rack by the stove, middle", lift=1.05)
    bundle("P", 4, PINE, 0.34375, home, "barrel by the door")
    bundle("B", 3, BIRCH, 0.34375, ["ruler, water bottle", "dial"], "barrel by the door")
    bundle("A", 2, ASH, 0.375, ["dial"], "barrel by the door", lift=0.98)
    bundle("Y", 5, POPLAR, 0.3125, home, "children's box", length_in=28.0)
    bundle("L", 3, PINE, 0.3125, ["ruler"], "children's box", length_in=28.0, lift=0.92)

    for number, (ends, modulus, weight, length) in enumerate(
        [
            ((0.352, 0.318), 16.0e9, 372.0, 33.0),
            ((0.371, 0.330), 14.5e9, 411.0, 34.5),
            ((0.338, 0.309), 17.0e9, 338.0, 32.0),
        ],
        1,
    ):
        cane = natural(f"R{number}", "river cane", "cane", ends, modulus, weight, length, chance)
        cane.bench = "ruler"
        cane.kept_where = "under the roof beam"
        cane.remarks = "Thick end at the nock. Nodes scraped, straightened twice."
        found.append(cane)
    for number, (ends, modulus, weight, length) in enumerate(
        [((0.340, 0.392), 10.2e9, 486.0, 33.5), ((0.325, 0.385), 9.4e9, 455.0, 35.0)], 1
    ):
        shoot = natural(f"H{number}", "hazel", "shoot", ends, modulus, weight, length, chance)
        shoot.bench = "thread"
        shoot.kept_where = "under the roof beam"
        shoot.remarks = "Cut in January, bark off, seven months in the bundle. Thick end forward."
        found.append(shoot)

    outer, inner = 0.3125, 0.3125 - 2 * 0.016
    second_moment = math.pi * ((outer * INCH) ** 4 - (inner * INCH) ** 4) / 64.0
    found.append(
        Shaft(
            "T1", "tube", "aluminium tube", 30.0, 10.3e6 * PSI * second_moment, 316.5,
            [(15.0, 0.312, None)], wall_in=0.016, bench="later standard",
            kept_where="rack by the stove, bottom",
        )
    )  # fmt: skip
    outer, inner = 0.295, 0.295 - 2 * 0.026
    second_moment = math.pi * ((outer * INCH) ** 4 - (inner * INCH) ** 4) / 64.0
    found.append(
        Shaft(
            "T2", "tube", "carbon tube", 30.5, 60e9 * second_moment, 268.0,
            [(15.0, 0.295, None)], wall_in=0.026, bench="later standard",
            kept_where="rack by the stove, bottom",
        )
    )  # fmt: skip

    by_name = {shaft.name: shaft for shaft in found}
    unfit = by_name["P3"]
    unfit.inspection = "failed"
    unfit.inspection_note = "Tied with a red thread until it is broken."
    unfit.checks = [("run-out", "fault", "1 in 8 near the middle"), ("cracks", "fault", "hairline")]
    begun = by_name["B3"]
    begun.inspection = "incomplete"
    begun.checks = [("run-out", "fine", ""), ("cracks", "not looked at", "no gloves at hand")]
    for name in ("H1", "H2", "L3"):  # nobody has looked at these yet
        by_name[name].inspection = by_name[name].inspected_on = by_name[name].inspected_by = ""
    for name in ("S6", "L3"):
        by_name[name].bench = "none"
        by_name[name].remarks = "Still to be put on the bench."
    for name, length in (("C10", 25.5), ("F4", 24.75)):
        shaft = by_name[name]
        shaft.weight_gr = round_to(shaft.weight_gr * length / shaft.length_in, 0.5)
        shaft.length_in = length
        shaft.stations = [(length / 2.0, shaft.stations[0][1], None)]
        shaft.bench = "ruler, short"
        shaft.remarks = "Cut down from a broken arrow."
    # Built into arrows: cut after they had been on the bench.
    for name, length in (("K1", 28.75), ("K2", 28.75), ("K4", 28.75), ("T1", 29.25), ("L1", 24.75)):
        shaft = by_name[name]
        shaft.weight_gr = round_to(shaft.weight_gr * length / shaft.length_in, 0.5)
        shaft.length_in = length
        shaft.stations = [(round_to(length / 2.0, 1 / 8), *shaft.stations[0][1:])]
        shaft.remarks = "Built into an arrow. Was on the bench before it was cut."
    by_name["Y5"].stations = []  # diameter never taken
    by_name["B1"].remarks = "Weighed on the kitchen scale."
    for shaft in found:
        read(shaft, chance)
    return found


def fraction(inches: float) -> str:
    """Inches as a person with a ruler writes them."""
    for parts in (64, 32):
        if abs(inches - 1 / parts) < 1e-3:
            return f"1/{parts}"
    return f"{inches:g}"


def table(shafts: list[Shaft]) -> list[list[str]]:
    """The rows of the table, its header first; what is unknown stays empty."""
    stations = max(len(shaft.stations) for shaft in shafts)
    readings = max(len(shaft.readings) for shaft in shafts)
    header = ["name", "kind", "material", "length (in)", "weight (gr)", "weight error (gr)"]
    header.append("wall (in)")
    for number in range(1, stations + 1):
        header += [f"{what} {number} (in)" for what in ("station", "diameter", "across")]
    for number in range(1, readings + 1):
        header += [f"span {number} (in)", f"load {number} (lb)", f"deflection {number} (in)"]
        header += [f"deflection error {number} (in)", f"rotation {number} (deg)"]
    header += ["inspection result", "inspection on", "inspection by", "inspection note"]
    checks = max(len(shaft.checks) for shaft in shafts)
    for number in range(1, checks + 1):
        header += [f"check {number}", f"check finding {number}", f"check note {number}"]
    header += ["kept where", "remarks", "invented"]

    def shown(value: float | None) -> str:
        return "" if value is None else f"{value:g}"

    rows = [header]
    for shaft in shafts:
        by_kitchen_scale = "kitchen scale" in shaft.remarks
        grams = round(shaft.weight_gr * GRAIN * 1000.0)
        row = [shaft.name, shaft.kind, shaft.material, shown(shaft.length_in)]
        row += [f"{grams} g" if by_kitchen_scale else shown(shaft.weight_gr)]
        row += ["1 g" if by_kitchen_scale else "1.5", shown(shaft.wall_in)]
        for place in range(stations):
            known = shaft.stations[place] if place < len(shaft.stations) else (None, None, None)
            row += [shown(value) for value in known]
        for place in range(readings):
            if place < len(shaft.readings):
                span, load, deflection, error, rotation = shaft.readings[place]
                row += [shown(span), shown(load), shown(deflection), fraction(error)]
                row.append(shown(rotation))
            else:
                row += [""] * 5
        row += [shaft.inspection, shaft.inspected_on, shaft.inspected_by, shaft.inspection_note]
        for place in range(checks):
            row += shaft.checks[place] if place < len(shaft.checks) else ("", "", "")
        row += [shaft.kept_where, shaft.remarks, "yes"]
        rows.append(row)
    return rows


def main() -> None:
    """Write the table."""
    TARGET.parent.mkdir(parents=True, exist_ok=True)
    with TARGET.open("w", encoding="utf-8", newline="") as file:
        csv.writer(file, lineterminator="\n").writerows(table(rack()))
    print(f"{TARGET}: {len(rack())} shafts")


if __name__ == "__main__":
    main()
