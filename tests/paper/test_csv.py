"""Lists as comma-separated values, held to RFC 4180 and to the standard library's own reader."""

import csv
import io

import pytest
from hypothesis import given
from hypothesis import strategies as st

from app.paper.csv import attachment, guarded, read_back, unguarded, written

TEXT = st.text(st.characters(codec="utf-8", exclude_characters="\0"))


@given(st.lists(st.lists(TEXT, min_size=2, max_size=2)))
def test_what_is_written_is_read_back(rows: list[list[str]]) -> None:
    text = written(["a", "b"], rows)
    assert read_back(text) == [{"a": a, "b": b} for a, b in rows]


@given(st.lists(st.lists(TEXT, min_size=2, max_size=2)))
def test_another_reader_finds_no_cell_that_a_spreadsheet_would_run(rows: list[list[str]]) -> None:
    found = list(csv.reader(io.StringIO(written(["a", "b"], rows), newline="")))
    assert len(found) == len(rows) + 1
    assert not any(cell[:1] in set("=+-@\t\r\n") - {""} for row in found for cell in row if cell)


@given(TEXT)
def test_the_guard_comes_off_again(text: str) -> None:
    assert unguarded(guarded(text)) == text


@pytest.mark.parametrize("text", ["=1+1", "+1", "-1", "@sum", "\t=1", "\uff1d1", "'=1"])
def test_what_looks_like_a_formula_is_guarded(text: str) -> None:
    assert guarded(text) == "'" + text


def test_lines_end_as_the_standard_says_and_quotes_are_doubled() -> None:
    # RFC 4180, section 2: 1 and 2 (CRLF), 6 (a cell with a comma, a quote or a line break is quoted), 7 (doubled).
    assert written(["what", "mm"], [['3" hose, bent', 4.0]]) == 'what,mm\r\n"3"" hose, bent",4\r\n'


def test_figures_flags_and_nothing_are_plain() -> None:
    assert written(["a", "b", "c", "d"], [[-3.5, 1000000, True, None]]).split("\r\n")[1] == "-3.5,1000000,yes,"


def test_a_name_with_any_letters_makes_a_safe_file_name() -> None:
    header = attachment('Börk "1".csv')["content-disposition"]
    assert header == "attachment; filename=\"B-rk-1-.csv\"; filename*=UTF-8''B%C3%B6rk%20%221%22.csv"
    assert header.isascii()
    assert header.count('"') == 2
