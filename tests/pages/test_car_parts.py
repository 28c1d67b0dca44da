"""Parts: the list, a part's page and form, its state at a tap, and how its expected day slipped."""

from collections.abc import Callable
from contextlib import AbstractContextManager
from typing import Any

import pytest
from starlette.testclient import TestClient

from app.pages.words import today
from app.records.garage import Garage
from tests.conftest import Count, Enter
from tests.seen import seen

ENTRY = "7a7ad1a4-7a4c-4b5e-9f5a-6f2a9d4f0002"


def _fields(garage: Garage, part: str) -> dict[str, Any]:
    with garage.read() as db:
        return dict(db.exec_driver_sql("SELECT * FROM part WHERE id = ?", (part,)).mappings().one())


def test_a_part_is_written_down_and_shows_what_was_said_of_it(client: TestClient, garage: Garage, tern: str) -> None:
    form = {"entry": ENTRY, "record": "elbow", "name": "Silicone elbow", "kind": "hose", "line": "tern.coupler"}
    form |= {"price": "38,50", "currency": "eur", "bore_mm": "63", "plies": "4", "stands_c": "180", "source": "A shop"}
    for _ in range(2):  # the answer was lost, and the form sent again
        answer = client.post("/cars/tern/parts/new", data=form)
        assert (answer.status_code, answer.headers["location"]) == (303, "/parts/elbow")
    assert _fields(garage, "elbow")["state"] == "wanted"
    text = seen(client.get("/parts/elbow").text)
    for said in ("It is wanted", "Throttle coupler", "38.50 EUR", "63 mm", "180 °C", "A shop", "hose or pipe"):
        assert said in text
    assert "Silicone elbow" in seen(client.get("/cars/tern/parts").text)


def test_a_refused_part_keeps_what_was_typed(client: TestClient, tern: str) -> None:
    form = {"entry": ENTRY, "record": "x", "name": "Clamp", "kind": "clamp", "price": "4", "currency": ""}
    answer = client.post("/cars/tern/parts/new", data=form)
    assert answer.status_code == 422
    assert "Say in which currency." in answer.text
    assert 'value="Clamp"' in answer.text
    two = form | {"currency": "EUR", "line": "tern.coupler", "position": "Anywhere"}
    assert "Say which one thing this is about" in client.post("/cars/tern/parts/new", data=two).text


def test_an_edit_sets_what_was_changed_and_nothing_else(
    client: TestClient, garage: Garage, enter: Enter, tern: str
) -> None:
    enter("part", "p", car=tern, name="Damper", position="Front left damper", price=120, currency="EUR")
    assert 'value="Front left damper"' in client.get("/parts/p/edit").text
    form = {"entry": ENTRY, "name": "Damper", "position": "Front left damper", "price": "110", "currency": "EUR"}
    assert client.post("/parts/p/edit", data=form).status_code == 303
    with garage.read() as db:
        (fields,) = db.exec_driver_sql("SELECT fields FROM entry WHERE id = ?", (_last(garage),)).one()
    assert fields == '{"currency":"EUR","price":110.0}'


def _last(garage: Garage) -> str:
    with garage.read() as db:
        return str(db.exec_driver_sql("SELECT id FROM entry ORDER BY seq DESC LIMIT 1").scalar())


def test_its_state_is_a_tap(client: TestClient, garage: Garage, enter: Enter, tern: str) -> None:
    enter("part", "p", car=tern, name="Damper")
    day = today().isoformat()
    assert client.post("/parts/p/state", data={"state": "ordered"}).headers["location"] == "/parts/p"
    assert (_fields(garage, "p")["state"], _fields(garage, "p")["ordered_on"]) == ("ordered", day)
    client.post("/parts/p/state", data={"state": "here"})
    assert (_fields(garage, "p")["state"], _fields(garage, "p")["arrived_on"]) == ("here", day)
    for state, said in (("shelf", "It is on the shelf"), ("gone", "It is gone"), ("wanted", "It is wanted")):
        client.post("/parts/p/state", data={"state": state})
        assert said in seen(client.get("/parts/p").text)
    assert client.post("/parts/p/state", data={"state": "lost"}).status_code == 422


def test_only_the_taps_that_make_sense_are_offered(client: TestClient, enter: Enter, tern: str) -> None:
    enter("part", "p", car=tern, name="Damper", state="wanted")
    text = seen(client.get("/parts/p").text)
    assert "Ordered today" in text
    assert "Take it off" not in text
    enter("part", "p", state="fitted")
    text = seen(client.get("/parts/p").text)
    assert "Take it off" in text
    assert "Ordered today" not in text


def test_how_the_day_it_was_expected_slipped_is_told(client: TestClient, enter: Enter, tern: str) -> None:
    enter("part", "p", car=tern, name="Damper", state="ordered", expected_on="2024-05-03")
    assert "Expected 3 May" not in seen(client.get("/parts/p").text)
    enter("part", "p", note="Asked again", expected_on="2024-05-03")
    enter("part", "p", expected_on="2024-05-12")
    assert "Expected 3 May 2024, then 12 May 2024: 9 days later." in seen(client.get("/parts/p").text)


def test_what_shares_its_place_is_told_as_now_before_and_next(client: TestClient, enter: Enter, tern: str) -> None:
    at = {"car": tern, "position": "Front left damper"}
    enter("stage", "s3", car=tern, step=3, name="Track")
    enter("part", "now", name="Plain damper", state="fitted", **at)
    enter("part", "next", name="Sport damper", stage="s3", **at)
    enter("part", "before", name="Old damper", state="gone", removed_at="2024-01-02T10:00:00.000Z", **at)
    text = seen(client.get("/parts/now").text)
    assert "For now: replaced by Sport damper in stage 3, Track." in text
    assert "Next: wanted, in stage 3" in text
    assert "Before, until 2 Jan 2024; gone now" in text
    assert "There now" in seen(client.get("/parts/next").text)


def test_a_struck_out_part_has_no_page_and_is_in_no_list(client: TestClient, enter: Enter, tern: str) -> None:
    enter("part", "p", car=tern, name="Damper", void_reason="A slip")
    assert client.get("/parts/p").status_code == 404
    assert "Damper" not in seen(client.get("/cars/tern/parts").text)


@pytest.mark.parametrize("path", ["/parts/none", "/parts/none/edit", "/parts/none/fit", "/parts/none/remove"])
def test_an_unknown_part_is_said_to_be_unknown(client: TestClient, tern: str, path: str) -> None:
    assert client.get(path).status_code == 404


def test_the_lists_ask_as_often_however_many_parts_there_are(
    client: TestClient,
    garage: Garage,
    enter: Enter,
    tern: str,
    count_queries: Callable[[Garage], AbstractContextManager[Count]],
) -> None:
    def asked(path: str) -> int:
        with count_queries(garage) as count:
            assert client.get(path).status_code == 200
        return count.total

    def more(first: int) -> None:
        for number in range(first, first + 3):
            enter("part", f"p{number}", car=tern, name=f"Part {number}", stage="s", price=1, currency="EUR")
            enter("part", f"p{number}", line="tern.coupler", state="fitted" if number % 2 else "here")
            enter("need", f"n{number}", part=f"p{number}", what="Weather")

    enter("stage", "s", car=tern, step=1, name="First")
    more(0)
    paths = ("/cars/tern/parts", "/cars/tern/plan", "/cars/tern/money", "/cars/tern/build-sheet", "/parts/p0")
    before = {path: asked(path) for path in paths}
    more(3)
    assert {path: asked(path) for path in paths} == before
