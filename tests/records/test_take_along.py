from collections.abc import Callable
from contextlib import AbstractContextManager

from starlette.testclient import TestClient

from app.records.garage import Garage
from app.records.take_along import last_entries, records_to_keep
from tests.conftest import Count, Enter

AT = "2026-04-20T10:00:00Z"


def kept(garage: Garage, car: str = "tern") -> list[tuple[str, str, int]]:
    with garage.read() as db:
        return [(one.kind, one.id, one.past) for one in records_to_keep(db, car)]


def test_what_is_open_comes_first_and_what_is_done_last(garage: Garage, tern: str, enter: Enter) -> None:
    enter("job", "done", car=tern, title="Pads", opened_at=AT, closed_at="2026-04-20T11:00:00Z")
    enter("job", "open", car=tern, title="Clutch", opened_at=AT)
    records = kept(garage)
    assert records[0] == ("job", "open", 0)
    assert records[-1] == ("job", "done", 1)


def test_only_the_last_jobs_done_are_kept(garage: Garage, tern: str, enter: Enter) -> None:
    for n in range(12):
        opened = f"2026-03-{n + 1:02}T10:00:00Z"
        enter("job", f"job-{n}", car=tern, title="Pads", opened_at=opened, closed_at=f"2026-03-{n + 1:02}T11:00:00Z")
    assert [record for kind, record, _ in kept(garage) if kind == "job"] == [f"job-{n}" for n in range(11, 3, -1)]


def test_what_is_struck_out_or_off_the_car_is_not_kept(garage: Garage, tern: str, enter: Enter) -> None:
    enter("job", "wrong", car=tern, title="Clutch", opened_at=AT)
    enter("job", "wrong", void_reason="Wrong car")
    enter("line", "tern.inlet", retired_on="2026-04-20", retired_reason="A pipe of its own now")
    ids = {record for _, record, _ in kept(garage)}
    assert not ids & {"wrong", "tern.inlet", "tern.inlet.from"}


def test_another_cars_records_stay_where_they_are(garage: Garage, tern: str, enter: Enter) -> None:
    enter("car", "dunlin", name="Dunlin", layout="turbo-diesel")
    assert kept(garage, "dunlin") == []


def test_the_last_entry_about_the_parts_of_a_car_is_told_apart(garage: Garage, tern: str, enter: Enter) -> None:
    with garage.read() as db:
        last, fact = last_entries(db)
    assert last == fact
    enter("drive", "home", car=tern, odometer=184000.0, at=AT)
    with garage.read() as db:
        assert last_entries(db) == (last + 1, fact)


def test_an_empty_garage_has_no_last_entry(garage: Garage) -> None:
    with garage.read() as db:
        assert last_entries(db) == (0, 0)


def test_more_records_need_no_more_queries(
    garage: Garage,
    client: TestClient,
    tern: str,
    enter: Enter,
    count_queries: Callable[[Garage], AbstractContextManager[Count]],
) -> None:
    with count_queries(garage) as before:
        client.get("/cars/tern/take-along.json")
    for n in range(10):
        enter("job", f"job-{n}", car=tern, title="Clutch", opened_at=AT)
    with count_queries(garage) as after:
        client.get("/cars/tern/take-along.json")
    assert after.total == before.total
