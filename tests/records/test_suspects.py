from collections.abc import Callable
from contextlib import AbstractContextManager
from datetime import UTC, datetime, timedelta

import pytest

from app.records.cars import CarRow, car
from app.records.fields import moment_text
from app.records.garage import Garage
from app.records.open_tickets import open_tickets
from app.records.suspects import Case, cases, ranked, ranking
from app.records.tickets import TicketRow, ticket
from tests.conftest import Count, Enter

NOTICED = datetime(2026, 4, 18, 10, 40, tzinfo=UTC)


def days_before(days: float) -> str:
    return moment_text(NOTICED - timedelta(days=days))


@pytest.fixture
def wanders(enter: Enter, tern: str) -> str:
    enter("job", "j1", car=tern, title="Coupler", opened_at=days_before(2), odometer=1000, air_temp_c=6)
    enter("touch", "j1.tern.gauge_hose", job="j1", line="tern.gauge_hose", how="reached_past", at=days_before(2))
    enter("ticket", "t1", car=tern, what="Boost wanders", noticed_at=days_before(0), noticed_odometer=1085)
    return "t1"


def case_of(garage: Garage, ticket_id: str, car_id: str = "tern") -> tuple[CarRow, TicketRow, Case]:
    with garage.read() as db:
        the_car, the_ticket = car(db, car_id), ticket(db, ticket_id)
        assert the_car is not None
        assert the_ticket is not None
        return the_car, the_ticket, cases(db, the_car, [the_ticket])[ticket_id]


def test_a_touch_before_the_fault_counts_with_its_days_distance_and_cold(garage: Garage, wanders: str) -> None:
    _, _, case = case_of(garage, wanders)
    (touch,) = case.touched
    assert (touch.candidate_id, touch.days_ago, touch.km_ago, touch.temp_c) == ("tern.gauge_hose", 2, 85, 6)


def test_a_car_that_counts_miles_is_weighed_in_kilometres(garage: Garage, enter: Enter, wanders: str) -> None:
    enter("car", "tern", distance_unit="mi")
    _, _, case = case_of(garage, wanders)
    assert case.touched[0].km_ago == pytest.approx(85 * 1.609344)


def test_what_was_touched_after_the_fault_is_not_to_blame(garage: Garage, enter: Enter, wanders: str) -> None:
    enter("job", "j2", car="tern", title="Look round", opened_at=days_before(-1))
    enter("touch", "j2.tern.coupler", job="j2", line="tern.coupler", how="disconnected", at=days_before(-1))
    _, _, case = case_of(garage, wanders)
    assert [touch.candidate_id for touch in case.touched] == ["tern.gauge_hose"]


def test_a_touch_of_years_ago_no_longer_counts(garage: Garage, enter: Enter, wanders: str) -> None:
    enter("job", "old", car="tern", title="Inlet", opened_at=days_before(500))
    enter("touch", "old.tern.inlet", job="old", line="tern.inlet", how="disconnected", at=days_before(500))
    _, _, case = case_of(garage, wanders)
    assert [touch.candidate_id for touch in case.touched] == ["tern.gauge_hose"]


def test_signs_checks_and_codes_reach_the_ranking(garage: Garage, enter: Enter, wanders: str) -> None:
    enter(
        "sign",
        f"{wanders}.boost_stability",
        ticket=wanders,
        sign="boost_stability",
        outcome="erratic",
        noted_at=days_before(0),
    )
    enter("sign", f"{wanders}.codes", ticket=wanders, sign="codes", outcome="p0299, p1234", noted_at=days_before(0))
    for n, result in enumerate(("fault", "unclear", "sound")):
        enter(
            "direct_check",
            f"c{n}",
            ticket=wanders,
            line="tern.coupler",
            method="smoke",
            result=result,
            done_at=days_before(-n / 9),
        )
    _, _, case = case_of(garage, wanders)
    assert case.signs == (("boost_stability", "erratic"),)
    assert case.codes == ("P0299", "P1234")
    assert [(one.method, one.result) for one in case.checks] == [("smoke", "fine")]
    assert ranked(case).unused_codes == ("P1234",)


def test_what_is_fitted_or_patched_after_the_fault_was_not_so_when_it_was_noticed(
    garage: Garage, enter: Enter, wanders: str
) -> None:
    enter("line", "tern.gauge_hose", fitted_on="2026-05-01", state="stopgap")
    enter("line", "tern.coupler", fitted_on="2016-04-18")
    enter("stopgap", "s1", car="tern", line="tern.gauge_hose", used="tape", fitted_at=days_before(-9), limit_days=9)
    _, _, case = case_of(garage, wanders)
    hose, coupler = case.candidate("tern.gauge_hose"), case.candidate("tern.coupler")
    assert hose is not None
    assert coupler is not None
    assert (hose.age_years, hose.stopgap, coupler.age_years) == (None, False, 10.0)


def test_a_proved_ticket_teaches_the_next_one_but_not_itself(garage: Garage, enter: Enter, wanders: str) -> None:
    enter("ticket", "t0", car="tern", what="Hiss", noticed_at=days_before(90), found_at=days_before(80))
    enter("ticket", "t0", found_line="tern.coupler", proved_at=days_before(70), proof_reason="Gone")
    assert case_of(garage, wanders)[2].taught == (("charge", 1),)
    assert case_of(garage, "t0")[2].taught == ()


def test_the_same_case_is_reckoned_once(garage: Garage, wanders: str) -> None:
    the_car, the_ticket, case = case_of(garage, wanders)
    before = ranked(case)
    with garage.read() as db:
        assert ranking(db, the_car, the_ticket) is before


def test_more_open_tickets_and_touches_add_no_query(
    garage: Garage, enter: Enter, wanders: str, count_queries: Callable[[Garage], AbstractContextManager[Count]]
) -> None:
    the_car, _, _ = case_of(garage, wanders)
    enter("car", "tern", note="New since, so that nothing is kept from before")
    with count_queries(garage) as before, garage.read() as db:
        open_tickets(db, the_car)
    for n in range(4):
        enter("ticket", f"t{n + 2}", car="tern", what="Hiss", noticed_at=days_before(n))
        enter("touch", f"j1.tern.x{n}", job="j1", line="tern.inlet", how="clamp_moved", at=days_before(2))
    with count_queries(garage) as after, garage.read() as db:
        assert len(open_tickets(db, the_car)) == 5
    assert after.total == before.total


def test_a_suspected_brake_servo_keeps_the_car_off_the_road(garage: Garage, enter: Enter, wanders: str) -> None:
    enter("line", "tern.gauge_hose", role="brake_servo")
    the_car, _, _ = case_of(garage, wanders)
    with garage.read() as db:
        (line,) = open_tickets(db, the_car)
    assert (line.leading, line.do_not_drive is not None) == ("Gauge hose, manifold to gauge", True)


def test_a_hard_pedal_keeps_the_car_off_the_road_whoever_is_suspected(
    garage: Garage, enter: Enter, wanders: str
) -> None:
    the_car, _, _ = case_of(garage, wanders)
    with garage.read() as db:
        assert open_tickets(db, the_car)[0].do_not_drive is None
    enter("sign", f"{wanders}.brake_pedal", ticket=wanders, sign="brake_pedal", outcome="hard", noted_at=days_before(0))
    with garage.read() as db:
        assert "do not drive" in str(open_tickets(db, the_car)[0].do_not_drive)


def test_a_ticket_says_how_far_after_the_last_job_it_was_noticed(garage: Garage, wanders: str) -> None:
    _the_car, the_ticket, _ = case_of(garage, wanders)
    assert (the_ticket.after_distance, the_ticket.last_job) == (85, "j1")
