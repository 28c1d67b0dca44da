from datetime import UTC, datetime, timedelta

import pytest

from app.records import rechecks
from app.records.fields import moment_text
from app.records.garage import Garage
from tests.conftest import Enter

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
