from collections.abc import Callable
from contextlib import AbstractContextManager

from app.records.entry import Value
from app.records.garage import Garage
from app.records.readings import PICTURED, ReadingLine, latest_readings, reading_in_si
from tests.conftest import Count, Enter

CountQueries = Callable[[Garage], AbstractContextManager[Count]]


def _idle(enter: Enter, n: int, value: float, **more: Value) -> None:
    fields: dict[str, Value] = {"unit": "inHg", "basis": "vacuum", "healthy": True, "condition": "warm"}
    at = f"2026-01-{n:02}T10:00:00.000Z"
    enter("reading", f"idle{n}", car="tern", what="idle_vacuum", value=value, taken_at=at, **(fields | more))


def _latest(garage: Garage) -> list[ReadingLine]:
    with garage.read() as db:
        return latest_readings(db, "tern")


def test_a_line_says_what_is_usual_and_what_it_is_now(garage: Garage, enter: Enter, tern: str) -> None:
    enter("baseline", "tern.idle_vacuum.warm", car=tern, what="idle_vacuum", condition="warm", centre=19.5, spread=0.6,
          unit="inHg", basis="vacuum")  # fmt: skip
    for n in range(1, 12):
        _idle(enter, n, 19.5)
    _idle(enter, 12, 17.8, healthy=False)
    (line,) = _latest(garage)
    assert (line.label, line.usual, line.shown, line.unit) == (
        "Idle vacuum, warm",
        "usually 19.5 ± 0.6 inHg",
        "17.8",
        "inHg",
    )
    assert line.outside
    assert len(line.picture.points.split()) == PICTURED
    assert line.address == "/cars/tern/readings/idle_vacuum?condition=warm"


def test_every_series_is_shown_on_the_scale_it_was_last_read_on(garage: Garage, enter: Enter, tern: str) -> None:
    for n in range(1, 5):
        _idle(enter, n, 20.0)
    _idle(enter, 5, 67.7, unit="kPa")
    (line,) = _latest(garage)
    assert line.unit == "kPa"
    assert line.usual.startswith("usually 67.7 ± ")


def test_the_latest_of_every_series_takes_three_queries(
    garage: Garage, enter: Enter, tern: str, count_queries: CountQueries
) -> None:
    for n in range(1, 12):
        _idle(enter, n, 19.5)
        enter("reading", f"oil{n}", car=tern, what="free", free_name=f"Oil {n}", condition="any", value=n, unit="mm",
              taken_at="2026-01-01T10:00:00.000Z")  # fmt: skip
    with count_queries(garage) as count, garage.read() as db:
        found = latest_readings(db, tern)
    assert len(found) == 12
    assert count.total == 3 + 4  # the view begun and ended, and twice how far the record has come


def test_one_cars_readings_are_not_anothers(garage: Garage, enter: Enter, tern: str) -> None:
    enter("car", "other", name="Other", layout="direct-signal")
    enter(
        "reading", "o1", car="other", what="idle_vacuum", condition="warm", value=15, unit="inHg", basis="vacuum",
        taken_at="2026-01-01T10:00:00.000Z", healthy=True,
    )  # fmt: skip
    assert _latest(garage) == []


def test_a_struck_out_reading_proves_nothing(garage: Garage, enter: Enter, tern: str) -> None:
    _idle(enter, 1, 20.0, altitude_m=0)
    with garage.read() as db:
        found = reading_in_si(db, "idle1")
    assert found is not None
    assert round(found.si, 3) == 33.597  # 101.325 kPa less 20 inHg of 3.386389 kPa (NIST SP 811 (2008) App. B.8)
    enter("reading", "idle1", void_reason="Wrong hose")
    with garage.read() as db:
        assert reading_in_si(db, "idle1") is None
