"""The arrow chosen: the shaft to build on, and what the built arrow weighs and does."""

from __future__ import annotations

import numpy as np

from loosewell import units
from loosewell.chance.priors import Uncertain
from loosewell.workshop import bridge, session
from loosewell.workshop.answer import ChosenArrow, RackShaft
from loosewell.workshop.rack import Build, build_of, light_gr, mass_per_inch
from loosewell.workshop.session import Session, band_of
from loosewell.workshop.sweep import Sweep
from loosewell.workshop.words import fletching_words

ALIKE_PERCENT = 5.0
"""Chances this near each other are alike: they differ by counting shots."""


def _best(job: Session, rack: list[RackShaft], sweep: Sweep) -> RackShaft | None:
    """The shaft to build on: it passed its inspection, it fits, and is not too light if it may be.

    Among those with about the best chance the one is taken that is most like the plain shaft
    in the middle of the range, for about that one the engine knows most.
    """
    assert sweep.band is not None
    band = sweep.band
    half = max(0.5 * (band.high - band.low), 0.5)

    def too_light(row: RackShaft) -> bool:
        shaft = next(one for one in job.shafts if one.name == row.shaft)
        build = build_of(job, shaft)
        assert isinstance(build, Build)
        light = light_gr(job, shaft, build.length_in, build.parts, sweep.weight.middle)
        return light is not None

    def unlike(row: RackShaft) -> float:
        shaft = next(one for one in job.shafts if one.name == row.shaft)
        own = mass_per_inch(shaft)
        spine_lb = row.spine_26in_2lb_lb.middle if row.spine_26in_2lb_lb is not None else band.high
        off = abs(spine_lb - band.middle) / half
        # A shaft that was not weighed is as far off as the usual one of them.
        heavy = 1.0 if own is None else abs(own / job.mass_per_inch - 1.0) / job.mass_spread
        return float(np.hypot(off, heavy))

    fitting = [row for row in rack if row.acts == "fits"]
    if not fitting:
        return None
    lightness = min(too_light(row) for row in fitting)
    fitting = [row for row in fitting if too_light(row) == lightness]
    most = max(row.chance_percent or 0.0 for row in fitting)
    alike = [row for row in fitting if (row.chance_percent or 0.0) >= most - ALIKE_PERCENT]
    return min(alike, key=unlike)


def choose(
    job: Session, sweep: Sweep, rack: list[RackShaft]
) -> tuple[ChosenArrow, tuple[bridge.ArrowModel, bridge.Profile | None]]:
    """The best sound shaft of the rack, or a shaft to look for when none fits."""
    best = _best(job, rack, sweep)
    inputs = job.sweep_inputs
    profile = None
    if best is not None:
        i = next(k for k, one in enumerate(job.shafts) if one.name == best.shaft)
        shaft = job.shafts[i]
        build = build_of(job, shaft)
        assert isinstance(build, Build)
        profile = job.profile(i)
        model = job.arrow(i, build.length_in, build.parts)
        name, length_in, part = shaft.name, build.length_in, build.parts
        mass_error = profile.mass_error
        inputs = [*job.shared, Uncertain("mass_scale", 1.0, mass_error, "log")]
    else:
        assert sweep.band is not None
        model = sweep.model
        name = f"a shaft of {sweep.band.low:.0f} to {sweep.band.high:.0f} lb, not on the rack"
        if any(row.would_act == "fits" for row in rack):
            name = f"none yet: no shaft of {sweep.band.low:.0f} to {sweep.band.high:.0f} lb "
            name += "that fits was looked over"
        length_in, part = job.length_in, job.parts
        mass_error = job.mass_spread
    _, values = job.values(inputs, session.RACK_WORLDS, 1, job.seed + 11)
    scale = 1.0
    if best is None:
        assert sweep.band is not None
        scale = sweep.band.middle / 50.0
    values["stiffness_scale"] = np.full(session.RACK_WORLDS, scale)
    shots = job.shoot([model], np.zeros(session.RACK_WORLDS, dtype=np.int64), values, "arrow")
    from loosewell.physics import launch as kernel

    good = shots.status == 0
    if not good.any():
        raise job.nothing_clean(shots)
    speed = shots.launch[good, kernel.SPEED]
    shaft_mass = model.mass - part.mass
    mass = shaft_mass * values["mass_scale"] + (model.mass - shaft_mass)
    parts_error = 3.0 * units.GRAIN
    mass = (
        mass
        + parts_error
        * np.linspace(-1.0, 1.0, session.RACK_WORLDS)[
            np.argsort(np.random.default_rng(job.seed).random(session.RACK_WORLDS))
        ]
    )
    weight = np.asarray(values["force_scale"]) * job.weight_lb
    length = model.length
    balance = np.array([model.balance + units.INCH * d for d in (-0.15, 0.0, 0.15)])
    foc = 100.0 * (balance - 0.5 * length) / length
    kept = mass[good]
    energy = 0.5 * kept * speed**2
    momentum = kept * speed
    arrow = ChosenArrow(
        shaft=name,
        cut_length_in=round(length_in, 2),
        cut_length_definition="nock throat to the back of the point",
        minimum_length_in=round(job.minimum_in, 2),
        point_weight_gr=round(part.point_mass / units.GRAIN, 1),
        fletching=fletching_words(part),
        total_weight=band_of(mass / units.GRAIN, "shaft as weighed, parts as usual", 1),
        grains_per_pound=band_of(mass / units.GRAIN / weight, "over the draw weight", 2),
        balance_from_nock_throat_in=band_of(balance / units.INCH, "parts not yet weighed", 2),
        foc_percent=band_of(foc, "from the balance", 1),
        foc_definition=(
            "100 × (balance - half the length) / length, both from the nock throat, the length "
            "to the back of the point"
        ),
        speed_fps=band_of(speed / units.FPS, "from draw weight, stroke and virtual mass", 1),
        energy_ftlb=band_of(energy / units.FOOT_POUND, "at the bow", 2),
        momentum_slug_fps=band_of(momentum / units.SLUG / units.FPS, "at the bow", 4),
        momentum_kg_mps=band_of(momentum, "at the bow", 3),
    )
    return arrow, (model, profile)
