"""Calendar files, held to RFC 5545, section by section."""

from datetime import date, datetime, timedelta, timezone

import pytest
from hypothesis import given
from hypothesis import strategies as st

from app.paper.calendar import LINE, DueDay, calendar, folded, text, unfolded

ANY = st.text(st.characters(codec="utf-8"))
LINES = st.text(st.characters(codec="utf-8", exclude_categories=["Cc"]))
AT = datetime(2026, 4, 18, 12, 40, tzinfo=timezone(timedelta(hours=2)))


def day(title: str = "Hill climb", more: str = "") -> DueDay:
    return DueDay("event.e1.tern@witnessmark", date(2026, 5, 2), title, more, AT)


def unescaped(value: str) -> str:
    """A text read back as section 3.3.11 says."""
    letters = iter(value)
    out = [{"n": "\n", "N": "\n"}.get(after := next(letters), after) if one == "\\" else one for one in letters]
    return "".join(out)


@given(LINES)
def test_folding_is_undone_by_unfolding(line: str) -> None:
    assert unfolded(folded(line)) == line


@given(LINES)
def test_no_line_is_longer_than_75_octets_and_no_letter_is_cut(line: str) -> None:
    # Section 3.1.
    first, *others = folded(line).encode().split(b"\r\n")
    assert len(first) <= LINE
    for other in others:
        assert other.startswith(b" ")
        assert len(other) <= LINE
        other.decode()


@given(ANY)
def test_a_text_is_read_back_as_it_was_but_for_control_characters(value: str) -> None:
    kept = value.replace("\r\n", "\n").replace("\r", "\n")
    kept = "".join(one for one in kept if one in "\n\t" or (ord(one) >= 32 and ord(one) != 127))
    assert unescaped(text(value)) == kept


@given(ANY, ANY)
def test_whatever_a_title_says_the_file_keeps_its_shape(title: str, more: str) -> None:
    file = calendar("Tern", [day(title, more)])
    assert file.endswith("END:VCALENDAR\r\n")
    # Section 3.1: lines are delimited by CRLF, and neither stands alone.
    assert "\n" not in file.replace("\r\n", "")
    assert "\r" not in file.replace("\r\n", "")
    lines = unfolded(file).split("\r\n")
    assert [line for line in lines if line.startswith(("BEGIN", "END"))] == [
        "BEGIN:VCALENDAR",
        "BEGIN:VEVENT",
        "END:VEVENT",
        "END:VCALENDAR",
    ]


def test_an_entry_holds_what_the_standard_demands() -> None:
    lines = unfolded(calendar("Tern", [day()])).split("\r\n")
    # Section 3.6: PRODID and VERSION once each; section 3.7.4: 2.0.
    assert lines.count("VERSION:2.0") == 1
    assert sum(line.startswith("PRODID:") for line in lines) == 1
    # Section 3.6.1: UID and DTSTAMP; section 3.8.7.2: in UTC; DTSTART, section 3.3.4: a date as YYYYMMDD.
    assert "UID:event.e1.tern@witnessmark" in lines
    assert "DTSTAMP:20260418T104000Z" in lines
    assert "DTSTART;VALUE=DATE:20260502" in lines


@pytest.mark.parametrize(
    ("said", "held"),
    # Section 3.3.11, and its own example.
    [
        ("Project XYZ Final Review\nConference Room - 3B\nCome Prepared.",
         "Project XYZ Final Review\\nConference Room - 3B\\nCome Prepared."),
        ("a;b,c\\d:e\"", "a\\;b\\,c\\\\d:e\""),
        ("bell\x07", "bell"),
    ],
)  # fmt: skip
def test_what_would_end_a_value_is_escaped(said: str, held: str) -> None:
    assert text(said) == held


def test_the_example_of_a_long_line_is_folded_at_75_octets() -> None:
    # Section 3.1 folds "DESCRIPTION:This is a long description that exists on a long line."; ours cuts at 75.
    line = "DESCRIPTION:" + "ä" * 40
    first, second = folded(line).split("\r\n")
    assert len(first.encode()) == 74  # one more letter is two octets
    assert second == " " + "ä" * 9
