from collections.abc import Callable
from contextlib import AbstractContextManager
from datetime import UTC, datetime, timedelta

import pytest
from starlette.testclient import TestClient

from app.records.fields import moment_text
from app.records.garage import Garage
from app.records.logbook import now
from app.records.slips import slip_of
from tests.conftest import Count, Enter
from tests.pages.seen import seen

NOW = datetime.now(UTC)


@pytest.fixture
def gap(enter: Enter, tern: str) -> str:
    about = {"car": tern, "line": "tern.inlet", "used": "Tape", "fitted_at": now(), "limit_days": 30}
    enter("stopgap", "s1", **about, part_bore_mm=25, part_length_mm=180, part_material="silicone", part_stands="120 °C")
    return "s1"


def _day(days: int) -> str:
    return (NOW.astimezone().date() + timedelta(days=days)).isoformat()


def test_parts_at_hand_and_lines_are_held_against_what_is_missing_best_first(
    client: TestClient, enter: Enter, gap: str
) -> None:
    silicone = {"car": "tern", "kind": "hose", "material": "silicone", "length_mm": 200}
    enter("part", "p1", **silicone, name="Spare elbow", state="shelf", bore_mm=25, stands_c=180)
    enter("part", "p2", **silicone, name="Old elbow", state="shelf", bore_mm=23, stands_c=180)
    enter("part", "p3", **silicone, name="Unlabelled hose", state="here", bore_mm=25)
    enter("part", "p4", **silicone, name="Wanted elbow", state="wanted", bore_mm=25, stands_c=180)
    shown = seen(client.get(f"/stopgaps/{gap}/substitutes").text)
    names = ("Spare elbow", "Unlabelled hose", "Old elbow")
    assert sorted(names, key=shown.index) == list(names)
    assert "Meets all that is asked" in shown
    assert "2 mm narrower: will need stretching; the maker's hose first" in shown
    assert "20 mm longer: cut it to length" in shown
    assert "what heat it stands is not known: 120 °C is asked for" in shown
    assert "Wanted elbow" not in shown
    assert "The maker's part first" in shown


def test_no_critical_line_is_taken_and_none_that_is_a_stopgap_itself(
    client: TestClient, enter: Enter, gap: str
) -> None:
    enter("line", "tern.gauge_hose", role="boost_control")
    shown = seen(client.get(f"/stopgaps/{gap}/substitutes").text)
    assert "Throttle coupler" in shown
    assert "Fitted on this car, which then stands without it" in shown
    assert "Gauge hose" not in shown
    enter("line", "tern.gauge_hose", retired_on="2026-04-01")
    assert "Gauge hose" in seen(client.get(f"/stopgaps/{gap}/substitutes").text)
    enter("line", "tern.coupler", state="stopgap")
    assert "Throttle coupler" not in seen(client.get(f"/stopgaps/{gap}/substitutes").text)


def test_a_brake_servo_s_line_gets_no_substitute(client: TestClient, enter: Enter, gap: str) -> None:
    enter("line", "tern.inlet", role="brake_servo")
    shown = seen(client.get(f"/stopgaps/{gap}/substitutes").text)
    assert "no substitute" in shown
    assert "Throttle coupler" not in shown


def test_where_nothing_is_written_down_nothing_is_called_fitting(client: TestClient, enter: Enter, tern: str) -> None:
    enter("stopgap", "s2", car=tern, what="Undertray", used="Wire", fitted_at=now(), limit_days=30)
    shown = seen(client.get("/stopgaps/s2/substitutes").text)
    assert "Nothing is written down of the missing part" in shown
    assert "What there is" not in shown


def test_what_the_stopgap_leaves_out_is_taken_from_its_line(client: TestClient, enter: Enter, tern: str) -> None:
    about = {"car": tern, "line": "tern.inlet", "used": "Tape", "fitted_at": now(), "limit_days": 30}
    enter("stopgap", "s3", **about, part_stands="oil mist, 120 °C")
    shown = seen(client.get("/stopgaps/s3/substitutes").text)
    for asked in ("60 mm", "rubber", "120 °C", "Compare by handoil mist, 120 °C"):
        assert asked in shown
    assert "Meets all that is asked" not in shown


def test_the_expected_day_says_how_it_slipped(client: TestClient, enter: Enter, garage: Garage, gap: str) -> None:
    for n, day in enumerate((_day(3), _day(3), _day(10), _day(24))):
        enter("stopgap", gap, at_=moment_text(NOW - timedelta(minutes=9 - n)), expected_on=day, ordered_on=_day(-1))
    with garage.read() as db:
        slip = slip_of(db, "stopgap", gap)
    assert [one.day for one in slip.days] == [_day(3), _day(10), _day(24)]
    assert slip.later_by == 21
    shown = seen(client.get(f"/stopgaps/{gap}").text)
    assert "21 days later than first said" in shown
    assert "First expected" in shown


def test_a_day_that_was_taken_back_is_no_slip(enter: Enter, garage: Garage, gap: str) -> None:
    enter("stopgap", gap, expected_on=_day(3))
    enter("stopgap", gap, expected_on=None)
    with garage.read() as db:
        assert slip_of(db, "stopgap", gap).first is None


@pytest.mark.usefixtures("gap")
@pytest.mark.parametrize(
    ("fitted", "near", "ordered"), [(5, False, False), (21, True, False), (21, True, True), (31, False, False)]
)
def test_a_stopgap_near_its_limit_says_so_loudly_in_time(
    client: TestClient, enter: Enter, fitted: int, near: bool, ordered: bool
) -> None:
    gap = "s1"
    enter("stopgap", gap, fitted_at=moment_text(NOW - timedelta(days=fitted)))
    if ordered:
        enter("stopgap", gap, ordered_on=_day(-1))
    shown = seen(client.get(f"/stopgaps/{gap}").text)
    assert ("Its limit is near" in shown) is near
    assert ("The permanent part is not ordered yet" in shown) is (near and not ordered)
    assert ("near its limit" in seen(client.get("/cars/tern").text)) is near
    assert ("Past its limit" in shown) is (fitted > 30)


def test_a_part_that_comes_after_the_limit_is_said_to_come_too_late(client: TestClient, enter: Enter, gap: str) -> None:
    enter("stopgap", gap, expected_on=_day(30))
    assert "after this runs out" not in seen(client.get(f"/stopgaps/{gap}").text)
    enter("stopgap", gap, expected_on=_day(40))
    assert "after this runs out" in seen(client.get(f"/stopgaps/{gap}").text)


def test_more_parts_and_lines_need_no_more_queries(
    client: TestClient,
    enter: Enter,
    garage: Garage,
    gap: str,
    count_queries: Callable[[Garage], AbstractContextManager[Count]],
) -> None:
    with count_queries(garage) as few:
        client.get(f"/stopgaps/{gap}/substitutes")
    for n in range(20):
        enter("part", f"more{n}", car="tern", kind="hose", name=f"Hose {n}", state="shelf", bore_mm=25 + n)
    with count_queries(garage) as many:
        answer = client.get(f"/stopgaps/{gap}/substitutes")
    assert many.total == few.total
    assert "more in the garage, none of which fits better" in answer.text
