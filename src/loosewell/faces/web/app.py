"""The page's addresses: choose, wait, read.

Every page is a plain address that survives a reload and a restarted server; a form is a
plain GET. The strict content policy allows only our own files, and only from here.
"""

from __future__ import annotations

import asyncio
import hashlib
import json
from collections.abc import AsyncIterator, Awaitable, Callable, MutableMapping
from contextlib import asynccontextmanager
from importlib import resources
from pathlib import Path
from typing import Any
from urllib.parse import urlsplit

from fastapi import FastAPI, Request, Response
from fastapi.responses import HTMLResponse, RedirectResponse, StreamingResponse
from jinja2 import Environment, PackageLoader, StrictUndefined
from markupsafe import Markup
from starlette.middleware.trustedhost import TrustedHostMiddleware

from loosewell.errors import Refusal
from loosewell.faces import leaf, wording
from loosewell.faces.web.work import Bench
from loosewell.units import quantity
from loosewell.workshop import ask
from loosewell.workshop.keep import Workshop

_POLICY = (
    "default-src 'none'; script-src 'self'; style-src 'self'; img-src 'self'; "
    "connect-src 'self'; form-action 'self'; base-uri 'none'; frame-ancestors 'none'"
)
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


def make_app(path: Path | None, engine: ask.Engine | None = None) -> FastAPI:
    """The page over one workshop file.

    Parameters
    ----------
    path : Path or None
        The workshop file; None is the one in the person's data folder. [path]
    engine : callable, optional
        Stands in for the match itself, for tests. [function]

    Returns
    -------
    app : FastAPI
        Ready for a server on the loopback address. [object]

    Source
    ------
    House style.
    """
    bench = Bench(engine)

    @asynccontextmanager
    async def life(_: FastAPI) -> AsyncIterator[None]:
        yield
        bench.close()

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
            "bow": "",
            "archer": "",
            "distance": "20 yd",
            "point": "",
            "length": "",
            **{k: v for k, v in request.query_params.items() if k in _TYPED},
        }
        here = request.url.path + (f"?{request.url.query}" if request.url.query else "")
        values = {"bows": [], "archers": [], "refusal": None, **values}
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
            gathered = ask.gather(path, _question(request))
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
            body=Markup(leaf.lay_out(job.answer)),
        )

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


_TYPED = ("bow", "archer", "distance", "point", "length")


def _question(request: Request) -> ask.Question:
    """The question of an address; a refusal says which field is wrong and how to type it."""
    asked = {name: request.query_params.get(name, "").strip() for name in _TYPED}
    for name, article in (("bow", "a bow"), ("archer", "an archer")):
        if not asked[name]:
            raise Refusal(f"No {name} was chosen. Choose {article} from the list.", code="missing")
    distance = quantity(asked["distance"] or "20 yd", "yd", what="Distance")
    point = quantity(asked["point"], "gr", what="Point weight") if asked["point"] else None
    length = quantity(asked["length"], "in", what="Arrow length") if asked["length"] else None
    return ask.Question(
        bow=asked["bow"],
        archer=asked["archer"],
        distance_yd=distance,
        point_weight_gr=point,
        length_in=length,
    )
