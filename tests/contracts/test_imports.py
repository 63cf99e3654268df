"""The floors of the house, held by the import contracts in pyproject.toml."""

from __future__ import annotations

import subprocess
import sys
from pathlib import Path

ROOT = Path(__file__).resolve().parents[2]

HEAVY = {
    "numpy", "scipy", "numba", "llvmlite", "pint", "sqlalchemy", "alembic", "fastapi",
    "starlette", "uvicorn", "jinja2", "typst", "pydantic",
}  # fmt: skip


def test_every_room_imports_only_from_the_floors_below() -> None:
    command = [str(Path(sys.executable).parent / "lint-imports"), "--no-logo", "--no-cache"]
    told = subprocess.run(command, cwd=ROOT, capture_output=True, text=True)
    assert told.returncode == 0, told.stdout + told.stderr


def test_asking_for_help_brings_in_nothing_heavy() -> None:
    """A start under half a second rests on this; what is loaded counts here, not the clock."""
    script = (
        "import sys\n"
        "from loosewell.__main__ import main\n"
        "sys.argv = ['loosewell', '--help']\n"
        "try:\n"
        "    main()\n"
        "except SystemExit as end:\n"
        "    assert not end.code, end.code\n"
        "print('LOADED', *sorted({name.split('.')[0] for name in sys.modules}))\n"
    )
    told = subprocess.run([sys.executable, "-c", script], capture_output=True, text=True)
    assert told.returncode == 0, told.stderr
    loaded = set(told.stdout.rsplit("LOADED", 1)[1].split())
    assert "loosewell" in loaded
    assert not loaded & HEAVY
