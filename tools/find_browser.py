"""Where the browser is that the page's tests drive.

    python tools/find_browser.py             prints its path, or says what is missing
    python tools/find_browser.py --install   the same, after bringing one if there is none

In this order: the path in LOOSEWELL_BROWSER; a Chromium or Chrome that is
installed; Playwright's own download; as root on Debian or Ubuntu the package
chromium; otherwise one sentence. A browser counts only if it starts.
"""

from __future__ import annotations

import os
import shutil
import subprocess
import sys
from collections.abc import Iterator
from pathlib import Path

NAMES = ("chromium", "chromium-browser", "google-chrome", "google-chrome-stable", "chrome")
PLACES = (
    "/Applications/Google Chrome.app/Contents/MacOS/Google Chrome",
    "/Applications/Chromium.app/Contents/MacOS/Chromium",
    "~/Applications/Google Chrome.app/Contents/MacOS/Google Chrome",
    r"C:\Program Files\Google\Chrome\Application\chrome.exe",
    r"C:\Program Files (x86)\Google\Chrome\Application\chrome.exe",
)
NONE_FOUND = (
    "No Chromium or Chrome was found. Install one (on Debian: apt-get install chromium), or set "
    "LOOSEWELL_BROWSER to the path of one, then run the same command again."
)


def candidates() -> Iterator[Path]:
    """Every place a browser may stand, best first."""
    named = os.environ.get("LOOSEWELL_BROWSER")
    if named:
        yield Path(named)
    for name in NAMES:
        found = shutil.which(name)
        if found:
            yield Path(found)
    yield from (Path(place).expanduser() for place in PLACES)
    downloaded = playwrights_own()
    if downloaded:
        yield downloaded


def playwrights_own() -> Path | None:
    """Where Playwright keeps its own download, whether or not it is there."""
    try:
        from playwright.sync_api import sync_playwright
    except ImportError:
        return None
    with sync_playwright() as driver:
        return Path(driver.chromium.executable_path)


def starts(browser: Path) -> bool:
    """Whether the browser can be run: a missing library or a mere signpost shows here."""
    if not browser.is_file():
        return False
    if os.name == "nt":  # there, asking for the version opens a window and prints nothing
        return True
    try:
        told = subprocess.run(
            [str(browser), "--version"], capture_output=True, text=True, timeout=60
        )
    except (OSError, subprocess.TimeoutExpired):
        return False
    return told.returncode == 0 and "chrom" in told.stdout.lower()


def find() -> Path | None:
    """The first browser that starts, or none."""
    return next((browser for browser in candidates() if starts(browser)), None)


def quietly(*command: str) -> bool:
    """Run a command with its noise thrown away; true if it went well."""
    # On a closed network the download fails several times over: its trace helps nobody.
    try:
        return subprocess.run(command, capture_output=True, timeout=600).returncode == 0
    except (OSError, subprocess.TimeoutExpired):
        return False


def install() -> None:
    """Bring a browser by the means at hand; what fails is left to the next means."""
    root = hasattr(os, "geteuid") and os.geteuid() == 0
    debian = root and shutil.which("apt-get") is not None
    print("No browser found: trying Playwright's own download ...", flush=True)
    playwright = [sys.executable, "-m", "playwright"]
    fetched = quietly(*playwright, "install", "chromium")
    if fetched and debian and not find():
        quietly(*playwright, "install-deps", "chromium")
    if find() or not debian:
        return
    print("That did not work: trying Debian's package chromium ...", flush=True)
    quiet = dict(os.environ, DEBIAN_FRONTEND="noninteractive")
    subprocess.run(["apt-get", "update", "-qq"], env=quiet)
    subprocess.run(["apt-get", "install", "-y", "-qq", "chromium"], env=quiet, stdout=sys.stderr)


def main() -> None:
    """Print the path of a browser that starts, or end with one sentence."""
    browser = find()
    if browser is None and "--install" in sys.argv[1:]:
        install()
        browser = find()
    if browser is None:
        sys.exit(NONE_FOUND)
    print(browser)


if __name__ == "__main__":
    main()
