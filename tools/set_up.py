"""Everything a fresh machine needs before the program or its tests can run.

    python3 tools/set_up.py          the program
    python3 tools/set_up.py --test   the program, its test parts and a browser

Makes `.venv` beside the source, puts uv into it with pip where uv is missing,
installs the locked and hashed requirements, then the package itself. A stamp
in `.venv` remembers what was installed, so a second run only compares it.
Standard library only: this file runs before anything is installed.
"""

from __future__ import annotations

import argparse
import compileall
import hashlib
import os
import shutil
import subprocess
import sys
from pathlib import Path

ROOT = Path(__file__).resolve().parent.parent
VENV = ROOT / ".venv"
BIN = VENV / ("Scripts" if os.name == "nt" else "bin")
SUFFIX = ".exe" if os.name == "nt" else ""
PYTHON = BIN / f"python{SUFFIX}"
UV = BIN / f"uv{SUFFIX}"
BOOTSTRAP = ROOT / "requirements-bootstrap.lock"
OLDEST = (3, 11)


def say(text: str) -> None:
    """Print a step at once, also through a pipe."""
    print(text, flush=True)


def give_up(text: str) -> None:
    """End with one sentence that says what to do."""
    sys.exit(f"Set-up stopped. {text}")


def run(*command: str | Path) -> bool:
    """Run a command with its output shown; true if it went well."""
    quiet = dict(os.environ, PIP_DISABLE_PIP_VERSION_CHECK="1", VIRTUAL_ENV=str(VENV))
    try:
        return subprocess.run([str(part) for part in command], cwd=ROOT, env=quiet).returncode == 0
    except OSError:
        return False


def works(*command: str | Path) -> bool:
    """Whether a command runs at all, its output thrown away."""
    try:
        done = subprocess.run([str(part) for part in command], capture_output=True, timeout=60)
    except (OSError, subprocess.TimeoutExpired):
        return False
    return done.returncode == 0


def debian_root() -> bool:
    """Whether packages of the system may be installed here without asking anybody."""
    return hasattr(os, "geteuid") and os.geteuid() == 0 and shutil.which("apt-get") is not None


def make_environment() -> None:
    """Make `.venv`, with the means the machine has."""
    new_enough = works(PYTHON, "-c", f"import sys; sys.exit(sys.version_info < {OLDEST})")
    # Where Debian's Python lacks a part, a first try leaves an environment without pip behind.
    filled = UV.exists() or works(PYTHON, "-m", "pip", "--version") or shutil.which("uv")
    if new_enough and filled:
        return
    say(f"Making {VENV.name} with Python {sys.version.split()[0]} ...")
    make = [sys.executable, "-m", "venv", "--clear", str(VENV)]
    if run(*make):
        return
    # Debian and Ubuntu ship Python without the part of venv that brings pip.
    if shutil.which("uv") and run("uv", "venv", "--clear", "--python", sys.executable, VENV):
        return
    if debian_root():
        say("Python came without its venv module: installing python3-venv ...")
        run("apt-get", "update", "-qq")
        if run("apt-get", "install", "-y", "-qq", "python3-venv") and run(*make):
            return
    give_up(
        "Python could not make a virtual environment here. On Debian and Ubuntu run "
        "'apt-get install python3-venv' as root, then the same command again."
    )


def bring_uv() -> None:
    """Put uv and the build tool into `.venv`, locked by hash."""
    stamp = VENV / "loosewell-bootstrap.stamp"
    wanted = hashlib.sha256(BOOTSTRAP.read_bytes()).hexdigest()
    if UV.exists() and stamp.exists() and stamp.read_text() == wanted:
        return
    say("Bringing uv into .venv ...")
    locked = ["install", "--require-hashes", "-r", str(BOOTSTRAP)]
    if works(PYTHON, "-m", "pip", "--version"):
        done = run(PYTHON, "-m", "pip", "--quiet", *locked)
    else:
        done = run("uv", "pip", *locked, "--python", PYTHON)
    if not done:
        give_up("The packages could not be fetched: see above; a working network is needed once.")
    stamp.write_text(wanted)


def install(test: bool) -> None:
    """Install the locked requirements and the package, unless that was done before."""
    lock = ROOT / ("requirements-test.lock" if test else "requirements.lock")
    stamp = VENV / f"loosewell-{'test' if test else 'run'}.stamp"
    told = lock.read_bytes() + (ROOT / "pyproject.toml").read_bytes() + sys.version.encode()
    wanted = hashlib.sha256(told).hexdigest()
    if stamp.exists() and stamp.read_text() == wanted:
        return
    say(f"Installing what {lock.name} lists (once; some hundred megabytes) ...")
    into = [UV, "pip", "install", "--python", PYTHON]
    if not run(*into, "--require-hashes", "--compile-bytecode", "-r", lock):
        give_up("The packages could not be fetched: see above; a working network is needed once.")
    # The build tool is in .venv already and locked: no isolated download of another one.
    if not run(*into, "--no-deps", "--no-build-isolation", "--editable", ROOT):
        give_up("The package itself could not be installed: see above.")
    compileall.compile_dir(ROOT / "src", quiet=1)
    stamp.write_text(wanted)


def main() -> None:
    """Set up, then say where things are."""
    if sys.version_info < OLDEST:
        give_up(
            f"This is Python {sys.version.split()[0]}; loosewell needs Python 3.11 or newer. "
            "Install one and run the same command with it."
        )
    reader = argparse.ArgumentParser(description="Sets loosewell up in .venv beside the source.")
    reader.add_argument("--test", action="store_true", help="also what the tests need")
    test = reader.parse_args().test
    make_environment()
    bring_uv()
    install(test)
    if test and not run(PYTHON, ROOT / "tools" / "find_browser.py", "--install"):
        give_up("The page's tests drive a real browser and none could be found or installed.")


if __name__ == "__main__":
    main()
