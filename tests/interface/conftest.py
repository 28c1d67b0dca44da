"""The whole interface: every route there is, and what a person would find on its pages in the demo garage."""

import json
import re
import shutil
from collections import defaultdict
from collections.abc import Iterator
from contextlib import closing
from dataclasses import dataclass, field
from functools import cache
from html.parser import HTMLParser
from pathlib import Path
from typing import cast
from urllib.parse import parse_qsl, urlsplit

import pytest
from fastapi import FastAPI
from fastapi.routing import APIRoute
from starlette.testclient import TestClient

from app.main import create_app
from app.pages import ROUTERS
from app.phone.cookie import PLAIN_COOKIE
from app.records.garage import Garage
from app.settings import Settings
from tests.conftest import paired
from tests.once import once_in_a_run

ROUTES = [cast(APIRoute, route) for router in ROUTERS for route in router.routes]
WRITES = sorted(route.path for route in ROUTES if "POST" in (route.methods or ()))
#: Pages of one route that are looked at for links and forms.
_OF_EACH = 4

Names = dict[str, set[str]]


@dataclass
class Interface:
    """What stands on the pages, by route: the words of its addresses, its queries, the boxes of forms sent to it."""

    places: dict[str, list[dict[str, str]]] = field(default_factory=lambda: defaultdict(list))
    queries: dict[str, Names] = field(default_factory=lambda: defaultdict(lambda: defaultdict(set)))
    boxes: dict[str, Names] = field(default_factory=lambda: defaultdict(lambda: defaultdict(set)))

    def as_text(self) -> str:
        """As JSON, for the other workers of this run."""
        return json.dumps([self.places, _listed(self.queries), _listed(self.boxes)])

    @classmethod
    def from_text(cls, text: str) -> "Interface":
        """What another worker has found."""
        found = cls()
        places, queries, boxes = json.loads(text)
        found.places.update(places)
        for told, held in ((queries, found.queries), (boxes, found.boxes)):
            for route, names in told.items():
                held[route].update({name: set(words) for name, words in names.items()})
        return found


def _listed(routes: dict[str, Names]) -> dict[str, dict[str, list[str]]]:
    return {route: {name: sorted(words) for name, words in names.items()} for route, names in routes.items()}


@pytest.fixture(scope="session")
def paired_demo(told_demo: Path, tmp_path_factory: pytest.TempPathFactory) -> Path:
    """A demo garage that knows two devices, and one's cookie: what the pages name is there on whichever worker."""

    def pair(folder: Path) -> None:
        data = shutil.copytree(told_demo, folder / "demo")
        with closing(Garage.open(Settings(data))) as garage:
            paired(garage, "tablet")
            (folder / "cookie").write_text(f"{PLAIN_COOKIE}={paired(garage, 'laptop')}", encoding="utf-8")

    return once_in_a_run(tmp_path_factory, "paired-demo", pair)


@pytest.fixture(scope="session")
def demo_garage(paired_demo: Path, tmp_path_factory: pytest.TempPathFactory) -> Iterator[Garage]:
    data = shutil.copytree(paired_demo / "demo", tmp_path_factory.mktemp("demo") / "demo")
    garage = Garage.open(Settings(data))
    yield garage
    garage.close()


@pytest.fixture(scope="session")
def cookie(paired_demo: Path) -> str:
    return (paired_demo / "cookie").read_text(encoding="utf-8")


@pytest.fixture(scope="session")
def app(demo_garage: Garage) -> FastAPI:
    return create_app(demo_garage)


@pytest.fixture(scope="session")
def inside(app: FastAPI, cookie: str) -> Iterator[TestClient]:
    """A paired browser in the demo garage; a page that fails answers 500 and is no exception here."""
    here = ("127.0.0.1", 50_000)
    with TestClient(
        app, "http://localhost", client=here, follow_redirects=False, raise_server_exceptions=False
    ) as client:
        client.headers["cookie"] = cookie
        yield client


@pytest.fixture(scope="session")
def interface(inside: TestClient, tmp_path_factory: pytest.TempPathFactory) -> Interface:
    """What stands on the pages of the demo garage: the first worker to ask looks for all."""
    noted = once_in_a_run(
        tmp_path_factory, "interface", lambda file: file.write_text(_walked(inside).as_text(), encoding="utf-8")
    )
    return Interface.from_text(noted.read_text(encoding="utf-8"))


def _walked(inside: TestClient) -> Interface:
    """Follow the links of the demo garage, a few pages of each route."""
    found = Interface()
    seen: dict[str, int] = defaultdict(int)
    waiting, met = ["/"], {"/"}
    for address in waiting:  # grows as it goes
        route = route_of(urlsplit(address).path, "GET")
        if route is None or seen[route.path] >= _OF_EACH:
            continue
        seen[route.path] += 1
        answer = inside.get(address)
        assert answer.status_code in {200, 303}, address  # a hidden link may be to a step that is not the next one
        reader = _Reader(found, address)
        reader.feed(answer.text)
        waiting += [one for one in dict.fromkeys(reader.links) if one not in met]
        met.update(reader.links)
    return found


@cache  # the same words stand on page after page
def route_of(path: str, method: str) -> APIRoute | None:
    """The route that answers a path: of several, the one with the fewest words left open."""
    fitting = [one for one in ROUTES if method in (one.methods or ()) and one.path_regex.fullmatch(path)]
    return min(fitting, key=lambda one: one.path.count("{"), default=None)


class _Reader(HTMLParser):
    """Notes the links of one page, and its forms with what may stand in each box."""

    def __init__(self, found: Interface, page: str) -> None:
        super().__init__()
        self._page = page
        self.links: list[str] = []
        self._found = found
        self._form: Names = defaultdict(set)
        self._box = ""

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        told = {name: value or "" for name, value in attrs}
        # An address with {id} in it is for a row that the phone will make of a template.
        if tag == "a" and (address := told.get("href", "")).startswith("/") and "{" not in address:
            self.links.append(address.partition("#")[0])
            self._note(address.partition("#")[0], "GET")
        if tag == "form" and told.get("method") == "post":
            self._form = self._note(told.get("action", self._page), "POST")
        if "hx-post" in told:
            self._form = self._note(told["hx-post"], "POST")
        if tag in {"input", "textarea", "select", "button"} and told.get("name"):
            self._box = told["name"]
            self._form[self._box].add(told.get("value", ""))
        if tag == "option":
            self._form[self._box].add(told.get("value", ""))

    def _note(self, address: str, method: str) -> Names:
        parts = urlsplit(address)
        route = route_of(parts.path, method)
        if route is None or "{" in address:
            return defaultdict(set)
        fitted = re.fullmatch(route.path_regex, parts.path)
        assert fitted
        if fitted.groupdict() not in self._found.places[route.path]:
            self._found.places[route.path].append(fitted.groupdict())
        for name, value in parse_qsl(parts.query):
            self._found.queries[route.path][name].add(value)
        return self._found.boxes[route.path] if method == "POST" else defaultdict(set)
