"""The page of a line or a component shows the parts for it: there now, before and next."""

from collections.abc import Callable
from contextlib import AbstractContextManager

import pytest
from starlette.testclient import TestClient

from app.records.garage import Garage
from tests.conftest import Count, Enter

AT = "2024-01-02T10:00:00.000Z"


@pytest.mark.parametrize(("kind", "place"), [("line", "tern.coupler"), ("component", "tern.gauge")])
def test_a_place_shows_its_parts_and_leads_to_one_more(
    client: TestClient, enter: Enter, tern: str, kind: str, place: str
) -> None:
    url = f"/{kind}s/{place}"
    assert f"/cars/{tern}/parts/new?{kind}={place}" in client.get(url).text
    assert "Hold them side by side" not in client.get(url).text
    for n, state in enumerate(("fitted", "wanted", "shelf")):
        enter("part", f"p{n}", car=tern, name=f"Part {n}", state=state, **{kind: place})
    text = client.get(url).text
    for said in ("Part 0</strong><span>There now", "Part 1</strong><span>Next: wanted", "Part 2</strong>"):
        assert said in text
    assert f"/cars/{tern}/compare?at={place}" in text


def test_more_parts_take_no_more_queries(
    client: TestClient,
    enter: Enter,
    garage: Garage,
    tern: str,
    count_queries: Callable[[Garage], AbstractContextManager[Count]],
) -> None:
    def ask() -> int:
        with count_queries(garage) as asked:
            assert client.get("/lines/tern.coupler").status_code == 200
        return asked.total

    enter("part", "p0", car=tern, name="One", line="tern.coupler")
    few = ask()
    for n in range(8):
        enter("part", f"q{n}", car=tern, name=f"More {n}", line="tern.coupler")
    assert ask() == few
