"""The validation page against the code that makes it: builders/validation.py."""

from __future__ import annotations

import importlib.util
import json
import sys
from functools import cache
from pathlib import Path
from types import ModuleType
from typing import Any

import pytest

ROOT = Path(__file__).resolve().parents[2]


@cache
def builder() -> ModuleType:
    spec = importlib.util.spec_from_file_location(
        "validation_builder", ROOT / "builders" / "validation.py"
    )
    assert spec is not None
    assert spec.loader is not None
    module = importlib.util.module_from_spec(spec)
    sys.modules[spec.name] = module  # dataclasses look their module up
    spec.loader.exec_module(module)
    return module


@cache
def found() -> Any:
    return builder().every_row()


def flat() -> list[tuple[str, Any]]:
    return [(one.title, row) for one, rows in found() for row in rows]


def committed() -> list[tuple[str, list[str]]]:
    """Title and cells of each row of the page as it lies in the repository."""
    rows, title = [], ""
    for line in builder().PAGE.read_text(encoding="utf-8").splitlines():
        if line.startswith("### "):
            title = line[4:]
        elif line.startswith("| ") and not line.startswith("| case |"):
            rows.append((title, [cell.strip() for cell in line.strip("|").split("|")]))
    return rows


def test_every_row_does_what_the_builder_says_of_it() -> None:
    """A row without a sentence holds; a row with one does not, and the sentence says why."""
    assert builder().broken_claims(found()) == []
    assert len(flat()) > 150


def test_page_shows_what_the_code_gives_now() -> None:
    """The same rows in the same order, numbers to the last figure printed, marks alike."""
    rows, page = flat(), committed()
    assert [(title, row.case) for title, row in rows] == [(title, c[0]) for title, c in page]
    for (title, row), (_, cells) in zip(rows, page, strict=True):
        name = f"{title}: {row.case}"
        assert cells[1] == row.published_text(), name
        printed = float(cells[2].replace(",", ""))
        # One unit of the last figure: round-off on another processor may tip it over.
        assert printed == pytest.approx(row.computed, abs=1.01 * 10.0**-row.places), name
        assert ("yes" in cells[-1]) == row.holds, name


def test_page_tells_what_is_wrong_and_how_many_rows_hold() -> None:
    text = builder().PAGE.read_text(encoding="utf-8")
    wrong = [row for _, row in flat() if not row.holds]
    assert f"{len(flat()) - len(wrong)} hold, {len(wrong)} do not" in text
    assert wrong, "an engine without a fault was not looked at hard enough"
    for row in wrong:
        assert row.wrong in text


def test_table_for_machines_carries_the_same_rows() -> None:
    table = json.loads(json.dumps(builder().table(found()), allow_nan=False))
    assert len(table) == len(flat())
    assert len({one["case"] for one in table}) == len(table)
    for one in table:
        assert set(one) == {
            "case", "source", "published", "computed", "unit", "tolerance", "holds",
        }  # fmt: skip
        off = abs(one["computed"] - one["published"])
        assert one["holds"] == (off <= one["tolerance"] * (1.0 + 1e-12))
        assert one["source"]
