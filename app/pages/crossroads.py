"""Which page answers a path: looked up by its segments, so that the hundredth page is found as fast as the first."""

import inspect
from collections.abc import Callable, Iterable
from dataclasses import dataclass, field
from typing import get_args

from fastapi import HTTPException
from fastapi.params import Query as QueryInfo
from starlette.datastructures import QueryParams
from starlette.requests import Request
from starlette.responses import Response
from starlette.routing import BaseRoute, Match, Route
from starlette.types import Receive, Scope, Send


@dataclass(slots=True)
class _Node:
    """What may follow a segment: one of a few words, or anything; and the routes that end here.

    `plain` is how the page here is called that asks for words alone, and `places` where in the path they stand.
    """

    words: dict[str, "_Node"] = field(default_factory=dict)
    anything: "_Node | None" = None
    routes: list[Route] = field(default_factory=list)
    plain: Callable[[Request], Response] | None = None
    places: dict[str, int] = field(default_factory=dict)


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
            self._add(route)

    def _add(self, route: Route) -> None:
        node, places = self.root, {}
        for at, segment in enumerate(route.path.split("/")):
            if segment.startswith("{"):
                places[segment.strip("{}")] = at
                node.anything = node.anything or _Node()
                node = node.anything
            else:
                node = node.words.setdefault(segment, _Node())
        is_first = not any("GET" in (one.methods or ()) for one in node.routes)
        page = _plain(route)
        if page is None:
            node.routes.append(route)
            return
        node.routes.append(Route(route.path, page, methods=route.methods))
        if is_first and "GET" in (route.methods or ()):
            node.plain, node.places = page, places

    def plain(self, path: str) -> tuple[Callable[[Request], Response], dict[str, str]] | None:
        """How the page of `path` is called, and the words of its path; None where it asks for more than words."""
        segments = path.split("/")
        node = _node(self.root, segments, 0)
        if node is None or node.plain is None:
            return None
        words = {name: segments[at] for name, at in node.places.items()}
        return (node.plain, words) if all(words.values()) else None

    def matches(self, scope: Scope) -> tuple[Match, Scope]:
        """Find the route of this path; PARTIAL where the path is known but not the method."""
        if scope["type"] != "http":
            return Match.NONE, {}
        partial: tuple[Match, Scope] = (Match.NONE, {})
        for route in _routes(self.root, scope["path"].split("/")):
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


def _plain(route: Route) -> Callable[[Request], Response] | None:
    """A page that asks for nothing but the request and words, of its path or of its query where these may be left out,
    needs none of FastAPI's care for more: how it is called. None for any other.
    """
    asked = dict(inspect.signature(route.endpoint).parameters)
    if asked.pop("request", None) is None or not route.param_convertors.keys() <= asked.keys():
        return None
    of_path = [asked.pop(name) for name in route.param_convertors]
    if inspect.iscoroutinefunction(route.endpoint) or any(one.annotation is not str for one in of_path):
        return None
    words = [_words_of(one) for one in asked.values()]
    if None in words:
        return None
    of_query = [one for one in words if one is not None]

    def page(request: Request) -> Response:
        said = {one.name: one.said_in(request.query_params) for one in of_query} if of_query else {}
        answer: Response = route.endpoint(request, **request.path_params, **said)
        return answer

    return page


@dataclass(frozen=True, slots=True)
class _Words:
    """What a page asks of its query: one word or, where `usual` is None, a list of them; and how much at most."""

    name: str
    alias: str
    usual: str | None
    most: int | None

    def said_in(self, query: QueryParams) -> str | list[str]:
        """The word or words. Raises HTTPException 404 for more than is asked for, as FastAPI's answer is here."""
        said = query.getlist(self.alias) if self.usual is None else query.get(self.alias, self.usual)
        if self.most is not None and len(said) > self.most:
            raise HTTPException(404, "There is no such page.")
        return said


def _words_of(asked: inspect.Parameter) -> _Words | None:
    """None for what is neither a word nor a list of words, must be there, or is to be looked at more closely."""
    kind, *told = get_args(asked.annotation) or (asked.annotation,)
    about = QueryInfo() if not told else told[0]
    if not isinstance(about, QueryInfo) or len(told) > 1:
        return None
    most = [one.max_length for one in about.metadata if hasattr(one, "max_length")]
    if len(most) != len(about.metadata):
        return None
    usual = None if kind == list[str] and asked.default == [] else asked.default
    if not (usual is None or (kind is str and isinstance(usual, str))):
        return None
    return _Words(asked.name, about.alias or asked.name, usual, most[0] if most else None)


def _routes(root: _Node, segments: list[str]) -> list[Route]:
    node = _node(root, segments, 0)
    return node.routes if node is not None else []


def _node(node: _Node, segments: list[str], at: int) -> _Node | None:
    if at == len(segments):
        return node if node.routes else None
    word = node.words.get(segments[at])
    if word is not None and (found := _node(word, segments, at + 1)):
        return found
    return _node(node.anything, segments, at + 1) if node.anything is not None else None
