"""A photograph of the butt, in a real browser: chosen, points set by touch and by key, measured."""

from __future__ import annotations

import io
import re
import socket
import threading
from collections.abc import Iterator
from typing import TYPE_CHECKING

import httpx
import pytest
from PIL import Image, ImageDraw

from loosewell.faces.web import photo
from loosewell.faces.web.app import make_app

if TYPE_CHECKING:
    from pathlib import Path

    from playwright.sync_api import Page

pytestmark = pytest.mark.browser

PER_IN = 20.0
"""Of the made-up picture. [px]"""


def butt() -> bytes:
    """A square butt 40 in wide, a ruler of 24 in, one bare arrow 5 in left with its nock right."""
    image = Image.new("RGB", (1200, 900), "#b79a66")
    draw = ImageDraw.Draw(image)
    draw.rectangle((100, 60, 1100, 860), fill="#e6d4a3", outline="#6e4a26", width=4)
    draw.line((360, 800, 840, 800), fill="#222222", width=8)
    draw.line((600, 430, 600, 470), fill="#222222", width=2)
    draw.line((580, 450, 620, 450), fill="#222222", width=2)
    draw.line((500, 470, 560, 470), fill="#3a2a18", width=6)
    out = io.BytesIO()
    image.save(out, "PNG")
    return out.getvalue()


@pytest.fixture(scope="module")
def address(tmp_path_factory: pytest.TempPathFactory) -> Iterator[str]:
    import uvicorn

    path: Path = tmp_path_factory.mktemp("empty") / "workshop.sqlite"
    door = socket.socket()
    door.bind(("127.0.0.1", 0))
    door.listen(64)
    server = uvicorn.Server(uvicorn.Config(make_app(path), log_level="error"))
    thread = threading.Thread(target=server.run, kwargs={"sockets": [door]}, daemon=True)
    thread.start()
    yield f"http://127.0.0.1:{door.getsockname()[1]}"
    server.should_exit = True
    thread.join(timeout=20)
    door.close()


def chosen(window: Page, address: str) -> None:
    window.goto(f"{address}/photo")
    window.get_by_label("Picture").set_input_files(
        {"name": "butt.png", "mimeType": "image/png", "buffer": butt()}
    )
    window.get_by_role("button", name="Look at it").click()
    window.locator(".photo .picture").wait_for()


def touch(window: Page, x: float, y: float) -> None:
    """A click at a place of the picture, in its own pixels."""
    spot = window.evaluate(
        """([x, y]) => {
            const svg = document.querySelector(".photo .picture");
            svg.scrollIntoView({ block: "center" });
            const at = new DOMPoint(x, y).matrixTransform(svg.getScreenCTM());
            return [at.x, at.y];
        }""",
        [x, y],
    )
    window.mouse.click(*spot)


def test_points_set_by_hand_become_places_angles_and_words(page: Page, address: str) -> None:
    chosen(page, address)
    for spot in ((360, 800), (840, 800), (600, 450), (500, 470), (560, 470)):
        touch(page, *spot)
    page.get_by_label("Arrow 1 is bare").check()
    page.get_by_label("Length of the scale").fill("24 in")
    page.get_by_label("Arrow standing out").fill("24 in")
    page.get_by_label("Camera to butt").fill("10 ft")
    page.get_by_role("button", name="Measure").click()
    row = page.locator(".shots tbody tr").first
    row.get_by_text(re.compile(r"5\.0 in left")).wait_for()
    assert "1.0 in low" in row.inner_text()
    # 3 in beside its hole less what a nearer nock shows too far out, over 24 in.
    assert re.search(r"[5-9] deg right", row.inner_text())
    typed = page.locator("[data-typed] pre").inner_text()
    assert typed.startswith('--shot "bare, arrow 1, 5.0 in left, 1.0 in low, nock right')


def test_what_is_missing_is_said_in_a_sentence(page: Page, address: str) -> None:
    chosen(page, address)
    page.get_by_role("button", name="Measure").click()
    page.get_by_text("Set two points on the butt whose distance is known").wait_for()


def test_the_keyboard_sets_points_too_and_takes_them_back(page: Page, address: str) -> None:
    chosen(page, address)
    page.locator(".photo .picture").focus()
    page.keyboard.press("Enter")
    page.keyboard.press("ArrowRight")
    page.keyboard.press("Enter")
    assert page.locator("[data-marks] .scale").count() == 3
    page.get_by_role("button", name="Take back").click()
    page.get_by_role("button", name="Take back").click()
    assert page.locator("[data-marks] *").count() == 0


def test_a_phone_shows_the_picture_the_loupe_and_large_buttons(phone: Page, address: str) -> None:
    chosen(phone, address)
    wide = phone.evaluate("document.documentElement.scrollWidth")
    assert wide <= 390
    for button in phone.locator(".steps button").all():
        box = button.bounding_box()
        assert box is not None
        assert box["height"] >= 40
    assert phone.locator(".loupe").is_visible()


@pytest.mark.parametrize(
    ("name", "data", "words"),
    [
        ("notes.txt", b"no picture at all", "no picture that can be read"),
        ("empty.jpg", b"", "no picture that can be read"),
    ],
)
def test_what_is_no_picture_is_refused(address: str, name: str, data: bytes, words: str) -> None:
    answer = httpx.post(f"{address}/photo", files={"picture": (name, data, "image/jpeg")})
    assert answer.status_code == 422
    assert words in answer.text


def test_a_picture_loses_what_it_tells_of_place_and_camera(address: str) -> None:
    image = Image.new("RGB", (80, 60), "#888888")
    marks = Image.Exif()
    marks[0x010F] = "a maker"
    marks[0x0112] = 6  # turned by a quarter
    out = io.BytesIO()
    image.save(out, "JPEG", exif=marks)
    made = photo.prepared(out.getvalue())
    assert (made.width, made.height) == (60, 80)
    assert b"a maker" not in made.data
    answer = httpx.post(
        f"{address}/photo", files={"picture": ("a.jpg", out.getvalue(), "image/jpeg")}
    )
    assert answer.status_code == 303
    shown = httpx.get(f"{address}{answer.headers['location']}/picture.jpg")
    assert shown.headers["content-type"] == "image/jpeg"
    assert "default-src 'none'" in shown.headers["content-security-policy"]


def test_too_large_an_upload_is_refused_before_it_is_read(address: str) -> None:
    huge = b"0" * (photo.MOST_BYTES + 50_000)
    answer = httpx.post(f"{address}/photo", files={"picture": ("a.jpg", huge, "image/jpeg")})
    assert answer.status_code == 422
    assert "20 MB" in answer.text


def test_a_form_of_another_site_is_refused(address: str) -> None:
    answer = httpx.post(
        f"{address}/photo",
        files={"picture": ("a.png", butt(), "image/png")},
        headers={"Origin": "http://elsewhere.example"},
    )
    assert answer.status_code == 422
    assert "another page" in answer.text
    gone = httpx.get(f"{address}/photo/never-was")
    assert gone.status_code == 404


def test_pictures_kept_are_few() -> None:
    box = photo.PhotoBox()
    keys = [box.keep(photo.Photo(b"", 1, 1)) for _ in range(photo.KEPT + 3)]
    assert box.find(keys[0]) is None
    assert box.find(keys[-1]) is not None
