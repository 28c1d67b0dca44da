from datetime import datetime

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from app.traces.clock import NUMBERS, in_order, seconds_in, seconds_of
from app.traces.file_form import Clock

DAY = datetime.fromisoformat("2026-04-18T00:00:00+00:00").timestamp()


@pytest.mark.parametrize(
    ("text", "clock", "seconds"),
    [
        ("12.5", "seconds", 12.5),
        ("1250", "milliseconds", 1.25),
        ("0.5", "minutes", 30),
        ("10:40:05.25", "hms", 38405.25),
        ("10:40:05,25", "hms", 38405.25),
        ("1:02:03", "hms", 3723),
        ("02:03.5", "hms", 123.5),
        ("10:40:05 PM", "hms", 81605),
        ("12:00:00 AM", "hms", 0),
        ("2026-04-18 10:40:05", "iso", DAY + 38405),
        ("2026-04-18T10:40:05.250Z", "iso", DAY + 38405.25),
        ("2026-04-18T10:40:05+02:00", "iso", DAY + 31205),
        ("2026/4/18 10:40:05", "iso", DAY + 38405),
        ("18.04.2026 10:40:05", "dmy", DAY + 38405),
        ("04/18/2026 10:40:05", "mdy", DAY + 38405),
        ("1776508805", "epoch", 1776508805),
        ("1776508805250", "epoch_ms", 1776508805.25),
    ],
)
def test_a_clock_is_read_however_it_is_written(text: str, clock: Clock, seconds: float) -> None:
    assert seconds_in(text, clock) == pytest.approx(seconds, abs=1e-6)
    if clock not in NUMBERS:
        assert seconds_of(np.array([text.encode()] * 3), clock) == pytest.approx([seconds] * 3, abs=1e-6)


@pytest.mark.parametrize(
    "text", ["", "x", "10:61:00", "25.13.2026 10:00:00", "2026-02-30 10:00:00", "1_000", "::", "é"]
)
@pytest.mark.parametrize("clock", ["seconds", "hms", "iso", "dmy"])
def test_what_is_no_time_is_none(text: str, clock: Clock) -> None:
    assert np.isnan(seconds_in(text, clock))


_STAMPS = st.datetimes(min_value=datetime(1990, 1, 1), max_value=datetime(2100, 1, 1))  # noqa: DTZ001  # a logger's own


@given(
    st.lists(st.one_of(_STAMPS.map(str), st.text(st.characters(codec="ascii", exclude_characters="\0"), max_size=12)))
)
def test_a_whole_column_is_read_as_its_cells_are_one_by_one(texts: list[str]) -> None:
    column = np.array([text.encode() for text in texts] or [b""], "S40")
    for clock in ("iso", "hms", "dmy", "mdy"):
        each = [seconds_in(text.decode(), clock) for text in column.tolist()]
        assert np.allclose(seconds_of(column, clock), each, rtol=0, atol=1e-5, equal_nan=True)


def test_a_single_stamp_that_falls_back_is_left_out_and_named() -> None:
    found = in_order(np.array([0.0, 1, 2, 1.5, 3, 4]), "seconds")
    assert found.at.tolist() == [0, 1, 2, 3, 4]
    assert [row for row, _ in found.out] == [3]


def test_a_single_stamp_that_runs_ahead_is_left_out_and_not_all_that_come_after() -> None:
    found = in_order(np.array([0.0, 1, 2, 9999, 3, 4, 5, 6, 7, 8, 9]), "seconds")
    assert found.at.tolist() == [0, 1, 2, 3, 4, 5, 6, 7, 8, 9]
    assert [row for row, _ in found.out] == [3]


def test_of_a_clock_that_begins_anew_the_longest_stretch_is_kept_and_it_is_said() -> None:
    stamps = np.concatenate([np.arange(20.0), np.arange(50.0), np.arange(30.0)])
    found = in_order(stamps, "seconds")
    assert found.rows.tolist() == list(range(20, 70))
    assert len(found.out) == 50
    assert found.notes == ("The clock began anew 2 times. The longest stretch is kept, 50 rows are not.",) or list(
        found.notes
    ) == ["The clock began anew 2 times. The longest stretch is kept, 50 rows are not."]


def test_past_midnight_a_clock_of_the_day_runs_on() -> None:
    found = in_order(np.array([86398.0, 86399, 0, 1]), "hms")
    assert found.at.tolist() == [86398, 86399, 86400, 86401]
    assert not found.out


def test_a_few_repeated_stamps_are_kept_and_said() -> None:
    found = in_order(np.array([0.0, 1, 1, 2, 3, 4]), "seconds")
    assert found.at.tolist() == [0, 1, 1, 2, 3, 4]
    assert list(found.notes) == ["1 rows bear the same time as the one before; they are kept."]


def test_a_clock_coarser_than_the_rows_is_spread_evenly() -> None:
    found = in_order(np.repeat(np.arange(5.0), 4), "hms")
    assert found.at == pytest.approx(np.arange(20) / 4)


@given(st.lists(st.floats(0, 1e6), max_size=200))
def test_whatever_the_stamps_they_never_fall_and_every_row_is_kept_or_named(stamps: list[float]) -> None:
    found = in_order(np.array(stamps, float), "seconds")
    assert (np.diff(found.at) >= 0).all()
    assert sorted([*found.rows.tolist(), *(row for row, _ in found.out)]) == list(range(len(stamps)))
