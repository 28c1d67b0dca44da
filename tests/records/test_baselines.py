from collections.abc import Callable
from contextlib import AbstractContextManager

import pytest

from app.airpath.readings import Condition, ReadingKind
from app.records import baselines as record
from app.records.baselines import BaselineView
from app.records.entry import Value
from app.records.garage import Garage
from app.records.readings import reading
from app.records.shown import Scale
from app.workings.spread import Where
from tests.conftest import Count, Enter

Idle = Callable[..., None]
CountQueries = Callable[[Garage], AbstractContextManager[Count]]
IDLE, WARM = ReadingKind.IDLE_VACUUM, Condition.WARM


@pytest.fixture
def idle(enter: Enter, tern: str) -> Idle:
    """Enter an idle vacuum: idle(3, 19.5) is the third one, marked healthy."""

    def entered(n: int, value: float, **more: Value) -> None:
        fields: dict[str, Value] = {"unit": "inHg", "basis": "vacuum", "condition": "warm", "healthy": True}
        at = f"2026-01-{n:02}T10:00:00.000Z"
        enter("reading", f"idle{n}", car=tern, what="idle_vacuum", value=value, taken_at=at, **(fields | more))

    return entered


def _of(garage: Garage, condition: Condition = WARM) -> BaselineView | None:
    with garage.read() as db:
        return record.baseline_of(db, "tern", IDLE, condition)


def test_a_baseline_is_the_median_of_readings_marked_healthy(garage: Garage, idle: Idle) -> None:
    for n, value in enumerate((19.2, 19.5, 19.8, 19.4, 19.6), 1):
        idle(n, value)
    idle(9, 12.0, healthy=False)
    found = _of(garage)
    assert found is not None
    assert found.usual.count == 5
    assert found.figures(found.scale).startswith("19.5 ± 0.")


def test_one_wild_reading_marked_healthy_does_not_move_it(garage: Garage, idle: Idle) -> None:
    for n, value in enumerate((19.4, 19.5, 19.6, 19.5, 3.0), 1):
        idle(n, value)
    found = _of(garage)
    assert found is not None
    assert found.scale.shown(found.usual.centre) == pytest.approx(19.5)


def test_readings_that_agree_exactly_leave_the_gauges_own_resolution(garage: Garage, idle: Idle) -> None:
    for n in range(1, 5):
        idle(n, 19.5)
    found = _of(garage)
    assert found is not None
    assert found.usual.spread / found.scale.one == pytest.approx(0.1)


def test_what_is_typed_wins_over_what_is_learned(garage: Garage, idle: Idle, enter: Enter) -> None:
    idle(1, 17.0)
    enter(
        "baseline", "tern.idle_vacuum.warm", car="tern", what="idle_vacuum", condition="warm",
        centre=19.5, spread=0.6, unit="inHg", basis="vacuum",
    )  # fmt: skip
    found = _of(garage)
    assert found is not None
    assert found.typed
    assert found.figures(found.scale) == "19.5 ± 0.6 inHg"
    enter("baseline", "tern.idle_vacuum.warm", void_reason="Learned instead")
    found = _of(garage)
    assert found is not None
    assert not found.typed
    assert found.usual.count == 1


def test_conditions_keep_apart(garage: Garage, idle: Idle) -> None:
    idle(1, 19.5)
    assert _of(garage, Condition.WARM_AIR_CONDITIONING) is None


def test_a_voided_reading_teaches_nothing(garage: Garage, idle: Idle, enter: Enter) -> None:
    idle(1, 19.5)
    enter("reading", "idle1", void_reason="Wrong gauge")
    assert _of(garage) is None


def test_only_the_last_healthy_readings_count(garage: Garage, enter: Enter, tern: str) -> None:
    for n in range(2 * record.LEARN_FROM):
        value, at = (10.0 if n < record.LEARN_FROM else 19.5), f"2026-01-01T10:{n // 60:02}:{n % 60:02}.000Z"
        enter(
            "reading", f"r{n}", car=tern, what="idle_vacuum", condition="warm", value=value, unit="inHg",
            basis="vacuum", taken_at=at, healthy=True,
        )  # fmt: skip
    found = _of(garage)
    assert found is not None
    assert found.usual.count == record.LEARN_FROM
    assert found.scale.shown(found.usual.centre) == pytest.approx(19.5)


def test_a_car_on_a_mountain_does_not_look_leaky(garage: Garage, idle: Idle) -> None:
    """20 inHg of vacuum by the sea is 14.97 inHg at 1524 m: U.S. Standard Atmosphere 1976 (84.3 kPa there)."""
    for n in range(1, 6):
        idle(n, 20.0)
    idle(9, 14.97, altitude_m=1524, healthy=False)
    found = _of(garage)
    assert found is not None
    with garage.read() as db:
        up_there = reading(db, "idle9")
    assert up_there is not None
    assert up_there.scale.shown(found.usual.centre) == pytest.approx(14.975, abs=0.001)
    placed = up_there.placed(found)
    assert placed is not None
    assert placed.where is Where.INSIDE
    assert found.figures(up_there.scale).startswith("15.0 ± ")


def test_a_real_leak_on_a_mountain_still_shows(garage: Garage, idle: Idle) -> None:
    for n, value in enumerate((20.0, 20.1, 19.9, 20.0, 20.2), 1):
        idle(n, value)
    idle(9, 12.0, altitude_m=1524, healthy=False)
    with garage.read() as db:
        leaky = reading(db, "idle9")
    assert leaky is not None
    placed = leaky.placed(_of(garage))
    assert placed is not None
    assert placed.where is Where.OUTSIDE


def test_every_baseline_of_a_car_takes_two_queries(
    garage: Garage, idle: Idle, enter: Enter, count_queries: CountQueries
) -> None:
    idle(1, 19.5)
    enter("reading", "b1", car="tern", what="peak_boost", condition="full_throttle", value=1.25, unit="bar",
          basis="gauge", taken_at="2026-01-01T10:00:00.000Z", healthy=True)  # fmt: skip
    enter("baseline", "tern.steady_boost.full_throttle", car="tern", what="steady_boost", condition="full_throttle",
          centre=1.2, spread=0.05, unit="bar", basis="gauge")  # fmt: skip
    with count_queries(garage) as few, garage.read() as db:
        found = record.baselines(db, "tern")
    assert set(found) == {"idle_vacuum.warm", "peak_boost.full_throttle", "steady_boost.full_throttle"}
    assert few.total == 2 + 3  # the view begun and ended, and how far the record has come


def test_a_baseline_in_other_units_says_the_same(garage: Garage, idle: Idle) -> None:
    for n, (value, unit) in enumerate(((20.0, "inHg"), (508.0, "mmHg"), (67.7, "kPa"), (20.0, "inHg")), 1):
        idle(n, value, unit=unit)
    found = _of(garage)
    assert found is not None
    assert Scale(IDLE, "mmHg", "vacuum", 101.325).shown(found.usual.centre) == pytest.approx(508, abs=0.2)


def test_free_readings_learn_by_name_and_unit(garage: Garage, enter: Enter, tern: str) -> None:
    for n, (name, unit, value) in enumerate((("Front tyre", "bar", 2.2), ("front tyre", "bar", 2.3), ("Oil", "mm", 4))):
        enter(
            "reading", f"f{n}", car=tern, what="free", free_name=name, condition="any", value=value, unit=unit,
            taken_at=f"2026-01-0{n + 1}T10:00:00.000Z", healthy=True,
        )  # fmt: skip
    with garage.read() as db:
        found = record.baselines(db, tern)
        one = record.baseline_in(db, tern, "free.any.front tyre.bar")
    assert {series: view.usual.count for series, view in found.items()} == {
        "free.any.front tyre.bar": 2,
        "free.any.oil.mm": 1,
    }
    assert one == found["free.any.front tyre.bar"]
