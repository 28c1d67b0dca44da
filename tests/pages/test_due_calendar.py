from datetime import UTC, datetime, timedelta

from starlette.testclient import TestClient

from app.paper.calendar import unfolded
from app.records.logbook import now
from tests.conftest import Enter


def _day(ahead: int) -> str:
    return (datetime.now(UTC).astimezone() + timedelta(days=ahead)).date().isoformat()


def _lines(client: TestClient, address: str) -> list[str]:
    answer = client.get(address)
    assert answer.status_code == 200
    assert answer.headers["content-type"].startswith("text/calendar")
    return unfolded(answer.text).split("\r\n")


def _days(lines: list[str]) -> dict[str, str]:
    found = [line.partition(":")[2] for line in lines if line.startswith(("SUMMARY", "DTSTART"))]
    return dict(zip(found[1::2], found[::2], strict=True))


def test_every_day_of_a_car_is_in_its_file(client: TestClient, enter: Enter, tern: str) -> None:
    enter("event", "e1", car=tern, name="Hill climb; hot", kind="sprint", on_day=_day(9))
    enter("event", "e2", car=tern, name="Called off", kind="sprint", on_day=_day(9), void_reason="rain")
    enter("recheck", "r1", car=tern, what="Clamp", since_at=now(), after_days=14)
    enter("recheck", "r2", car=tern, what="By distance", since_at=now(), after_distance=500)
    enter("stopgap", "s1", car=tern, line="tern.coupler", used="tape", fitted_at=now(), limit_days=7,
          part_name="Coupler, silicone", expected_on=_day(3))  # fmt: skip
    enter("part", "p1", car=tern, name="Pads", state="ordered", expected_on=_day(4))
    enter("part", "p2", car=tern, name="Discs", state="here", expected_on=_day(4))
    enter("stage", "st1", car=tern, step=1, name="Cooled", by_day=_day(20))
    enter("stage", "st2", car=tern, step=2, name="All fitted", by_day=_day(21))
    enter("stage", "st3", car=tern, step=3, name="Nothing in it yet", by_day=_day(22))
    enter("part", "p3", car=tern, name="Core", state="wanted", stage="st1")
    enter("part", "p4", car=tern, name="Pipe", state="fitted", stage="st2")
    found = _days(_lines(client, "/cars/tern/due.ics"))
    assert found == {
        "Tern: Hill climb\\; hot": _day(9).replace("-", ""),
        "Tern: re-check Clamp": _day(14).replace("-", ""),
        "Tern: the stopgap at Throttle coupler is at its limit": _day(7).replace("-", ""),
        "Tern: Coupler\\, silicone should arrive": _day(3).replace("-", ""),
        "Tern: Pads should arrive": _day(4).replace("-", ""),
        "Tern: Cooled is meant to be done": _day(20).replace("-", ""),
        "Tern: Nothing in it yet is meant to be done": _day(22).replace("-", ""),
    }


def test_taken_in_again_a_day_keeps_its_name_and_shows_that_it_changed(
    client: TestClient, enter: Enter, tern: str
) -> None:
    at = (datetime.now(UTC) - timedelta(days=2)).isoformat(timespec="milliseconds").replace("+00:00", "Z")
    enter("event", "e1", at_=at, car=tern, name="Hill climb", kind="sprint", on_day=_day(9))
    before = _lines(client, "/cars/tern/due.ics")
    assert before == _lines(client, "/cars/tern/due.ics")
    enter("event", "e1", on_day=_day(10))
    after = _lines(client, "/cars/tern/due.ics")
    named = [[one for one in lines if one.startswith("UID")] for lines in (before, after)]
    stamped = [[one for one in lines if one.startswith("DTSTAMP")] for lines in (before, after)]
    assert named[0] == named[1]
    assert stamped[0] < stamped[1]


def test_the_garage_s_file_holds_every_car(client: TestClient, enter: Enter, tern: str) -> None:
    enter("car", "other", name="Other", layout="direct-signal")
    for car in (tern, "other"):
        enter("event", f"e-{car}", car=car, name="Hill climb", kind="sprint", on_day=_day(9))
    assert set(_days(_lines(client, "/due.ics"))) == {"Tern: Hill climb", "Other: Hill climb"}
    assert set(_days(_lines(client, "/cars/other/due.ics"))) == {"Other: Hill climb"}
    assert client.get("/cars/none/due.ics").status_code == 404
