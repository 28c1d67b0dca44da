"""The short way to a page that asks for nothing but words: no router, no framework between the gate and the page."""

from collections.abc import Callable

from starlette.exceptions import HTTPException
from starlette.requests import Request
from starlette.responses import Response
from starlette.types import ASGIApp, Receive, Scope, Send

from app.pages.crossroads import Crossroads
from app.pages.hands import HANDS


class Straight:
    """ASGI middleware; innermost. What it does not know how to answer goes on to `app`."""

    def __init__(self, app: ASGIApp, pages: Crossroads, said_no: Callable[[Request, Exception], Response]) -> None:
        """Answer the plain `pages`; `said_no` makes the answer where one raises an HTTPException."""
        self.app = app
        self._pages = pages
        self._said_no = said_no

    async def __call__(self, scope: Scope, receive: Receive, send: Send) -> None:
        """Answer a plain page; hand everything else on."""
        found = None
        if scope["type"] == "http" and scope["method"] in {"GET", "HEAD"}:
            found = self._pages.plain(scope["path"])
        if found is None:
            await self.app(scope, receive, send)
            return
        page, scope["path_params"] = found
        request = Request(scope, receive)

        def answer() -> Response:
            try:
                return page(request)
            except HTTPException as error:
                return self._said_no(request, error)

        response = await HANDS.do(answer)
        await response(scope, receive, send)
