"""Shooting on the page: two taps a shot, nothing lost, an answer that can be found again."""

from __future__ import annotations

import re
import socket
import threading
from collections.abc import Iterator
from typing import TYPE_CHECKING

import httpx
import pytest

from loosewell.faces.web.app import make_app
from loosewell.workshop import demo
from loosewell.workshop.keep import Workshop

if TYPE_CHECKING:
    from pathlib import Path

    from playwright.sync_api import Page

pytestmark = pytest.mark.browser


@pytest.fixture(scope="module")
def camp(tmp_path_factory: pytest.TempPathFactory) -> Path:
    path: Path = tmp_path_factory.mktemp("camp") / "camp.sqlite"
    demo.build(path)
    return path


@pytest.fixture(scope="module")
def address(camp: Path) -> Iterator[str]:
    import uvicorn

    door = socket.socket()
    door.bind(("127.0.0.1", 0))
    door.listen(64)
    server = uvicorn.Server(uvicorn.Config(make_app(camp), log_level="error"))
    thread = threading.Thread(target=server.run, kwargs={"sockets": [door]}, daemon=True)
    thread.start()
    yield f"http://127.0.0.1:{door.getsockname()[1]}"
    server.should_exit = True
    thread.join(timeout=60)
    door.close()


def tap(window: Page, left_in: float, high_in: float) -> None:
    """A touch on the butt, at its usual reach of 12 in."""
    spot = window.evaluate(
        """([x, y]) => {
            const butt = document.querySelector(".pad > svg");
            butt.scrollIntoView({ block: "center" });
            const at = new DOMPoint(x, y).matrixTransform(butt.getScreenCTM());
            return [at.x, at.y];
        }""",
        [-left_in * 100.0 / 12.0, -high_in * 100.0 / 12.0],
    )
    window.mouse.click(*spot)


def begun(window: Page, address: str) -> None:
    window.goto(f"{address}/shoot")
    window.get_by_label("Bow").select_option("Yew")
    window.get_by_label("Archer").select_option("Wren")
    window.get_by_label("Distance").fill("20 yd")


def lines(window: Page) -> list[str]:
    return window.locator("textarea").input_value().splitlines()


def test_two_taps_are_a_shot_and_left_is_left(phone: Page, address: str) -> None:
    begun(phone, address)
    tap(phone, 6.0, -3.0)
    phone.get_by_role("button", name="nock right, nock high").click()
    phone.get_by_role("button", name="Bare").click()
    tap(phone, -3.0, 1.5)
    phone.get_by_role("button", name="nock left", exact=True).click()
    phone.get_by_role("button", name="straight").click()
    phone.get_by_role("button", name="Called bad").click()
    first, second = lines(phone)
    # A touch falls on whole pixels of the screen.
    assert re.fullmatch(
        r"fletched, [56]\.\d in left, [23]\.\d in low, nock right, nock high", first
    )
    assert re.fullmatch(r"bare, [23]\.\d in right, 1\.[3-7] in high, straight, bad", second)
    phone.get_by_role("button", name="Take back").click()
    assert len(lines(phone)) == 1
    assert phone.evaluate("document.documentElement.scrollWidth") <= 390


def test_a_phone_that_slept_finds_its_shots_again(phone: Page, address: str) -> None:
    begun(phone, address)
    tap(phone, 2.0, 2.0)
    before = lines(phone)
    phone.reload()
    assert lines(phone) == before
    assert phone.get_by_label("Bow").input_value() == "Yew"
    assert phone.get_by_label("Distance").input_value() == "20 yd"


def test_shots_become_an_outing_and_an_answer_with_the_cautions_first(
    page: Page, address: str, camp: Path
) -> None:
    begun(page, address)
    for left, high in ((1.0, 0.0), (-2.0, 1.0), (0.0, -2.0)):
        tap(page, left, high)
    page.get_by_role("button", name="Bare").click()
    for left in (8.0, 9.0):
        tap(page, left, 0.0)
        page.get_by_role("button", name="nock right", exact=True).click()
    page.get_by_role("button", name="Keep and read").click()
    page.get_by_role("heading", name="What lies behind it").first.wait_for(timeout=180000)
    headings = page.locator("main h2").all_inner_texts()
    assert headings.index("Before you shoot") < headings.index("What lies behind it")
    text = page.locator("main").inner_text()
    assert "Seen from behind the archer" in text
    with Workshop.open(camp) as workshop:
        (kept,) = [k for k in workshop.list("outing") if k.record.name.endswith("Wren")]
        assert len(kept.record.shots) == 5  # type: ignore[union-attr]
        assert len(workshop.answers(kept.record.name)) == 1
    # A reload shows the same answer; nothing is reckoned again.
    page.reload()
    page.get_by_text("Answer 1 to this outing").wait_for()


@pytest.mark.parametrize(
    ("form", "words"),
    [
        ({"bow": "Yew", "archer": "Wren", "distance": "20 yd"}, "No shot was set"),
        ({"bow": "Yew", "archer": "Wren", "shots": "bare, straight"}, "distance was not given"),
        ({"bow": "Yew", "archer": "Wren", "distance": "20", "shots": "bare, straight"}, "unit"),
        ({"bow": "", "archer": "Wren", "distance": "20 yd", "shots": "bare"}, "Choose the bow"),
        (
            {
                "bow": "Yew",
                "archer": "Wren",
                "distance": "20 yd",
                "shots": "bare, nock left 95 deg",
            },
            "95",
        ),
    ],
)
def test_what_is_missing_is_said_and_what_was_typed_stays(
    address: str, form: dict[str, str], words: str
) -> None:
    answer = httpx.post(f"{address}/shoot", data=form)
    assert answer.status_code == 422
    assert words in answer.text
    assert form.get("shots", "") in answer.text


def test_a_post_of_another_site_keeps_nothing(address: str, camp: Path) -> None:
    with Workshop.open(camp) as workshop:
        before = len(workshop.list("outing"))
    form = {"bow": "Yew", "archer": "Wren", "distance": "20 yd", "shots": "bare, straight"}
    answer = httpx.post(f"{address}/shoot", data=form, headers={"Sec-Fetch-Site": "cross-site"})
    assert answer.status_code == 422
    with Workshop.open(camp) as workshop:
        assert len(workshop.list("outing")) == before


def test_an_outing_nobody_knows_is_said_to_be_unknown(address: str) -> None:
    answer = httpx.get(f"{address}/shoot/outing", params={"name": "never was"})
    assert answer.status_code == 422
    assert "never was" in answer.text
