"""Shooting on the page: shots tapped on a butt, kept as an outing, read, and the answer.

A tap says where an arrow hit, a second how its nock stands. What is tapped stands at once as a
line of text in the form, which may be edited, survives a reload, and is all that is sent.
"""

from __future__ import annotations

import datetime
import logging
import threading
from collections import OrderedDict
from collections.abc import Callable
from concurrent.futures import ThreadPoolExecutor
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from fastapi import FastAPI, Request, Response
from fastapi.responses import HTMLResponse, JSONResponse, RedirectResponse
from markupsafe import Markup

from loosewell.errors import BoundRefusal, MissingRefusal, Refusal
from loosewell.faces import wording
from loosewell.faces.shots import shots_typed
from loosewell.faces.web.photo import own_post
from loosewell.units import quantity
from loosewell.workshop.keep import Workshop

MOST_TEXT = 60_000
_FIELDS = ("bow", "archer", "distance", "arrow", "on", "name", "brace", "shots")
_log = logging.getLogger(__name__)


@dataclass
class Reading:
    """One outing being read, or how that ended."""

    stage: str = "Waiting for the engine"
    share: float = 0.0
    done: bool = False
    trouble: str | None = None


class Desk:
    """Outings read beside the page, one at a time, by the name of the outing."""

    def __init__(self, path: Path | None) -> None:
        self._path = path
        self._jobs: OrderedDict[str, Reading] = OrderedDict()
        self._lock = threading.Lock()
        self._hands = ThreadPoolExecutor(max_workers=1, thread_name_prefix="read")

    def begin(self, name: str) -> None:
        """The reading of an outing begun, unless it is under way."""
        with self._lock:
            known = self._jobs.get(name)
            if known is not None and not known.done:
                return
            job = self._jobs[name] = Reading()
            while len(self._jobs) > 32:
                self._jobs.popitem(last=False)
        self._hands.submit(self._run, name, job)

    def find(self, name: str) -> Reading | None:
        """The reading of an outing, if one was begun since the program started."""
        with self._lock:
            return self._jobs.get(name)

    def close(self) -> None:
        """No further readings; the one in hand ends by itself."""
        self._hands.shutdown(wait=False, cancel_futures=True)

    def _run(self, name: str, job: Reading) -> None:
        from loosewell.workshop.reading.read import read_and_keep

        def progress(stage: str, share: float) -> None:
            job.stage, job.share = wording.stage(stage), min(max(share, 0.0), 1.0)

        try:
            with Workshop.open(self._path) as workshop:
                read_and_keep(workshop, name, progress=progress)
        except Refusal as refusal:
            job.trouble = refusal.message
        except Exception:  # noqa: BLE001 - told on the page, written to the log
            _log.exception("the reading failed")
            job.trouble = "The engine stopped with a fault of its own; the records are untouched."
        job.done = True


def _free_name(workshop: Workshop, on: datetime.date, archer: str) -> str:
    """A name for a new outing that no other has."""
    taken = {
        kept.record.name.casefold()
        for retired in (False, True)
        for kept in workshop.list("outing", retired=retired)
    }
    for number in range(1, 1000):
        name = f"{on.isoformat()} {archer}"[:70] + (f" {number}" if number > 1 else "")
        if name.casefold() not in taken:
            return name
    raise BoundRefusal("Give the outing a name of its own.", code="name")


def outing_of(workshop: Workshop, form: dict[str, str]) -> dict[str, Any]:
    """The fields of a new outing from what the page sent.

    Parameters
    ----------
    workshop : Workshop
        Open. [object]
    form : dict of str
        bow, archer, distance, on, name, brace, shots (one line a shot). [text]

    Returns
    -------
    fields : dict
        Of records.Outing. [trade units]
    """
    lines = [line.strip() for line in form.get("shots", "").splitlines() if line.strip()]
    if not lines:
        raise MissingRefusal(
            "No shot was set. Tap where the first arrow hit, or type a line such as "
            '"bare, 4 in left, 1 in low, nock right".',
            code="missing-shots",
        )
    day = form.get("on", "").strip() or datetime.datetime.now().astimezone().date().isoformat()
    try:
        on = datetime.date.fromisoformat(day)
    except ValueError:
        raise BoundRefusal(
            f"A day was given as '{day[:40]}'. Write year-month-day, such as 2024-05-31.",
            code="day-unreadable",
        ) from None
    archer = form.get("archer", "").strip()
    if not archer or not form.get("bow", "").strip():
        raise MissingRefusal("Choose the bow and the archer: the hand is the archer's.", code="who")
    distance = form.get("distance", "").strip()
    if not distance:
        raise MissingRefusal(
            "The distance was not given. Type it with its unit, such as 20 yd.", code="distance"
        )
    fields: dict[str, Any] = {
        "name": form.get("name", "").strip() or _free_name(workshop, on, archer),
        "bow": form["bow"].strip(),
        "archer": archer,
        "on": on,
        "distance_yd": quantity(distance, "yd", what="Distance"),
        "shots": tuple(shot for line in lines for shot in shots_typed(line)),
    }
    arrow = form.get("arrow", "").strip()
    if arrow:
        fields["arrow"] = arrow
    brace = form.get("brace", "").strip()
    if brace:
        fields["brace_height_in"] = quantity(brace, "in", what="Brace height")
    return fields


def register(
    app: FastAPI, page: Callable[..., HTMLResponse], path: Path | None
) -> Callable[[], None]:
    """The addresses of shooting, hung into the app; returns what ends them."""
    desk = Desk(path)

    def people(workshop: Workshop) -> dict[str, list[Any]]:
        return {
            "bows": [one.record for one in workshop.list("bow")],
            "archers": [one.record for one in workshop.list("archer")],
            "arrows": [one.record.name for one in workshop.list("arrow")]
            + [one.record.name for one in workshop.list("shaft")],
        }

    @app.get("/shoot")
    def start(request: Request) -> HTMLResponse:
        return _start(request, {}, None)

    def _start(request: Request, form: dict[str, str], refusal: str | None) -> HTMLResponse:
        known: dict[str, Any] = {"bows": [], "archers": [], "arrows": []}
        rows: list[dict[str, Any]] = []
        try:
            with Workshop.open(path, create=path is None) as workshop:
                known = people(workshop)
                for kept in workshop.list("outing"):
                    one: Any = kept.record
                    answered = workshop.answers(one.name)
                    said = answered[-1].answer["verdict"] if answered else "not read yet"
                    rows.append({"outing": one, "said": said})
        except Refusal as trouble:
            refusal = refusal or trouble.message
        form = {**dict.fromkeys(_FIELDS, ""), **form}
        rows.sort(key=lambda row: row["outing"].on, reverse=True)
        today = datetime.datetime.now().astimezone().date().isoformat()
        return page(
            request, "shoot.html", 422 if refusal else 200, refusal=refusal, rows=rows, form=form,
            today=today, **known,
        )  # fmt: skip

    @app.post("/shoot")
    async def add(request: Request) -> Response:
        form: dict[str, str] = {}
        try:
            own_post(request)
            length = request.headers.get("content-length", "")
            if not length.isdigit() or int(length) > MOST_TEXT:
                raise BoundRefusal("More was sent than is taken as one outing.", code="too-long")
            form = {key: str(value) for key, value in (await request.form()).items()}
            from loosewell.records import Outing

            with Workshop.open(path, create=path is None) as workshop:
                outing = Outing.model_validate(outing_of(workshop, form))
                workshop.add(outing)
        except Refusal as refusal:
            return _start(request, form, refusal.message)
        desk.begin(outing.name)
        return RedirectResponse(f"/shoot/outing?name={_quoted(outing.name)}&new=1", status_code=303)

    @app.get("/shoot/outing")
    def show(request: Request, name: str = "") -> HTMLResponse:
        from loosewell.faces.drawing.reading import reading_sheet
        from loosewell.workshop.reading.answer import from_plain

        try:
            with Workshop.open(path, create=path is None) as workshop:
                kept = workshop.get("outing", name)
                answered = workshop.answers(name)
        except Refusal as refusal:
            return _start(request, {}, refusal.message)
        job = desk.find(kept.record.name)
        if job is not None and not job.done:
            return page(request, "reading_wait.html", 202, job=job, outing=kept.record)
        answer = from_plain(answered[-1].answer) if answered else None
        drawing = None
        if answer is not None and answer.picture is not None:
            drawing = Markup(reading_sheet(answer.picture).svg())
        return page(
            request, "reading.html", 200, outing=kept.record, answer=answer, drawing=drawing,
            times=len(answered), trouble=job.trouble if job is not None else None,
            at=answered[-1].at if answered else None,
        )  # fmt: skip

    @app.post("/shoot/outing/read")
    async def read(request: Request) -> Response:
        try:
            own_post(request)
            form = await request.form()
            name = str(form.get("name", ""))
            with Workshop.open(path, create=path is None) as workshop:
                name = workshop.get("outing", name).record.name
        except Refusal as refusal:
            return _start(request, {}, refusal.message)
        desk.begin(name)
        return RedirectResponse(f"/shoot/outing?name={_quoted(name)}&new=1", status_code=303)

    @app.get("/shoot/progress")
    def progress(name: str = "") -> JSONResponse:
        job = desk.find(name)
        told = {
            "stage": job.stage if job else "",
            "share": job.share if job else 1.0,
            "done": job is None or job.done,
        }
        return JSONResponse(told, headers={"Cache-Control": "no-store"})

    return desk.close


def _quoted(name: str) -> str:
    from urllib.parse import quote

    return quote(name, safe="")
