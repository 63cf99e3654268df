"""What the engine is told of an input, in words and in SI, and how draw is measured."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace

from loosewell.chance.priors import Uncertain
from loosewell.errors import MissingRefusal

TRUE_BELOW_STANDARD_IN = 1.75
"""Standard draw is true draw and 1.75 in more. Rated-draw definition of the bow
makers' trade association, as quoted in coaching texts."""


@dataclass(frozen=True)
class Assumed:
    """One input as the engine got it: value and error in words, and whether it was measured."""

    key: str
    name: str
    value: str
    error: str
    assumed: bool
    how_to_measure: str
    measured_error: float
    """Standard error after a careful measurement, in SI; 0 if there is no bench method."""


def inches(error_in: float) -> str:
    """An error of length as a ruler shows it: sixteenths and finer as a fraction."""
    for parts in (16, 32, 64):
        if abs(error_in * parts - 1.0) < 1e-6:
            return f"1/{parts}"
    return f"{error_in:.2g}"


def true_draw_in(draw_in: float, measured: str | None) -> float:
    """True draw in inches from a draw stated either way.

    Parameters
    ----------
    draw_in : float
        As stated.
    measured : str or None
        "true" or "standard".

    Returns
    -------
    draw_in : float
        String to the deepest part of the grip.

    Raises
    ------
    MissingRefusal
        If it was not said which.
    """
    if measured == "true":
        return draw_in
    if measured == "standard":
        return draw_in - TRUE_BELOW_STANDARD_IN
    raise MissingRefusal(
        f"A draw of {draw_in:g} in was given without saying how it was measured. Say true "
        "(string to the deepest part of the grip) or standard (that and 1.75 in more)."
    )


def with_value(inputs: Sequence[Uncertain], key: str, middle: float) -> list[Uncertain]:
    """The same inputs with one fixed.

    Parameters
    ----------
    inputs : sequence of Uncertain
        All of them.
    key : str
        Which to fix.
    middle : float
        At this value.

    Returns
    -------
    inputs : list of Uncertain
        A new list.
    """
    return [replace(one, middle=middle, spread=0.0) if one.key == key else one for one in inputs]
