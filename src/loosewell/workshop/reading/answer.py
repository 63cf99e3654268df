"""The shape of the answer to an outing: what is kept, printed and drawn.

All values in trade units; left and high positive, seen from behind the archer. Plain
dataclasses, so that an answer kept in the file is shown again without any reckoning.
"""

from __future__ import annotations

import math
from dataclasses import asdict, dataclass, field
from typing import Any, cast

from loosewell.workshop.answer import Notice
from loosewell.workshop.reading.view import Expected, ReadingView, ShotDrawn

SEED = 20260601


@dataclass(frozen=True)
class CauseTold:
    """One cause: how probable after the shots, and before them."""

    key: str
    words: str
    chance_percent: float
    before_percent: float


@dataclass(frozen=True)
class ChangeTold:
    """What one change would do: to the share of clean shots, and to bare against fletched."""

    key: str
    words: str
    clean_percent: float
    gain_percent: float
    apart_left_in: float | None
    apart_high_in: float | None
    apart_error_left_in: float | None
    apart_error_high_in: float | None


@dataclass(frozen=True)
class TestTold:
    """What one more test is expected to tell."""

    key: str
    words: str
    information_nat: float
    shots: int | None


@dataclass(frozen=True)
class StepTold:
    """The one next step."""

    kind: str
    words: str
    expect: str
    clean_now_percent: float
    clean_then_percent: float | None


@dataclass(frozen=True)
class InputTold:
    """One input, and its part in the doubt about the first cause."""

    name: str
    value: str
    error: str
    assumed: bool
    share_of_doubt_percent: float


@dataclass(frozen=True)
class ReadAnswer:
    """Everything there is to say to an outing."""

    outing: str
    version: int
    bow: str
    archer: str
    hand: str
    on: str
    distance_yd: float
    invented: bool
    shots: int
    stops: tuple[Notice, ...] = ()
    warnings: tuple[Notice, ...] = ()
    cautions: tuple[Notice, ...] = ()
    seen: tuple[str, ...] = ()
    causes: tuple[CauseTold, ...] = ()
    verdict: str = ""
    alike: str = ""
    not_looked_at: tuple[str, ...] = ()
    step: StepTold | None = None
    cannot_tell: str = ""
    changes: tuple[ChangeTold, ...] = ()
    tests: tuple[TestTold, ...] = ()
    inputs: tuple[InputTold, ...] = ()
    reasons: tuple[str, ...] = ()
    went_wrong: str | None = None
    difference_in: tuple[float, float, float] | None = None
    """Bare against fletched: left, high, and the error of each."""
    point_gr: float | None = None
    started_from: tuple[str, ...] = ()
    learned: tuple[str, ...] = ()
    confident: bool = False
    picture: ReadingView | None = None
    engine: str = ""
    seed: int = SEED
    launches: int = 0
    seconds: float = 0.0
    replay: dict[str, Any] = field(default_factory=dict)
    """Numbers and versions of the records it rests on, and what it started from."""

    def plain(self) -> dict[str, Any]:
        """Ready for JSON."""
        return cast(dict[str, Any], _plain(asdict(self)))


def _plain(value: Any) -> Any:
    if isinstance(value, dict):
        return {key: _plain(one) for key, one in value.items()}
    if isinstance(value, (list, tuple)):
        return [_plain(one) for one in value]
    if isinstance(value, float) and not math.isfinite(value):
        return None
    return value


def from_plain(told: dict[str, Any]) -> ReadAnswer:
    """The answer that was kept."""
    plain = dict(told)
    for name, kind in (
        ("stops", Notice), ("warnings", Notice), ("cautions", Notice), ("causes", CauseTold),
        ("changes", ChangeTold), ("tests", TestTold), ("inputs", InputTold),
    ):  # fmt: skip
        plain[name] = tuple(kind(**one) for one in told[name])
    for name in ("seen", "not_looked_at", "reasons", "started_from", "learned"):
        plain[name] = tuple(told[name])
    if told["difference_in"] is not None:
        plain["difference_in"] = tuple(told["difference_in"])
    if told["step"] is not None:
        plain["step"] = StepTold(**told["step"])
    if told["picture"] is not None:
        view = dict(told["picture"])
        view["shots"] = tuple(ShotDrawn(**one) for one in view["shots"])
        view["expected"] = tuple(Expected(**one) for one in view["expected"])
        view["causes"] = tuple(tuple(one) for one in view["causes"])
        plain["picture"] = ReadingView(**view)
    return ReadAnswer(**plain)
