"""The set-up on machines that lack something, tried without installing anything."""

from __future__ import annotations

import os
import shutil
import subprocess
from pathlib import Path

import pytest

import set_up

ROOT = Path(__file__).resolve().parents[2]

posix_with_make = pytest.mark.skipif(
    os.name == "nt" or shutil.which("make") is None, reason="needs make and a shell"
)


def test_an_old_python_is_refused_with_a_sentence(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(set_up, "OLDEST", (99, 0))
    with pytest.raises(SystemExit, match=r"needs Python 3\.11 or newer"):
        set_up.main()


def test_a_second_run_installs_nothing(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    installed: list[tuple[object, ...]] = []

    def pretend(*command: object) -> bool:
        installed.append(command)
        return True

    monkeypatch.setattr(set_up, "VENV", tmp_path)
    monkeypatch.setattr(set_up, "run", pretend)
    monkeypatch.setattr(set_up.compileall, "compile_dir", lambda *_, **__: True)
    set_up.install(test=False)
    assert any("--require-hashes" in command for command in installed)
    assert any("--no-deps" in command for command in installed)
    before = len(installed)
    set_up.install(test=False)
    assert len(installed) == before
    set_up.install(test=True)
    assert len(installed) > before, "the tests need more than the program"


def test_a_changed_lock_is_installed_again(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    for name in ("pyproject.toml", "requirements.lock"):
        shutil.copy(ROOT / name, tmp_path / name)
    runs: list[int] = []
    monkeypatch.setattr(set_up, "ROOT", tmp_path)
    monkeypatch.setattr(set_up, "VENV", tmp_path)
    monkeypatch.setattr(set_up, "run", lambda *_: runs.append(1) or True)
    monkeypatch.setattr(set_up.compileall, "compile_dir", lambda *_, **__: True)
    set_up.install(test=False)
    before = len(runs)
    (tmp_path / "requirements.lock").write_text("changed")
    set_up.install(test=False)
    assert len(runs) == 2 * before


def test_a_failed_download_leaves_no_stamp(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(set_up, "VENV", tmp_path)
    monkeypatch.setattr(set_up, "run", lambda *_: False)
    with pytest.raises(SystemExit, match="network"):
        set_up.install(test=False)
    assert list(tmp_path.iterdir()) == []


@posix_with_make
def test_make_says_so_when_no_python_is_new_enough() -> None:
    told = subprocess.run(
        ["make", "demo", "PYTHON="], cwd=ROOT, capture_output=True, text=True, timeout=60
    )
    assert told.returncode != 0
    assert "No Python 3.11 or newer was found" in told.stdout


@posix_with_make
def test_the_menu_lists_what_can_be_made() -> None:
    told = subprocess.run(["make"], cwd=ROOT, capture_output=True, text=True, timeout=60)
    assert told.returncode == 0
    for target in ("demo", "test", "check", "serve", "bench", "clean"):
        assert f"make {target} " in told.stdout
