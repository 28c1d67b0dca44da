"""What the record knows of a car's hoses: age, state, what was seen on them, and what is on its way."""

from collections.abc import Callable
from contextlib import AbstractContextManager
from datetime import UTC, datetime, timedelta

import pytest

from app.airpath.wear import When
from app.airpath.words import LineState
from app.records.compare import aim_of, parts_at, position, to_compare
from app.records.fields import moment_text
from app.records.garage import Garage
from app.records.hoses import HoseRow, Hoses, hoses
from tests.conftest import Count, Enter

TODAY = datetime.now(UTC).astimezone().date()
COUPLER, GAUGE, INLET = "tern.coupler", "tern.gauge_hose", "tern.inlet"


def days_ago(days: int) -> str:
    return moment_text(datetime.now(UTC) - timedelta(days=days))


def _all(garage: Garage) -> Hoses:
    with garage.read() as db:
        return hoses(db, "tern", TODAY)


def _row(garage: Garage, line: str) -> HoseRow:
    return next(one for one in _all(garage).rows if one.line.id == line)


def test_a_line_as_it_came_is_no_younger_than_the_record(garage: Garage, enter: Enter) -> None:
    enter("car", "tern", days_ago(800), name="Tern", layout="direct-signal")
    for key, kind in (("a", "manifold"), ("b", "gauge")):
        enter("component", f"tern.{key}", days_ago(800), car="tern", kind=kind, name=key)
    ends = {"from_component": "tern.a", "to_component": "tern.b"}
    enter("line", GAUGE, days_ago(1), car="tern", name="Hose", role="gauge", material="rubber", **ends)
    it = _row(garage, GAUGE)
    assert (it.state, it.at_least, it.fitted) == (LineState.ORIGINAL, True, None)
    assert it.age_years == pytest.approx(800 / 365.25, abs=0.01)


def test_a_replaced_line_is_as_old_as_its_day(garage: Garage, enter: Enter, tern: str) -> None:
    day = (TODAY - timedelta(days=365)).isoformat()
    enter("line", COUPLER, state="replaced", fitted_on=day)
    it = _row(garage, COUPLER)
    assert (it.state, it.fitted, it.at_least, it.when) == (LineState.REPLACED, day, False, When.GOOD)
    assert it.age_years == pytest.approx(1.0, abs=0.01)


def test_a_part_that_a_job_put_on_counts_though_the_line_does_not_say_so(
    garage: Garage, enter: Enter, tern: str
) -> None:
    enter("job", "j", car=tern, title="Hoses", opened_at=days_ago(30))
    enter("part_change", "p", job="j", line=COUPLER, on_part="Silicone coupler", at=days_ago(30))
    it = _row(garage, COUPLER)
    assert (it.state, it.fitted) == (LineState.REPLACED, days_ago(30)[:10] + it.fitted[10:] if it.fitted else None)
    assert {line.id: line.look for line in _all(garage).drawing.lines}[COUPLER] == "replaced"


def test_a_part_change_of_a_job_struck_out_does_not_count(garage: Garage, enter: Enter, tern: str) -> None:
    enter("job", "j", car=tern, title="Hoses", opened_at=days_ago(30))
    enter("part_change", "p", job="j", line=COUPLER, on_part="Silicone coupler", at=days_ago(30))
    enter("job", "j", void_reason="Another car")
    assert _row(garage, COUPLER).state is LineState.ORIGINAL


def test_an_open_stopgap_comes_first(garage: Garage, enter: Enter, tern: str) -> None:
    enter("stopgap", "s", car=tern, line=GAUGE, used="Tape", fitted_at=days_ago(2), limit_days=9)
    found = _all(garage)
    assert found.next[0].line.id == GAUGE
    assert (found.when_of[GAUGE], found.count(LineState.STOPGAP)) == (When.NOW, 1)


def test_findings_count_while_they_are_open_and_on_what_is_on_now(garage: Garage, enter: Enter, tern: str) -> None:
    enter("finding", "f", car=tern, line=GAUGE, what="Brittle at the clip", weight="act", seen_at=days_ago(40))
    assert _row(garage, GAUGE).verdict.reasons[0].text == "to act on: Brittle at the clip"
    enter("line", GAUGE, state="replaced", fitted_on=(TODAY - timedelta(days=10)).isoformat())
    assert _row(garage, GAUGE).when is When.GOOD
    enter("finding", "g", car=tern, line=GAUGE, what="Rubbed", weight="watch", seen_at=days_ago(3))
    assert _row(garage, GAUGE).when is When.SOON
    enter("finding", "g", settled_at=days_ago(1), settled_how="Sleeved")
    assert _row(garage, GAUGE).when is When.GOOD


def test_what_was_worked_on_often_says_so_and_reaching_past_is_no_work(garage: Garage, enter: Enter, tern: str) -> None:
    for number, how in enumerate(("disconnected", "clamp_moved", "disconnected", "reached_past"), 1):
        enter("job", f"j{number}", car=tern, title="Work", opened_at=days_ago(number * 20))
        enter("touch", f"j{number}.{COUPLER}", job=f"j{number}", line=COUPLER, how=how, at=days_ago(number * 20))
    enter("job", "long-ago", car=tern, title="Work", opened_at=days_ago(900))
    enter("touch", f"long-ago.{COUPLER}", job="long-ago", line=COUPLER, how="disconnected", at=days_ago(900))
    said = [reason.text for reason in _row(garage, COUPLER).verdict.reasons]
    assert "an end was off or its clamp moved 3 times in two years" in said


def test_a_line_last_found_not_in_order_says_so_until_it_is(garage: Garage, enter: Enter, tern: str) -> None:
    enter("check", "c1", car=tern, line=COUPLER, done_at=days_ago(5), good=False)
    assert "not in order when last looked at" in [one.text for one in _row(garage, COUPLER).verdict.reasons]
    enter("check", "c2", car=tern, line=COUPLER, done_at=days_ago(4), good=True)
    assert "not in order when last looked at" not in [one.text for one in _row(garage, COUPLER).verdict.reasons]


def test_the_fitted_part_lends_its_wall_and_its_maker_s_years(garage: Garage, enter: Enter, tern: str) -> None:
    enter("line", COUPLER, state="replaced", fitted_on=(TODAY - timedelta(days=400)).isoformat())
    enter("part", "p", car=tern, line=COUPLER, kind="hose", name="Coupler", state="fitted", wall_mm=5.0, life_days=365)
    it = _row(garage, COUPLER)
    assert it.wall_mm == 5.0
    assert it.verdict.reasons[0].text == "1 year old; its maker says 1 year"


def test_a_new_hose_on_its_way_stands_with_its_line(garage: Garage, enter: Enter, tern: str) -> None:
    enter("part", "w", car=tern, line=COUPLER, kind="hose", name="Wanted one")
    enter("part", "h", car=tern, line=COUPLER, kind="hose", name="One here", state="here")
    enter("part", "c", car=tern, line=COUPLER, kind="clamp", name="A clamp", state="here")
    new = _row(garage, COUPLER).new_one
    assert new is not None
    assert (new.name, new.state) == ("One here", "here")


def test_candidates_are_what_waits_for_a_place(garage: Garage, enter: Enter, tern: str) -> None:
    enter("stage", "s", car=tern, step=3, name="More boost", power_kw=200.0)
    for key, state in (("w", "wanted"), ("g", "gone"), ("h", "here"), ("f", "fitted")):
        enter("part", key, car=tern, line=COUPLER, kind="hose", name=key, state=state, stage="s")
    enter("part", "v", car=tern, line=COUPLER, kind="hose", name="v")
    enter("part", "v", void_reason="Another car")
    enter("part", "d", car=tern, position="front left damper", name="d")
    enter("part", "tune", car=tern, line=COUPLER, kind="work", name="Tune")
    with garage.read() as db:
        found = parts_at(db, tern, position(db, tern, COUPLER))
        assert [(one.id, one.step, one.stage) for one in found] == [
            ("h", 3, "More boost"),
            ("w", 3, "More boost"),
            ("f", 3, "More boost"),
        ]
        assert [(one.at, one.count) for one in to_compare(db, tern)] == [(COUPLER, 2), ("front left damper", 1)]
        aim = aim_of(db, tern)
    assert aim is not None
    assert (aim.power_kw, aim.step) == (200.0, 3)


def test_a_line_of_another_car_is_no_place_on_this_one(garage: Garage, enter: Enter, tern: str) -> None:
    enter("car", "dunlin", name="Dunlin", layout="direct-signal")
    with garage.read() as db:
        assert position(db, "dunlin", COUPLER).of == "position"


def test_as_many_questions_for_many_hoses_as_for_few(
    garage: Garage, enter: Enter, tern: str, count_queries: Callable[[Garage], AbstractContextManager[Count]]
) -> None:
    def asked() -> int:
        with count_queries(garage) as count:
            assert _all(garage).rows
        return count.total

    few = asked()
    for number in range(30):
        line = f"tern.more{number}"
        ends = {"from_component": "tern.manifold", "to_component": "tern.gauge"}
        enter("line", line, car=tern, name="More", role="gauge", material="rubber", bore_mm=4.0, **ends)
        enter("finding", f"f{number}", car=tern, line=line, what="Rubbed", weight="watch", seen_at=days_ago(3))
        enter("part", f"p{number}", car=tern, line=line, kind="hose", name="New")
    assert asked() == few
