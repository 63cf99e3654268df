"""What every test may ask for: a workshop of its own, the demo camp, a real browser."""

from __future__ import annotations

import os
import shutil
import socket
import tempfile
from collections.abc import Iterator
from pathlib import Path
from typing import TYPE_CHECKING, Any

import pytest
from hypothesis import HealthCheck, settings

import find_browser

if TYPE_CHECKING:
    from playwright.sync_api import Browser, Page

LOOPBACK = ("127.", "::1", "localhost")

# Examples are drawn from a fixed seed: a red test is red again on the next machine. No
# deadline, since tests never assert on time.
settings.register_profile(
    "loosewell",
    derandomize=True,
    deadline=None,
    database=None,
    max_examples=60,
    suppress_health_check=[HealthCheck.too_slow, HealthCheck.function_scoped_fixture],
)
settings.load_profile("loosewell")


def pytest_configure(config: pytest.Config) -> None:
    """Keep tests off the network and out of the person's own data folder."""
    connect = socket.socket.connect

    def connect_here_only(self: socket.socket, address: Any) -> None:
        host = address[0] if isinstance(address, tuple) else ""
        if host and not str(host).startswith(LOOPBACK):
            self.close()
            raise AssertionError(f"A test tried to reach {host}: tests use no network.")
        connect(self, address)

    socket.socket.connect = connect_here_only  # type: ignore[method-assign]
    home = tempfile.mkdtemp(prefix="loosewell-tests-")
    os.environ["XDG_DATA_HOME"] = home
    os.environ.pop("LOOSEWELL_WORKSHOP", None)
    config.add_cleanup(lambda: shutil.rmtree(home, ignore_errors=True))


@pytest.fixture
def workshop_path(tmp_path: Path) -> Path:
    """Where a test's own workshop file may be made; nothing is there yet."""
    return tmp_path / "workshop.sqlite"


@pytest.fixture(scope="session")
def demo_original(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """The demo camp, built once for all tests: copy it before changing anything."""
    from loosewell.workshop import demo

    path = tmp_path_factory.mktemp("demo") / "camp.sqlite"
    demo.build(path)
    return path


@pytest.fixture
def demo_path(demo_original: Path, tmp_path: Path) -> Path:
    """A copy of the demo camp for one test."""
    return Path(shutil.copy(demo_original, tmp_path / "camp.sqlite"))


@pytest.fixture(scope="module")
def browser() -> Iterator[Browser]:
    """A real Chromium, started once for the tests of one file."""
    from playwright.sync_api import sync_playwright

    program = find_browser.find()
    if program is None:
        pytest.fail(find_browser.NONE_FOUND)
    as_root = hasattr(os, "geteuid") and os.geteuid() == 0
    quiet = ["--disable-gpu", "--disable-quic", "--disable-background-networking"]
    quiet += ["--disable-component-update", "--disable-sync", "--no-first-run"]
    with sync_playwright() as driver:
        started = driver.chromium.launch(
            executable_path=str(program),
            headless=True,
            args=[*quiet, "--no-sandbox"] if as_root else quiet,
        )
        yield started
        started.close()


@pytest.fixture
def page(browser: Browser) -> Iterator[Page]:
    """A fresh window as wide as a computer's; errors on the page fail the test."""
    window = browser.new_page(viewport={"width": 1280, "height": 900})
    troubles: list[str] = []
    window.on("pageerror", lambda error: troubles.append(str(error)))
    yield window
    window.close()
    assert not troubles, f"the page reported: {troubles}"


@pytest.fixture
def phone(browser: Browser) -> Iterator[Page]:
    """A fresh window the size of a phone, with touch; errors on the page fail the test."""
    context = browser.new_context(
        viewport={"width": 390, "height": 844}, has_touch=True, is_mobile=True
    )
    window = context.new_page()
    troubles: list[str] = []
    window.on("pageerror", lambda error: troubles.append(str(error)))
    yield window
    context.close()
    assert not troubles, f"the page reported: {troubles}"
