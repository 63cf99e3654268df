"""Names: files, record fields with their units, and words that must not stand here."""

from __future__ import annotations

import importlib
import pkgutil
import re
import subprocess
import sys
import typing
from pathlib import Path

import pydantic
import pytest

import loosewell.records

ROOT = Path(__file__).resolve().parents[2]
NAME_CHECK = ROOT.parent / "shared" / "hooks" / "name-check"
# Taps are heard in cycles a second, `_hz`. Two marks are no units: `_ratio` and `_factor` end the
# name of a plain number, so that nobody takes it for a percentage.
SUFFIXES = (
    "_in",
    "_gr",
    "_lb",
    "_fps",
    "_ft",
    "_yd",
    "_deg",
    "_f",
    "_hz",
    "_percent",
    "_deg_per_ftlb",
    "_ratio",
    "_factor",
)
PYTHON_FILE = re.compile(r"_{0,2}[a-z][a-z0-9]*(_[a-z0-9]+)*_{0,2}\.py")


def tracked() -> list[Path]:
    told = subprocess.run(
        ["git", "ls-files", "-z"], cwd=ROOT, capture_output=True, text=True, check=False
    )
    if told.returncode:
        pytest.skip("not a git checkout: nothing to list")
    return [Path(name) for name in told.stdout.split("\0") if name]


def models() -> list[type[pydantic.BaseModel]]:
    found = []
    for module in pkgutil.iter_modules(loosewell.records.__path__, "loosewell.records."):
        for thing in vars(importlib.import_module(module.name)).values():
            if isinstance(thing, type) and issubclass(thing, pydantic.BaseModel):
                found.append(thing)
    return sorted(set(found), key=lambda model: model.__name__)


def holds_a_float(annotation: object) -> bool:
    return annotation is float or any(map(holds_a_float, typing.get_args(annotation)))


def test_every_measured_field_of_a_record_carries_its_unit() -> None:
    measured = [
        f"{model.__name__}.{name}"
        for model in models()
        for name, field in model.model_fields.items()
        if holds_a_float(field.annotation)
    ]
    assert len(measured) > 20
    assert [name for name in measured if not name.endswith(SUFFIXES)] == []


def test_python_files_are_lower_case_words() -> None:
    odd = [
        str(path)
        for path in tracked()
        if path.suffix == ".py"
        and "versions" not in path.parts
        and not PYTHON_FILE.fullmatch(path.name)
    ]
    assert odd == []


def test_tests_are_named_as_sentences() -> None:
    """Three words at least after `test_`, so that a failing line can be read aloud."""
    short = []
    for path in sorted((ROOT / "tests").rglob("test_*.py")):
        for name in re.findall(r"^\s*def (test_\w+)", path.read_text(encoding="utf-8"), re.M):
            if len(name.split("_")) < 4:
                short.append(f"{path.relative_to(ROOT)}:{name}")
    assert short == []


@pytest.mark.skipif(not NAME_CHECK.exists(), reason="the list of withheld names is not here")
def test_no_withheld_name_stands_in_the_project() -> None:
    told = subprocess.run(
        [sys.executable, str(NAME_CHECK), str(ROOT)], capture_output=True, text=True
    )
    assert told.returncode == 0, told.stdout + told.stderr
