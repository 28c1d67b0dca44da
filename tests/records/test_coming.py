"""What the build sheet says of parts: what is on a place, and what comes next there."""

from app.records.build_sheet import Position, build_sheet
from app.records.garage import Garage
from app.records.take_along import records_to_keep
from tests.conftest import Enter


def _positions(garage: Garage, car: str) -> dict[str, Position]:
    with garage.read() as db:
        return {it.name: it for section in build_sheet(db, car) for it in section.positions}


def test_a_place_says_what_is_to_come_there_and_in_which_stage(garage: Garage, enter: Enter, tern: str) -> None:
    enter("stage", "s3", car=tern, step=3, name="Track")
    hose = {"car": tern, "kind": "hose", "line": "tern.coupler"}
    enter("part", "later", name="Silicone 70", stage="s3", state="ordered", expected_on="2024-05-12", **hose)
    enter("part", "gone", name="First try", state="gone", **hose)
    enter("part", "shelf", name="Spare", state="shelf", **hose)
    enter("part", "clamp", car=tern, kind="clamp", line="tern.coupler", name="T-bolt", stage="s3")
    it = _positions(garage, tern)["Throttle coupler"]
    assert [(one.name, one.step, one.state, one.throws_out) for one in it.next] == [
        ("Silicone 70", 3, "ordered", True),
        ("T-bolt", 3, "wanted", False),
    ]


def test_a_part_says_what_is_fitted_where_no_job_did(garage: Garage, enter: Enter, tern: str) -> None:
    at = "2024-02-01T10:00:00.000Z"
    enter("part", "d", car=tern, name="Plain damper", state="fitted", position="Front left damper", fitted_at=at)
    enter("part", "g", car=tern, name="New gauge", state="fitted", component="tern.gauge", fitted_at=at)
    found = _positions(garage, tern)
    damper, gauge = found["Front left damper"], found["Boost gauge"]
    assert (damper.part, damper.fitted, damper.of) == ("Plain damper", at, "position")
    assert (gauge.part, gauge.fitted, gauge.state) == ("New gauge", at, "replaced")
    enter("part", "d", state="shelf")
    assert "Front left damper" not in _positions(garage, tern)


def test_what_a_line_says_of_itself_comes_before_what_a_part_says(garage: Garage, enter: Enter, tern: str) -> None:
    enter("line", "tern.coupler", part="Moulded elbow")
    enter("part", "p", car=tern, kind="hose", name="Silicone", state="fitted", line="tern.coupler")
    assert _positions(garage, tern)["Throttle coupler"].part == "Moulded elbow"


def test_what_left_the_car_waits_for_nothing(garage: Garage, enter: Enter, tern: str) -> None:
    enter("part", "p", car=tern, name="New gauge", component="tern.gauge")
    enter("component", "tern.gauge", retired_on="2024-02-01")
    assert "Boost gauge" not in _positions(garage, tern)


def test_the_parts_that_are_to_be_fitted_are_taken_along(garage: Garage, enter: Enter, tern: str) -> None:
    for state in ("wanted", "ordered", "here", "fitted", "shelf", "gone"):
        enter("part", state, car=tern, name=state, state=state)
    with garage.read() as db:
        kept = {one.id for one in records_to_keep(db, tern) if one.kind == "part"}
    assert kept == {"wanted", "ordered", "here"}
