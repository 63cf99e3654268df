"""Photographs of the butt: uploaded, looked at, measured; kept in memory only.

A picture is decoded and written anew before anything is shown, so that what is served is a plain
JPEG of our own making; the file itself and what it says of place and camera are dropped.
"""

from __future__ import annotations

import io
import secrets
import threading
from collections import OrderedDict
from collections.abc import Callable, Mapping, Sequence
from dataclasses import asdict, dataclass
from typing import Any

from fastapi import FastAPI, Request, Response
from fastapi.responses import HTMLResponse, JSONResponse, RedirectResponse
from starlette.datastructures import UploadFile

from loosewell.errors import BoundRefusal, MissingRefusal, Refusal
from loosewell.units import quantity
from loosewell.workshop.reading.photo import Marked, Picture, measured, shots_of

MOST_BYTES = 20_000_000
MOST_PIXELS = 60_000_000
LONGEST_PX = 2400
KEPT = 12
MOST_ARROWS = 200


@dataclass(frozen=True)
class Photo:
    """One picture as it is shown."""

    data: bytes
    width: int
    height: int


class PhotoBox:
    """The newest pictures, by keys that cannot be guessed; older ones are dropped."""

    def __init__(self) -> None:
        self._photos: OrderedDict[str, Photo] = OrderedDict()
        self._lock = threading.Lock()

    def keep(self, photo: Photo) -> str:
        """The key under which it is kept."""
        key = secrets.token_urlsafe(12)
        with self._lock:
            self._photos[key] = photo
            while len(self._photos) > KEPT:
                self._photos.popitem(last=False)
        return key

    def find(self, key: str) -> Photo | None:
        """The picture, or None when it is no longer kept."""
        with self._lock:
            return self._photos.get(key)


def prepared(data: bytes) -> Photo:
    """A photograph as a plain JPEG, upright and not too large.

    Parameters
    ----------
    data : bytes
        The file as it came. [bytes]

    Returns
    -------
    photo : Photo
        Its longest side at most 2400 px. [px]

    Raises
    ------
    Refusal
        For what is no picture, or too large a one.
    """
    from PIL import Image, ImageOps

    if len(data) > MOST_BYTES:
        raise BoundRefusal(
            f"The picture has {len(data) / 1e6:.0f} MB; at most {MOST_BYTES / 1e6:.0f} MB are "
            "taken. Make it smaller on the phone first.",
            code="photo-too-large",
        )
    try:
        with Image.open(io.BytesIO(data)) as raw:
            if raw.width * raw.height > MOST_PIXELS:
                raise BoundRefusal(
                    f"The picture has {raw.width} by {raw.height} px, more than is taken. Make it "
                    "smaller on the phone first.",
                    code="photo-too-large",
                )
            upright = ImageOps.exif_transpose(raw).convert("RGB")
    except (OSError, ValueError, SyntaxError, Image.DecompressionBombError):
        raise MissingRefusal(
            "The file is no picture that can be read. Take a JPEG, PNG or WebP; a phone's own "
            "format may be changed in its settings ('most compatible').",
            code="photo-unreadable",
        ) from None
    upright.thumbnail((LONGEST_PX, LONGEST_PX))
    out = io.BytesIO()
    upright.save(out, "JPEG", quality=88)
    return Photo(out.getvalue(), upright.width, upright.height)


def _point(value: Any) -> tuple[float, float]:
    if (
        isinstance(value, Sequence)
        and len(value) == 2
        and all(isinstance(one, (int, float)) and abs(one) < 1e5 for one in value)
    ):
        return float(value[0]), float(value[1])
    raise MissingRefusal("A point set on the picture cannot be read. Set it again.", code="point")


def picture_of(photo: Photo, told: Mapping[str, Any]) -> Picture:
    """The points and lengths a page sent, checked.

    Parameters
    ----------
    photo : Photo
        Whose points they are. [px]
    told : mapping
        scale (two points), scale_length, aim, camera, standing_out, arrows (entry, nock, bare,
        name): lengths as text with their unit. [px, text]

    Returns
    -------
    picture : Picture
        For workshop.reading.photo. [px, in]
    """
    ends = told.get("scale")
    if not isinstance(ends, list) or len(ends) != 2:
        raise MissingRefusal(
            "The picture has no scale. Set two points on the butt whose distance is known.",
            code="photo-scale",
        )
    if told.get("aim") is None:
        raise MissingRefusal("The aim was not set. Set the point you aimed at.", code="photo-aim")
    arrows = told.get("arrows") or []
    if not isinstance(arrows, list) or not arrows:
        raise MissingRefusal("No arrow was set. Set at least one hole.", code="photo-arrows")
    if len(arrows) > MOST_ARROWS:
        raise BoundRefusal(
            f"{len(arrows)} arrows were set; at most {MOST_ARROWS} are taken.", code="photo-arrows"
        )
    camera = str(told.get("camera") or "").strip()
    out = str(told.get("standing_out") or "").strip()
    out_in = quantity(out, "in", what="How much of an arrow stands out") if out else None
    return Picture(
        (_point(ends[0]), _point(ends[1])),
        quantity(str(told.get("scale_length") or ""), "in", what="The length of the scale"),
        _point(told["aim"]),
        (photo.width / 2.0, photo.height / 2.0),
        quantity(camera, "in", what="The distance of the camera") if camera else None,
        tuple(
            Marked(
                _point(one.get("entry")),
                _point(one["nock"]) if one.get("nock") else None,
                out_in,
                bool(one.get("bare")),
                str(one.get("name") or "").strip()[:40] or None,
            )
            for one in arrows
        ),
    )


def own_post(request: Request) -> None:
    """A refusal for a post that another site sends."""
    # Under our policy of no referrer a browser calls the origin of a form "null", and says by the
    # other header whose it is.
    site = request.headers.get("sec-fetch-site")
    origin = request.headers.get("origin")
    ours = origin is None or origin.split("//")[-1] == request.headers.get("host")
    if site not in ("same-origin", "none") if site is not None else not ours:
        raise BoundRefusal("This form came from another page. Open it here.", code="other-site")


def register(app: FastAPI, page: Callable[..., HTMLResponse]) -> None:
    """The addresses of the photographs, hung into the app."""
    box = PhotoBox()

    @app.get("/photo")
    def start(request: Request) -> HTMLResponse:
        return page(request, "photo_start.html")

    @app.post("/photo")
    async def upload(request: Request) -> Response:
        try:
            own_post(request)
            length = request.headers.get("content-length", "")
            if not length.isdigit() or int(length) > MOST_BYTES + 10_000:
                # Refused before anything is read.
                raise BoundRefusal(
                    f"The upload is larger than the {MOST_BYTES / 1e6:.0f} MB that are taken. Make "
                    "the picture smaller on the phone first.",
                    code="photo-too-large",
                )
            async with request.form(max_files=1, max_fields=5) as form:
                picture = form.get("picture")
                if not isinstance(picture, UploadFile):
                    raise MissingRefusal("No picture was chosen. Choose one.", code="photo-missing")
                photo = prepared(await picture.read(MOST_BYTES + 1))
        except Refusal as refusal:
            return page(request, "photo_start.html", 422, refusal=refusal.message)
        return RedirectResponse(f"/photo/{box.keep(photo)}", status_code=303)

    @app.get("/photo/{key}")
    def look(request: Request, key: str) -> HTMLResponse:
        photo = box.find(key)
        if photo is None:
            words = "This picture is no longer kept. Choose it again."
            return page(request, "photo_start.html", 404, refusal=words)
        return page(request, "photo.html", photo=photo, key=key)

    @app.get("/photo/{key}/picture.jpg")
    def data(key: str) -> Response:
        photo = box.find(key)
        if photo is None:
            return Response("Not found.", status_code=404, media_type="text/plain")
        return Response(photo.data, media_type="image/jpeg", headers={"Cache-Control": "no-store"})

    @app.post("/photo/{key}/measure")
    async def measure(request: Request, key: str) -> JSONResponse:
        try:
            own_post(request)
            photo = box.find(key)
            if photo is None:
                raise MissingRefusal("This picture is no longer kept.", code="photo-gone")
            raw = await request.body()
            if len(raw) > 200_000:
                raise BoundRefusal("More points were sent than are taken.", code="too-long")
            told = await request.json()
            found = measured(picture_of(photo, told if isinstance(told, dict) else {}))
        except Refusal as refusal:
            return JSONResponse({"refusal": refusal.message}, status_code=422)
        except ValueError:
            return JSONResponse({"refusal": "The points cannot be read."}, status_code=422)
        return JSONResponse(
            {
                "arrows": [asdict(one) for one in found],
                "shots": shots_of(found),
                "typed": [typed_shot(one) for one in shots_of(found)],
            }
        )


def typed_shot(shot: Mapping[str, Any]) -> str:
    """A measured shot as it is typed for the command: '--shot "bare, 4 in left, 1 in high"'."""
    left, high = float(shot["left_in"]), float(shot["high_in"])
    parts = ["bare" if shot["bare"] else "fletched"]
    if shot["arrow"]:
        parts.append(f"arrow {shot['arrow']}")
    parts.append(f"{abs(left):.1f} in {'left' if left >= 0 else 'right'}")
    parts.append(f"{abs(high):.1f} in {'high' if high >= 0 else 'low'}")
    for key, plus, minus in (("nock_left_deg", "left", "right"), ("nock_high_deg", "high", "low")):
        angle = shot[key]
        if angle is not None and abs(angle) >= 0.05:
            parts.append(f"nock {plus if angle > 0 else minus} {abs(angle):.0f} deg")
    return f'--shot "{", ".join(parts)}"'
