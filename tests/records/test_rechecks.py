from datetime import UTC, datetime, timedelta

import pytest

from app.records import cars, rechecks
from app.records.fields import moment_text
from app.records.garage import Garage
from tests.conftest import Enter, held_clock

NOW = datetime.now(UTC)


def _ago(**by: int) -> str:
    return moment_text(NOW - timedelta(**by))


def test_a_re_check_counts_only_what_was_driven_since(garage: Garage, enter: Enter, tern: str) -> None:
    enter("drive", "before", car=tern, at=_ago(days=9), odometer=1000, heat_cycles=5)
    enter("recheck", "r1", car=tern, what="Clamps", since_at=_ago(days=8), after_heat_cycles=3, after_distance=100)
    enter("drive", "since", car=tern, at=_ago(days=7), odometer=1040, heat_cycles=1)
    with garage.read() as db:
        (one,) = rechecks.due(db, tern)
    # Nobody read the odometer when it was set: the last figure before it counts.
    assert (one.heat_cycles, one.distance, one.days) == (1, 40, 8)
    assert (one.state, one.sentence) == ("later", "Due after 3 heat cycles, 1 done, or 100 km, 40 done")


@pytest.mark.parametrize(
    ("limits", "state"),
    [
        ({"after_days": 12}, "soon"),
        ({"after_days": 13}, "later"),
        ({"after_days": 8}, "due"),
        ({"after_days": 100, "after_heat_cycles": 2}, "due"),
        ({"after_heat_cycles": 3}, "soon"),
        ({"after_distance": 60}, "soon"),
        ({"after_distance": 40}, "due"),
    ],
)
def test_any_one_limit_makes_it_due(
    garage: Garage, enter: Enter, tern: str, limits: dict[str, int], state: str
) -> None:
    enter("recheck", "r1", car=tern, what="Clamps", since_at=_ago(days=8), since_odometer=1000, **limits)
    enter("drive", "d1", car=tern, at=_ago(days=7), odometer=1040, heat_cycles=2)
    with garage.read() as db:
        (one,) = rechecks.due(db, tern)
    assert one.state == state
    assert one.sentence.startswith("Due now: after" if state == "due" else "Due after")


def test_a_distance_nobody_noted_is_said_to_be_unknown(garage: Garage, enter: Enter, tern: str) -> None:
    enter("recheck", "r1", car=tern, what="Clamps", since_at=_ago(days=8), after_distance=100)
    with garage.read() as db:
        (one,) = rechecks.due(db, tern)
    assert (one.used, one.state, one.sentence) == (0.0, "later", "Due after 100 km, not known how far")


def test_the_longest_set_comes_first(garage: Garage, enter: Enter, tern: str) -> None:
    for name, days in (("second", 8), ("third", 2), ("first", 9)):
        enter("recheck", name, car=tern, what=name, since_at=_ago(days=days), after_days=100)
    with garage.read() as db:
        assert [one.id for one in rechecks.due(db, tern)] == ["first", "second", "third"]


def _day(days: int) -> str:
    return (NOW.astimezone() + timedelta(days=days)).date().isoformat()


def _only(garage: Garage) -> rechecks.RecheckRow:
    with garage.read() as db:
        (one,) = rechecks.due(db, "tern")
        assert next(car.due for car in cars.cars(db) if car.id == "tern") == (one.state == "due")
    return one


def test_one_is_due_once_an_event_since_is_over(garage: Garage, enter: Enter, tern: str) -> None:
    with held_clock():  # its day is not over yet
        _one_waits_for_an_event(garage, enter, tern)


def _one_waits_for_an_event(garage: Garage, enter: Enter, tern: str) -> None:
    enter("recheck", "r1", car=tern, what="Wheels", since_at=_ago(days=8), after_event=True)
    enter("event", "earlier", car=tern, name="Hill climb", kind="sprint", on_day=_day(-20))
    enter("event", "same", car=tern, name="Sprint it was set after", kind="sprint", on_day=_day(-8))
    enter("event", "today", car=tern, name="Today's", kind="sprint", on_day=_day(0))
    assert (_only(garage).state, _only(garage).sentence) == ("later", "Due after the next event")
    enter("event", "over", car=tern, name="Track day", kind="track_day", on_day=_day(-3))
    assert (_only(garage).state, _only(garage).sentence) == ("due", "Due now: after an event: Track day")
    enter("event", "over", void_reason="Called off")
    assert _only(garage).state == "later"


def test_an_event_makes_nothing_due_that_does_not_wait_for_one(garage: Garage, enter: Enter, tern: str) -> None:
    enter("recheck", "r1", car=tern, what="Wheels", since_at=_ago(days=8), after_days=100)
    enter("event", "over", car=tern, name="Track day", kind="track_day", on_day=_day(-3))
    assert _only(garage).state == "later"


@pytest.mark.usefixtures("tern")
@pytest.mark.parametrize(
    ("about", "touch", "state"),
    [
        ({"joint": "tern.inlet.to"}, {"line": "tern.inlet", "how": "disconnected"}, "due"),
        ({"joint": "tern.inlet.to"}, {"line": "tern.inlet", "how": "disconnected", "ends": "from"}, "later"),
        ({"joint": "tern.inlet.to"}, {"line": "tern.inlet", "how": "clamp_moved"}, "due"),
        ({"joint": "tern.inlet.to"}, {"line": "tern.inlet", "how": "reached_past"}, "later"),
        ({"joint": "tern.inlet.to"}, {"line": "tern.coupler", "how": "disconnected"}, "later"),
        ({"line": "tern.inlet"}, {"line": "tern.inlet", "how": "disconnected", "ends": "from"}, "due"),
        ({"component": "tern.throttle"}, {"component": "tern.throttle", "how": "disconnected"}, "due"),
        ({}, {"line": "tern.inlet", "how": "disconnected"}, "later"),
    ],
)
def test_one_is_due_once_a_job_since_moved_what_it_is_about(
    garage: Garage, enter: Enter, about: dict[str, str], touch: dict[str, str], state: str
) -> None:
    tern = "tern"
    enter("job", "before", car=tern, title="The job it was set by", opened_at=_ago(days=9))
    enter("touch", "before.x", job="before", at=_ago(days=9), **touch)
    enter("recheck", "r1", car=tern, what="Clamp", since_at=_ago(days=8), after_job=True, **about)
    assert _only(garage).state == "later"
    enter("job", "since", car=tern, title="Turbo off", opened_at=_ago(days=4))
    enter("touch", "since.x", job="since", at=_ago(days=4), **touch)
    assert _only(garage).state == state
    assert _only(garage).job_gone == ("Turbo off" if state == "due" else None)
    enter("touch", "since.x", void_reason="Another hose")
    assert _only(garage).state == "later"


def test_any_of_several_limits_still_makes_it_due(garage: Garage, enter: Enter, tern: str) -> None:
    enter(
        "recheck", "r1", car=tern, what="Wheels", since_at=_ago(days=8), after_event=True, after_job=True, after_days=7
    )
    said = "Due now: after 7 days, 8 gone by, or the next event, or the next job that moves it"
    assert _only(garage).sentence == said
