from app.records.garage import Garage
from app.records.leaned_on import leaned_on
from tests.conftest import Enter

AT = "2026-04-18T09:00:00.000Z"


def _lean(enter: Enter, line: str, how: str = "reached_past", **more: object) -> None:
    enter("touch", f"job1.{line}", job="job1", line=line, how=how, at=AT, **more)


def test_the_brittle_and_the_old_come_first(garage: Garage, enter: Enter, tern: str) -> None:
    enter("job", "job1", car=tern, title="Coupler", opened_at=AT)
    for key, material, fitted in (
        ("new_plastic", "hard_plastic", "2026-01-01"),
        ("old_plastic", "hard_plastic", "2015-02-03"),
        ("pipe", "metal", "2010-01-01"),
        ("hose", "rubber", "2010-01-01"),
    ):
        about = {"car": tern, "name": key, "role": "gauge", "material": material, "fitted_on": fitted}
        enter("line", f"tern.{key}", **about, from_component="tern.manifold", to_component="tern.gauge")
        _lean(enter, f"tern.{key}")
    with garage.read() as db:
        found = leaned_on(db, "job1")
    assert [line.name for line in found] == ["old_plastic", "new_plastic", "hose", "pipe"]
    assert [line.years for line in found] == [11, 0, 16, 16]


def test_what_was_looked_at_stays_where_it_is(garage: Garage, enter: Enter, tern: str) -> None:
    enter("job", "job1", car=tern, title="Coupler", opened_at=AT)
    for key in ("gauge_hose", "coupler"):
        _lean(enter, f"tern.{key}")
    enter("check", "job1.tern.gauge_hose", car=tern, job="job1", line="tern.gauge_hose", done_at=AT)
    with garage.read() as db:
        assert [(line.line, line.good) for line in leaned_on(db, "job1")] == [
            ("tern.gauge_hose", 1),
            ("tern.coupler", None),
        ]


def test_what_was_taken_off_was_not_only_leaned_on(garage: Garage, enter: Enter, tern: str) -> None:
    enter("job", "job1", car=tern, title="Coupler", opened_at=AT)
    _lean(enter, "tern.coupler", "disconnected")
    _lean(enter, "tern.inlet", "clamp_moved")
    with garage.read() as db:
        assert [line.line for line in leaned_on(db, "job1")] == ["tern.inlet"]
