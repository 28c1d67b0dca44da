"""Reopened after its repair, a ticket hunts a second fault with what is known of the first."""

from collections.abc import Callable
from contextlib import AbstractContextManager

import pytest

from app.records.cars import car
from app.records.garage import Garage
from app.records.suspects import Case, cases, ranked
from app.records.tickets import ticket, unproved
from tests.conftest import Count, Enter
from tests.records.test_suspects import case_of, days_before

FIRST, SECOND = "tern.gauge_hose", "tern.coupler"


@pytest.fixture
def mended(enter: Enter, tern: str) -> str:
    """A ticket whose gauge hose was found and repaired."""
    enter("ticket", "t1", car=tern, what="Boost wanders", noticed_at=days_before(9))
    sign(enter, "idle_needle", "wavering", 9)
    sign(enter, "codes", "P0171", 9)
    check(enter, "c1", SECOND, "sound", 9)
    enter("ticket", "t1", found_at=days_before(8), found_line=FIRST, found_wrong="Split")
    enter("ticket", "t1", repaired_at=days_before(7), repaired_how="for_good")
    return "t1"


@pytest.fixture
def reopened(enter: Enter, mended: str) -> str:
    enter("ticket", mended, reopened_at=days_before(6), reopened_reason="Still off")
    return mended


def sign(enter: Enter, key: str, outcome: str, ago: float) -> None:
    enter("sign", f"t1.{key}", ticket="t1", sign=key, outcome=outcome, noted_at=days_before(ago))


def check(enter: Enter, record: str, line: str, result: str, ago: float) -> None:
    enter(
        "direct_check", record, ticket="t1", line=line, method="look_and_feel", result=result, done_at=days_before(ago)
    )


def case(garage: Garage) -> Case:
    return case_of(garage, "t1")[2]


def test_until_it_is_reopened_a_repaired_ticket_has_one_fault(garage: Garage, mended: str) -> None:
    assert case(garage).repaired is None


def test_what_was_seen_before_the_repair_may_be_the_work_of_both(garage: Garage, enter: Enter, reopened: str) -> None:
    sign(enter, "hiss", "at_idle", 5)
    check(enter, "c2", FIRST, "sound", 5)
    told = case(garage)
    assert told.repaired is not None
    assert (told.repaired.candidate_id, dict(told.repaired.signs)) == (FIRST, {"idle_needle": "wavering"})
    assert told.repaired.codes == ("P0171",)
    assert [one.candidate_id for one in told.repaired.checks] == [SECOND]
    assert (told.signs, told.codes) == ((("hiss", "at_idle"),), None)
    assert [one.candidate_id for one in told.checks] == [FIRST]
    assert ranked(told).given == FIRST


def test_a_sign_looked_at_again_is_the_second_faults_alone(garage: Garage, enter: Enter, reopened: str) -> None:
    sign(enter, "idle_needle", "flicking", 5)
    told = case(garage)
    assert told.repaired is not None
    assert (dict(told.repaired.signs), dict(told.signs)) == ({}, {"idle_needle": "flicking"})
    assert told.outcome("idle_needle") == "flicking"


def test_what_was_seen_before_still_warns(garage: Garage, enter: Enter, mended: str) -> None:
    sign(enter, "brake_pedal", "hard", 8)
    enter("ticket", mended, reopened_at=days_before(6), reopened_reason="Still off")
    assert case(garage).outcome("brake_pedal") == "hard"


def test_what_the_repair_itself_touched_may_be_the_second_fault(garage: Garage, enter: Enter, mended: str) -> None:
    enter("job", "fix", car="tern", title="New gauge hose", opened_at=days_before(7.5), odometer=1000)
    enter("touch", "fix.tern.inlet", job="fix", line="tern.inlet", how="reached_past", at=days_before(7.5))
    assert case(garage).touched == ()
    enter("ticket", mended, reopened_at=days_before(6), reopened_reason="Still off")
    (touch,) = case(garage).touched
    assert touch.candidate_id == "tern.inlet"
    assert touch.days_ago == pytest.approx(1.5)
    assert touch.km_ago is None


def test_the_first_is_remembered_once_the_second_is_found_and_repaired(
    garage: Garage, enter: Enter, reopened: str
) -> None:
    for step in (
        {"found_at": days_before(4), "found_line": SECOND},
        {"repaired_at": days_before(3), "repaired_how": "for_good"},
        {"proved_at": days_before(2), "proof_reason": "Pulls well"},
    ):
        enter("ticket", "t1", **step)
        told = case(garage).repaired
        assert told is not None
        assert told.candidate_id == FIRST
        assert dict(told.signs) == {"idle_needle": "wavering"}


def test_reopened_once_more_the_second_is_the_one_repaired(garage: Garage, enter: Enter, reopened: str) -> None:
    enter("ticket", "t1", found_at=days_before(4), found_line=SECOND)
    enter("ticket", "t1", repaired_at=days_before(3), repaired_how="for_good")
    enter("ticket", "t1", reopened_at=days_before(2), reopened_reason="Still off")
    told = case(garage).repaired
    assert told is not None
    assert told.candidate_id == SECOND


def test_a_second_found_but_not_repaired_leaves_the_first_the_one_repaired(
    garage: Garage, enter: Enter, reopened: str
) -> None:
    enter("ticket", "t1", found_at=days_before(4), found_line=SECOND)
    enter("ticket", "t1", reopened_at=days_before(3), reopened_reason="It was not that")
    told = case(garage).repaired
    assert told is not None
    assert told.candidate_id == FIRST


def test_found_and_reopened_without_a_repair_is_still_one_fault(garage: Garage, enter: Enter, tern: str) -> None:
    enter("ticket", "t1", car=tern, what="Boost wanders", noticed_at=days_before(9))
    enter("ticket", "t1", found_at=days_before(8), found_line=FIRST)
    enter("ticket", "t1", reopened_at=days_before(7), reopened_reason="It was not that")
    assert case(garage).repaired is None


def test_what_can_be_no_suspect_any_more_tells_nothing_of_a_second_fault(
    garage: Garage, enter: Enter, reopened: str
) -> None:
    enter("line", FIRST, retired_on="2026-04-15", retired_reason="Capped")
    told = case(garage)
    assert told.repaired is None
    assert dict(told.signs) == {"idle_needle": "wavering"}


def test_more_reopened_tickets_add_no_query(
    garage: Garage, enter: Enter, reopened: str, count_queries: Callable[[Garage], AbstractContextManager[Count]]
) -> None:
    def looked() -> int:
        with count_queries(garage) as count, garage.read() as db:
            the_car = car(db, "tern")
            assert the_car is not None
            found = cases(db, the_car, unproved(db, "tern"))
        assert all(one.repaired for one in found.values())
        return count.total

    before = looked()
    for n in range(2, 5):
        enter("ticket", f"t{n}", car="tern", what="Hiss", noticed_at=days_before(9))
        enter("ticket", f"t{n}", found_at=days_before(8), found_line=FIRST, repaired_at=days_before(7))
        enter("ticket", f"t{n}", reopened_at=days_before(6), reopened_reason="Still off")
    assert looked() == before


def test_a_ticket_of_its_own_is_told_apart(garage: Garage, enter: Enter, reopened: str) -> None:
    enter("ticket", "t2", car="tern", what="Hiss", noticed_at=days_before(1))
    with garage.read() as db:
        the_car, both = car(db, "tern"), [ticket(db, one) for one in ("t1", "t2")]
        assert the_car is not None
        found = cases(db, the_car, [one for one in both if one])
    assert [found[one].repaired is not None for one in ("t1", "t2")] == [True, False]
