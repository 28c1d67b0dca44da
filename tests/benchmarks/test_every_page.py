"""What the benchmark of pages calls is every page there is."""

from typing import cast

from fastapi.routing import APIRoute

from app.pages import ROUTERS
from tests.benchmarks.every_page import LEFT_OUT, PAGES


def test_every_page_is_measured_or_left_out_with_its_reason() -> None:
    routes = [cast(APIRoute, route) for router in ROUTERS for route in router.routes]
    pages = {route.path for route in routes if "GET" in (route.methods or ())}
    assert PAGES.keys() | LEFT_OUT.keys() == pages
    assert PAGES.keys() & LEFT_OUT.keys() == set()
