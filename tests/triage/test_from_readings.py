"""Numbers to outcomes, in absolute pressure."""

import pytest

from app.airpath.readings import ReadingKind
from app.triage import from_readings
from app.workings.pressure import Basis, to_absolute_kpa
from app.workings.spread import Baseline
from app.workings.units import PressureUnit

SEA, HIGH = 101.325, 84.3073  # kPa at 0 and 1524 m: US Standard Atmosphere 1976
IDLE = Baseline(33.6, 0.8, 6)
BOOST = Baseline(SEA + 83.0, 2.0, 6)


def vacuum(inches: float, ambient: float = SEA) -> float:
    return to_absolute_kpa(inches, PressureUnit.INHG, Basis.VACUUM, ambient)


def psi(boost: float, ambient: float = SEA) -> float:
    return to_absolute_kpa(boost, PressureUnit.PSI, Basis.GAUGE, ambient)


def test_less_vacuum_up_a_mountain_is_no_leak() -> None:
    """20.0 inHg at sea level and 14.975 inHg at 1524 m are the same manifold pressure."""
    assert from_readings.idle_vacuum(vacuum(14.975, HIGH), Baseline(vacuum(20.0), 0.8, 6)) == "normal"


@pytest.mark.parametrize(
    ("inches", "outcome"),
    [(20, "normal"), (19.2, "normal"), (18, "slightly_low"), (16, "slightly_low"), (13, "very_low")],
)
def test_idle_vacuum_against_twenty_inches(inches: float, outcome: str) -> None:
    assert from_readings.idle_vacuum(vacuum(inches), IDLE) == outcome


def test_a_first_start_that_is_low_needs_the_warm_reading_to_say_which_kind() -> None:
    low = vacuum(12)
    assert from_readings.first_start_vacuum(vacuum(20), IDLE) == "normal"
    assert from_readings.first_start_vacuum(low, IDLE) is None
    assert from_readings.first_start_vacuum(low, IDLE, "normal") == "low_then_builds"
    assert from_readings.first_start_vacuum(low, IDLE, "slightly_low") == "low_and_stays"


@pytest.mark.parametrize(
    ("boost", "outcome"),
    [
        (12, "on_target"),
        (11.4, "on_target"),
        (10, "slightly_low"),
        (5, "capped_low"),
        (0.5, "none"),
        (-1, "none"),
        (14, "over_target"),
    ],
)
def test_boost_against_twelve_psi(boost: float, outcome: str) -> None:
    assert from_readings.boost_level(psi(boost), SEA, BOOST) == outcome


@pytest.mark.parametrize(("seconds", "outcome"), [(0.8, "prompt"), (1.2, "prompt"), (3, "slow"), (12, "none")])
def test_recovery_against_eight_tenths_of_a_second(seconds: float, outcome: str) -> None:
    assert from_readings.vacuum_recovery(seconds, Baseline(0.8, 0.1, 5)) == outcome


@pytest.mark.parametrize(("percent", "outcome"), [(0, "normal"), (6, "normal"), (15, "adding"), (-15, "removing")])
def test_trims_above_nought_add_fuel(percent: float, outcome: str) -> None:
    """SAE J1979: positive trims add fuel."""
    assert from_readings.fuel_trim(percent) == outcome


def test_readings_become_signs_and_boost_without_a_target_stays_unknown() -> None:
    readings = {
        ReadingKind.IDLE_VACUUM: vacuum(20),
        ReadingKind.FIRST_START_VACUUM: vacuum(10),
        ReadingKind.PEAK_BOOST: psi(12),
        ReadingKind.STEADY_BOOST: psi(9),
        ReadingKind.VACUUM_RECOVERY: 4.0,
        ReadingKind.FUEL_TRIM_IDLE: 14.0,
        ReadingKind.FUEL_TRIM_LOAD: -14.0,
        ReadingKind.AIRFLOW_IDLE: 0.003,
    }
    without = from_readings.signs_from(readings, {}, SEA)
    assert without == {
        "idle_vacuum": "normal",
        "first_start_vacuum": "low_then_builds",
        "vacuum_recovery": "slow",
        "fuel_trim_idle": "adding",
        "fuel_trim_load": "removing",
    }
    with_target = from_readings.signs_from(
        readings, {ReadingKind.PEAK_BOOST: BOOST, ReadingKind.STEADY_BOOST: BOOST}, SEA
    )
    assert with_target["boost_level"] == "slightly_low"
    only_low = {ReadingKind.FIRST_START_VACUUM: vacuum(10)}
    assert from_readings.signs_from(only_low, {}, SEA) == {}
