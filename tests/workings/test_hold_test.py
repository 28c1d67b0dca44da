"""A hold test judged: its loss, what cooling did, the hole, and whether it holds."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from app.workings.decay import ImpossibleDecay, ratio_after, time_constant
from app.workings.hold_picture import picture
from app.workings.hold_test import HoldTest, judge, practice

AIR = 101.325


def pumped(*readings: tuple[float, float], **more: float) -> HoldTest:
    return HoldTest(
        True, AIR, 60.0, readings, more.get("limit", 3.0), 60.0, more.get("start_c"), more.get("end_c"), 50.0
    )


def leaking(mm: float, seconds: float, *, vacuum: bool) -> HoldTest:
    """What half a litre with such a hole shows at the end and half way there."""
    start = 60.0
    ratio = (AIR - start if vacuum else AIR + start) / AIR
    one = time_constant(500, mm, 20)
    shown = [abs(ratio_after(ratio, at / one) - 1) * AIR for at in (seconds / 2, seconds)]
    readings = ((seconds / 2, shown[0]), (seconds, shown[1]))
    return HoldTest(vacuum, AIR, start, readings, 3.0, 60.0, 20.0, 20.0, 500.0)


@given(st.floats(0.01, 0.12), st.floats(20, 100), st.booleans())
def test_the_hole_that_is_there_is_found(mm: float, seconds: float, vacuum: bool) -> None:
    judged = judge(leaking(mm, seconds, vacuum=vacuum))
    assert judged.hole_mm == pytest.approx(mm, rel=1e-4)
    assert judged.fast_mm is not None
    assert judged.fast_mm <= mm * (1 + 1e-4)


@given(st.floats(0.01, 0.2), st.floats(1.01, 3), st.booleans())
def test_a_larger_hole_loses_more_and_a_leak_is_never_passed_for_it(mm: float, more: float, vacuum: bool) -> None:
    small, large = (judge(leaking(each, 60, vacuum=vacuum)) for each in (mm, mm * more))
    assert large.at_limit_kpa >= small.at_limit_kpa
    assert not (large.passed and not small.passed)


def test_it_passes_at_the_limit_and_not_beyond() -> None:
    assert judge(pumped((60.0, 57.0))).passed is True
    assert judge(pumped((60.0, 56.9))).passed is False


def test_a_pass_takes_the_whole_of_the_time_and_a_leak_can_be_told_early() -> None:
    assert judge(pumped((30.0, 59.5))).passed is None
    assert judge(pumped((10.0, 50.0))).passed is False


def test_a_test_longer_than_the_limit_s_time_is_reckoned_back_to_it() -> None:
    judged = judge(pumped((120.0, 55.0)))
    assert judged.at_limit_kpa == pytest.approx(2.5, abs=0.01)
    assert judged.passed is True


def test_cooling_alone_is_no_leak_under_pressure() -> None:
    """Ideal gas: 201.325 kPa absolute from 50 to 20 °C lose 18.6902 kPa."""
    told = judge(HoldTest(False, AIR, 100.0, ((60.0, 81.3098),), 10.0, 60.0, 50.0, 20.0, 500.0))
    assert told.cooling_kpa == pytest.approx(18.6902, abs=1e-4)
    assert told.leaked_kpa == pytest.approx(0, abs=1e-3)
    assert told.hole_mm == pytest.approx(0, abs=2e-2)
    assert told.passed is True


def test_cooling_hides_a_leak_in_a_vacuum() -> None:
    still = judge(pumped((60.0, 58.0)))
    cooled = judge(pumped((60.0, 58.0), start_c=40.0, end_c=20.0))
    assert cooled.cooling_kpa < 0
    assert cooled.leaked_kpa > still.leaked_kpa
    assert (still.passed, cooled.passed) == (True, False)


def test_a_gauge_that_rises_has_lost_nothing() -> None:
    judged = judge(pumped((60.0, 60.5)))
    assert (judged.rate, judged.hole_mm, judged.passed) == (0, 0, True)
    assert judged.at_limit_kpa == pytest.approx(0)


def test_common_practice_is_a_share_of_the_start() -> None:
    assert practice("vacuum", 18) == (0.9, 60)
    assert practice("pressure", 0.7) == (0.07, 60)


def test_the_picture_keeps_within_its_frame_and_ends_where_the_test_does() -> None:
    test = pumped((20.0, 59.0), (90.0, 40.0))
    drawn = picture(test, judge(test), 100.0)
    assert drawn.last_s == 100.0
    for x, y in [tuple(map(float, one.split(","))) for one in f"{drawn.limit} {drawn.fit}".split()] + list(drawn.dots):
        assert 50 <= x <= 350
        assert 12 <= y <= 168
    assert picture(test, None).fit == ""


@pytest.mark.parametrize(
    "wrong",
    [
        HoldTest(True, AIR, 0.0, ((60.0, 0.0),), 3.0, 60.0),
        HoldTest(True, AIR, 102.0, ((60.0, 50.0),), 3.0, 60.0),
        HoldTest(True, AIR, 60.0, (), 3.0, 60.0),
        HoldTest(True, AIR, 60.0, ((0.0, 50.0),), 3.0, 60.0),
        HoldTest(True, AIR, 60.0, ((60.0, -1.0),), 3.0, 60.0),
        HoldTest(True, AIR, 60.0, ((60.0, 50.0),), 60.0, 60.0),
        HoldTest(False, AIR, 60.0, ((60.0, 50.0),), 3.0, 0.0),
    ],
)
def test_a_test_that_can_not_have_been_is_refused(wrong: HoldTest) -> None:
    with pytest.raises(ImpossibleDecay):
        judge(wrong)
