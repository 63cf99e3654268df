"""The tables: every row sourced, every figure plausible, unknown kept unknown."""

from __future__ import annotations

import pytest

from loosewell.errors import NotFoundRefusal
from loosewell.reference import reader

MARKS = {"read", "read second-hand", "from memory", "from memory, weak"}


@pytest.mark.parametrize("table", [reader.woods, reader.tubes, reader.fibres])
def test_every_row_says_where_it_comes_from_and_how_well_it_is_known(table) -> None:  # type: ignore[no-untyped-def]
    rows = table()
    assert len(rows) >= 5
    for row in rows:
        assert row.source.strip(), row
        parts = [part.strip() for part in row.mark.split(";")]
        assert all(part in MARKS or any(mark in part for mark in MARKS) for part in parts), row


def test_names_are_given_once() -> None:
    for names in (
        [row.species for row in reader.woods()],
        [row.material for row in reader.tubes()],
        [row.fibre for row in reader.fibres()],
    ):
        assert len(names) == len(set(names))


def test_every_wood_is_plausible() -> None:
    for wood in reader.woods():
        for gravity in (wood.specific_gravity_green, wood.specific_gravity_dry):
            assert gravity is None or 0.25 < gravity < 0.95, wood
        for modulus in (wood.modulus_green_million_psi, wood.modulus_dry_million_psi):
            assert modulus is None or 0.5 < modulus < 3.7, wood
        if wood.modulus_green_million_psi and wood.modulus_dry_million_psi:
            assert wood.modulus_dry_million_psi > wood.modulus_green_million_psi, wood
        if wood.rupture_green_psi and wood.rupture_dry_psi:
            assert wood.rupture_dry_psi > wood.rupture_green_psi, wood
        if wood.specific_gravity_green and wood.specific_gravity_dry:
            assert wood.specific_gravity_dry > wood.specific_gravity_green, wood
        assert wood.shear_correction in (1.0, 1.1)


def test_ranges_hold_their_middle() -> None:
    for wood in reader.woods():
        if wood.modulus_dry_low_million_psi is not None:
            assert wood.modulus_dry_high_million_psi is not None
            assert wood.modulus_dry_million_psi is not None
            assert wood.modulus_dry_low_million_psi <= wood.modulus_dry_million_psi, wood
            assert wood.modulus_dry_million_psi <= wood.modulus_dry_high_million_psi, wood
    for tube in reader.tubes():
        if tube.modulus_gpa is not None:
            assert tube.modulus_low_gpa is not None
            assert tube.modulus_high_gpa is not None
            assert tube.modulus_low_gpa <= tube.modulus_gpa <= tube.modulus_high_gpa, tube
    for fibre in reader.fibres():
        pairs = (
            (fibre.density_low_g_cm3, fibre.density_high_g_cm3),
            (fibre.tenacity_low_n_tex, fibre.tenacity_high_n_tex),
            (fibre.modulus_low_n_tex, fibre.modulus_high_n_tex),
            (fibre.break_strain_low_percent, fibre.break_strain_high_percent),
        )
        assert all(low is None or low <= high for low, high in pairs), fibre  # type: ignore[operator]


def test_stretch_at_break_agrees_with_strength_over_stiffness() -> None:
    # A fibre that kept its first stiffness would break at tenacity / modulus; real ones
    # stretch further, never less than half of it.
    for fibre in reader.fibres():
        if fibre.break_strain_high_percent is not None:
            assert fibre.tenacity_high_n_tex is not None
            assert fibre.modulus_high_n_tex is not None
            straight = 100.0 * fibre.tenacity_high_n_tex / fibre.modulus_high_n_tex
            assert fibre.break_strain_high_percent > 0.5 * straight, fibre


def test_an_empty_cell_is_unknown_not_zero() -> None:
    assert reader.wood("Ramin").specific_gravity_dry is None
    assert reader.tube("fibreglass laminate").modulus_gpa is None
    assert reader.fibre("polyester").break_strain_low_percent is None


def test_names_are_found_as_people_type_them() -> None:
    assert reader.wood("port orford CEDAR") is reader.wood("Port-Orford-cedar")
    assert reader.wood("douglas fir coast").modulus_dry_million_psi == 1.95


def test_an_unknown_name_is_refused_with_what_is_known() -> None:
    with pytest.raises(NotFoundRefusal, match=r"plywood.*Sitka spruce.*Measure the shaft"):
        reader.wood("plywood")
    with pytest.raises(NotFoundRefusal, match="aluminium 7075-T6"):
        reader.tube("steel")
    with pytest.raises(NotFoundRefusal, match="polyester"):
        reader.fibre("nettle")
