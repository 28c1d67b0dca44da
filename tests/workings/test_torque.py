"""Torque wrench settings and tolerance: a tool maker's worked example, ISO 6789 as quoted, the balance of moments."""

from math import cos, radians, sin

import pytest
from hypothesis import given
from hypothesis import strategies as st

from app.workings.torque import (
    Band,
    ImpossibleTorque,
    permissible_deviation,
    reached_ok,
    tolerance_band,
    true_torque_band,
    wrench_setting,
)

TORQUES = st.floats(0.5, 500)
LEVERS = st.floats(100, 1200)  # mm
EXTENSIONS = st.floats(0, 90)  # mm, shorter than any lever above


def test_a_straight_extension_gives_the_tool_maker_s_example() -> None:
    # a torque wrench maker's worked example: 12 in wrench, 6 in extension, 30 lbf·ft wanted, set 20
    assert wrench_setting(30.0, 12.0, 6.0) == pytest.approx(20.0, abs=1e-9)


@pytest.mark.parametrize(
    ("angle", "setting"),
    # the balance of moments, 450 mm wrench, 75 mm extension, 100 N·m wanted
    [(0, 85.714), (45, 89.457), (90, 100.0), (180, 120.0)],
)
def test_an_extension_matters_less_the_further_it_is_turned(angle: float, setting: float) -> None:
    assert wrench_setting(100.0, 450.0, 75.0, angle) == pytest.approx(setting, abs=1e-3)


@given(TORQUES, LEVERS, EXTENSIONS, st.floats(0, 180))
def test_the_moments_balance(wanted: float, lever: float, extension: float, angle: float) -> None:
    # Second opinion from the vectors: fastener at the origin, extension along x, the hand's force square to the handle.
    force = wrench_setting(wanted, lever, extension, angle) / lever
    turn = radians(angle)
    hand_x, hand_y = extension + lever * cos(turn), lever * sin(turn)
    force_x, force_y = -force * sin(turn), force * cos(turn)
    assert hand_x * force_y - hand_y * force_x == pytest.approx(wanted, rel=1e-9)


@given(TORQUES, LEVERS, st.floats(0, 180))
def test_no_extension_is_no_correction(wanted: float, lever: float, angle: float) -> None:
    assert wrench_setting(wanted, lever, 0.0, angle) == pytest.approx(wanted)


@given(TORQUES, LEVERS, EXTENSIONS)
def test_a_setting_turned_back_into_torque_is_what_was_wanted(wanted: float, lever: float, extension: float) -> None:
    setting = wrench_setting(wanted, lever, extension)
    assert setting * (lever + extension) / lever == pytest.approx(wanted)


@pytest.mark.parametrize(
    ("torque", "tool_max", "low", "high"),
    # ISO 6789:2003 as quoted in a tool maker's manual: ±4 % above 10 N·m, ±6 % up to 10 N·m
    [(100.0, 200.0, 96.0, 104.0), (8.0, 10.0, 7.52, 8.48), (100.0, None, 96.0, 104.0)],
)
def test_the_band_is_the_standard_s(torque: float, tool_max: float | None, low: float, high: float) -> None:
    band = tolerance_band(torque, tool_max)
    assert band.low == pytest.approx(low, abs=1e-9)
    assert band.high == pytest.approx(high, abs=1e-9)


def test_the_wider_deviation_ends_at_ten_newton_metres() -> None:
    assert permissible_deviation(10.0) == 0.06
    assert permissible_deviation(10.01) == 0.04


def test_read_strictly_the_deviation_is_on_the_testing_device_s_value() -> None:
    # same manual, "± 4 % of the indication on the test device": 96.1538 to 104.1667 for 100
    band = true_torque_band(100.0, 200.0)
    assert band.low == pytest.approx(96.1538, abs=1e-4)
    assert band.high == pytest.approx(104.1667, abs=1e-4)


@given(TORQUES, st.one_of(st.none(), st.floats(1, 500)))
def test_at_either_end_of_the_strict_band_the_wrench_is_just_in_calibration(
    setting: float, tool_max: float | None
) -> None:
    deviation = permissible_deviation(tool_max)
    band = true_torque_band(setting, tool_max)
    for true in (band.low, band.high):
        assert abs(setting - true) / true == pytest.approx(deviation)


@pytest.mark.parametrize(
    ("value", "ok"), [(100.0, True), (96.0, True), (104.0, True), (95.9, False), (104.1, False), (20.0, False)]
)
def test_a_torque_counts_as_reached_inside_the_band(value: float, ok: bool) -> None:
    assert reached_ok(value, 100.0, 200.0) is ok


@given(TORQUES, st.one_of(st.none(), st.floats(1, 500)))
def test_the_ends_of_the_band_count(target: float, tool_max: float | None) -> None:
    band = tolerance_band(target, tool_max)
    assert reached_ok(band.low, target, tool_max)
    assert reached_ok(band.high, target, tool_max)
    assert not reached_ok(band.low * 0.999, target, tool_max)
    assert not reached_ok(band.high * 1.001, target, tool_max)


def test_the_end_of_the_band_is_not_lost_to_the_last_binary_digit() -> None:
    assert tolerance_band(4.1, 200.0).high < 4.264  # 4 % over is 4.264 exactly
    assert reached_ok(4.264, 4.1, 200.0)


def test_a_small_wrench_is_allowed_more() -> None:
    assert reached_ok(7.6, 8.0, 10.0)
    assert not reached_ok(7.6, 8.0, 200.0)


def test_a_band_holds_what_lies_in_it() -> None:
    assert Band(1.0, 2.0).holds(1.5)
    assert not Band(1.0, 2.0).holds(2.5)


@pytest.mark.parametrize(
    ("wanted", "lever", "extension", "angle", "sentence"),
    [
        (0.0, 450.0, 75.0, 0.0, "the torque wanted has to be above zero, and 0 is not"),
        (100.0, -1.0, 75.0, 0.0, "the length of the wrench has to be above zero, and -1 is not"),
        (100.0, 450.0, -5.0, 0.0, "an extension cannot be -5 long"),
        (100.0, 450.0, 75.0, 200.0, "the extension stands at 0 to 180 degrees, not 200"),
        (float("nan"), 450.0, 75.0, 0.0, "the torque wanted has to be above zero, and nan is not"),
    ],
)
def test_a_wrench_that_cannot_be_is_refused(
    wanted: float, lever: float, extension: float, angle: float, sentence: str
) -> None:
    with pytest.raises(ImpossibleTorque) as refusal:
        wrench_setting(wanted, lever, extension, angle)
    assert str(refusal.value) == sentence


@pytest.mark.parametrize("extension", [450.0, 600.0])
def test_an_extension_folded_back_past_the_hand_is_refused(extension: float) -> None:
    with pytest.raises(ImpossibleTorque, match=r"turns the fastener the wrong way$"):
        wrench_setting(100.0, 450.0, extension, 180.0)


def test_no_torque_and_no_wrench_are_refused() -> None:
    with pytest.raises(ImpossibleTorque, match=r"^the torque reached has to be above zero"):
        reached_ok(0.0, 100.0, 200.0)
    with pytest.raises(ImpossibleTorque, match=r"^the torque has to be above zero"):
        reached_ok(100.0, -2.0, 200.0)
    with pytest.raises(ImpossibleTorque, match=r"^the wrench's largest setting has to be above zero"):
        reached_ok(100.0, 100.0, 0.0)
    with pytest.raises(ImpossibleTorque, match=r"^the setting has to be above zero"):
        true_torque_band(-1.0, 200.0)
