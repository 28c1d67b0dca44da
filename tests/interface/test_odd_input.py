"""The whole interface is sent what nobody would: it refuses, and never falls over.

The description is made from the routes themselves, and from the forms as they stand on the demo garage's pages.
"""

import os
import threading
from collections.abc import Iterator
from typing import Any

import pytest
import schemathesis
import uvicorn
from fastapi.openapi.utils import get_openapi
from hypothesis import Phase, given, settings
from schemathesis.checks import not_a_server_error
from schemathesis.specs.openapi.schemas import OpenApiSchema

from app import serving
from app.records.garage import Garage
from app.settings import THIS_MACHINE

from .conftest import ROUTES, WRITES, Interface, Names

#: Words of the pages' own that a box or an address is tried with; the rest is made up.
_WORDS = 12
#: How often each route is tried; more for a long look.
_TRIES = int(os.environ.get("WITNESSMARK_ODD_INPUTS", "15"))


@pytest.fixture(scope="session")
def address(demo_garage: Garage) -> Iterator[str]:
    """The real program on a loopback port."""
    listening = serving.listen(THIS_MACHINE, 0)
    server = uvicorn.Server(serving.configured(demo_garage))
    thread = threading.Thread(target=server.run, kwargs={"sockets": [listening]})
    thread.start()
    yield serving.address(listening).rstrip("/")
    server.should_exit = True
    thread.join()
    listening.close()


def some_of(words: set[str]) -> dict[str, Any]:
    made_up: dict[str, Any] = {"type": "string", "maxLength": 60}
    known = sorted(words)[:: max(1, len(words) // _WORDS)]
    return {"anyOf": [{"enum": known}, made_up]} if known else made_up


def described(interface: Interface) -> dict[str, Any]:
    """The routes, as OpenAPI describes an interface."""
    description = get_openapi(title="Witnessmark", version="1", routes=ROUTES)
    every_word, every_box = together(interface.words), together(interface.boxes)
    for path, methods in description["paths"].items():
        for method, operation in methods.items():
            for one in operation.get("parameters", []):
                known = interface.words.get(path, every_word) if one["in"] == "path" else interface.queries[path]
                one["schema"] = some_of(known.get(one["name"], set()))
            if method == "post":
                sent = form(interface.boxes.get(path) or every_box)
                operation["requestBody"] = {"content": {"application/x-www-form-urlencoded": {"schema": sent}}}
    return description


def together(routes: dict[str, Names]) -> Names:
    """What is known of every route's words or boxes, by name."""
    names = {name for one in routes.values() for name in one}
    return {name: set[str]().union(*(one.get(name, set()) for one in routes.values())) for name in names}


def form(boxes: Names) -> dict[str, Any]:
    return {"type": "object", "properties": {name: some_of(values) for name, values in sorted(boxes.items())}}


@pytest.fixture(scope="session")
def description(interface: Interface) -> OpenApiSchema:
    return schemathesis.openapi.from_dict(described(interface))


def test_most_forms_were_found_on_some_page(interface: Interface) -> None:
    # The rest stand on pages that only a certain turn of events shows (something retired, undone, proved).
    assert len(interface.boxes) > len(WRITES) * 2 / 3


@pytest.mark.parametrize(
    ("method", "path"), [(method, route.path) for route in ROUTES for method in route.methods or ()]
)
def test_nothing_that_is_sent_makes_the_server_fail(
    description: OpenApiSchema, address: str, cookie: str, method: str, path: str
) -> None:
    @settings(max_examples=_TRIES, deadline=None, derandomize=True, database=None, phases=[Phase.generate])
    @given(case=description[path][method].as_strategy())
    def send(case: schemathesis.Case[Any]) -> None:
        answer = case.call(base_url=address, headers={"cookie": cookie}, allow_redirects=False)
        case.validate_response(answer, checks=[not_a_server_error])

    send()
