"""Sourced tables of woods, tubes and fibres, read from the CSV files beside this one.

Each row carries where it comes from (``source``) and how well it is known
(``mark``). An empty cell is unknown and comes back as None. The tables judge
whether a reading is plausible; they never replace a reading.
"""

from __future__ import annotations

import csv
from dataclasses import dataclass
from functools import cache
from importlib import resources

from loosewell.errors import NotFoundRefusal


@dataclass(frozen=True)
class Wood:
    """A wood's clear-wood means: specific gravity, strength and stiffness.

    ``specific_gravity_dry`` is oven-dry weight over volume at 12 % moisture
    unless the note says otherwise. The tabulated modulus times
    ``shear_correction`` is the modulus of a slender shaft.
    """

    species: str
    use: str
    specific_gravity_green: float | None
    specific_gravity_dry: float | None
    rupture_green_psi: float | None
    rupture_dry_psi: float | None
    modulus_green_million_psi: float | None
    modulus_dry_million_psi: float | None
    modulus_dry_low_million_psi: float | None
    modulus_dry_high_million_psi: float | None
    shear_correction: float
    mark: str
    source: str
    note: str


@dataclass(frozen=True)
class Tube:
    """A tube's material: modulus along the tube and density, each with its range."""

    material: str
    modulus_gpa: float | None
    modulus_low_gpa: float | None
    modulus_high_gpa: float | None
    density_kg_m3: float | None
    density_low_kg_m3: float | None
    density_high_kg_m3: float | None
    shear_modulus_gpa: float | None
    mark: str
    source: str
    note: str


@dataclass(frozen=True)
class Fibre:
    """A string fibre: density, tenacity, modulus and strain at break, as ranges."""

    fibre: str
    density_low_g_cm3: float | None
    density_high_g_cm3: float | None
    tenacity_low_n_tex: float | None
    tenacity_high_n_tex: float | None
    modulus_low_n_tex: float | None
    modulus_high_n_tex: float | None
    break_strain_low_percent: float | None
    break_strain_high_percent: float | None
    mark: str
    source: str
    note: str


_WORDS = {"species", "use", "material", "fibre", "mark", "source", "note"}


def _rows(name: str) -> list[dict[str, str | float | None]]:
    text = (resources.files(__package__) / name).read_text(encoding="utf-8")
    return [
        {
            column: (cell if column in _WORDS else float(cell) if cell != "" else None)
            for column, cell in row.items()
        }
        for row in csv.DictReader(text.splitlines())
    ]


@cache
def woods() -> tuple[Wood, ...]:
    """Every wood of the table, in its order."""
    return tuple(Wood(**row) for row in _rows("wood.csv"))  # type: ignore[arg-type]


@cache
def tubes() -> tuple[Tube, ...]:
    """Every tube material of the table, in its order."""
    return tuple(Tube(**row) for row in _rows("tube.csv"))  # type: ignore[arg-type]


@cache
def fibres() -> tuple[Fibre, ...]:
    """Every string fibre of the table, in its order."""
    return tuple(Fibre(**row) for row in _rows("fibre.csv"))  # type: ignore[arg-type]


def _plain(name: str) -> str:
    return " ".join(name.lower().replace("-", " ").replace(",", " ").split())


def wood(species: str) -> Wood:
    """The wood of this name; hyphens, commas and capitals do not matter."""
    for row in woods():
        if _plain(row.species) == _plain(species):
            return row
    raise NotFoundRefusal(
        f"No wood called '{species}' is in the table. Known are: "
        f"{'; '.join(row.species for row in woods())}. Measure the shaft instead: "
        "a deflection and a weight say more than any table."
    )


def tube(material: str) -> Tube:
    """The tube material of this name; hyphens, commas and capitals do not matter."""
    for row in tubes():
        if _plain(row.material) == _plain(material):
            return row
    raise NotFoundRefusal(
        f"No tube material called '{material}' is in the table. Known are: "
        f"{'; '.join(row.material for row in tubes())}. Measure the shaft instead: "
        "a deflection and a weight say more than any table."
    )


def fibre(name: str) -> Fibre:
    """The fibre of this name; hyphens, commas and capitals do not matter."""
    for row in fibres():
        if _plain(row.fibre) == _plain(name):
            return row
    raise NotFoundRefusal(
        f"No fibre called '{name}' is in the table. Known are: "
        f"{'; '.join(row.fibre for row in fibres())}. Break a few strands on a scale "
        "instead and take the lowest."
    )
