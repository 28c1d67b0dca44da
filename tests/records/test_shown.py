import pytest

from app.airpath.readings import Condition, ReadingKind
from app.records.shown import Scale, decimals, label_of_series, written

VACUUM = Scale(ReadingKind.IDLE_VACUUM, "inHg", "vacuum", 101.325)


def test_a_figure_has_the_decimals_its_gauge_can_be_read_to() -> None:
    assert VACUUM.figure(19.0) == "19.0"
    assert Scale(ReadingKind.PEAK_BOOST, "bar", "gauge", 101.325).figure(1.2) == "1.20"
    assert Scale(ReadingKind.FREE, "mm").figure(3.0) == "3"


def test_a_spread_smaller_than_the_gauge_still_shows() -> None:
    assert VACUUM.spread(0.04) == "0.04"
    assert VACUUM.spread(0.6) == "0.6"


def test_air_above_ambient_shows_as_negative_vacuum() -> None:
    assert VACUUM.at(84.3).shown(95.0) < 0


@pytest.mark.parametrize(("value", "places"), [(20.0, 0), (19.5, 1), (0.85, 2), (1e-7, 7), (1e20, 0)])
def test_decimals_are_counted_as_typed(value: float, places: int) -> None:
    assert decimals(value) == places


def test_nought_has_no_sign() -> None:
    assert written(-0.01, 1) == "0.0"
    assert written(-1234.5, 1) == "\N{MINUS SIGN}1\N{NO-BREAK SPACE}234.5"


def test_a_condition_is_said_where_a_kind_has_several() -> None:
    assert label_of_series(ReadingKind.IDLE_VACUUM, Condition.WARM) == "Idle vacuum, warm"
    assert label_of_series(ReadingKind.PEAK_BOOST, Condition.FULL_THROTTLE) == "Peak boost"
    assert label_of_series(ReadingKind.FREE, Condition.ANY, "Oil") == "Oil"
