"""Which page answers a path: looked up by its segments, so that the hundredth page is found as fast as the first."""

import inspect
from collections.abc import Iterable
from dataclasses import dataclass, field

from starlette.requests import Request
from starlette.responses import Response
from starlette.routing import BaseRoute, Match, Route
from starlette.types import Receive, Scope, Send


@dataclass(slots=True)
class _Node:
    """What may follow a segment: one of a few words, or anything; and the routes that end here."""

    words: dict[str, "_Node"] = field(default_factory=dict)
    anything: "_Node | None" = None
    routes: list[Route] = field(default_factory=list)


class Crossroads(BaseRoute):
    """All the pages' routes as one, kept as a tree of path segments.

    A router tries its routes one by one, each with a regular expression, which costs more than most of these pages
    take to render. A word in a path wins over a `{name}` at the same place, whatever the order of the routes.
    """

    def __init__(self, routes: Iterable[BaseRoute]) -> None:
        """Take `routes` in. Raises ValueError for one whose path can't be told segment by segment."""
        self.root = _Node()
        for route in routes:
            if not isinstance(route, Route) or ":" in route.path:
                raise ValueError(f"{route} has no path that can be told segment by segment")
            self._add(_plain(route))

    def _add(self, route: Route) -> None:
        node = self.root
        for segment in route.path.split("/"):
            if segment.startswith("{"):
                node.anything = node.anything or _Node()
                node = node.anything
            else:
                node = node.words.setdefault(segment, _Node())
        node.routes.append(route)

    def matches(self, scope: Scope) -> tuple[Match, Scope]:
        """Find the route of this path; PARTIAL where the path is known but not the method."""
        if scope["type"] != "http":
            return Match.NONE, {}
        partial: tuple[Match, Scope] = (Match.NONE, {})
        for route in _routes(self.root, scope["path"].split("/"), 0):
            match, child = route.matches(scope)
            if match is Match.FULL:
                child["route"] = route
                return match, child
            if match is Match.PARTIAL and partial[0] is Match.NONE:
                child["route"] = route
                partial = (match, child)
        return partial

    async def handle(self, scope: Scope, receive: Receive, send: Send) -> None:
        """Let the route that was found answer."""
        await scope["route"].handle(scope, receive, send)


def _plain(route: Route) -> Route:
    """A page that asks for nothing but the request and words, of its path or of its query where these may be left out,
    needs none of FastAPI's care for more.
    """
    asked = dict(inspect.signature(route.endpoint).parameters)
    if asked.pop("request", None) is None or not route.param_convertors.keys() <= asked.keys():
        return route
    if inspect.iscoroutinefunction(route.endpoint) or any(one.annotation is not str for one in asked.values()):
        return route
    usual = {name: one.default for name, one in asked.items() if name not in route.param_convertors}
    if any(not isinstance(default, str) for default in usual.values()):
        return route

    def endpoint(request: Request) -> Response:
        query = request.query_params if usual else {}
        said = {name: query.get(name, default) for name, default in usual.items()}
        answer: Response = route.endpoint(request, **request.path_params, **said)
        return answer

    return Route(route.path, endpoint, methods=route.methods)


def _routes(node: _Node, segments: list[str], at: int) -> list[Route]:
    if at == len(segments):
        return node.routes
    word = node.words.get(segments[at])
    if word is not None and (found := _routes(word, segments, at + 1)):
        return found
    return _routes(node.anything, segments, at + 1) if node.anything is not None else []
