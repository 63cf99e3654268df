"""Figures as every sheet prints them: both unit systems, both draws, span and load."""

from __future__ import annotations

import datetime
from collections.abc import Sequence
from typing import TYPE_CHECKING

from loosewell.faces import wording
from loosewell.workshop.bridge import TRUE_BELOW_STANDARD_IN, true_draw_in

if TYPE_CHECKING:
    from loosewell.records import Jig, Shaft
    from loosewell.workshop.bench import Spine

DRAWS = (
    "True draw: string to the deepest part of the grip at full draw. Standard draw: that and "
    f"{TRUE_BELOW_STANDARD_IN:g} in (44 mm) more."
)
NO_FITNESS = (
    "Nothing here says that a bow or a shaft is sound. Look every one over by hand, and follow "
    "the bow's maker, your local rules and a qualified instructor."
)
KG = 0.45359237
"""Kilograms in a pound, exactly."""


def draw(draw_in: float, measured: str | None) -> str:
    """A draw length both ways: "26.00 in true draw (660 mm), 27.75 in standard draw (705 mm)"."""
    true = true_draw_in(draw_in, measured)
    standard = true + TRUE_BELOW_STANDARD_IN
    return (
        f"{true:.2f} in true draw ({true * 25.4:.0f} mm), "
        f"{standard:.2f} in standard draw ({standard * 25.4:.0f} mm)"
    )


def pull(weight_lb: float, error_lb: float | None = None) -> str:
    """A draw weight: "45.0 lb ± 1 lb (20.4 kg)"."""
    error = "" if error_lb is None else f" ± {error_lb:.2g} lb"
    return f"{weight_lb:.1f} lb{error} ({weight_lb * KG:.1f} kg)"


def maybe_length(value_in: float | None, digits: int = 2) -> str | None:
    """A length, or the blank."""
    return None if value_in is None else wording.length(value_in, digits)


def maybe_small(value_in: float | None) -> str | None:
    """A small length with tenths of a millimetre: "0.320 in (8.1 mm)"."""
    if value_in is None:
        return None
    return f"{wording.number(value_in, 3)} in ({wording.number(value_in * 25.4, 1)} mm)"


def maybe_mass(value_gr: float | None) -> str | None:
    """A mass, or the blank."""
    return None if value_gr is None else wording.mass(value_gr)


def day(on: datetime.date | None) -> str | None:
    """A day, year first, or the blank."""
    return None if on is None else on.isoformat()


def spines(shafts: Sequence[Shaft], jigs: Sequence[Jig]) -> dict[str, Spine | None]:
    """What the bench says about each shaft, by its name; None for one never bent."""
    from loosewell.workshop.bench import shaft_spine

    return {one.name: shaft_spine(one, jigs) for one in shafts}
