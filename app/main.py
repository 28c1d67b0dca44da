"""The web application, put together."""

import os
import re
from typing import Any

from fastapi import FastAPI, Request
from fastapi.exceptions import RequestValidationError
from starlette.exceptions import HTTPException
from starlette.middleware.gzip import GZipMiddleware
from starlette.responses import Response
from starlette.staticfiles import StaticFiles
from starlette.types import Message, Receive, Scope, Send

from app.pages import ROUTERS
from app.pages.crossroads import Crossroads
from app.pages.guard import Guard
from app.pages.one_script import served_instead
from app.pages.pairing import unpaired_page
from app.pages.release import BAY, bay_mark
from app.pages.shell import page
from app.pages.straight import Straight
from app.phone.gate import Gate, OpenHouse
from app.phone.pairing import Pairing
from app.records.demo import is_demo
from app.records.garage import Garage
from app.settings import shipped

#: One of the phone's modules, as asset() writes its address.
_MARKED = re.compile(rf"{BAY}/(?P<mark>[0-9a-f]{{12}})/(?P<name>.+)")
#: zlib's scale; more than this costs a page more time than the few bytes it saves (measured on a job's page).
_GZIP_LEVEL = 6
#: What of that we serve is small already. The list is gone through with every answer, so it names nothing else.
_PACKED_ALREADY = ("image/jpeg", "image/png", "font/woff2")
#: Nobody watches this program: no request is counted or told of, whatever the environment says. An older framework
#: knows nothing of it and takes it for something of ours.
_UNWATCHED: dict[str, Any] = {"telemetry": {"tracing": False, "metrics": False, "logs": False, "auto_configure": False}}
_TAKES, _VARIES = b"accept-encoding", (b"vary", b"Accept-Encoding")
#: The same for every garage. Made once: it looks at what each of some two hundred pages asks for.
_PAGES = Crossroads(route for router in ROUTERS for route in router.routes)


class Assets(StaticFiles):
    """Static files, kept for good by whoever asked for them by the mark of their content."""

    async def get_response(self, path: str, scope: Scope) -> Response:
        """The file, with how long it may be kept."""
        marked = _MARKED.fullmatch(path.replace(os.sep, "/"))
        made = served_instead(marked["name"]) if marked else None
        if made is None:
            response = await super().get_response(f"{BAY}/{marked['name']}" if marked else path, scope)
        else:
            response = Response(made, media_type="text/javascript")
        for_good = marked["mark"] == bay_mark() if marked else b"v=" in scope["query_string"]
        if response.status_code == 200 and for_good:
            response.headers["cache-control"] = "public, max-age=31536000, immutable"
        return response


class Compressed(GZipMiddleware):
    """Answers made small for whoever takes them so."""

    async def __call__(self, scope: Scope, receive: Receive, send: Send) -> None:
        """Leave an answer as it is for whoever does not, but for the header that tells caches of the difference."""

        async def send_plain(message: Message) -> None:
            if message["type"] == "http.response.start":
                message["headers"] = [*message.get("headers", ()), _VARIES]
            await send(message)

        if scope["type"] != "http" or any(b"gzip" in said for name, said in scope["headers"] if name == _TAKES):
            await super().__call__(scope, receive, send)
        else:
            await self.app(scope, receive, send_plain)


def create_app(garage: Garage, origin: str | None = None, *, gated: bool = True) -> FastAPI:
    """The application that serves one garage; `origin` is where other devices reach it (https://name:port), if any.

    `gated` off is for a demo: nothing has to be paired, and only this machine is answered. ValueError for any other
    garage.
    """
    if not gated and not is_demo(garage):
        raise ValueError("only a demo garage may stand open")
    app = FastAPI(title="Witnessmark", docs_url=None, redoc_url=None, openapi_url=None, **_UNWATCHED)
    app.state.garage = garage
    app.state.origin = origin
    app.state.pairing = Pairing.of(garage)
    app.mount("/static", Assets(directory=shipped("static")), name="static")
    app.router.routes.append(_PAGES)
    app.state.gated = gated
    app.add_middleware(Straight, pages=_PAGES, said_no=_said_no)
    if gated:
        app.add_middleware(Gate, keyring=app.state.pairing.keyring, unpaired=unpaired_page)
    else:
        app.add_middleware(OpenHouse)
    app.add_middleware(Guard)  # added last, it stands outermost: what the gate answers gets its headers too
    app.add_middleware(Compressed, minimum_size=500, compresslevel=_GZIP_LEVEL, exclude_content_types=_PACKED_ALREADY)
    app.add_exception_handler(HTTPException, _said_no)
    app.add_exception_handler(RequestValidationError, _not_an_address)
    return app


def _said_no(request: Request, error: Exception) -> Response:
    status = error.status_code if isinstance(error, HTTPException) else 500
    detail = error.detail if isinstance(error, HTTPException) else ""
    usual = {404: "There is no such page.", 405: "This page does not take that.", 400: "The form could not be read."}
    known = usual.get(status, "This can't be done.")
    # FastAPI's own detail is the status line in English; ours is a sentence.
    return page(request, "error.html", status=status, message=detail if detail.endswith(".") else known)


def _not_an_address(request: Request, _: Exception) -> Response:
    return page(request, "error.html", status=404, message="There is no such page.")
