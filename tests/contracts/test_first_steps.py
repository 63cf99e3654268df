"""What a newcomer meets first: the README, the menu, the locks."""

from __future__ import annotations

import json
import os
import re
import shlex
import subprocess
import sys
import tomllib
from pathlib import Path

import pytest
from packaging.requirements import Requirement

ROOT = Path(__file__).resolve().parents[2]
README = (ROOT / "README.md").read_text(encoding="utf-8")
MAKEFILE = (ROOT / "Makefile").read_text(encoding="utf-8")
PROJECT = tomllib.loads((ROOT / "pyproject.toml").read_text(encoding="utf-8"))
LOCKS = sorted(ROOT.glob("requirements*.lock"))


def section(heading: str) -> str:
    """The README's text from one heading of the second rank to the next."""
    return README.split(f"\n## {heading}\n", 1)[1].split("\n## ", 1)[0]


def code_blocks(text: str) -> list[str]:
    return re.findall(r"^```\w*\n(.*?)^```", text, re.MULTILINE | re.DOTALL)


def pinned(lock: Path) -> dict[str, str]:
    lines = re.findall(r"^([A-Za-z0-9_.-]+)==([^\s;\\]+)", lock.read_text("utf-8"), re.MULTILINE)
    return {name.lower().replace("_", "-"): version for name, version in lines}


def test_set_up_is_two_commands_in_one_block() -> None:
    assert code_blocks(section("Set up")) == ["make demo\nmake test\n"]


def test_the_job_stands_at_the_very_top() -> None:
    title, blank, first = README.split("\n", 2)
    assert title == "# loosewell"
    assert blank == ""
    assert len(first.split("\n\n")[0]) > 200


def test_the_picture_of_the_readme_is_there() -> None:
    pictures = re.findall(r"!\[[^\]]+\]\(([^)]+)\)", README)
    assert pictures == ["docs/pictures/launch.svg"]
    assert (ROOT / pictures[0]).read_text(encoding="utf-8").lstrip().startswith(("<svg", "<?xml"))


def test_every_link_of_the_papers_leads_somewhere() -> None:
    papers = [*ROOT.glob("*.md"), *(ROOT / "docs").rglob("*.md")]
    dead = [
        f"{paper.name}: {target}"
        for paper in papers
        for target in re.findall(r"\]\(([^)#:]+)(?:#[^)]*)?\)", paper.read_text(encoding="utf-8"))
        if not (paper.parent / target).exists()
    ]
    assert dead == []


def test_every_make_target_named_in_the_readme_exists() -> None:
    targets = set(re.findall(r"^([a-z-]+):", MAKEFILE, re.MULTILINE))
    assert {"help", "demo", "test", "check", "serve", "bench", "clean"} <= targets
    assert set(re.findall(r"\bmake ([a-z-]+)\b", " ".join(code_blocks(README)))) <= targets


def readme_commands() -> list[list[str]]:
    """Every loosewell line of the README, as words, in the order it is read."""
    lines = "\n".join(code_blocks(README)).replace("\\\n", " ").splitlines()
    return [shlex.split(line)[1:] for line in lines if line.startswith("loosewell ")]


LONG_RUNNING = ("match", "serve", "demo")


@pytest.fixture(scope="module")
def bench(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """A folder with the README's table in it, where its commands are typed one after another."""
    folder = tmp_path_factory.mktemp("bench")
    (table,) = re.findall(r"^```csv\n(.*?)^```", README, re.MULTILINE | re.DOTALL)
    (folder / "rack.csv").write_text(table, encoding="utf-8")
    return folder


def typed(bench: Path, words: list[str]) -> subprocess.CompletedProcess[str]:
    told = subprocess.run(
        [sys.executable, "-m", "loosewell", *words],
        cwd=bench,
        env={**os.environ, "LOOSEWELL_WORKSHOP": str(bench / "mine.sqlite")},
        capture_output=True,
        text=True,
    )
    assert told.returncode == 0, f"loosewell {' '.join(words)}: {told.stderr}"
    return told


def test_the_commands_of_the_readme_work_as_typed(bench: Path) -> None:
    """All of them in order; what takes long or never ends only has to know its options."""
    words = readme_commands()
    assert len(words) >= 10
    for line in words:
        typed(bench, [*line, "--help"] if line[0] in LONG_RUNNING else line)
    shafts = json.loads(typed(bench, ["shaft", "list", "--json"]).stdout)
    assert "Fir-1" in json.dumps(shafts)
    assert "Cane-1" in json.dumps(shafts)
    assert "6.25" in typed(bench, ["bow", "history", "Alder", "--json"]).stdout
    assert (bench / "autumn.sqlite").exists()


@pytest.mark.parametrize("lock", LOCKS, ids=lambda lock: lock.name)
def test_a_lock_holds_hashes_and_no_address(lock: Path) -> None:
    text = lock.read_text(encoding="utf-8")
    assert "://" not in text
    assert "index" not in re.sub(r"^\s*#.*$", "", text, flags=re.MULTILINE)
    for block in re.split(r"^(?=[A-Za-z0-9])", text, flags=re.MULTILINE):
        if "==" in block:
            assert "--hash=sha256:" in block, block


def test_the_locks_answer_to_the_project() -> None:
    run, test = pinned(ROOT / "requirements.lock"), pinned(ROOT / "requirements-test.lock")
    asked = [(line, run) for line in PROJECT["project"]["dependencies"]]
    asked += [(line, test) for line in PROJECT["project"]["optional-dependencies"]["test"]]
    for line, lock in asked:
        wanted = Requirement(line)
        assert wanted.specifier.contains(lock[wanted.name.lower()]), line
    assert {name: test.get(name) for name in run} == run
