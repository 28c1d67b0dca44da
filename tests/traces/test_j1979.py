"""Scalings of SAE J1979 (ISO 15031-5), service 01."""

import numpy as np
import pytest

from app.traces.j1979 import CEILING_KPA, PARAMETERS, RAW, scaled
from app.traces.trace import UNITS
from app.traces.units import units_for


@pytest.mark.parametrize(
    ("parameter", "data", "figure"),
    [
        (0x06, (0x00,), -100),
        (0x07, (0x80,), 0),
        (0x06, (0x90,), 12.5),
        (0x07, (0xFF,), 99.21875),
        (0x0B, (0x23,), 35),
        (0x0B, (0xFF,), 255),
        (0x0C, (0x1A, 0xF8), 1726),
        (0x0C, (0xFF, 0xFF), 16383.75),
        (0x10, (0x01, 0x9A), 4.1),
        (0x10, (0xFF, 0xFF), 655.35),
        (0x33, (0x65,), 101),
        (0x0F, (0x41,), 25),
        (0x05, (0x00,), -40),
        (0x05, (0xFF,), 215),
        (0x11, (0x80,), 50.19607843),
        (0x11, (0xFF,), 100),
    ],
)
def test_bytes_become_the_figures_of_the_standard(parameter: int, data: tuple[int, ...], figure: float) -> None:
    assert scaled(parameter, *data) == pytest.approx(figure, abs=1e-6)


def test_a_declared_maximum_stretches_the_scale() -> None:
    # 0x4F's byte D times 10 kPa (SAE J1979-DA): a car whose manifold goes to 500 kPa.
    assert scaled(0x0B, 0xFF, declared_maximum=500) == 500
    assert scaled(0x0B, 0xFF) == CEILING_KPA


def test_every_raw_channel_can_be_chosen_in_decimal_and_hexadecimal() -> None:
    assert set(PARAMETERS.values()) == set(RAW)
    for channel, (times, plus) in RAW.items():
        units = units_for(channel)
        assert units is not None
        for key in ("raw", "raw hex"):
            assert units[key](np.array([2.0]), 0.0).tolist() == [2 * times + plus]


def test_every_channel_comes_back_untouched_in_one_of_its_units() -> None:
    for channel in UNITS:
        units = units_for(channel)
        assert units is not None
        figures = np.array([0.1, 97.3])
        assert any((one(figures, 0.0) == figures).all() for one in units.values()), channel
