from datetime import UTC, datetime, timedelta

from app.records.entry import Value
from app.records.fields import moment_text
from app.records.garage import Garage
from app.records.stopgaps import StopgapLine, stopgaps_of
from tests.conftest import Enter


def _ago(**days: float) -> str:
    return moment_text(datetime.now(UTC) - timedelta(**days))


def _day(ahead: int) -> str:
    return (datetime.now(UTC).astimezone() + timedelta(days=ahead)).date().isoformat()


def _gap(enter: Enter, gap: str = "g1", **more: Value) -> None:
    fields: dict[str, Value] = {"line": "tern.coupler", "used": "Barb and cable tie.", "fitted_at": _ago(days=3)}
    enter("stopgap", gap, car="tern", **(fields | more))


def _all(garage: Garage) -> list[StopgapLine]:
    with garage.read() as db:
        return stopgaps_of(db, "tern")


def test_what_has_gone_by_is_reckoned_from_its_fitting(garage: Garage, enter: Enter, tern: str) -> None:
    _gap(enter, fitted_odometer=184_050, limit_distance=300)
    enter("drive", "d1", car=tern, at=_ago(hours=1), odometer=184_210)
    (gap,) = _all(garage)
    assert (gap.gone_distance, gap.gone_days, gap.heat_cycles) == (160, 3, 1)
    assert not gap.past_limit


def test_the_most_used_limit_counts(garage: Garage, enter: Enter, tern: str) -> None:
    _gap(enter, fitted_odometer=184_000, limit_distance=300, limit_days=4, limit_heat_cycles=10)
    enter("drive", "d1", car=tern, at=_ago(hours=1), odometer=184_030, heat_cycles=2)
    (gap,) = _all(garage)
    assert (gap.gone_distance, gap.gone_days, gap.heat_cycles) == (30, 3, 2)
    assert gap.share == 0.75


def test_a_limit_reached_is_a_limit_passed(garage: Garage, enter: Enter, tern: str) -> None:
    _gap(enter, limit_days=3)
    assert _all(garage)[0].past_limit


def test_without_an_odometer_at_fitting_the_last_figure_before_is_used(garage: Garage, enter: Enter, tern: str) -> None:
    enter("drive", "d0", car=tern, at=_ago(days=9), odometer=184_000)
    _gap(enter, limit_distance=300)
    enter("drive", "d1", car=tern, at=_ago(days=1), odometer=184_100)
    assert _all(garage)[0].gone_distance == 100


def test_without_any_odometer_the_distance_is_not_made_up(garage: Garage, enter: Enter, tern: str) -> None:
    _gap(enter, limit_distance=300)
    assert _all(garage)[0].gone_distance is None


def test_a_replaced_cluster_does_not_give_distance_back(garage: Garage, enter: Enter, tern: str) -> None:
    _gap(enter, limit_distance=300, fitted_odometer=184_000)
    enter("drive", "d1", car=tern, at=_ago(days=1), odometer=12)
    assert _all(garage)[0].gone_distance == 0


def test_heat_cycles_from_before_it_was_fitted_do_not_count(garage: Garage, enter: Enter, tern: str) -> None:
    enter("drive", "d0", car=tern, at=_ago(days=9), odometer=184_000, heat_cycles=50)
    _gap(enter, limit_heat_cycles=5)
    assert _all(garage)[0].heat_cycles == 0


def test_the_one_nearest_its_limit_comes_first(garage: Garage, enter: Enter, tern: str) -> None:
    _gap(enter, "slow", limit_days=100)
    _gap(enter, "soon", limit_days=4)
    assert [gap.id for gap in _all(garage)] == ["soon", "slow"]


def test_ended_and_struck_out_ones_are_gone(garage: Garage, enter: Enter, tern: str) -> None:
    _gap(enter, "g1", limit_days=9)
    _gap(enter, "g2", limit_days=9)
    enter("stopgap", "g1", ended_at=_ago(hours=1))
    enter("stopgap", "g2", void_reason="Never fitted")
    assert _all(garage) == []
