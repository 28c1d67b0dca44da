"""The whole interface is sent what nobody would: it refuses, and never falls over.

The description is made from the routes themselves, and from the forms as they stand on the demo garage's pages.
"""

import itertools
import os
import re
import threading
from collections import defaultdict
from collections.abc import Callable, Iterator
from typing import Any

import pytest
import schemathesis
import uvicorn
from fastapi.openapi.utils import get_openapi
from hypothesis import Phase, given, settings
from hypothesis import strategies as st
from schemathesis.checks import not_a_server_error
from schemathesis.specs.openapi.schemas import OpenApiSchema

from app import serving
from app.records.garage import Garage
from app.settings import THIS_MACHINE

from .conftest import ROUTES, WRITES, Interface, Names

Somewhere = Callable[[str], st.SearchStrategy[dict[str, str] | None]]

#: Words of the pages' own that a box or an address is tried with; the rest is made up.
_WORDS = 12
#: What has upset programs before, in an address and in a box.
ODD_WORDS = ["none", "a b", "é", "%", "'--", "x" * 300, "-", "NaN"]
ODD = ["", " ", "0", "-1", "12,5", "1e999", "nan", "-inf", "9" * 40, "٣", "2026-04-18T10:40", "0001-01-01T00:00"]
ODD += ["9999-12-31T23:59", "2026-02-30", "\x00", "\u202e", "<b>", "${1}", "x" * 5000, "\r\nSet-Cookie: a=b"]
ANYTHING: dict[str, Any] = {"additionalProperties": {"type": "string"}}
#: How often each route is tried; more for a long look.
_TRIES = int(os.environ.get("WITNESSMARK_ODD_INPUTS", "10"))

#: What strikes a record out or closes it comes last, so that all else still finds it.
_ENDS = ("/void", "/retire", "/close", "/end", "/off", "/remove")
IN_ORDER = sorted(
    ((method, route.path) for route in ROUTES for method in route.methods or ()),
    key=lambda one: (one[0] != "GET", one[1].endswith(_ENDS)),
)


@pytest.fixture(scope="session")
def garage_at(demo_garage: Garage, cookie: str) -> Iterator[tuple[str, str]]:
    """The real program on a loopback port: its address, and the cookie that opens it."""
    listening = serving.listen(THIS_MACHINE, 0)
    server = uvicorn.Server(serving.configured(demo_garage))
    thread = threading.Thread(target=server.run, kwargs={"sockets": [listening]})
    thread.start()
    yield serving.address(listening).rstrip("/"), cookie
    server.should_exit = True
    thread.join()
    listening.close()


def described(interface: Interface, *, made_up: bool) -> dict[str, Any]:
    """The routes, as OpenAPI describes an interface: boxes hold what the pages offer and odd things, or anything."""
    description = get_openapi(title="Witnessmark", version="1", routes=ROUTES)
    every_box = together(interface.boxes)
    for path, methods in description["paths"].items():
        for method, operation in methods.items():
            for one in operation.get("parameters", []):
                odd = ODD_WORDS if one["in"] == "path" else [*interface.queries[path][one["name"]], *ODD]
                one["schema"] = {"enum": odd}
            if method == "post":
                boxes = interface.boxes.get(path) or every_box
                sent = ANYTHING if made_up else {"required": sorted(boxes)}
                fields = {
                    name: {"type": "string"} if made_up else {"enum": [*some_of(boxes[name]), *ODD]} for name in boxes
                }
                schema = {"type": "object", "properties": fields, **sent}
                operation["requestBody"] = {"content": {"application/x-www-form-urlencoded": {"schema": schema}}}
    return description


def some_of(words: set[str]) -> list[str]:
    return sorted(words)[:: max(1, len(words) // _WORDS)]


def together(routes: dict[str, Names]) -> Names:
    """What is known of every route's words or boxes, by name."""
    names = {name for one in routes.values() for name in one}
    return {name: set[str]().union(*(one.get(name, set()) for one in routes.values())) for name in names}


@pytest.fixture(scope="session", params=["of the pages", "made up"])
def description(interface: Interface, request: pytest.FixtureRequest) -> OpenApiSchema:
    return schemathesis.openapi.from_dict(described(interface, made_up=request.param == "made up"))


@pytest.fixture(scope="session")
def somewhere(interface: Interface, cookie: str) -> Somewhere:
    """Where a route leads: to what the pages name, else to what routes of like words do; or, None, to nowhere."""
    own = cookie.partition("=")[2].partition(".")[0]  # removed, this device would try nothing more
    every_word: Names = defaultdict(set)
    for words in (one for places in interface.places.values() for one in places):
        for name, word in words.items():
            every_word[name].add(word)

    def places(path: str) -> st.SearchStrategy[dict[str, str] | None]:
        known = [one for one in interface.places[path] if own not in one.values()]
        if not known and (names := re.findall(r"\{(\w+)\}", path)):
            pools = [some_of(every_word[name] - {own}) or ["none"] for name in names]
            known = [dict(zip(names, words, strict=True)) for words in itertools.product(*pools)]
        return st.sampled_from([*known[:: max(1, len(known) // _WORDS)], None])

    return places


def test_most_forms_were_found_on_some_page(interface: Interface) -> None:
    # The rest stand on pages that only a certain turn of events shows (something retired, undone, proved).
    assert len(interface.boxes) > len(WRITES) * 2 / 3


@pytest.mark.parametrize(("method", "path"), IN_ORDER)
def test_nothing_that_is_sent_makes_the_server_fail(
    description: OpenApiSchema, somewhere: Somewhere, garage_at: tuple[str, str], method: str, path: str
) -> None:
    address, cookie = garage_at

    @settings(max_examples=_TRIES, deadline=None, derandomize=True, database=None, phases=[Phase.generate])
    @given(case=description[path][method].as_strategy(), place=somewhere(path))
    def send(case: schemathesis.Case[Any], place: dict[str, str] | None) -> None:
        case.path_parameters.update(place or {})
        answer = case.call(base_url=address, headers={"cookie": cookie}, allow_redirects=False)
        case.validate_response(answer, checks=[not_a_server_error])
        assert answer.status_code != 401  # or the gate would be all that was tried

    send()
