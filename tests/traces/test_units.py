"""Units of channels, held to pint."""

import numpy as np
import pint
import pytest

from app.traces.units import units_for

UREG: pint.UnitRegistry[float] = pint.UnitRegistry()


@pytest.mark.parametrize(
    ("channel", "unit", "named", "kept"),
    [
        ("manifold_pressure", "psi", "psi", "kPa"),
        ("manifold_pressure", "bar", "bar", "kPa"),
        ("manifold_pressure", "inHg", "inch_Hg_32F", "kPa"),
        ("barometer", "mbar", "mbar", "kPa"),
        ("barometer", "mmHg", "mmHg", "kPa"),
        ("air_flow", "kg/h", "kg/hour", "g/s"),
        ("air_flow", "lb/min", "lb/minute", "g/s"),
        ("road_speed", "mph", "mile/hour", "km/h"),
        ("road_speed", "m/s", "m/s", "km/h"),
        ("coolant", "degF", "degF", "degC"),
    ],
)
def test_a_unit_is_turned_as_a_library_turns_it(channel: str, unit: str, named: str, kept: str) -> None:
    units = units_for(channel)
    assert units is not None
    figures = np.array([0.0, 14.7, 180.0])
    other = UREG.Quantity(figures, named).to(kept).magnitude
    assert units[unit](figures, 0.0) == pytest.approx(other, rel=1e-6, abs=1e-9)


def test_a_gauge_s_pressure_is_added_to_the_air_around_and_a_vacuum_taken_from_it() -> None:
    units = units_for("manifold_pressure")
    assert units is not None
    assert units["bar gauge"](np.array([1.0]), 98.0).tolist() == pytest.approx([198])
    assert units["kPa vacuum"](np.array([60.0]), 98.0).tolist() == pytest.approx([38])
