import pytest
from starlette.testclient import TestClient

from app.pages import release
from tests.conftest import Enter

JOINT = "/joints/tern.coupler.from/edit"


def marks(client: TestClient, car: str = "tern") -> dict[str, str]:
    answer = client.get(f"/cars/{car}/take-along.json")
    assert answer.status_code == 200
    return {page["address"]: page["mark"] for page in answer.json()["pages"]}


@pytest.fixture
def work(enter: Enter, tern: str) -> None:
    """One of everything that has a page."""
    at = "2026-04-20T10:00:00Z"
    enter("job", "clutch", car=tern, title="Clutch", opened_at=at)
    enter("ticket", "no-boost", car=tern, what="No boost", noticed_at=at)
    enter("finding", "rubbed", car=tern, job="clutch", what="A rubbed hose", weight="watch", seen_at=at)
    enter("stopgap", "tape", car=tern, line="tern.gauge_hose", used="Tape", fitted_at=at, limit_days=9)
    enter("recheck", "clamps", car=tern, what="Clamps", since_at=at, after_days=9)


@pytest.mark.usefixtures("work")
def test_every_page_of_the_list_opens(client: TestClient) -> None:
    pages = marks(client)
    assert {path: client.get(path).status_code for path in pages} == dict.fromkeys(pages, 200)


@pytest.mark.usefixtures("work")
def test_what_is_open_and_every_part_of_the_car_is_on_the_list(client: TestClient) -> None:
    pages = marks(client)
    lines = {f"/lines/tern.{key}" for key in ("coupler", "gauge_hose", "inlet")}
    records = {"/jobs/clutch", "/tickets/no-boost", "/findings/rubbed", "/stopgaps/tape", "/rechecks/clamps"}
    blank = {"/cars/tern/jobs/blank", "/cars/tern/tickets/blank", "/cars/tern/readings/new/idle_vacuum"}
    assert lines | records | blank | {"/cars/tern", "/cars/tern/air-path", JOINT} <= pages.keys()


@pytest.mark.usefixtures("work")
def test_no_page_is_on_the_list_twice(client: TestClient) -> None:
    pages = client.get("/cars/tern/take-along.json").json()["pages"]
    assert len({page["address"] for page in pages}) == len(pages)


def test_a_mark_stays_until_something_is_entered(client: TestClient, tern: str, enter: Enter) -> None:
    before = marks(client)
    assert marks(client) == before
    enter("drive", "home", car=tern, odometer=184000.0, at="2026-04-20T10:00:00Z")
    after = marks(client)
    assert after["/cars/tern"] != before["/cars/tern"]
    assert after[JOINT] == before[JOINT]  # a drive changes no joint's form
    enter("joint", "tern.coupler.from", hold="worm_drive")
    assert marks(client)[JOINT] != before[JOINT]


def test_a_mark_is_another_with_gloves_on(client: TestClient, tern: str) -> None:
    before = marks(client)
    client.cookies.set("gloves", "on")
    assert all(mark != before[path] for path, mark in marks(client).items() if "/kept/" not in path)


def test_a_mark_is_another_in_another_release(client: TestClient, tern: str, monkeypatch: pytest.MonkeyPatch) -> None:
    before = marks(client)
    monkeypatch.setattr("app.pages.take_along.release", lambda: "another")
    assert all(mark != before[path] for path, mark in marks(client).items() if "/kept/" not in path)


def test_the_list_tells_the_release_and_is_kept_by_nobody(client: TestClient, tern: str) -> None:
    answer = client.get("/cars/tern/take-along.json")
    assert answer.json()["release"] == release.release()
    assert answer.json()["name"] == "Tern"
    assert answer.headers["cache-control"] == "no-store"


def test_a_car_that_is_not_there_has_no_list(client: TestClient) -> None:
    assert client.get("/cars/nowhere/take-along.json").status_code == 404


def test_the_page_says_how_to_get_to_the_home_screen(client: TestClient, tern: str) -> None:
    text = client.get("/take-along").text
    assert "Add to Home Screen" in text
    assert "Install" in text
    assert 'data-take-along="tern"' in text


def test_a_garage_without_a_car_has_nothing_to_take_along(client: TestClient) -> None:
    assert "There is no car yet to take along." in client.get("/take-along").text


def test_the_car_page_and_the_settings_lead_to_it(client: TestClient, tern: str) -> None:
    assert 'data-take-along="tern"' in client.get("/cars/tern").text
    assert 'href="/take-along"' in client.get("/settings").text
