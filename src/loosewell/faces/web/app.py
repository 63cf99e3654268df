"""The page's addresses: choose, wait, read.

Every page is a plain address that survives a reload and a restarted server; a form is a
plain GET. The strict content policy allows only our own files, and only from here.
"""

from __future__ import annotations

import asyncio
import hashlib
import json
import logging
import math
from collections.abc import AsyncIterator, Awaitable, Callable, MutableMapping
from contextlib import asynccontextmanager
from importlib import resources
from pathlib import Path
from typing import Any
from urllib.parse import urlencode, urlsplit

from fastapi import FastAPI, Request, Response
from fastapi.responses import HTMLResponse, JSONResponse, RedirectResponse, StreamingResponse
from jinja2 import Environment, PackageLoader, StrictUndefined
from markupsafe import Markup
from starlette.middleware.trustedhost import TrustedHostMiddleware

from loosewell.errors import Refusal
from loosewell.faces import asking, drawing, leaf, wording
from loosewell.faces.web import photo, shooting
from loosewell.faces.web.work import Bench
from loosewell.units import quantity
from loosewell.workshop import ask
from loosewell.workshop.answer import MatchAnswer
from loosewell.workshop.keep import Workshop

_POLICY = (
    "default-src 'none'; script-src 'self'; style-src 'self'; img-src 'self'; "
    "connect-src 'self'; form-action 'self'; base-uri 'none'; frame-ancestors 'none'"
)
PURPOSES = (
    *("target", "field", "3D", "stumping", "hunting"),
    *("small game", "flu-flu", "fishing", "long shot"),
)
_log = logging.getLogger(__name__)
_LOOKS = {"": "as the device", "day": "day", "night": "night", "sunlight": "sunlight"}

_Scope = MutableMapping[str, Any]
_Send = Callable[[MutableMapping[str, Any]], Awaitable[None]]
_Receive = Callable[[], Awaitable[MutableMapping[str, Any]]]


class _Guarded:
    """Every answer carries the strict policy; streams pass through unbuffered."""

    def __init__(self, app: Callable[[_Scope, _Receive, _Send], Awaitable[None]]) -> None:
        self._app = app

    async def __call__(self, scope: _Scope, receive: _Receive, send: _Send) -> None:
        async def guarded(message: MutableMapping[str, Any]) -> None:
            if message["type"] == "http.response.start":
                message["headers"] = [
                    *message.get("headers", []),
                    (b"content-security-policy", _POLICY.encode()),
                    (b"x-content-type-options", b"nosniff"),
                    (b"referrer-policy", b"no-referrer"),
                ]
            await send(message)

        await self._app(scope, receive, guarded)


def _files() -> dict[str, tuple[bytes, str]]:
    own = resources.files("loosewell.faces.web") / "static"
    kinds = {"css": "text/css", "js": "text/javascript", "svg": "image/svg+xml"}
    found = {
        item.name: (item.read_bytes(), kinds[item.name.rsplit(".", 1)[1]])
        for item in own.iterdir()
        if item.name.rsplit(".", 1)[-1] in kinds
    }
    for name in ("leaf.css", "launch.js"):
        found[name] = (leaf.part(name).encode(), kinds[name.rsplit(".", 1)[1]])
    return found


def make_app(
    path: Path | None,
    engine: ask.Engine | None = None,
    launcher: ask.Launcher | None = None,
) -> FastAPI:
    """The page over one workshop file.

    Parameters
    ----------
    path : Path or None
        The workshop file; None is the one in the person's data folder. [path]
    engine, launcher : callable, optional
        Stand in for the match and for the single launch of the sliders, for tests. [function]

    Returns
    -------
    app : FastAPI
        Ready for a server on the loopback address. [object]

    Source
    ------
    House style.
    """
    bench = Bench(engine)
    ends: list[Callable[[], None]] = []

    @asynccontextmanager
    async def life(_: FastAPI) -> AsyncIterator[None]:
        yield
        bench.close()
        for end in ends:
            end()

    app = FastAPI(title="loosewell", docs_url=None, redoc_url=None, openapi_url=None, lifespan=life)
    app.add_middleware(TrustedHostMiddleware, allowed_hosts=["127.0.0.1", "localhost", "[::1]"])
    app.add_middleware(_Guarded)
    files = _files()
    marks = {name: hashlib.sha256(data).hexdigest()[:10] for name, (data, _) in files.items()}
    pages = Environment(
        loader=PackageLoader("loosewell.faces.web"), autoescape=True, undefined=StrictUndefined
    )
    pages.globals.update(
        say=wording,
        looks=_LOOKS,
        static=lambda name: f"/static/{name}?v={marks[name]}",
    )

    def people() -> tuple[list[Any], list[Any]]:
        with Workshop.open(path, create=path is None) as workshop:
            return (
                [kept.record for kept in workshop.list("bow")],
                [kept.record for kept in workshop.list("archer")],
            )

    def page(request: Request, name: str, status: int = 200, **values: Any) -> HTMLResponse:
        look = request.cookies.get("look", "")
        typed = {
            **dict.fromkeys(asking.FIELDS, ""),
            **{k: v for k, v in request.query_params.items() if k in asking.FIELDS},
        }
        here = request.url.path + (f"?{request.url.query}" if request.url.query else "")
        values = {"bows": [], "archers": [], "refusal": None, "purposes": PURPOSES, **values}
        html = pages.get_template(name).render(
            look=look if look in _LOOKS else "", typed=typed, here=here, **values
        )
        return HTMLResponse(html, status_code=status, headers={"Cache-Control": "no-store"})

    @app.get("/static/{name}")
    def static(name: str) -> Response:
        if name not in files:
            return Response("Not found.", status_code=404, media_type="text/plain")
        data, kind = files[name]
        return Response(data, media_type=kind, headers={"Cache-Control": "max-age=3600"})

    @app.get("/")
    def start(request: Request) -> HTMLResponse:
        try:
            bows, archers = people()
        except Refusal as refusal:
            return page(request, "start.html", 422, refusal=refusal.message)
        return page(request, "start.html", bows=bows, archers=archers)

    @app.get("/match")
    def match(request: Request) -> HTMLResponse:
        bows: list[Any] = []
        archers: list[Any] = []
        try:
            bows, archers = people()
            gathered = ask.gather(path, asking.question(request.query_params))
        except Refusal as refusal:
            return page(
                request, "start.html", 422, bows=bows, archers=archers, refusal=refusal.message
            )
        job = bench.job(gathered)
        if job.trouble is not None:
            bench.forget(gathered.key)
            return page(
                request,
                "start.html",
                422 if job.refused else 500,
                bows=bows,
                archers=archers,
                refusal=job.trouble,
            )
        if job.answer is None:
            return page(request, "working.html", 202, job=job, key=gathered.key)
        return page(
            request,
            "match.html",
            bows=bows,
            archers=archers,
            answer=job.answer,
            body=Markup(leaf.lay_out(job.answer, trying(gathered.question, job.answer))),
        )

    def trying(question: ask.Question, answer: MatchAnswer) -> str:
        if not answer.pictures:
            return ""
        address = f"/picture.json?{urlencode(_same_shot(question, answer))}"
        return pages.get_template("try.html").render(address=address, sliders=_sliders(answer))

    @app.get("/picture.json")
    def picture(request: Request) -> JSONResponse:
        """One launch of a plain shaft, for the sliders: drawing, frames and words."""
        status, told = 200, dict[str, Any]()
        try:
            wish = asking.question(request.query_params)
            spine = request.query_params.get("spine", "").strip()
            if not spine:
                raise Refusal("No spine was given. Add one, such as spine=48 lb.", code="missing")
            spine_lb = quantity(spine, "lb", what="Spine (26 in span, 2 lb)")
            shot = ask.picture(ask.gather(path, wish), spine_lb, launcher)
            told = {
                "arrow": drawing.motion([shot])[0],
                "svg": drawing.launch_panel(shot, [shot], "try").svg(),
                "said": wording.shot_sentences(shot),
            }
        except Refusal as refusal:
            status, told = 422, {"refusal": refusal.message}
        except Exception:  # noqa: BLE001 - told on the page, written to the log
            _log.exception("the launch failed")
            status, told = 500, {"refusal": "The engine stopped with a fault of its own."}
        return JSONResponse(told, status_code=status, headers={"Cache-Control": "no-store"})

    @app.get("/match/progress/{key}")
    async def progress(key: str) -> StreamingResponse:
        async def tell() -> AsyncIterator[str]:
            told = None
            while True:
                job = bench.find(key)
                state = {
                    "stage": job.stage if job else "",
                    "share": job.share if job else 1.0,
                    "done": job is None or job.done,
                }
                if state != told:
                    told = state
                    yield f"data: {json.dumps(state)}\n\n"
                if state["done"]:
                    return
                await asyncio.sleep(0.15)

        return StreamingResponse(
            tell(), media_type="text/event-stream", headers={"Cache-Control": "no-store"}
        )

    photo.register(app, page)
    ends.append(shooting.register(app, page, path))

    @app.get("/look")
    def look(look: str = "", back: str = "/") -> RedirectResponse:
        target = urlsplit(back)
        inside = not target.scheme and not target.netloc and back.startswith("/")
        inside = inside and not back.startswith(("//", "/\\"))
        answer = RedirectResponse(back if inside else "/", status_code=303)
        chosen = look if look in _LOOKS else ""
        answer.set_cookie("look", chosen, max_age=31536000, samesite="strict", httponly=True)
        return answer

    return app


def _same_shot(question: ask.Question, answer: MatchAnswer) -> dict[str, str]:
    """What the sliders do not change, as it is typed in an address."""
    return {
        "bow": question.bow,
        "archer": question.archer,
        "purpose": question.purpose,
        "distance": f"{answer.distance_yd:.6g} yd",
    }


def _sliders(answer: MatchAnswer) -> list[dict[str, Any]]:
    """The three sliders, set to the fitting arrow; none makes an arrow too short."""
    fits = answer.pictures[0]
    spines = [point.spine_lb for point in answer.curve] or [fits.spine_26in_2lb_lb]
    least = min(spines[0], *(p.spine_26in_2lb_lb for p in answer.pictures))
    most = max(spines[-1], *(p.spine_26in_2lb_lb for p in answer.pictures))
    shortest = answer.chosen.minimum_length_in if answer.chosen else fits.length_in
    # Quarter inches, so that a place of the slider is a mark on the tape.
    from_in = min(math.ceil(shortest * 4.0) / 4.0, fits.length_in)
    return [
        {
            "name": "spine",
            "title": "Spine",
            "about": wording.WOOD_STANDARD,
            "unit": "lb",
            "least": math.floor(least),
            "most": math.ceil(most),
            "step": 1,
            "value": round(fits.spine_26in_2lb_lb),
        },
        {
            "name": "point",
            "title": "Point",
            "about": "",
            "unit": "gr",
            "least": 50,
            "most": 300,
            "step": 5,
            "value": round(fits.point_weight_gr / 5.0) * 5,
        },
        {
            "name": "length",
            "title": "Length",
            "about": "nock throat to back of point",
            "unit": "in",
            "least": from_in,
            "most": max(33.0, from_in + 3.0),
            "step": 0.25,
            "value": fits.length_in,
        },
    ]
