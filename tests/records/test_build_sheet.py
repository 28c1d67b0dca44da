from app.airpath.words import LineState
from app.records.build_sheet import Position, build_sheet
from app.records.garage import Garage
from tests.conftest import Enter


def _positions(garage: Garage, car: str) -> dict[str, Position]:
    with garage.read() as db:
        return {it.name: it for section in build_sheet(db, car) for it in section.positions}


def test_lines_and_components_stand_along_the_air(garage: Garage, tern: str) -> None:
    with garage.read() as db:
        sheet = [(section.role, [it.name for it in section.positions]) for section in build_sheet(db, tern)]
    assert sheet == [
        ("charge", ["Compressor", "Throttle coupler", "Throttle", "Throttle to manifold", "Manifold"]),
        ("gauge", ["Gauge hose, manifold to gauge", "Boost gauge"]),
    ]


def test_a_line_says_what_was_there_before_each_replacement(garage: Garage, enter: Enter, tern: str) -> None:
    line = "tern.coupler"
    enter("line", line, state="replaced", fitted_on="2023-05-02", material="rubber", part="Moulded elbow")
    enter("line", line, fitted_on="2023-05-03")  # a slip mended, not a new part
    enter("line", line, state="replaced", fitted_on="2024-03-01", material="silicone", part="Silicone coupler 63")
    it = _positions(garage, tern)["Throttle coupler"]
    assert (it.part, it.made_of, it.fitted, it.state) == (
        "Silicone coupler 63",
        "silicone, 63 mm bore",
        "2024-03-01",
        LineState.REPLACED,
    )
    assert [(was.what, was.until) for was in it.before] == [
        ("Moulded elbow", "2024-03-01"),
        ("silicone, as it came", "2023-05-02"),
    ]


def test_a_part_put_on_in_a_job_is_what_is_fitted_now(garage: Garage, enter: Enter, tern: str) -> None:
    at = "2024-02-01T10:00:00.000Z"
    enter("job", "job1", car=tern, title="Gauge", opened_at=at, odometer=184_000)
    change = {"job": "job1", "component": "tern.gauge", "off_part": "Old gauge", "on_part": "New gauge", "at": at}
    enter("part_change", "change1", **change)
    it = _positions(garage, tern)["Boost gauge"]
    assert (it.part, it.fitted, it.fitted_odometer, it.state) == ("New gauge", at, 184_000, LineState.REPLACED)
    assert [(was.what, was.until) for was in it.before] == [("Old gauge", at)]


def test_one_change_told_twice_is_told_once(garage: Garage, enter: Enter, tern: str) -> None:
    at = "2024-02-01T10:00:00.000Z"
    enter("job", "job1", car=tern, title="Coupler", opened_at=at)
    change = {"job": "job1", "line": "tern.coupler", "off_part": "First coupler", "on_part": "Second coupler", "at": at}
    enter("part_change", "change1", **change)
    enter("line", "tern.coupler", state="replaced", fitted_on="2024-02-01", part="Second coupler")
    assert [was.what for was in _positions(garage, tern)["Throttle coupler"].before] == ["First coupler"]


def test_a_free_position_says_what_is_fitted_or_that_nothing_is(garage: Garage, enter: Enter, tern: str) -> None:
    enter("job", "job1", car=tern, title="Brace", opened_at="2024-01-01T10:00:00.000Z")
    on = {"job": "job1", "position": "Strut brace", "at": "2024-01-01T10:00:00.000Z"}
    enter("part_change", "on", on_part="Steel brace", **on)
    assert _positions(garage, tern)["Strut brace"].part == "Steel brace"
    enter("part_change", "off", off_part="Steel brace", **(on | {"at": "2024-03-01T10:00:00.000Z"}))
    it = _positions(garage, tern)["Strut brace"]
    assert (it.part, it.of) == (None, "position")
    assert [was.what for was in it.before] == ["Steel brace"]


def test_a_stopgap_says_what_it_waits_for_even_on_no_line(garage: Garage, enter: Enter, tern: str) -> None:
    gap = {"car": tern, "fitted_at": "2024-03-01T10:00:00.000Z", "limit_days": 30, "part_name": "Tee 19 mm"}
    enter("stopgap", "gap1", line="tern.gauge_hose", used="Fuel hose", expected_on="2024-03-20", **gap)
    enter("stopgap", "gap2", what="Undertray clip", used="Cable tie", **gap)
    found = _positions(garage, tern)
    hose, clip = found["Gauge hose, manifold to gauge"], found["Undertray clip"]
    assert hose.state is LineState.STOPGAP
    assert hose.waiting
    assert (hose.waiting.used, hose.waiting.part_name, hose.waiting.expected_on) == (
        "Fuel hose",
        "Tee 19 mm",
        "2024-03-20",
    )
    assert clip.waiting
    assert clip.waiting.used == "Cable tie"


def test_what_left_the_car_has_left_its_build_sheet(garage: Garage, enter: Enter, tern: str) -> None:
    enter("job", "job1", car=tern, title="Gauge", opened_at="2024-01-01T10:00:00.000Z")
    change = {"job": "job1", "line": "tern.gauge_hose", "on_part": "Hose", "at": "2024-01-01T10:00:00.000Z"}
    enter("part_change", "change1", **change)
    enter("line", "tern.gauge_hose", retired_on="2024-02-01")
    enter("component", "tern.gauge", retired_on="2024-02-01")
    assert not {"Gauge hose, manifold to gauge", "Boost gauge", "tern.gauge_hose"} & _positions(garage, tern).keys()
