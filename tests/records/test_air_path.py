from collections.abc import Callable
from contextlib import AbstractContextManager
from datetime import UTC, datetime, timedelta

from app.airpath.figure import JointMark, LineLook
from app.airpath.words import LineState
from app.records.air_path import air_path, lines_of, picture
from app.records.fields import moment_text
from app.records.garage import Garage
from tests.conftest import Count, Enter


def _ago(days: float) -> str:
    return moment_text(datetime.now(UTC) - timedelta(days=days))


def _job(enter: Enter, days: float, **fields: str) -> None:
    enter("job", "job1", car="tern", title="Coupler", opened_at=_ago(days), **fields)


def test_a_line_left_alone_shows_as_it_came(garage: Garage, tern: str) -> None:
    with garage.read() as db:
        line = lines_of(db, tern)[0]
    assert (line.name, line.number, line.state) == ("Throttle coupler", 1, LineState.ORIGINAL)
    assert (line.from_name, line.to_name) == ("Compressor", "Throttle")
    assert (line.lately, line.touched_at, line.off, line.ring) == (False, None, 0, "")


def test_a_line_off_shows_off_at_both_joints_then_on_then_checked(garage: Garage, enter: Enter, tern: str) -> None:
    _job(enter, 1)
    enter("touch", "job1.tern.coupler", job="job1", line="tern.coupler", how="disconnected", at=_ago(1))
    with garage.read() as db:
        assert lines_of(db, tern)[0].off == 2
        assert picture(db, tern).lines[0].look is LineLook.OFF
    for end in ("from", "to"):
        joint = f"tern.coupler.{end}"
        enter("loose_end", f"job1.{joint}", job="job1", joint=joint, back_on_at=_ago(0.5))
    enter("check", "job1.tern.coupler.to", car=tern, job="job1", joint="tern.coupler.to", done_at=_ago(0.4))
    with garage.read() as db:
        path = air_path(db, tern)
    assert (path.lines[0].from_joint, path.lines[0].to_joint) == (JointMark.ON, JointMark.CHECKED)
    assert path.lines[0].ring == "on"
    assert path.drawing.lines[0].look is LineLook.TOUCHED


def test_what_one_job_left_off_stays_off_though_another_put_it_back(garage: Garage, enter: Enter, tern: str) -> None:
    _job(enter, 200, closed_at=_ago(199), carried_reason="No clamp in the house")
    enter("touch", "job1.tern.coupler", job="job1", line="tern.coupler", how="disconnected", ends="to", at=_ago(200))
    enter("job", "job2", car=tern, title="Again", opened_at=_ago(2))
    enter("touch", "job2.tern.coupler", job="job2", line="tern.coupler", how="disconnected", ends="to", at=_ago(2))
    joint = "tern.coupler.to"
    enter("loose_end", f"job2.{joint}", job="job2", joint=joint, back_on_at=_ago(1))
    with garage.read() as db:
        assert lines_of(db, tern)[0].to_joint is JointMark.OFF


def test_a_touch_is_lately_for_thirty_days_or_until_its_job_is_done(garage: Garage, enter: Enter, tern: str) -> None:
    _job(enter, 60)
    enter("touch", "job1.tern.coupler", job="job1", line="tern.coupler", how="reached_past", at=_ago(60))
    with garage.read() as db:
        assert lines_of(db, tern)[0].lately
    enter("job", "job1", closed_at=_ago(59))
    with garage.read() as db:
        assert not lines_of(db, tern)[0].lately
        assert lines_of(db, tern)[0].touched_how == "reached_past"
    enter("job", "job2", car=tern, title="Clamp", opened_at=_ago(29), closed_at=_ago(29))
    enter("touch", "job2.tern.inlet", job="job2", line="tern.inlet", how="clamp_moved", at=_ago(29))
    with garage.read() as db:
        assert [line.lately for line in lines_of(db, tern)] == [False, False, True]


def test_what_a_job_opened_by_mistake_touched_was_never_touched(garage: Garage, enter: Enter, tern: str) -> None:
    _job(enter, 1)
    enter("touch", "job1.tern.coupler", job="job1", line="tern.coupler", how="disconnected", at=_ago(1))
    enter("job", "job1", void_reason="Opened by mistake")
    with garage.read() as db:
        coupler = lines_of(db, tern)[0]
    assert (coupler.touched_at, coupler.lately, coupler.off) == (None, False, 0)


def test_a_moved_clamp_shows_once_it_has_been_looked_at(garage: Garage, enter: Enter, tern: str) -> None:
    _job(enter, 3)
    enter("touch", "job1.tern.inlet", job="job1", line="tern.inlet", how="clamp_moved", at=_ago(3))
    enter("check", "before", car=tern, joint="tern.inlet.to", done_at=_ago(4))
    enter("check", "after", car=tern, joint="tern.inlet.from", done_at=_ago(2))
    enter("check", "bad", car=tern, joint="tern.inlet.to", done_at=_ago(2), good=False)
    with garage.read() as db:
        inlet = lines_of(db, tern)[2]
    assert (inlet.from_joint, inlet.to_joint) == (JointMark.CHECKED, JointMark.UNTOUCHED)


def test_an_open_stopgap_makes_its_line_a_stopgap_until_it_ends(garage: Garage, enter: Enter, tern: str) -> None:
    gap = {"car": tern, "line": "tern.gauge_hose", "used": "Fuel hose", "fitted_at": _ago(3), "limit_days": 30}
    enter("stopgap", "gap", **gap)
    with garage.read() as db:
        assert [line.state for line in lines_of(db, tern)] == ["original", "stopgap", "original"]
        assert picture(db, tern).lines[1].look is LineLook.STOPGAP
    enter("stopgap", "gap", ended_at=_ago(1), ended_how="Proper hose")
    with garage.read() as db:
        assert lines_of(db, tern)[1].state is LineState.ORIGINAL


def test_a_retired_line_is_neither_listed_nor_drawn_but_its_components_stay(
    garage: Garage, enter: Enter, tern: str
) -> None:
    enter("line", "tern.gauge_hose", retired_on="2024-01-02")
    enter("component", "tern.throttle", retired_on="2024-01-02")
    enter("component", "tern.gauge", retired_on="2024-01-02")
    with garage.read() as db:
        path = air_path(db, tern)
    assert [line.number for line in path.lines] == [1, 2]
    assert [box.name for box in path.drawing.boxes] == ["Compressor", "Throttle", "Manifold"]


def test_lines_are_grouped_by_role_along_the_air(garage: Garage, tern: str) -> None:
    with garage.read() as db:
        groups = air_path(db, tern).by_role
    assert [(role, [line.number for line in lines]) for role, lines in groups] == [("charge", [1, 3]), ("gauge", [2])]


def test_more_lines_and_touches_ask_no_more_questions(
    garage: Garage, enter: Enter, tern: str, count_queries: Callable[[Garage], AbstractContextManager[Count]]
) -> None:
    with count_queries(garage) as before, garage.read() as db:
        air_path(db, tern)
    _job(enter, 3)
    for key in ("coupler", "inlet", "gauge_hose"):
        enter("touch", f"job1.tern.{key}", job="job1", line=f"tern.{key}", how="disconnected", at=_ago(3))
    with count_queries(garage) as after, garage.read() as db:
        air_path(db, tern)
    assert after.total == before.total
