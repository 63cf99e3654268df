"""What sits on a shaft keeps its grains and its place in the engine: sleeves and further parts."""

from __future__ import annotations

import dataclasses

import numpy as np
import pytest

from loosewell.physics import beam
from loosewell.physics import launch as kernel
from loosewell.records import Arrow, DiameterStation, Fletching, Joint, Section, Shaft
from loosewell.records.arrow import ExtraPart
from loosewell.workshop import bridge
from tolerances import round_off

IN = 0.0254
GR = 6.479891e-5
BARE = Fletching(material="none")


def shaft(**changes: object) -> Shaft:
    usual: dict[str, object] = {
        "name": "1",
        "kind": "solid",
        "length_in": 32.0,
        "stations": (DiameterStation(station_in=16.0, diameter_in=11 / 32),),
        "weight_gr": 400.0,
    }
    return Shaft(**(usual | changes))  # type: ignore[arg-type]


def between(profile: bridge.Profile, low_in: float, high_in: float) -> float:
    """Mass of a stretch, in grains."""
    inside = np.interp(
        np.array([low_in, high_in]) * IN,
        profile.edge,
        np.concatenate(([0.0], np.cumsum(profile.mass_per_length * np.diff(profile.edge)))),
    )
    return float(inside[1] - inside[0]) / GR


def test_a_sleeve_weighs_in_the_engine_what_it_weighs_on_the_scale() -> None:
    """Arithmetic: 400 gr with a 45 gr sleeve leaves 355 gr of wood over 32 in."""
    jointed = shaft(joints=(Joint(station_in=16.0, sleeve_length_in=2.0, sleeve_weight_gr=45.0),))
    profile = bridge.shaft_profile(jointed, 4.0, 0.0)
    assert between(profile, 0.0, 32.0) == pytest.approx(400.0, rel=round_off)
    assert between(profile, 0.0, 15.0) == pytest.approx(355.0 * 15 / 32, rel=1e-9)
    assert between(profile, 15.0, 17.0) == pytest.approx(45.0 + 355.0 * 2 / 32, rel=1e-9)


def test_a_weighed_footing_keeps_its_grains_too() -> None:
    """Arithmetic: 400 gr with 130 gr in the front 8 in and a 20 gr sleeve leave 250 gr on 24 in."""
    footed = shaft(
        sections=(Section(from_in=24.0, to_in=32.0, weight_gr=130.0),),
        joints=(Joint(station_in=10.0, sleeve_length_in=2.0, sleeve_weight_gr=20.0),),
    )
    profile = bridge.shaft_profile(footed, 4.0, 0.0)
    assert between(profile, 24.0, 32.0) == pytest.approx(130.0, rel=1e-9)
    assert between(profile, 12.0, 24.0) == pytest.approx(125.0, rel=1e-9)


def model(lumps: tuple[tuple[float, float], ...], elements: int = 12) -> bridge.ArrowModel:
    profile = bridge.uniform_profile(4.0, 0.0288, 0.0087, 0.8)
    part = dataclasses.replace(bridge.parts(125.0, BARE, nock_weight_gr=0.0), lumps=lumps)
    return bridge.arrow_model(profile, 0.71, part, elements)


def test_a_further_part_adds_its_mass_and_moves_the_balance_by_the_lever_rule() -> None:
    """Closed form: (M b + m x) / (M + m)."""
    plain, heavy = model(()), model(((0.003, 0.5),))
    assert heavy.mass == pytest.approx(plain.mass + 0.003, rel=round_off)
    lever = (plain.mass * plain.balance + 0.003 * 0.5) / (plain.mass + 0.003)
    assert heavy.balance == pytest.approx(lever, rel=round_off)
    # Parallel axes: reduced mass times the square of the distance.
    moved = plain.mass * 0.003 / heavy.mass * (plain.balance - 0.5) ** 2
    assert heavy.inertia == pytest.approx(plain.inertia + moved, rel=round_off)
    number, before = heavy.number, plain.number
    assert number[kernel.PART_MASS] == pytest.approx(before[kernel.PART_MASS] + 0.003, rel=1e-12)
    moment = before[kernel.PART_MASS] * before[kernel.CENTRE_PART] + 0.003 * 0.5
    assert number[kernel.CENTRE_PART] == pytest.approx(moment / number[kernel.PART_MASS], rel=1e-12)
    assert number[kernel.SHAFT_MASS] == before[kernel.SHAFT_MASS]


def test_a_further_part_moves_with_the_shaft_as_a_rigid_body_must() -> None:
    """Closed form: shifted by 1 m the mass matrix gives m, turned about the nock m x²."""
    added = model(((0.003, 0.5),)).blocks[2] - model(()).blocks[2]
    dense = beam.dense(added)
    nodes = len(added)
    shift, turn = np.zeros(2 * nodes), np.ones(2 * nodes)
    shift[::2] = 1.0
    turn[::2] = np.linspace(0.0, 0.71, nodes)
    assert shift @ dense @ shift == pytest.approx(0.003, rel=1e-9)
    assert turn @ dense @ turn == pytest.approx(0.003 * 0.25, rel=1e-9)


def test_a_mass_in_the_middle_slows_the_first_bending_by_its_modal_mass() -> None:
    """Rayleigh, first order: the square of the frequency falls by m φ², φ of unit modal mass."""
    small = 1e-7
    plain = model((), 48)
    _, shape = beam.free_modes(plain.blocks[0], plain.blocks[1] + plain.blocks[2], 1)
    heavy = model(((small, 0.355),), 48)
    fall = 1.0 - (heavy.bend_rate / plain.bend_rate) ** 2
    assert fall == pytest.approx(small * shape[48, 0] ** 2, rel=1e-3)


def test_further_parts_of_the_record_reach_the_engine_and_an_arrow_without_them_is_its_own() -> (
    None
):
    arrow = Arrow(
        name="A",
        shaft="1",
        extra_parts=(ExtraPart(what="insert", weight_gr=20.0, at_in=27.0),),
    )
    fitted = bridge.fitted(bridge.parts(125.0, BARE), arrow)
    assert fitted.lumps == (pytest.approx((20.0 * GR, 27.0 * IN)),)
    plain = bridge.fitted(bridge.parts(125.0, BARE), arrow.model_copy(update={"extra_parts": ()}))
    assert fitted.mass - plain.mass == pytest.approx(20.0 * GR, rel=1e-9)
    profile = bridge.uniform_profile(4.0, 0.0288, 0.0087, 0.8)
    # Kept models must not be mixed up.
    assert bridge.arrow_model(profile, 0.71, fitted).mass > (
        bridge.arrow_model(profile, 0.71, plain).mass + 0.001
    )


def test_a_part_in_front_of_the_shaft_counts_at_its_end() -> None:
    assert model(((0.003, 0.9),)).balance == pytest.approx(model(((0.003, 0.71),)).balance)
