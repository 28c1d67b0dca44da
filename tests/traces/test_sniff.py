from collections.abc import Sequence
from dataclasses import replace
from datetime import UTC, datetime
from typing import Any

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from app.traces.columns import channel_of, columns_of
from app.traces.file_form import OWN, FileForm, Overruled, form_of
from app.traces.read import UnreadableError, read
from app.traces.sniff import HEAD, NoLogError, as_known, fingerprint, sniff
from tests.traces.files import parts

Found = tuple[str, str, str, int, int, str]


def told(form: FileForm) -> Found:
    return (form.encoding, form.delimiter, form.decimal, form.first_line, form.clock_column, form.clock)


def channels(form: FileForm) -> Sequence[tuple[str, str]]:
    return [(one.channel, one.unit) for one in form.columns]


@pytest.mark.parametrize(
    ("text", "encoding", "found", "known"),
    [
        (
            "time,rpm,MAP\n0,800,35\n0.02,805,36\n",
            "utf-8",
            ("utf-8", ",", ".", 2, 0, "seconds"),
            [("", ""), ("engine_speed", "rpm"), ("manifold_pressure", "kPa")],
        ),
        (
            "Time;Engine speed;Boost pressure\n[s];[1/min];[mbar]\n0,00;800,0;-610\n0,02;805;-612\n",
            "utf-16",
            ("utf-16-le", ";", ",", 3, 0, "seconds"),
            [("", ""), ("engine_speed", "rpm"), ("manifold_pressure", "mbar gauge")],
        ),
        (
            "A drive\nDate,2026\n\nTime (ms),Engine RPM (rpm),Boost (psi),AFR\n0,800,-10.5,14.7\n20,900,-10,14.6\n",
            "utf-8-sig",
            ("utf-8", ",", ".", 5, 0, "milliseconds"),
            [("", ""), ("engine_speed", "rpm"), ("manifold_pressure", "psi gauge"), ("lambda", "afr petrol")],
        ),
        (
            "rpm\tTimestamp\tCoolant °C\n800\t18.04.2026 10:40:05,100\t80,5\n801\t18.04.2026 10:40:05,200\t80,6\n",
            "cp1252",
            ("cp1252", "\t", ",", 2, 1, "dmy"),
            [("engine_speed", "rpm"), ("", ""), ("coolant", "degC")],
        ),
        (
            "date|speed km/h\n04/18/2026 10:40:05|50\n04/18/2026 10:40:06|51\n",
            "utf-8",
            ("utf-8", "|", ".", 2, 0, "mdy"),
            [("", ""), ("road_speed", "km/h")],
        ),
        (
            "t;0x0C;PID 0B;01 0F\n1776508805;1AF8;65;41\n1776508806;1AF9;66;41\n",
            "utf-8",
            ("utf-8", ";", ".", 2, 0, "epoch"),
            [("", ""), ("engine_speed", "raw hex"), ("manifold_pressure", "raw hex"), ("intake_air", "raw hex")],
        ),
        (
            '"Time","Short Term Fuel Trim Bank 1 (%)"\r\n"0,0","1,5"\r\n"0,1","-1,6"\r\n',
            "utf-8",
            ("utf-8", ",", ",", 2, 0, "seconds"),
            [("", ""), ("fuel_trim_short", "%")],
        ),
    ],
)
def test_how_a_file_is_written_is_recognised(
    text: str, encoding: str, found: Found, known: Sequence[tuple[str, str]]
) -> None:
    form = sniff(text.encode(encoding)).form
    assert told(form) == found
    assert channels(form) == known
    assert read(parts(text.encode(encoding)), form, 98).trace.at.size == 2


def test_a_first_row_cut_short_is_no_header_and_is_counted() -> None:
    text = b"time,rpm,map\n0,800\n1,801,35\n2,802,35\n"
    form = sniff(text).form
    assert [one.name for one in form.columns] == ["time", "rpm", "map"]
    made = read(parts(text), form, None)
    assert (made.bad_rows, made.trouble) == (1, ((2, "Left out: it has 2 columns and not 3."),))


@pytest.mark.parametrize("wild", ["1e300", "-2e300", "1e308"])
def test_a_stamp_beyond_all_time_is_left_out_and_counted(wild: str) -> None:
    text = f"time,rpm\n0,800\n1,801\n2,802\n{wild},803\n".encode()
    made = read(parts(text), sniff(text).form, None)
    assert (made.trace.seconds, made.bad_rows) == (2, 1)
    assert made.trouble == ((5, f"Left out: “{wild}” is no time."),)


def test_a_file_without_a_header_gets_names_and_loses_no_row() -> None:
    form = sniff(b"2026-04-18 10:40:05.100,800\n2026-04-18 10:40:05.120,801\n").form
    assert told(form) == ("utf-8", ",", ".", 1, 0, "iso")
    assert [one.name for one in form.columns] == ["Column 1", "Column 2"]
    assert not form.header


@pytest.mark.parametrize(
    ("name", "channel"),
    [
        ("Engine RPM", "engine_speed"),
        ("RPM [1/min]", "engine_speed"),
        ("EngineSpeed", "engine_speed"),
        ("Vehicle speed sensor", "road_speed"),
        ("Intake manifold absolute pressure", "manifold_pressure"),
        ("MAP_kPa", "manifold_pressure"),
        ("Barometric pressure", "barometer"),
        ("Absolute throttle position", "throttle"),
        ("Accelerator pedal position D", "pedal"),
        ("MAF (g/s)", "air_flow"),
        ("Long term fuel trim - Bank 1", "fuel_trim_long"),
        ("STFT1", "fuel_trim_short"),
        ("Engine coolant temperature", "coolant"),
        ("IAT", "intake_air"),
        ("Wastegate duty cycle (%)", "boost_duty"),
        ("Gear", "gear"),
        ("Target boost", None),
        ("Requested MAP", None),
        ("Oil temp", None),
        ("Wheel speed FL", None),
        ("Knock", None),
        ("Gear ratio", None),
    ],
)
def test_a_column_is_known_by_the_words_of_the_trade(name: str, channel: str | None) -> None:
    assert channel_of(name) == channel


def test_of_two_columns_of_one_channel_the_first_is_it_and_the_other_keeps_its_name() -> None:
    assert [one.channel for one in columns_of(["speed", "gps speed"])] == ["road_speed", OWN]


@pytest.mark.parametrize(
    ("head", "why"),
    [
        (b"", "empty"),
        (b"\xef\xbb\xbf\n\n", "empty"),
        (b"\0" * 5000, "empty"),
        (b"time,rpm\n", "no row of figures"),
        (b"rpm\n800\n801\n", "one column only"),
        (b"name,town\nKim,Ghent\nAlex,Bern\n", "no row of figures"),
        (b"rpm,map\n800,35\n700,36\n900,35\n", "tells the time"),
        (b"PK\x03\x04" + b"\0" * 100, "Save the table as CSV"),
        (b"\x1f\x8b\x08" + b"x" * 100, "compressed"),
        (bytes(range(256)) * 20, "no text file"),
        (
            b",".join(b"%d" % n for n in range(500)) + b"\n" + b",".join(b"%d" % n for n in range(500)) + b"\n",
            "500 columns",
        ),
    ],
)
def test_what_is_no_log_is_refused_in_plain_words(head: bytes, why: str) -> None:
    with pytest.raises(NoLogError, match=why):
        sniff(head)


@settings(max_examples=300, deadline=None)
@given(st.one_of(st.binary(max_size=300), st.text(st.sampled_from('time,;\t|"\n.0123456789:-/é =x'), max_size=300)))
def test_whatever_a_file_begins_with_it_is_recognised_or_refused_and_then_read_or_refused(head: bytes | str) -> None:
    raw = head.encode() if isinstance(head, str) else head
    try:
        found = sniff(raw)
    except NoLogError:
        return
    assert form_of(found.form.as_text()) == found.form
    try:
        read(parts(raw), found.form, 98)
    except UnreadableError:
        return


def test_a_long_file_s_beginning_does_not_end_in_half_a_line() -> None:
    text = "time,rpm\n" + "".join(f"{n / 50},{800 + n}\n" for n in range(20_000))
    assert len(text) > 2 * HEAD
    assert told(sniff(text.encode()[:HEAD]).form) == ("utf-8", ",", ".", 2, 0, "seconds")


def test_a_logger_is_known_again_by_its_header_and_not_by_its_figures() -> None:
    first, again, other = (
        sniff(text).form for text in (b"t,rpm\n0,1\n1,2\n", b"T,RPM\n5,7\n6,8\n", b"t;rpm\n0;1\n1;2\n")
    )
    assert fingerprint(first) == fingerprint(again) != fingerprint(other)
    assert as_known(again, first).columns == first.columns


@pytest.mark.parametrize(
    ("first", "now", "clock"),
    [
        ("0.5", "1776508805123", "epoch_ms"),
        ("1776508805123", "0.5", "seconds"),
        ("0.5", "2026-04-18 10:40:05", "iso"),
        ("0.5", "10:40:05", "hms"),
        ("04/25/2026 10:40:05", "04/03/2026 10:40:05", "mdy"),  # which the guess alone takes for a day in March
    ],
)
def test_a_known_logger_s_clock_counts_unless_the_file_s_is_plainly_another(first: str, now: str, clock: str) -> None:
    known, again = (sniff(f"time,rpm\n{one},800\n{one},801\n".encode()).form for one in (first, now))
    assert as_known(again, known).clock == clock


def test_a_clock_that_a_person_overruled_stands_for_the_next_file() -> None:
    guess = sniff(b"time,rpm\n0,800\n1,801\n").form
    assert as_known(guess, replace(guess, clock="milliseconds")).clock == "milliseconds"


@pytest.mark.parametrize(
    ("change", "why"),
    [
        (('"clock_column":0', '"clock_column":9'), "which column tells the time"),
        (('"unit":"rpm"', '"unit":"psi"'), "in which unit"),
        (('"channel":"engine_speed"', '"channel":"knock"'), "no such channel"),
        (('"delimiter":","', '"delimiter":"x"'), "not known"),
        (('"clock":"seconds"', '"clock":"sundial"'), "clock is not known"),
        (("{", "["), "how a log is read"),
        (('"header":true', '"heading":true'), "how a log is read"),
    ],
)
def test_a_form_that_can_t_be_read_with_is_refused(change: tuple[str, str], why: str) -> None:
    text = sniff(b"t,rpm\n0,1\n1,2\n").form.as_text()
    with pytest.raises(ValueError, match=why):
        form_of(text.replace(*change, 1))


def test_a_day_in_a_column_beside_the_time_of_day_is_one_clock_with_it() -> None:
    text = "Date;Time;rpm\n18.04.26;23:59:59,5;800\n18.04.26;23:59:59,9;801\n19.04.26;00:00:00,3;802\n"
    form = sniff(text.encode()).form
    assert (form.date_column, form.clock_column, form.clock) == (0, 1, "dmy")
    made = read(parts(text.encode()), form, None)
    assert made.trace.at.tolist() == pytest.approx([0, 0.4, 0.8])
    assert made.begun == datetime(2026, 4, 18, 23, 59, 59, 500_000, UTC).timestamp()
    assert (made.bad_rows, made.bad_cells, list(made.trace.channels)) == (0, 0, ["engine_speed"])


@pytest.mark.parametrize(
    ("day", "clock"), [("2026-04-18", "iso"), ("18/04/2026", "dmy"), ("04/18/2026", "mdy"), ("04-03-26", "dmy")]
)
def test_a_day_beside_the_time_is_read_as_it_is_written(day: str, clock: str) -> None:
    form = sniff(f"rpm,Time,Day\n800,10:40:05,{day}\n801,10:40:06,{day}\n".encode()).form
    assert (form.date_column, form.clock) == (2, clock)


@pytest.mark.parametrize(
    ("change", "why"),
    [
        ({"date_column": 1}, "not the one that tells the time"),
        ({"date_column": 7}, "not the one that tells the time"),
        ({"date_column": 0, "clock": "hms"}, "how it is written"),
    ],
)
def test_a_day_that_can_not_be_read_with_the_time_is_refused(change: dict[str, Any], why: str) -> None:
    form = sniff(b"Date,Time,rpm\n2026-04-18,10:40:05,800\n2026-04-18,10:40:06,801\n").form
    with pytest.raises(ValueError, match=why):
        form_of(replace(form, **change).as_text())


def test_a_wrong_guess_is_overruled() -> None:
    # Thousands apart by commas look like fractions, and Cyrillic letters like Western ones.
    text = "Время;rpm;own\n0;1,200;1\n1;1,300;2\n".encode("cp1251")
    guess, said = sniff(text).form, sniff(text, Overruled("cp1251", ";", ".")).form
    assert (guess.encoding, guess.decimal) == ("cp1252", ",")
    assert (said.encoding, said.decimal, said.columns[0].name) == ("cp1251", ".", "Время")
    both = b"t,rpm;b,c\n0,1;2,3\n1,1;2,4\n"
    assert [sniff(both, Overruled(delimiter=one)).form.delimiter for one in (",", ";")] == [",", ";"]


def test_what_no_file_is_read_by_is_no_word_against_the_guess() -> None:
    for wrong in (("utf-7", "", ""), ("", "x", ""), ("", "", ";")):
        with pytest.raises(ValueError, match="not known"):
            Overruled(*wrong)
