"""Validated records in trade units: what people measured, with unknown kept unknown.

The names below are loaded when first asked for, so that a command which needs
no record starts without the validator.
"""

from __future__ import annotations

import importlib
from typing import TYPE_CHECKING, Any

if TYPE_CHECKING:
    from loosewell.records.archer import Archer
    from loosewell.records.arrow import Arrow, Fletching
    from loosewell.records.bow import Bow, DrawReading, SpeedReading
    from loosewell.records.shaft import (
        BenchReading,
        DiameterStation,
        Inspection,
        Joint,
        Section,
        Shaft,
    )

_HOMES = {
    "Archer": "archer",
    "Arrow": "arrow",
    "Fletching": "arrow",
    "Bow": "bow",
    "DrawReading": "bow",
    "SpeedReading": "bow",
    "BenchReading": "shaft",
    "DiameterStation": "shaft",
    "Inspection": "shaft",
    "Joint": "shaft",
    "Section": "shaft",
    "Shaft": "shaft",
}

__all__ = [
    "Archer",
    "Arrow",
    "BenchReading",
    "Bow",
    "DiameterStation",
    "DrawReading",
    "Fletching",
    "Inspection",
    "Joint",
    "Section",
    "Shaft",
    "SpeedReading",
]


def __getattr__(name: str) -> Any:
    if name in _HOMES:
        return getattr(importlib.import_module(f"loosewell.records.{_HOMES[name]}"), name)
    raise AttributeError(f"module {__name__!r} has no attribute {name!r}")
