"""The page in a real browser: choose, wait, read the stops, move the launch."""

from __future__ import annotations

import re
import socket
import threading
import time
from collections.abc import Iterator
from dataclasses import replace
from pathlib import Path
from typing import TYPE_CHECKING, Any

import pytest

from faces.sample_answer import sample_answer
from loosewell.faces.web.app import make_app
from loosewell.workshop import demo
from loosewell.workshop.answer import MatchAnswer

if TYPE_CHECKING:
    from playwright.sync_api import Page

pytestmark = pytest.mark.browser


def engine(bow: Any, archer: Any, shafts: Any, *, progress: Any, **more: Any) -> MatchAnswer:
    """A made-up engine that takes long enough for the wait to be seen."""
    for share in (0.2, 0.5, 0.8):
        progress(f"Shooting, {share:.0%}", share)
        time.sleep(0.15)
    return replace(sample_answer(), bow=bow.name, archer=archer.name)


@pytest.fixture(scope="module")
def address(tmp_path_factory: pytest.TempPathFactory) -> Iterator[str]:
    """The page over the demo camp on a free port."""
    import uvicorn

    path: Path = tmp_path_factory.mktemp("camp") / "camp.sqlite"
    demo.build(path)
    door = socket.socket()
    door.bind(("127.0.0.1", 0))
    door.listen(64)
    server = uvicorn.Server(uvicorn.Config(make_app(path, engine), log_level="error"))
    thread = threading.Thread(target=server.run, kwargs={"sockets": [door]}, daemon=True)
    thread.start()
    yield f"http://127.0.0.1:{door.getsockname()[1]}"
    server.should_exit = True
    thread.join(timeout=20)
    door.close()


def asked(window: Page, address: str) -> None:
    """Bow and archer chosen by hand, the wait over, the answer on the screen."""
    window.goto(address)
    window.get_by_label("Bow").select_option("Yew")
    window.get_by_label("Archer").select_option("Wren")
    window.get_by_label("Point weight").fill("125 gr")
    window.get_by_role("button", name="Match").click()
    window.get_by_role("heading", name="Which spine").wait_for(timeout=30000)


def test_from_choosing_to_the_answer_with_the_stops_on_top(page: Page, address: str) -> None:
    asked(page, address)
    stop = page.get_by_text("Do not shoot shaft R05").first
    spine = page.get_by_role("heading", name="Which spine")
    stop_box, spine_box = stop.bounding_box(), spine.bounding_box()
    assert stop_box is not None
    assert spine_box is not None
    assert stop_box["y"] < spine_box["y"]
    assert stop_box["y"] < 900
    for part in ("Rules of thumb side by side", "The rack", "The arrow to build first"):
        assert page.get_by_role("heading", name=part).is_visible()


def test_the_wait_shows_what_is_being_done(page: Page, address: str) -> None:
    page.goto(f"{address}/match?bow=Larch&archer=Tamsin&distance=21+yd")
    page.get_by_role("progressbar").wait_for()
    page.get_by_text(re.compile("Shooting, (20|50|80)%")).wait_for()
    page.get_by_role("heading", name="Which spine").wait_for(timeout=30000)


def test_the_answer_survives_a_reload(page: Page, address: str) -> None:
    asked(page, address)
    told = page.locator("section:not([aria-labelledby=passing])")
    before = told.all_inner_texts()
    page.reload()
    page.get_by_role("heading", name="Which spine").wait_for(timeout=30000)
    assert len(before) >= 7
    assert told.all_inner_texts() == before


def test_a_refusal_keeps_what_was_typed(page: Page, address: str) -> None:
    page.goto(address)
    page.get_by_label("Bow").select_option("Yew")
    page.get_by_label("Archer").select_option("Wren")
    page.get_by_label("Distance").fill("20")
    page.get_by_role("button", name="Match").click()
    assert "without a unit" in page.get_by_role("alert").inner_text()
    assert page.get_by_label("Distance").input_value() == "20"
    assert page.get_by_label("Bow").input_value() == "Yew"


def reached(window: Page, frame: int) -> None:
    """Waits until the slider has run beyond a frame; the page's policy forbids evaluated waits."""
    for _ in range(600):
        if int(window.locator("[data-moment]").input_value()) > frame:
            return
        window.wait_for_timeout(25)
    raise AssertionError(f"the launch never ran beyond frame {frame}")


def moved_to(window: Page, frame: int) -> None:
    window.locator("[data-moment]").evaluate(
        "(slider, to) => { slider.value = to; slider.dispatchEvent(new Event('input')); }", frame
    )


def shaft_tops(window: Page) -> list[float]:
    """Upper edge on the screen of each moving shaft."""
    return [
        float(v)
        for v in window.locator(".stage svg").evaluate_all(
            "all => all.map(s => s.querySelectorAll('path')[6].getBBox().y)"
        )
    ]


def test_the_slider_moves_all_arrows_up_the_page_together(page: Page, address: str) -> None:
    page.emulate_media(reduced_motion="reduce")
    asked(page, address)
    assert page.locator(".stage svg").count() == 3
    moved_to(page, 0)
    first = shaft_tops(page)
    moved_to(page, 60)
    middle = shaft_tops(page)
    moved_to(page, 100)
    last = shaft_tops(page)
    for a, b, c in zip(first, middle, last, strict=True):
        assert a > b > c


def test_the_slap_is_shown_in_words_when_it_happens(page: Page, address: str) -> None:
    page.emulate_media(reduced_motion="reduce")
    asked(page, address)
    said: list[set[str]] = [set(), set(), set()]
    for frame in range(0, 110, 2):
        moved_to(page, frame)
        for number, words in enumerate(page.locator(".stage p").all_inner_texts()):
            said[number].add(words)
    assert "feathers slap the bow" not in said[0]
    assert "feathers slap the bow" in said[1]
    assert "shaft slaps the bow" in said[2]
    assert any("clears the bow" in words for words in said[0])


def test_in_the_moving_launch_the_archers_left_is_left(page: Page, address: str) -> None:
    # The made-up fitting arrow of a right-handed archer passes on the left of the string plane.
    page.emulate_media(reduced_motion="reduce")
    asked(page, address)
    moved_to(page, 100)
    middle, plane, plate = page.locator(".stage svg").first.evaluate(
        """svg => {
             const paths = svg.querySelectorAll('path'), box = paths[5].getBBox();
             return [box.x + box.width / 2, paths[0].getBBox().x,
                     svg.querySelectorAll('rect')[1].getBBox().x];
           }"""
    )
    assert middle < plane - 5
    assert plate < plane


def test_play_runs_and_pause_holds(page: Page, address: str) -> None:
    page.emulate_media(reduced_motion="reduce")
    asked(page, address)
    slider = page.locator("[data-moment]")
    assert slider.input_value() == "0"
    page.locator("[data-slow]").press("Home")
    page.get_by_role("button", name="Play").click()
    reached(page, 10)
    page.get_by_role("button", name="Pause").click()
    held = slider.input_value()
    page.wait_for_timeout(200)
    assert slider.input_value() == held


def test_the_launch_obeys_the_keyboard(page: Page, address: str) -> None:
    page.emulate_media(reduced_motion="reduce")
    asked(page, address)
    slider = page.locator("[data-moment]")
    slider.focus()
    for _ in range(5):
        page.keyboard.press("ArrowRight")
    assert slider.input_value() == "5"
    assert "ms after the loose" in (slider.get_attribute("aria-valuetext") or "")
    page.keyboard.press("Shift+Tab")
    assert page.evaluate("document.activeElement.hasAttribute('data-play')")


def test_nothing_moves_by_itself_when_less_motion_is_wished(page: Page, address: str) -> None:
    page.emulate_media(reduced_motion="reduce")
    asked(page, address)
    page.locator(".stage").scroll_into_view_if_needed()
    page.wait_for_timeout(500)
    assert page.locator("[data-moment]").input_value() == "0"


def test_it_moves_once_by_itself_when_seen(page: Page, address: str) -> None:
    page.emulate_media(reduced_motion="no-preference")
    asked(page, address)
    page.locator(".controls").scroll_into_view_if_needed()
    reached(page, 0)


@pytest.mark.parametrize("width", [360, 1280])
def test_nothing_is_wider_than_the_screen(page: Page, address: str, width: int) -> None:
    page.set_viewport_size({"width": width, "height": 800})
    asked(page, address)
    assert page.evaluate("document.documentElement.scrollWidth") <= width
    outside = page.evaluate(
        """width => [...document.querySelectorAll('main *, .bar *')].filter(e => {
             const r = e.getBoundingClientRect();
             return r.width > 0 && r.right > width + 1 && !e.closest('svg')
                 && !e.closest('thead');
           }).map(e => e.tagName + ' ' + e.textContent.slice(0, 30))""",
        width,
    )
    assert outside == []


def test_no_text_leaves_its_drawing_in_this_browsers_own_face(page: Page, address: str) -> None:
    asked(page, address)
    cut = page.evaluate(
        """() => [...document.querySelectorAll('figure svg')].flatMap(svg => {
             const edge = svg.viewBox.baseVal;
             return [...svg.querySelectorAll('text')].filter(t => {
               const box = t.getBoundingClientRect(), all = svg.getBoundingClientRect();
               return box.left < all.left - 1 || box.right > all.right + 1
                   || box.bottom > all.bottom + 1;
             }).map(t => t.textContent);
           })"""
    )
    assert cut == []


def test_no_two_lines_of_text_in_a_drawing_lie_on_each_other(page: Page, address: str) -> None:
    asked(page, address)
    crossed = page.evaluate(
        """() => [...document.querySelectorAll('figure svg')].flatMap(svg => {
             const all = [...svg.querySelectorAll('text')].map(t => [t.textContent,
                 t.getBoundingClientRect()]);
             const found = [];
             all.forEach(([a, p], i) => all.slice(i + 1).forEach(([b, q]) => {
               const wide = Math.min(p.right, q.right) - Math.max(p.left, q.left);
               const tall = Math.min(p.bottom, q.bottom) - Math.max(p.top, q.top);
               const least = Math.min(p.height, q.height);
               if (wide > 1 && tall > 0.35 * least) found.push(a + ' / ' + b);
             }));
             return found;
           })"""
    )
    assert crossed == []


def test_the_phone_has_controls_large_enough_for_a_thumb(phone: Page, address: str) -> None:
    asked(phone, address)
    for name in ("[data-play]", "[data-moment]", "[data-slow]"):
        box = phone.locator(name).bounding_box()
        assert box is not None
        assert box["height"] >= 31


@pytest.mark.parametrize("look", ["night", "sunlight", "day"])
def test_every_look_keeps_words_readable(page: Page, address: str, look: str) -> None:
    page.emulate_media(color_scheme="dark")
    asked(page, address)
    page.locator("select[name=look]").select_option(look)
    page.get_by_role("button", name="Set").click()
    page.get_by_role("heading", name="Which spine").wait_for()
    # Contrast after WCAG 2.2, 1.4.3: at least 4.5 to 1 for text of this size.
    contrast = page.evaluate(
        """() => {
          const light = c => {
            const [r, g, b] = c.match(/[\\d.]+/g).slice(0, 3).map(v => v / 255)
              .map(v => v <= 0.04045 ? v / 12.92 : ((v + 0.055) / 1.055) ** 2.4);
            return 0.2126 * r + 0.7152 * g + 0.0722 * b;
          };
          const paper = light(getComputedStyle(document.body).backgroundColor);
          return [...document.querySelectorAll('main p, main td, main dt, main h2, svg text')]
            .map(e => light(e.tagName === 'text' ? getComputedStyle(e).fill
                                                 : getComputedStyle(e).color))
            .map(ink => (Math.max(ink, paper) + 0.05) / (Math.min(ink, paper) + 0.05))
            .reduce((a, b) => Math.min(a, b));
        }"""
    )
    assert contrast >= 4.5


def test_printed_the_answer_is_black_on_white_without_controls(page: Page, address: str) -> None:
    asked(page, address)
    page.emulate_media(media="print")
    assert not page.locator(".controls").is_visible()
    assert not page.locator("form.ask").is_visible()
    assert page.get_by_text("Do not shoot shaft R05").first.is_visible()
    ink = page.evaluate("getComputedStyle(document.body).color")
    assert ink == "rgb(0, 0, 0)"
    grey = page.evaluate(
        """() => [...document.querySelectorAll('figure svg *')].every(e =>
             ['fill', 'stroke'].every(k => {
               const c = getComputedStyle(e)[k].match(/^rgb\\((\\d+), (\\d+), (\\d+)\\)$/);
               return !c || (c[1] === c[2] && c[2] === c[3]);
             }))"""
    )
    assert grey
    assert page.pdf(format="A4").startswith(b"%PDF")


def test_the_page_speaks_without_script(browser: Any, address: str) -> None:
    context = browser.new_context(java_script_enabled=False)
    window = context.new_page()
    window.goto(f"{address}/match?bow=Ash&archer=Wren&distance=22+yd")
    window.get_by_role("heading", name="Which spine").wait_for(timeout=30000)
    assert window.locator("figure svg").count() >= 8
    assert not window.locator("[data-motion]").is_visible()
    context.close()
