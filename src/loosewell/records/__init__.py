"""Validated records in trade units: what people measured, with unknown kept unknown.

The names below are loaded when first asked for, so that a command which needs
no record starts without the validator.
"""

from __future__ import annotations

import importlib
from typing import TYPE_CHECKING, Any

if TYPE_CHECKING:
    from loosewell.records.archer import Archer
    from loosewell.records.arrow import Arrow, ExtraPart, Fletching
    from loosewell.records.arrow_set import ArrowSet, SetMember
    from loosewell.records.bow import Bow, DrawReading, SpeedReading
    from loosewell.records.class_ import ClassRoster, Holding, Pupil, RangeRule
    from loosewell.records.jig import Jig
    from loosewell.records.outing import Change, Outing, ShotSeen
    from loosewell.records.shaft import (
        BenchReading,
        Check,
        DiameterStation,
        Inspection,
        Joint,
        Section,
        Shaft,
        Tap,
        Weighing,
    )
    from loosewell.records.string import BowString, BreakSample

_HOMES = {
    "Archer": "archer",
    "Arrow": "arrow",
    "ExtraPart": "arrow",
    "Fletching": "arrow",
    "ArrowSet": "arrow_set",
    "SetMember": "arrow_set",
    "ClassRoster": "class_",
    "Holding": "class_",
    "Pupil": "class_",
    "RangeRule": "class_",
    "Jig": "jig",
    "Change": "outing",
    "Outing": "outing",
    "ShotSeen": "outing",
    "Bow": "bow",
    "DrawReading": "bow",
    "SpeedReading": "bow",
    "BenchReading": "shaft",
    "Check": "shaft",
    "DiameterStation": "shaft",
    "Inspection": "shaft",
    "Joint": "shaft",
    "Section": "shaft",
    "Shaft": "shaft",
    "Tap": "shaft",
    "Weighing": "shaft",
    "BowString": "string",
    "BreakSample": "string",
}

__all__ = [
    "Archer",
    "Arrow",
    "ArrowSet",
    "BenchReading",
    "Bow",
    "BowString",
    "BreakSample",
    "Change",
    "Check",
    "ClassRoster",
    "DiameterStation",
    "DrawReading",
    "ExtraPart",
    "Fletching",
    "Holding",
    "Inspection",
    "Jig",
    "Joint",
    "Outing",
    "Pupil",
    "RangeRule",
    "Section",
    "SetMember",
    "Shaft",
    "ShotSeen",
    "SpeedReading",
    "Tap",
    "Weighing",
]


def __getattr__(name: str) -> Any:
    if name in _HOMES:
        return getattr(importlib.import_module(f"loosewell.records.{_HOMES[name]}"), name)
    raise AttributeError(f"module {__name__!r} has no attribute {name!r}")
