"""Find, as a browser without scripts meets it."""

import re
import sqlite3

import pytest
from sqlalchemy import event
from starlette.testclient import TestClient

from app.records.find_words import GROUPS
from app.records.garage import Garage
from tests.conftest import Enter
from tests.seen import seen

AT = "2026-04-18T10:40:00.000Z"


@pytest.fixture
def job(enter: Enter, tern: str) -> str:
    enter("job", "j1", car=tern, title="Coupler off and on", opened_at=AT, note="Clamp picked up a thread")
    return "j1"


def test_the_box_is_a_tap_away_from_every_page(client: TestClient, tern: str) -> None:
    for path in ("/cars", f"/cars/{tern}", "/settings", f"/lines/{tern}.coupler", f"/cars/{tern}/jobs"):
        assert 'href="/find"' in client.get(path).text, path


def test_the_empty_box_says_what_it_looks_through(client: TestClient) -> None:
    assert "The beginning of a word is enough" in seen(client.get("/find").text)


def test_what_is_found_stands_in_groups_and_leads_to_its_page(client: TestClient, job: str) -> None:
    page = client.get("/find", params={"q": "coupl"})
    text = seen(page.text)
    assert text.index("Cars, lines and components") < text.index("Joints and torque") < text.index("Jobs")
    for path in ("/lines/tern.coupler", f"/jobs/{job}"):
        assert f'href="{path}"' in page.text
        assert client.get(path).status_code == 200


def test_what_matched_is_marked_and_whatever_was_written_stays_text(
    client: TestClient, enter: Enter, tern: str
) -> None:
    enter("job", "j2", car=tern, title="<b>Coupler</b> & hose", opened_at=AT)
    assert "&lt;b&gt;<mark>Coupler</mark>&lt;/b&gt; &amp; hose" in client.get("/find", params={"q": "coupl"}).text


def test_nothing_found_says_what_to_try(client: TestClient, job: str) -> None:
    assert "Nothing holds all of this" in seen(client.get("/find", params={"q": "coupler zebra"}).text)


def test_one_car_alone_can_be_looked_through(client: TestClient, enter: Enter, job: str) -> None:
    enter("car", "dunlin", name="Dunlin", layout="turbo-diesel")
    enter("job", "j3", car="dunlin", title="Coupler of the other one", opened_at=AT)
    every = client.get("/find", params={"q": "coupler", "car": ""}).text
    one = client.get("/find", params={"q": "coupler", "car": "dunlin"}).text
    assert ("/jobs/j1" in every, "/jobs/j3" in every) == (True, True)
    assert ("/jobs/j1" in one, "/jobs/j3" in one) == (False, True)


def test_a_group_shows_its_newest_and_the_way_to_all_the_others(client: TestClient, enter: Enter, tern: str) -> None:
    titles = [f"Coupler job {n:02}" for n in range(60)]
    for n, title in enumerate(titles):
        enter("job", f"j{n}", car=tern, title=title, opened_at=f"2026-03-01T10:{n:02}:00.000Z")
    page = client.get("/find", params={"q": "coupler job"}).text
    assert [title for title in titles if title.split()[-1] in re.findall(r"</mark> (\d\d)", page)] == titles[-5:]
    met: list[str] = []
    way = re.search(r'class="row more" href="([^"]+)"', page)
    while way:
        page = client.get(way[1].replace("&amp;", "&")).text
        met += re.findall(r"</mark> (\d\d)", page)
        way = re.search(r'class="row more" href="([^"]+)"', page)
    assert met == [f"{n:02}" for n in reversed(range(60))]


def test_a_search_takes_as_many_queries_however_much_there_is(
    client: TestClient, garage: Garage, enter: Enter, tern: str
) -> None:
    def asked() -> list[str]:
        statements: list[str] = []

        def watch(driver: sqlite3.Connection, *_: object) -> None:
            driver.set_trace_callback(statements.append)

        event.listen(garage.engine, "checkout", watch)
        assert client.get("/find?q=coupler").status_code == 200
        event.remove(garage.engine, "checkout", watch)
        garage.engine.dispose()
        # What the index asks of its own tables is SQLite's business: it hangs on how it lies on the disk.
        return [one.split("?")[0][:20] for one in statements if "main" not in one and not one.startswith("--")]

    few = asked()
    assert len([one for one in few if "SELECT f.kind" in one]) == len(GROUPS)
    for n in range(30):
        enter("job", f"j{n}", car=tern, title=f"Coupler {n}", opened_at=AT)
        enter("ticket", f"t{n}", car=tern, what=f"Coupler leaks {n}", noticed_at=AT)
    assert asked() == few


@pytest.mark.parametrize("params", [{"q": '"'}, {"q": "a" * 5000}, {"q": "x", "only": "none"}, {"q": "\x00'--"},
                                    {"q": "coupler", "only": "jobs", "before": "9" * 30},
                                    {"q": "coupler", "car": 'tern" OR "x'}])  # fmt: skip
def test_odd_addresses_are_answered_as_well_as_may_be(client: TestClient, job: str, params: dict[str, str]) -> None:
    assert client.get("/find", params=params).status_code == 200
