import json
import re

import pytest
from starlette.testclient import TestClient

from app.records.garage import Garage
from tests.conftest import Enter
from tests.logs import drive, take_in

LOG, SAMPLES = "/logs/sunday", "/logs/sunday/samples"
CAUTION = "Boost over target: stay off full throttle"


@pytest.fixture(autouse=True)
def logged(garage: Garage, enter: Enter, tern: str) -> None:
    """A car with a target of 1 bar, a log that goes over it in its second pull, and one that does not."""
    enter("boost_target", "tern.boost", car=tern, curve="[[3000, 1.0]]", tolerance=0.08, unit="bar", basis="gauge")
    take_in(garage, "sunday", tern, drive(195, 228))
    take_in(garage, "monday", tern, drive(185), "2026-04-19T10:00:00.000Z")


def test_a_log_shows_in_figures_what_its_chart_shows(client: TestClient) -> None:
    text = client.get(LOG).text
    rows = re.findall(
        r'<th scope="row">([\w ]+) <small>.*?</small></th><td>(.+?)</td><td>(.+?)</td><td>(.+?)</td>', text
    )
    assert [row[0] for row in rows] == ["Engine speed", "Manifold pressure", "Throttle"]
    assert rows[1][1:] == ("60", "127.1", "228")
    later = client.get(f"{LOG}?from=0&to=20&channel=manifold_pressure").text
    assert re.search(r"<td>60</td><td>[\d.]+</td><td>195</td>", later)
    assert "Throttle <small>" not in later.partition("Which channels")[0]


def test_its_figures_come_thinned_from_an_address_of_their_own(client: TestClient) -> None:
    told = client.get(SAMPLES, params={"columns": "50", "channel": "manifold_pressure"}).json()
    (one,) = told["channels"]
    assert (told["from"], told["to"]) == (0.0, 39.9)
    assert len(told["at"]) == len(one["figures"]) == 100
    assert max(one["figures"]) == 228
    assert one["spread"] == ["60", "127.1", "228"]
    part = client.get(SAMPLES, params={"from": "24.95", "to": "25.55", "columns": "50"}).json()
    assert part["at"] == [24.9, 25.0, 25.1, 25.2, 25.3, 25.4, 25.5, 25.6]


@pytest.mark.parametrize(
    ("asked", "shown"),
    [
        ({"from": "x", "to": "inf"}, (0.0, 39.9)),
        ({"from": "-5", "to": "1e9"}, (0.0, 39.9)),
        ({"from": "30", "to": "10"}, (0.0, 39.9)),
        ({"from": "12,5", "to": "20"}, (12.5, 20.0)),
        ({"columns": "0"}, (0.0, 39.9)),
        ({"columns": "999999999999"}, (0.0, 39.9)),
        ({"channel": "none"}, (0.0, 39.9)),
    ],
)
def test_odd_windows_are_the_whole_log(client: TestClient, asked: dict[str, str], shown: tuple[float, float]) -> None:
    told = client.get(SAMPLES, params=asked).json()
    assert (told["from"], told["to"]) == shown
    assert told["channels"]


def test_the_ways_to_move_never_leave_the_log(client: TestClient) -> None:
    query = "from=10&to=20"
    found = {}
    for way in ("closer", "wider", "earlier", "later", "whole"):
        href = re.search(rf'data-way="{way}" href="\?(.*?)#chart"', client.get(f"{LOG}?{query}").text)
        assert href is not None
        told = client.get(f"{SAMPLES}?{href[1].replace('&amp;', '&')}").json()
        found[way] = (told["from"], told["to"])
    whole = (0.0, 39.9)
    moves = {"closer": (12.5, 17.5), "wider": (5, 25), "earlier": (5, 15), "later": (15, 25), "whole": whole}
    assert found == moves


@pytest.mark.parametrize("path", ["/logs/none", "/logs/none/samples", "/logs/compare?a=none", "/logs/compare"])
def test_a_log_that_is_not_there_is_said_not_to_be(client: TestClient, path: str) -> None:
    assert client.get(path).status_code == 404
    assert client.post("/logs/none/over-target").status_code == 404


def test_a_stretch_over_target_stands_on_the_log_and_on_the_car_until_it_was_looked_at(client: TestClient) -> None:
    text = client.get(LOG).text
    assert "1 stretch over target." in text
    assert "0.27 bar over the target at 3\N{NO-BREAK SPACE}350 rpm" in text
    assert CAUTION not in client.get("/logs/monday").text
    assert 'href="/logs/sunday#over-target" data-record="overboost/sunday"' in client.get("/cars/tern").text
    assert client.post(f"{LOG}/over-target", data={"note": "Pipe off the wastegate"}).headers["location"] == LOG
    assert "/logs/sunday#over-target" not in client.get("/cars/tern").text
    seen = client.get(LOG).text
    assert "Looked at: it no longer stands" in seen
    assert CAUTION in seen
    assert client.post("/records/overboost/sunday/void", data={"void_reason": "Not looked at"}).status_code == 303
    assert "/logs/sunday#over-target" in client.get("/cars/tern").text


def test_another_target_judges_old_logs_anew(client: TestClient, enter: Enter) -> None:
    assert "1 stretch over target." in client.get(LOG).text
    enter("boost_target", "tern.boost", curve="[[3000, 0.75]]", tolerance=0.05, unit="bar", basis="gauge")
    assert "2 stretches over target." in client.get(LOG).text
    assert client.get("/cars/tern").text.count("#over-target") == 2
    enter("boost_target", "tern.boost", void_reason="Of another engine")
    assert CAUTION not in client.get(LOG).text
    assert "#over-target" not in client.get("/cars/tern").text


def test_two_logs_lie_over_each_other_by_engine_speed(client: TestClient) -> None:
    assert 'value="monday"' in client.get("/logs/compare?a=sunday").text
    text = client.get("/logs/compare?a=sunday&b=monday&wide_open=yes").text
    rows = re.findall(r'<th scope="row">(\d+)</th><td>(.+?)</td><td>(.+?)</td><td>(.+?)</td>', text)
    assert [row[0] for row in rows] == [str(2000 + 500 * n) for n in range(9)]
    assert rows[-1][1:] == ("211.5", "185", "\N{MINUS SIGN}26.5")


def test_two_logs_lie_over_each_other_by_time_from_where_they_are_told_to(client: TestClient) -> None:
    text = client.get("/logs/compare?a=sunday&b=monday&by=time&a_from=20&seconds=19").text
    found = re.search(r'id="overlay">(.+?)</script>', text)
    assert found is not None
    told = json.loads(found[1])
    assert (told["by"], told["at"][0], told["at"][-1]) == ("time", 0.0, 19.0)
    assert [max(one) for one in told["lines"]] == [228, 185]
    assert [one.index(max(one)) for one in told["lines"]] == [one.index(max(one)) for one in told["lines"][:1]] * 2


def test_a_log_without_its_file_says_so_instead_of_a_chart(client: TestClient, enter: Enter, tern: str) -> None:
    enter("trace", "lost", car=tern, name="lost.csv", begun_at="2026-04-20T10:00:00.000Z")
    assert "data-chart" not in client.get("/logs/lost").text
    assert client.get("/logs/lost/samples").status_code == 404
    assert client.get("/cars/tern").status_code == 200
