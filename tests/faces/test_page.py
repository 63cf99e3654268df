"""The page's addresses, without a browser: status, policy, refusals, cache."""

from __future__ import annotations

import asyncio
import re
import threading
import time
from collections.abc import Iterator
from dataclasses import replace
from pathlib import Path
from typing import Any

import httpx
import pytest

from faces.sample_answer import sample_answer
from loosewell.errors import EngineRefusal
from loosewell.faces.web.app import PURPOSES, make_app
from loosewell.workshop import match
from loosewell.workshop.answer import LaunchPicture, MatchAnswer
from loosewell.workshop.keep import Workshop

ASK = "/match?bow=Yew&archer=Wren&distance=20+yd&point=125+gr"


class Engine:
    """A made-up engine that counts its calls and can be told to wait or to fail."""

    def __init__(self) -> None:
        self.calls: list[dict[str, Any]] = []
        self.go = threading.Event()
        self.go.set()
        self.trouble: Exception | None = None

    def __call__(
        self, bow: Any, archer: Any, shafts: Any, *, progress: Any, **more: Any
    ) -> MatchAnswer:
        self.calls.append(more)
        progress("Shooting arrows", 0.4)
        assert self.go.wait(30)
        if self.trouble:
            raise self.trouble
        return replace(sample_answer(), bow=bow.name, archer=archer.name)


class Client:
    """A visitor of the app in the same process, with a memory for cookies."""

    def __init__(self, app: Any) -> None:
        self._app = app
        self._cookies = httpx.Cookies()

    def get(self, address: str, **more: Any) -> httpx.Response:
        async def visit() -> httpx.Response:
            async with httpx.AsyncClient(
                transport=httpx.ASGITransport(self._app),
                base_url="http://127.0.0.1",
                cookies=self._cookies,
            ) as visitor:
                page = await visitor.get(address, **more)
                self._cookies = visitor.cookies
                return page

        return asyncio.run(visit())


class Launcher:
    """A made-up launch that remembers what it was asked."""

    def __init__(self) -> None:
        self.calls: list[dict[str, Any]] = []
        self.trouble: Exception | None = None

    def __call__(self, bow: Any, archer: Any, shafts: Any, **wish: Any) -> LaunchPicture:
        self.calls.append({"bow": bow.name, "archer": archer.name, "rack": len(shafts), **wish})
        if self.trouble:
            raise self.trouble
        return replace(
            sample_answer().pictures[0],
            label="this shaft",
            spine_26in_2lb_lb=wish["spine_lb"],
            share_clean_percent=100.0,
        )


@pytest.fixture
def engine() -> Engine:
    return Engine()


@pytest.fixture
def launcher() -> Launcher:
    return Launcher()


@pytest.fixture
def client(demo_path: Path, engine: Engine, launcher: Launcher) -> Iterator[Client]:
    yield Client(make_app(demo_path, engine, launcher))
    engine.go.set()


def waited(client: Client, address: str) -> Any:
    """The page once the wait is over."""
    for _ in range(600):
        page = client.get(address)
        if page.status_code != 202:
            return page
        time.sleep(0.02)
    raise AssertionError("the match never ended")


def test_the_first_page_offers_every_bow_and_archer(client: Client) -> None:
    page = client.get("/")
    assert page.status_code == 200
    for name in ("Yew", "Rowan", "Wren", "Corin"):
        assert f'value="{name}"' in page.text


def test_the_answer_begins_with_the_stops(client: Client) -> None:
    page = waited(client, ASK)
    assert page.status_code == 200
    assert page.text.index("Do not shoot shaft R05") < page.text.index("Which spine")


def test_a_long_match_shows_its_progress_and_freezes_nothing(
    client: Client, engine: Engine
) -> None:
    engine.go.clear()
    page = client.get(ASK)
    assert page.status_code == 202
    assert "<progress" in page.text
    assert 'http-equiv="refresh"' in page.text
    assert client.get("/").status_code == 200
    key = re.search(r"/match/progress/(\w+)", page.text)
    assert key is not None
    engine.go.set()
    stream = client.get(key.group()).text
    assert stream.startswith("data: ")
    assert '"done": true' in stream
    assert client.get(ASK).status_code == 200


def test_the_same_question_is_computed_once(client: Client, engine: Engine) -> None:
    waited(client, ASK)
    waited(client, ASK)
    assert len(engine.calls) == 1
    waited(client, ASK.replace("125", "145"))
    assert len(engine.calls) == 2
    assert engine.calls[1]["point_weight_gr"] == 145.0


def test_a_changed_record_is_computed_anew(client: Client, engine: Engine, demo_path: Path) -> None:
    waited(client, ASK)
    with Workshop.open(demo_path) as workshop:
        workshop.change("bow", "Yew", brace_height_in=6.75)
    waited(client, ASK)
    assert len(engine.calls) == 2


@pytest.mark.parametrize(
    ("address", "sentence"),
    [
        ("/match?bow=Yew&archer=Wren&distance=20", "without a unit"),
        ("/match?bow=Yew&archer=Wren&point=heavy", "Point weight"),
        ("/match?bow=Oak&archer=Wren", "Oak"),
        ("/match?bow=Yew&archer=Wren&temperature=60", "without a unit"),
        ("/match?bow=Yew&archer=Wren&wind=5+mph", "without a side"),
        ("/match?archer=Wren", "No bow was chosen"),
        ("/match?bow=Yew", "No archer was chosen"),
    ],
)
def test_a_refusal_is_a_sentence_and_what_was_typed_stays(
    client: Client, address: str, sentence: str
) -> None:
    page = client.get(address)
    assert page.status_code == 422
    assert sentence in page.text
    if "distance=20" in address:
        assert 'name="distance" value="20"' in page.text
        assert '<option value="Yew" selected>' in page.text


def test_a_refusal_of_the_engine_is_shown_and_asked_anew(client: Client, engine: Engine) -> None:
    engine.trouble = EngineRefusal("The draw lies beyond what the engine holds. Draw less.")
    page = waited(client, ASK)
    assert page.status_code == 422
    assert "beyond what the engine holds" in page.text
    engine.trouble = None
    assert waited(client, ASK).status_code == 200


def test_a_fault_of_the_engine_shows_no_traceback(client: Client, engine: Engine) -> None:
    engine.trouble = ZeroDivisionError("inner secret")
    page = waited(client, ASK)
    assert page.status_code == 500
    assert "fault of its own" in page.text
    assert "inner secret" not in page.text


def test_the_weather_of_the_day_reaches_the_engine_and_stays_in_the_form(
    client: Client, engine: Engine
) -> None:
    page = waited(client, f"{ASK}&temperature=15+C&altitude=500+ft&wind=5+mph+left")
    # 15 °C is 59 °F; 5 mph is 22/3 ft/s.
    assert engine.calls[0]["temperature_f"] == pytest.approx(59.0)
    assert engine.calls[0]["altitude_ft"] == pytest.approx(500.0)
    assert engine.calls[0]["wind_left_fps"] == pytest.approx(22.0 / 3.0)
    assert 'name="wind" value="5 mph left"' in page.text
    assert "Air 1.20 kg/m³" in page.text


def test_the_page_offers_every_purpose_the_engine_knows(client: Client, engine: Engine) -> None:
    assert set(PURPOSES) == set(match.PURPOSES)
    page = waited(client, f"{ASK}&purpose=small+game")
    assert engine.calls[0]["purpose"] == "small game"
    assert "<option selected>small game</option>" in page.text


TRY = "/picture.json?bow=Yew&archer=Wren&spine=48+lb&point=10+g&length=28+1/2+in&distance=15+m"


def test_a_slider_gets_a_new_drawing_its_frames_and_its_words(
    client: Client, launcher: Launcher
) -> None:
    answer = client.get(TRY)
    assert answer.status_code == 200
    assert answer.headers["cache-control"] == "no-store"
    told = answer.json()
    assert told["svg"].startswith("<svg")
    assert "This shaft: 48 lb" in told["svg"]
    assert len(told["arrow"]["frames"]) > 50
    assert told["said"][0].startswith("48 lb (26 in span, 2 lb)")
    wish = launcher.calls[0]
    assert wish["spine_lb"] == 48.0
    # 10 g is 154.32 gr, 15 m is 16.404 yd: exact definitions.
    assert wish["point_weight_gr"] == pytest.approx(154.3236, abs=1e-3)
    assert wish["length_in"] == 28.5
    assert wish["distance_yd"] == pytest.approx(16.4042, abs=1e-3)
    assert (wish["bow"], wish["archer"], wish["purpose"]) == ("Yew", "Wren", "target")
    assert wish["rack"] >= 25


@pytest.mark.parametrize(
    ("old", "new", "sentence"),
    [
        ("spine=48+lb&", "", "No spine"),
        ("48+lb", "48", "without a unit"),
        ("10+g", "heavy", "Point weight"),
        ("Yew", "Oak", "Oak"),
    ],
)
def test_a_slider_is_refused_in_a_sentence(
    client: Client, launcher: Launcher, old: str, new: str, sentence: str
) -> None:
    answer = client.get(TRY.replace(old, new))
    assert answer.status_code == 422
    assert sentence in answer.json()["refusal"]
    assert launcher.calls == []


def test_a_launch_the_engine_refuses_or_fails_at_shows_no_traceback(
    client: Client, launcher: Launcher
) -> None:
    launcher.trouble = EngineRefusal("Do not shoot: the arrow is too short.")
    answer = client.get(TRY)
    assert (answer.status_code, answer.json()) == (
        422,
        {"refusal": "Do not shoot: the arrow is too short."},
    )
    launcher.trouble = ZeroDivisionError("inner secret")
    answer = client.get(TRY)
    assert answer.status_code == 500
    assert "inner secret" not in answer.text


def test_no_slider_reaches_an_arrow_that_is_too_short(client: Client) -> None:
    page = waited(client, ASK)
    found = re.search(
        r'name="length"[^>]* min="([\d.]+)" max="([\d.]+)"[^>]* value="([\d.]+)"', page.text
    )
    assert found is not None
    least, most, value = (float(x) for x in found.groups())
    chosen = sample_answer().chosen
    assert chosen is not None
    assert least >= chosen.minimum_length_in
    assert least <= value <= most


@pytest.mark.parametrize(
    "address", ["/", TRY, ASK, "/static/launch.js", "/nowhere", "/match?bow=Oak"]
)
def test_every_answer_carries_the_strict_policy(client: Client, address: str) -> None:
    page = client.get(address)
    policy = page.headers["content-security-policy"]
    assert "default-src 'none'" in policy
    assert "unsafe" not in policy
    assert page.headers["x-content-type-options"] == "nosniff"


def test_no_page_holds_what_the_policy_forbids(client: Client) -> None:
    for page in (client.get("/"), waited(client, ASK)):
        assert not re.search(r"\sstyle=", page.text)
        assert "<style" not in page.text
        assert not re.search(r"\son\w+=", page.text)
        for script in re.findall(r"<script[^>]*>", page.text):
            assert "src=" in script or "application/json" in script
        assert not re.search(r"(?:src|href)=\"(?:https?:)?//", page.text)


def test_every_file_a_page_names_is_served(client: Client) -> None:
    page = waited(client, ASK)
    named = re.findall(r'(?:src|href)="(/static/[^"]+)"', page.text)
    assert len(named) >= 4
    for address in named:
        assert client.get(address).status_code == 200


def test_another_host_name_is_turned_away(client: Client) -> None:
    assert client.get("/", headers={"host": "example.org"}).status_code == 400


@pytest.mark.parametrize(
    ("back", "where"),
    [
        ("/match?bow=Yew", "/match?bow=Yew"),
        ("//evil.example/", "/"),
        ("/\\evil.example", "/"),
        ("https://evil.example", "/"),
        ("", "/"),
    ],
)
def test_setting_the_look_leads_back_and_never_away(client: Client, back: str, where: str) -> None:
    page = client.get("/look", params={"look": "night", "back": back}, follow_redirects=False)
    assert page.status_code == 303
    assert page.headers["location"] == where
    assert 'data-look="night"' in client.get("/").text


def test_an_unknown_look_is_no_look(client: Client) -> None:
    client.get("/look", params={"look": '"><script>', "back": "/"})
    assert "data-look" not in client.get("/").text


def test_an_empty_workshop_says_what_to_do(tmp_path: Path) -> None:
    path = tmp_path / "new.sqlite"
    Workshop.open(path).close()
    page = Client(make_app(path)).get("/")
    assert page.status_code == 200
    assert "loosewell bow add" in page.text


def test_a_corrupt_workshop_is_a_sentence(tmp_path: Path) -> None:
    path = tmp_path / "broken.sqlite"
    path.write_bytes(b"this is no workshop" * 100)
    page = Client(make_app(path)).get("/")
    assert page.status_code == 422
    assert "broken.sqlite" in page.text
