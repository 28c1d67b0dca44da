from dataclasses import replace

from app.records.car_page import CarPage, car_page
from app.records.cars import CarRow, car, cars
from app.records.entry import Value
from app.records.garage import Garage
from tests.conftest import Enter

THEN = "2024-01-02T10:00:00.000Z"


def _judged(garage: Garage, car_id: str) -> CarPage:
    with garage.read() as db:
        found = car(db, car_id)
        assert found is not None
        judged = car_page(db, found)
        listed = next(one for one in cars(db) if one.id == car_id)
    # The list judges without weighing tickets; where there is none, it has to agree with the car's own page.
    assert listed.tickets or (listed.state == "fit") == judged.fit
    return judged


def test_a_car_of_which_nothing_is_known_is_fit_as_far_as_the_record_knows(garage: Garage, tern: str) -> None:
    assert _judged(garage, tern).fit
    assert _judged(garage, tern).quiet


def test_a_joint_off_or_unchecked_stops_the_car_until_it_is_checked(garage: Garage, enter: Enter, tern: str) -> None:
    enter("job", "job1", car=tern, title="Gauge", opened_at=THEN)
    enter("touch", "job1.tern.gauge_hose", job="job1", line="tern.gauge_hose", how="disconnected", at=THEN)
    joints = [f"tern.gauge_hose.{end}" for end in ("from", "to")]
    for n, joint in enumerate(joints):
        assert not _judged(garage, tern).fit
        assert _job(garage)["ends_left"] == 2 - n
        enter("loose_end", f"job1.{joint}", job="job1", joint=joint, back_on_at=THEN)
        assert _job(garage)["still_off"] == 1 - n
        assert not _judged(garage, tern).fit
        enter("check", f"job1.{joint}", car=tern, job="job1", joint=joint, done_at=THEN)
    assert _job(garage)["ends_left"] == 0
    assert _judged(garage, tern).fit


def _job(garage: Garage) -> dict[str, Value]:
    return _judged(garage, "tern").known["job/job1"]


def test_what_was_carried_over_says_why(garage: Garage, enter: Enter, tern: str) -> None:
    enter("job", "job1", car=tern, title="Gauge", opened_at=THEN)
    enter("touch", "job1.tern.inlet", job="job1", line="tern.inlet", how="disconnected", ends="to", at=THEN)
    enter("job", "job1", closed_at=THEN, carried_reason="No clamp in the house")
    assert (_job(garage)["loose"], _job(garage)["carried_reason"]) == ("Throttle to manifold", "No clamp in the house")
    assert not _judged(garage, tern).fit


def test_a_stopgap_is_told_of_and_stops_the_car_once_past_its_limit(garage: Garage, enter: Enter, tern: str) -> None:
    gap = {"car": tern, "line": "tern.inlet", "used": "Tape", "fitted_at": THEN, "fitted_odometer": 1000}
    enter("stopgap", "gap1", limit_distance=300, **gap)
    enter("drive", "drive1", car=tern, at="2024-01-03T10:00:00.000Z", odometer=1299)
    judged = _judged(garage, tern)
    assert judged.fit
    assert not judged.quiet
    enter("drive", "drive2", car=tern, at="2024-01-04T10:00:00.000Z", odometer=1300)
    judged = _judged(garage, tern)
    assert not judged.fit
    assert (judged.known["stopgap/gap1"]["name"], judged.known["stopgap/gap1"]["past"]) == (
        "Throttle to manifold",
        "yes",
    )


def test_heat_cycles_and_days_run_a_stopgap_out_as_well(garage: Garage, enter: Enter, tern: str) -> None:
    gap = {"car": tern, "what": "Clip", "used": "Tie", "fitted_at": THEN}
    enter("stopgap", "gap1", limit_heat_cycles=2, **gap)
    enter("drive", "drive1", car=tern, at="2024-01-03T10:00:00.000Z", odometer=1000, heat_cycles=1)
    assert _judged(garage, tern).fit
    enter("drive", "drive2", car=tern, at="2024-01-03T11:00:00.000Z", odometer=1010, heat_cycles=1)
    assert not _judged(garage, tern).fit
    enter("stopgap", "gap1", limit_days=9999, limit_distance=None, limit_heat_cycles=None)
    assert _judged(garage, tern).fit
    enter("stopgap", "gap1", limit_days=10, limit_distance=None, limit_heat_cycles=None)
    assert not _judged(garage, tern).fit


def test_no_stopgap_in_a_brake_servo_line_is_driven_on(garage: Garage, enter: Enter, tern: str) -> None:
    enter("line", "tern.inlet", role="brake_servo")
    gap = {"car": tern, "line": "tern.inlet", "used": "Tape", "fitted_at": THEN}
    enter("stopgap", "gap1", limit_days=9999, **gap)
    judged = _judged(garage, tern)
    assert not judged.fit
    assert judged.known["stopgap/gap1"]["danger"] == "yes"


def test_a_finding_to_act_on_stops_the_car_until_settled(garage: Garage, enter: Enter, tern: str) -> None:
    seen = {"car": tern, "line": "tern.inlet", "seen_at": THEN}
    enter("finding", "watched", what="Oil mist", weight="watch", **seen)
    enter("finding", "finding1", what="Rubbed through to the cord", weight="act", **seen)
    judged = _judged(garage, tern)
    assert [(one.what, one.place) for one in judged.findings] == [
        ("Rubbed through to the cord", "Throttle to manifold")
    ]
    assert not judged.fit
    enter("finding", "finding1", settled_at=THEN, settled_how="Replaced")
    assert _judged(garage, tern).fit


def test_a_recheck_comes_up_soon_and_stops_the_car_once_due(garage: Garage, enter: Enter, tern: str) -> None:
    enter("recheck", "recheck1", car=tern, what="Charge clamps", since_at=THEN, after_heat_cycles=3)
    assert _judged(garage, tern).quiet
    enter("drive", "drive1", car=tern, at="2024-01-03T10:00:00.000Z", odometer=1000, heat_cycles=2)
    assert (_judged(garage, tern).fit, _judged(garage, tern).quiet) == (True, False)
    enter("drive", "drive2", car=tern, at="2024-01-03T11:00:00.000Z", odometer=1010, heat_cycles=1)
    assert not _judged(garage, tern).fit
    enter("recheck", "recheck1", done_at="2024-01-03T12:00:00.000Z")
    assert _judged(garage, tern).fit


def test_a_hard_brake_pedal_stops_the_car(garage: Garage, enter: Enter, tern: str) -> None:
    enter("ticket", "ticket1", car=tern, what="Pedal is hard", noticed_at=THEN)
    enter("sign", "ticket1.brake_pedal", ticket="ticket1", sign="brake_pedal", outcome="hard", noted_at=THEN)
    judged = _judged(garage, tern)
    assert not judged.fit
    assert "do not drive" in str(judged.known["ticket/ticket1"]["do_not_drive"])
    with garage.read() as db:
        assert [one.state for one in cars(db)] == ["ticket"]


def test_a_harmless_ticket_leaves_the_car_fit_but_the_list_does_not_say_so(
    garage: Garage, enter: Enter, tern: str
) -> None:
    enter("ticket", "ticket1", car=tern, what="A rattle", noticed_at=THEN)
    assert _judged(garage, tern).fit
    with garage.read() as db:
        (listed,) = cars(db)
    assert (listed.state, listed.tickets) == ("ticket", 1)
    assert replace(listed, tickets=0).state == "fit"


def test_the_list_of_cars_is_by_name_with_how_far_each_has_come(garage: Garage, enter: Enter, tern: str) -> None:
    enter("car", "avocet", name="Avocet", layout="turbo-diesel", distance_unit="mi")
    enter("drive", "drive1", car=tern, at=THEN, odometer=184_210)
    enter("car", "gone", name="Gone", layout="turbo-diesel", void_reason="Sold before it came")
    with garage.read() as db:
        assert [(one.name, one.reads) for one in cars(db)] == [("Avocet", None), ("Tern", 184_210)]
        assert isinstance(car(db, "avocet"), CarRow)
        assert car(db, "gone") is None
