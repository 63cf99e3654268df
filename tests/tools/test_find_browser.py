"""Which browser the page's tests drive, tried on small stand-ins."""

from __future__ import annotations

import os
from pathlib import Path

import pytest

import find_browser

pytestmark = pytest.mark.skipif(os.name == "nt", reason="the stand-ins are shell scripts")


def stand_in(path: Path, script: str) -> Path:
    path.write_text(f"#!/bin/sh\n{script}\n")
    path.chmod(0o755)
    return path


@pytest.fixture
def bare_machine(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    """A machine with an empty path, no applications and no download."""
    monkeypatch.setenv("PATH", str(tmp_path))
    monkeypatch.delenv("LOOSEWELL_BROWSER", raising=False)
    monkeypatch.setattr(find_browser, "PLACES", ())
    monkeypatch.setattr(find_browser, "playwrights_own", lambda: None)
    return tmp_path


def test_an_installed_browser_is_taken(bare_machine: Path) -> None:
    browser = stand_in(bare_machine / "chromium", "echo Chromium 1.0")
    assert find_browser.find() == browser


def test_a_named_browser_comes_before_an_installed_one(
    bare_machine: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    stand_in(bare_machine / "chromium", "echo Chromium 1.0")
    named = stand_in(bare_machine / "mine", "echo Google Chrome 2.0")
    monkeypatch.setenv("LOOSEWELL_BROWSER", str(named))
    assert find_browser.find() == named


@pytest.mark.parametrize("script", ["echo Chromium 1.0; exit 127", "echo Use another command"])
def test_a_browser_that_does_not_start_is_passed_over(bare_machine: Path, script: str) -> None:
    stand_in(bare_machine / "chromium", script)
    good = stand_in(bare_machine / "google-chrome", "echo Google Chrome 2.0")
    assert find_browser.find() == good


def test_playwrights_download_is_the_last_resort(
    bare_machine: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    own = stand_in(bare_machine / "downloaded", "echo Chromium 3.0")
    monkeypatch.setattr(find_browser, "playwrights_own", lambda: own)
    assert find_browser.find() == own


def test_without_a_browser_one_sentence_says_what_to_do(
    bare_machine: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr("sys.argv", ["find_browser.py"])
    with pytest.raises(SystemExit) as end:
        find_browser.main()
    assert "LOOSEWELL_BROWSER" in str(end.value)
    assert "apt-get install chromium" in str(end.value)
