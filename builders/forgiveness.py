"""How forgiving wood, aluminium and carbon shafts of equal spine are.

    .venv/bin/python builders/forgiveness.py

writes docs/physics/forgiveness.md. For every spine a shaft of each material is made that reads
it (26 in span, 2 lb) with its own diameter, mass and damping, built into the same arrow and
shot from one bow with three plate offsets by a steady and by an unsteady archer. The seeds are
fixed: the same page comes out again.
"""

from __future__ import annotations

import math
import sys
import time
from collections.abc import Callable
from dataclasses import dataclass, replace
from pathlib import Path

import numpy as np
import shooting
from numpy.typing import NDArray
from scipy import optimize

from loosewell.chance import forecast
from loosewell.chance.priors import sample
from loosewell.physics import launch as kernel
from loosewell.physics import shaft, spine
from loosewell.reference import reader
from loosewell.units import FPS, GRAIN, INCH, POUND_FORCE
from loosewell.workshop import bridge, stops
from loosewell.workshop.match import SHARE_OF_BEST

Array = NDArray[np.float64]

PAGE = Path(__file__).resolve().parents[1] / "docs" / "physics" / "forgiveness.md"
PSI = POUND_FORCE / INCH**2

SHOTS = 512
"""Shots of a known bow at each spine."""
WORLDS, EACH = 128, 4
"""Possible bows, and shots of each, at each spine: as many as a match takes."""
OFFSETS_IN = (0.0, 0.2, 0.4)
SPINES = np.arange(18.0, 86.1, 2.0)
LENGTH_IN = 28.0
POINT_GR = 125.0
DISTANCE = 20 * 0.9144

# ------------------------------------------------------------------------------ the shafts


@dataclass(frozen=True)
class Material:
    """A way to make a shaft of any spine: its diameters from the bending stiffness wanted."""

    name: str
    damping: float
    size: Callable[[float], tuple[float, float]]
    density: float
    words: str

    def profile(self, spine_lb: float, damping: float | None = None) -> bridge.Profile:
        """A parallel shaft of that spine, an inch longer than the arrow."""
        stiffness = float(spine.stiffness_from_spine_pounds(spine_lb))
        outer, inner = self.size(stiffness)
        area = float(shaft.area_tube(outer, inner)) if inner else float(shaft.area_solid(outer))
        plain = bridge.uniform_profile(
            stiffness, self.density * area, outer, (LENGTH_IN + 1.0) * INCH
        )
        return replace(plain, damping_ratio=self.damping if damping is None else damping)


def solid(modulus: float) -> Callable[[float], tuple[float, float]]:
    """Diameter of a solid shaft of that modulus. [m]"""
    return lambda stiffness: ((64.0 * stiffness / (math.pi * modulus)) ** 0.25, 0.0)


def tube_of_wall(modulus: float, wall: float) -> Callable[[float], tuple[float, float]]:
    """Diameters of a tube of that modulus and wall. [m]"""

    def size(stiffness: float) -> tuple[float, float]:
        def miss(outer: float) -> float:
            return modulus * float(shaft.second_moment_tube(outer, outer - 2 * wall)) - stiffness

        outer = float(optimize.brentq(miss, 2.5 * wall, 0.03, xtol=1e-9))
        return outer, outer - 2.0 * wall

    return size


def tube_of_bore(modulus: float, bore: float) -> Callable[[float], tuple[float, float]]:
    """Diameters of a tube of that modulus wound on one mandrel. [m]"""
    return lambda stiffness: ((64.0 * stiffness / (math.pi * modulus) + bore**4) ** 0.25, bore)


def materials() -> list[Material]:
    """Wood, aluminium tube, carbon tube."""
    wood = reader.wood("Port-Orford-cedar")
    metal = reader.tube("aluminium 7075-T6")
    modulus = float(shaft.slender_wood_modulus((wood.modulus_dry_million_psi or 0.0) * 1e6)) * PSI
    density = float(shaft.wood_density(wood.specific_gravity_dry or 0.0))
    metal_modulus = (metal.modulus_gpa or 0.0) * 1e9
    return [
        Material(
            "wood", bridge.DAMPING["solid"], solid(modulus), density,
            f"solid Port-Orford-cedar, {modulus / 1e9:.1f} GPa, {density:.0f} kg/m³ (Wood Handbook "
            "means, modulus raised by a tenth for shear)",
        ),
        Material(
            "aluminium tube", 0.001, tube_of_wall(metal_modulus, 0.016 * INCH),
            metal.density_kg_m3 or 0.0,
            f"wall 0.016 in, {metal_modulus / 1e9:.0f} GPa (from memory), "
            f"{metal.density_kg_m3:.0f} kg/m³ (MIL-HDBK-5J, second-hand)",
        ),
        Material(
            "carbon tube", bridge.DAMPING["tube"], tube_of_bore(70e9, 0.245 * INCH), 1580.0,
            "bore 0.245 in, effective modulus 70 GPa (from memory; 60 to 140 occur), 1,580 kg/m³ "
            "(laminate report, second-hand)",
        ),
    ]  # fmt: skip


# ------------------------------------------------------------------------------- the sweep


@dataclass(frozen=True)
class Result:
    """A curve of clean shots over spine in figures."""

    best_lb: float
    share: float
    low: float
    high: float
    open_low: bool
    open_high: bool
    fall_weak: float | None
    fall_stiff: float | None

    def cells(self) -> list[str]:
        """As the page prints it."""
        low = ("<" if self.open_low else "") + f"{self.low:.0f}"
        high = (">" if self.open_high else "") + f"{self.high:.0f}"
        wide = (">" if self.open_low or self.open_high else "") + f"{self.high - self.low:.0f}"
        falls = ["not seen" if f is None else f"{f:.1f}" for f in (self.fall_weak, self.fall_stiff)]
        return [
            f"{100.0 * self.share:.0f}",
            f"{self.best_lb:.0f}",
            f"{low} to {high}",
            wide,
            *falls,
        ]


def fall(share: Array, best: int, way: int) -> float | None:
    """Percent a pound beside the band, on one side; None if the share never falls to half.

    From the end of the band to half of the best share: a flat top does not count.
    """
    top, edge = float(share[best]), math.nan
    for level in (SHARE_OF_BEST, 0.5):
        i = best
        while share[i] > level * top:
            i += way
            if not 0 <= i < len(SPINES):
                return None
        part = (share[i - way] - level * top) / (share[i - way] - share[i])
        at = float(SPINES[i - way] + part * (SPINES[i] - SPINES[i - way]))
        if level == SHARE_OF_BEST:
            edge = at
    return 100.0 * (SHARE_OF_BEST - 0.5) * top / max(abs(at - edge), 0.1)


def result(flags: NDArray[np.bool_]) -> Result:
    """The curve, smoothed over its neighbours as in a match, and its figures."""
    curve = forecast.share_curve(SPINES, flags)
    best = int(np.argmax(curve.share))
    top = float(curve.share[best])
    if top <= 0.0:
        return Result(math.nan, 0.0, math.nan, math.nan, False, False, None, None)
    stretch = forecast.range_over(SPINES, curve.share, SHARE_OF_BEST * top)
    assert stretch is not None
    low, high, open_low, open_high = stretch
    # The middle of a flat top is told, not the first of its equals.
    flat = SPINES[curve.share >= 0.995 * top]
    flat = flat[(flat >= low) & (flat <= high)]
    return Result(
        float(flat.mean()), top, low, high, open_low, open_high,
        fall(curve.share, best, -1), fall(curve.share, best, 1),
    )  # fmt: skip


def arrows_of(material: Material, damping: float | None = None) -> list[bridge.ArrowModel]:
    """The same arrow on a shaft of each spine."""
    part = bridge.parts(POINT_GR, bridge.standard_fletching())
    return [
        bridge.arrow_model(material.profile(float(one), damping), LENGTH_IN * INCH, part)
        for one in SPINES
    ]


def sweep(
    arrows: list[bridge.ArrowModel], offset_in: float, loose: str, known: bool
) -> tuple[Result, float]:
    """Figures of one curve, and the mean speed at the best spine. [ft/s]"""
    bow = shooting.bow_of("Yew").model_copy(update={"plate_offset_in": offset_in})
    archer = shooting.archer_of("Wren").model_copy(update={"loose": loose})
    middle = arrows[len(arrows) // 2]
    place = shooting.stand(bow, archer, middle)
    if known:
        worlds, each = 1, SHOTS
        values = place.middles(SHOTS) | place.shots(SHOTS)
    else:
        worlds, each = WORLDS, EACH
        world = sample(list(place.inputs), WORLDS, shooting.SEED)
        values = {key: np.repeat(one, EACH) for key, one in world.items()}
        values |= place.shots(WORLDS * EACH, shooting.SEED + 1)
    n, count = worlds * each, len(arrows)
    everything = {key: np.tile(one, count) for key, one in values.items()}
    shots = bridge.shoot(
        place.bow, arrows, np.repeat(np.arange(count), n), everything, place.hand, DISTANCE
    )
    flags = shooting.clean(shots).reshape(count, worlds, each)
    found = result(flags)
    speed = shots.launch[:, kernel.SPEED].reshape(count, n).mean(axis=1) / FPS
    nearest = 0 if math.isnan(found.best_lb) else int(np.argmin(np.abs(SPINES - found.best_lb)))
    return found, float(speed[nearest])


# -------------------------------------------------------------------------------- the page

HEADER = [
    "plate offset (in)", "material", "best share (%)", "at (lb)", "band (lb)", "width (lb)",
    "fall, weaker (%/lb)", "fall, stiffer (%/lb)", "speed (ft/s)",
]  # fmt: skip

TEXT = """# Forgiveness

How wide the band of spine is in which shots come out clean, and how fast the share falls beside it,
for shafts of wood, aluminium and carbon **of equal spine** (pounds, 26 in span, 2 lb) but with
their own diameter, mass and damping. Made by `builders/forgiveness.py` with fixed seeds.

The invented camp's Yew, {weight:.0f} lb at Wren's draw of {draw:.2f} in true draw, its plate set to
three offsets; a 28 in arrow with a 125 gr point, three 4 in feathers and a plastic nock, 20 yd.
Every spine from {low:.0f} to {high:.0f} lb in steps of 2 lb, 512 shots each. {clean} The same
limits for both looses. *Band*: where the share stays above {part:.0f} % of the best; *fall*: beside
the band, down to half of the best share, in percent a pound. A **<** or **>** marks
a band that goes on beyond the spines tried. The nocking point is tuned for each offset and
material.

| material | made of | damping ratio | at 50 lb: diameter (in) | gr/in | arrow (gr) | mode 1 (Hz) |
|---|---|---|---|---|---|---|
"""


def table(rows: list[list[str]]) -> list[str]:
    """A markdown table under HEADER."""
    return [
        "| " + " | ".join(HEADER) + " |",
        "|" + "---|" * len(HEADER),
        *("| " + " | ".join(row) + " |" for row in rows),
    ]


def sheet(material: Material) -> str:
    """The row that says what a material's shaft is."""
    profile = material.profile(50.0)
    part = bridge.parts(POINT_GR, bridge.standard_fletching())
    arrow = bridge.arrow_model(profile, LENGTH_IN * INCH, part)
    cells = [
        material.name, material.words, f"{material.damping:g} (from memory)",
        f"{2.0 * profile.radius[0] / INCH:.3f}",
        f"{profile.mass_per_length[0] * INCH / GRAIN:.1f}", f"{arrow.mass / GRAIN:.0f}",
        f"{arrow.bend_rate / (2.0 * math.pi):.0f}",
    ]  # fmt: skip
    return "| " + " | ".join(cells) + " |"


def light(some: list[Material], weight_lb: float) -> str:
    """Which of these arrows are lighter than a wooden bow is usually given."""
    least = stops.USUAL_LEAST_GRAINS_PER_POUND
    told = []
    for material in some:
        part = bridge.parts(POINT_GR, bridge.standard_fletching())
        arrow = bridge.arrow_model(material.profile(50.0), LENGTH_IN * INCH, part)
        grains = arrow.mass / GRAIN / weight_lb
        if grains < least:
            told.append(f"{material.name} {grains:.1f}")
    if not told:
        return "All of these arrows weigh what a wooden bow is usually given, or more."
    return (
        f"**Not arrows to shoot from this bow:** usual are at least {least:.0f} grains for each "
        f"pound of draw weight, and here stand {' and '.join(told)}. Too light an arrow can break "
        "a wooden bow. They are reckoned to compare shafts and nothing else."
    )


Curves = dict[tuple[str, bool, float, str], tuple[Result, float]]


def all_curves(some: list[Material]) -> Curves:
    """Every curve of the page."""
    found: Curves = {}
    for material in some:
        arrows = arrows_of(material)
        for loose in ("steady", "unsteady"):
            for known in (True, False):
                for offset in OFFSETS_IN:
                    found[loose, known, offset, material.name] = sweep(arrows, offset, loose, known)
        print(f"{material.name} done", file=sys.stderr, flush=True)
    return found


def tables(found: Curves, some: list[Material]) -> list[str]:
    """The four tables."""
    out = []
    for known, title, words in (
        (True, "A bow known exactly",
         (f"Every input at its middle: what is left is the archer's scatter, the forgiveness of "
         f"the tackle itself. {SHOTS} shots of that scatter at each spine.")),
        (False, "A bow as well known as a bench can",
         (f"{WORLDS} possible bows and looses, {EACH} shots of each: what cannot be measured is "
         "drawn anew, as in a match. Such curves are lower, and fall more gently.")),
    ):  # fmt: skip
        out += ["", f"## {title}", "", words]
        for loose in ("steady", "unsteady"):
            rows = []
            for offset in OFFSETS_IN:
                for material in some:
                    one, speed = found[loose, known, offset, material.name]
                    rows.append([f"{offset:+.1f}", material.name, *one.cells(), f"{speed:.0f}"])
            out += ["", f"### {loose.capitalize()} loose", "", *table(rows)]
    return out


def more_damping(wood: Material) -> list[str]:
    """The same wood with three times and with a third of its damping."""
    rows = []
    for damping in (wood.damping / 3.0, wood.damping, 3.0 * wood.damping):
        one, speed = sweep(arrows_of(wood, damping), 0.2, "steady", True)
        rows.append(["+0.2", f"wood, {damping:g}", *one.cells(), f"{speed:.0f}"])
    return [
        "", "## Does damping matter?", "",
        ("Wood, plate offset +0.2 in, steady loose, bow known exactly, with a third and three "
        "times its damping ratio."), "", *table(rows),
    ]  # fmt: skip


def in_words(found: Curves, some: list[Material]) -> str:
    """What the tables say, from their own figures."""

    def mean(pick: Callable[[Result], float], **by: object) -> float:
        return float(
            np.nanmean([
                pick(one)
                for (loose, known, offset, name), (one, _) in found.items()
                if by.get("loose", loose) == loose
                and by.get("known", known) == known
                and by.get("offset", offset) == offset
                and by.get("name", name) == name
            ])
        )  # fmt: skip

    def width(one: Result) -> float:
        return one.high - one.low

    def best(one: Result) -> float:
        return one.best_lb

    names = [one.name for one in some]
    told = "Averaged over offsets, for a known bow, width of the band: "
    told += "; ".join(
        f"{name} {mean(width, known=True, loose='steady', name=name):.0f} lb steady, "
        f"{mean(width, known=True, loose='unsteady', name=name):.0f} lb unsteady"
        for name in names
    )
    told += ". Best spine by material (steady): " + ", ".join(
        f"{name} {mean(best, known=True, loose='steady', name=name):.0f} lb" for name in names
    )
    told += ". By plate offset, all materials: " + "; ".join(
        f"{offset:+.1f} in best near {mean(best, known=True, loose='steady', offset=offset):.0f}"
        f" lb, {mean(width, known=True, loose='steady', offset=offset):.0f} lb wide"
        for offset in OFFSETS_IN
    )
    outer, inner = some[-1].size(float(spine.stiffness_from_spine_pounds(float(SPINES[0]))))
    told += (
        f". Open ends count where the sweep stops, so such widths are at least that. (By its "
        f"recipe a carbon tube of {SPINES[0]:.0f} lb would have a wall of "
        f"{0.5 * (outer - inner) / INCH:.3f} in, which nobody makes.)"
    )
    return told


def main() -> None:
    """Shoot every curve and write the page."""
    started = time.perf_counter()
    some = materials()
    bow, archer = shooting.bow_of("Yew"), shooting.archer_of("Wren")
    place = shooting.stand(bow, archer, arrows_of(some[0])[len(SPINES) // 2])
    out = [
        TEXT.format(
            weight=place.weight_lb, draw=place.draw_in, low=SPINES[0], high=SPINES[-1],
            clean=shooting.LIMITS.text(), part=100.0 * SHARE_OF_BEST,
        )
        + "\n".join(sheet(one) for one in some)
    ]  # fmt: skip
    found = all_curves(some)
    out += [
        "",
        light(some, place.weight_lb),
        "",
        in_words(found, some),
        *tables(found, some),
        *more_damping(some[0]),
    ]
    PAGE.write_text("\n".join(out).rstrip() + "\n", encoding="utf-8")
    print(f"{PAGE}: {time.perf_counter() - started:.0f} s")


if __name__ == "__main__":
    main()
