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
from loosewell.errors import EngineRefusal
from loosewell.faces.web.app import make_app
from loosewell.workshop import demo
from loosewell.workshop.answer import LaunchPicture, MatchAnswer

if TYPE_CHECKING:
    from playwright.sync_api import Page

pytestmark = pytest.mark.browser


def engine(bow: Any, archer: Any, shafts: Any, *, progress: Any, **more: Any) -> MatchAnswer:
    """A made-up engine that takes long enough for the wait to be seen."""
    for share in (0.2, 0.5, 0.8):
        progress(f"Shooting, {share:.0%}", share)
        time.sleep(0.15)
    return replace(sample_answer(), bow=bow.name, archer=archer.name)


class Launcher:
    """A made-up launch that takes its time and remembers what it was asked."""

    def __init__(self) -> None:
        self.spines: list[float] = []
        self.under_way = 0
        self.most_at_once = 0

    def __call__(self, bow: Any, archer: Any, shafts: Any, **wish: Any) -> LaunchPicture:
        self.under_way += 1
        self.most_at_once = max(self.most_at_once, self.under_way)
        self.spines.append(wish["spine_lb"])
        time.sleep(0.25)
        self.under_way -= 1
        if wish["spine_lb"] < 35.0:
            raise EngineRefusal("Do not shoot: this shaft bends too far.")
        return replace(
            sample_answer().pictures[0],
            label="this shaft",
            spine_26in_2lb_lb=wish["spine_lb"],
            point_weight_gr=wish["point_weight_gr"],
            share_clean_percent=100.0,
        )


LAUNCHER = Launcher()


@pytest.fixture(scope="module")
def address(tmp_path_factory: pytest.TempPathFactory) -> Iterator[str]:
    """The page over the demo camp on a free port."""
    import uvicorn

    path: Path = tmp_path_factory.mktemp("camp") / "camp.sqlite"
    demo.build(path)
    door = socket.socket()
    door.bind(("127.0.0.1", 0))
    door.listen(64)
    server = uvicorn.Server(uvicorn.Config(make_app(path, engine, LAUNCHER), log_level="error"))
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
    # The heading is there before the scripts have run.
    window.locator("section[aria-labelledby=passing] [data-play]").wait_for()
    window.locator("#try-spine").wait_for()


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
    told = page.locator("section:not([aria-labelledby=passing], [aria-labelledby=try])")
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
        if (
            int(window.locator("section[aria-labelledby=passing] [data-moment]").input_value())
            > frame
        ):
            return
        window.wait_for_timeout(25)
    raise AssertionError(f"the launch never ran beyond frame {frame}")


def moved_to(window: Page, frame: int) -> None:
    window.locator("section[aria-labelledby=passing] [data-moment]").evaluate(
        "(slider, to) => { slider.value = to; slider.dispatchEvent(new Event('input')); }", frame
    )


def shaft_tops(window: Page) -> list[float]:
    """Upper edge on the screen of each moving shaft."""
    return [
        float(v)
        for v in window.locator("section[aria-labelledby=passing] .stage svg").evaluate_all(
            "all => all.map(s => s.querySelectorAll('path')[6].getBBox().y)"
        )
    ]


def test_the_slider_moves_all_arrows_up_the_page_together(page: Page, address: str) -> None:
    page.emulate_media(reduced_motion="reduce")
    asked(page, address)
    assert page.locator("section[aria-labelledby=passing] .stage svg").count() == 3
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
        for number, words in enumerate(
            page.locator("section[aria-labelledby=passing] .stage p").all_inner_texts()
        ):
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
    middle, plane, plate = page.locator(
        "section[aria-labelledby=passing] .stage svg"
    ).first.evaluate(
        """svg => {
             const paths = svg.querySelectorAll('path'), box = paths[6].getBBox();
             return [box.x + box.width / 2, paths[0].getBBox().x, paths[5].getBBox().x];
           }"""
    )
    assert middle < plane - 5
    assert plate < plane


def test_play_runs_and_pause_holds(page: Page, address: str) -> None:
    page.emulate_media(reduced_motion="reduce")
    asked(page, address)
    slider = page.locator("section[aria-labelledby=passing] [data-moment]")
    assert slider.input_value() == "0"
    page.get_by_role("button", name="Play").first.click()
    reached(page, 10)
    page.get_by_role("button", name="Pause").click()
    held = slider.input_value()
    page.wait_for_timeout(200)
    assert slider.input_value() == held


def test_the_launch_obeys_the_keyboard(page: Page, address: str) -> None:
    page.emulate_media(reduced_motion="reduce")
    asked(page, address)
    slider = page.locator("section[aria-labelledby=passing] [data-moment]")
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
    page.locator("section[aria-labelledby=passing] .stage").scroll_into_view_if_needed()
    page.wait_for_timeout(500)
    assert page.locator("section[aria-labelledby=passing] [data-moment]").input_value() == "0"


def test_it_moves_once_by_itself_when_seen(page: Page, address: str) -> None:
    page.emulate_media(reduced_motion="no-preference")
    asked(page, address)
    page.locator("section[aria-labelledby=passing] .controls").scroll_into_view_if_needed()
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
    for name in ("[data-play]", "[data-moment]", "[data-slow]", "#try-spine", "#try-length"):
        box = phone.locator(name).first.bounding_box()
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
    assert not page.locator(".controls").first.is_visible()
    assert not page.locator(".try").is_visible()
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
    assert not window.locator("[data-motion]").first.is_visible()
    assert not window.locator(".try").is_visible()
    context.close()


def slid_to(window: Page, name: str, *values: float) -> None:
    """A slider moved through places, faster than any answer comes back."""
    window.locator(f"#try-{name}").evaluate(
        """(slider, values) => values.forEach(v => {
             slider.value = v; slider.dispatchEvent(new Event('input'));
           })""",
        list(values),
    )


def tried(window: Page, title: str) -> None:
    """Waits until the drawing of the arrow tried carries a title."""
    window.locator("[data-drawing] text", has_text=title).wait_for()


def test_a_slider_shoots_one_arrow_at_a_time_and_ends_at_the_newest(
    page: Page, address: str
) -> None:
    page.emulate_media(reduced_motion="reduce")
    asked(page, address)
    tried(page, "This shaft: 53 lb")
    LAUNCHER.spines.clear()
    LAUNCHER.most_at_once = 0
    slid_to(page, "spine", *range(40, 71))
    tried(page, "This shaft: 70 lb")
    assert LAUNCHER.most_at_once == 1
    # The first place is asked at once, those in between are passed over.
    assert LAUNCHER.spines == [40.0, 70.0]
    assert page.locator("output[for=try-spine]").inner_text() == "70 lb"
    assert "70 lb (26 in span, 2 lb)" in page.locator("[data-said]").inner_text()
    slid_to(page, "point", 200)
    page.get_by_text("200 gr (13.0 g)").wait_for()


def test_the_tried_arrow_moves_beside_the_fitting_one_at_the_moment_shown(
    page: Page, address: str
) -> None:
    page.emulate_media(reduced_motion="reduce")
    asked(page, address)
    tried(page, "This shaft: 53 lb")
    assert page.locator(".try .stage h3").all_inner_texts() == ["Fits: 53 lb", "This shaft: 53 lb"]
    moment = page.locator(".try [data-moment]")
    # It begins where the tail passes the bow, not at the loose, where all arrows are alike.
    assert int(moment.input_value()) > 60
    moment.evaluate("s => { s.value = 75; s.dispatchEvent(new Event('input')); }")
    slid_to(page, "spine", 60)
    page.locator(".try .stage h3").get_by_text("This shaft: 60 lb").wait_for()
    assert abs(int(moment.input_value()) - 75) <= 1


def test_an_arrow_that_must_not_be_shot_leaves_a_sentence_and_no_picture(
    page: Page, address: str
) -> None:
    page.emulate_media(reduced_motion="reduce")
    asked(page, address)
    tried(page, "This shaft: 53 lb")
    slid_to(page, "spine", 31)
    page.get_by_text("Do not shoot: this shaft bends too far.").wait_for()
    assert page.locator("[data-drawing] svg").count() == 0
    assert not page.locator(".try [data-motion]").is_visible()
    slid_to(page, "spine", 60)
    tried(page, "This shaft: 60 lb")
    assert page.locator(".try [data-motion]").is_visible()
