import io
from collections.abc import Sequence

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from app.traces.at_once import at_once, figures_of
from app.traces.cells import NAMED, Odd, Wanted, one_by_one
from app.traces.file_form import Decimal
from app.traces.lines import Block, blocks
from app.traces.read import UnreadableError, ambient_of, needs_ambient, read
from tests.traces.files import form, parts

RPM = ("rpm", "engine_speed", "rpm")
MAP = ("map", "manifold_pressure", "kPa")


def test_every_figure_is_what_numpy_reads_from_the_same_file() -> None:
    rng = np.random.default_rng(1)
    table = np.column_stack([np.arange(5000) / 50, rng.normal(2000, 900, 5000), rng.normal(90, 40, 5000)])
    text = io.StringIO()
    np.savetxt(text, table, fmt="%.3f", delimiter=",")
    found = read(parts("time,rpm,map\n" + text.getvalue(), 10_000), form(RPM, MAP))
    plain = np.loadtxt(io.StringIO(text.getvalue()), delimiter=",")
    assert (found.trace.channels["engine_speed"] == plain[:, 1]).all()
    assert (found.trace.channels["manifold_pressure"] == plain[:, 2]).all()
    assert found.trace.at == pytest.approx(plain[:, 0])
    assert (found.bad_rows, found.bad_cells, list(found.trouble)) == (0, 0, [])


def test_bad_rows_and_cells_are_counted_and_named_with_their_lines() -> None:
    text = "time,rpm,map\n0,800,35\n1,900\n2,=cmd|' /C calc'!A0,36\nsoon,900,37\n4,inf,38\n5,,39\n6,nan,40\n7,1000,41\n"
    found = read(parts(text), form(RPM, MAP))
    assert found.trace.at.tolist() == [0, 2, 4, 5, 6, 7]
    assert np.isnan(found.trace.channels["engine_speed"]).tolist() == [False, True, True, True, True, False]
    assert (found.bad_rows, found.bad_cells) == (2, 2)
    assert list(found.trouble) == [
        (3, "Left out: it has 2 columns and not 3."),
        (4, "rpm: “=cmd|' /C calc'!A0” is no figure."),
        (5, "Left out: “soon” is no time."),
        (6, "rpm: “inf” is no figure."),
    ]


def test_a_decimal_comma_is_read_with_semicolons_and_in_quotes() -> None:
    plain = read(parts("time;rpm\n0,0;800,5\n0,1;801,5\n"), form(RPM, delimiter=";", decimal=","))
    quoted = read(parts('time,rpm\n"0,0","800,5"\n"0,1","801,5"\n'), form(RPM, decimal=","))
    for found in (plain, quoted):
        assert found.trace.channels["engine_speed"].tolist() == [800.5, 801.5]
        assert found.trace.at.tolist() == [0, 0.1]


@pytest.mark.parametrize("encoding", ["utf-8", "utf-16-le", "utf-16-be", "cp1252"])
@pytest.mark.parametrize("end", ["\n", "\r\n", "\r"])
@pytest.mark.parametrize("size", [1, 2, 3, 7, 1000])
def test_a_file_reads_the_same_in_every_encoding_and_however_it_comes(encoding: str, end: str, size: int) -> None:
    text = f"time,rpm{end}0,800{end}1,900{end}2,950{end}"
    bom = {"utf-16-le": b"\xff\xfe", "utf-16-be": b"\xfe\xff", "utf-8": b"\xef\xbb\xbf"}.get(encoding, b"")
    found = read(parts(bom + text.encode(encoding), size), form(RPM, encoding=encoding))
    assert found.trace.channels["engine_speed"].tolist() == [800, 900, 950]
    assert (found.bad_rows, found.bad_cells) == (0, 0)


def test_quoted_cells_may_hold_separators_and_line_ends() -> None:
    text = 'time,note,rpm\n0,"a, b\nc ""d""",800\n1,,900\n'
    found = read(parts(text), form(("note", ""), RPM))
    assert found.trace.channels["engine_speed"].tolist() == [800, 900]
    assert found.bad_rows == 0


def test_a_quotation_mark_that_is_never_closed_costs_its_own_row_only() -> None:
    rows = "".join(f"{n},800\n" for n in range(1, 400))
    found = read(parts(f'time,rpm\n0,800\n"oh,1\n{rows}', 512), form(RPM))
    assert found.trace.at.size == 400
    assert found.bad_rows == 1


def test_nul_bytes_and_endless_lines_are_named_and_what_is_around_them_is_kept() -> None:
    text = b"time,rpm\n0,800\n" + b"\0" * 50 + b"\n1,900\n" + b"9" * 3_000_000 + b"\n2,950\n" + b"\0" * 100_000
    found = read(parts(text), form(RPM))
    assert found.trace.channels["engine_speed"].tolist() == [800, 900, 950]
    assert found.bad_rows == 3
    assert [line for line, _ in found.trouble] == [3, 5, 7]


def test_raw_bytes_are_scaled_whether_written_in_decimal_or_hexadecimal() -> None:
    text = "time,0C,0B\n0,1AF8,35\n1,0x1A F9,36\n2,,37\n3,zz,38\n"
    found = read(parts(text), form(("0C", "engine_speed", "raw hex"), ("0B", "manifold_pressure", "raw")))
    assert found.trace.channels["engine_speed"][:2].tolist() == [1726, 1726.25]
    assert found.trace.channels["manifold_pressure"].tolist() == [35, 36, 37, 38]
    assert found.bad_cells == 1


def test_a_gauge_s_pressure_becomes_absolute_by_the_log_s_own_barometer_or_by_what_is_said() -> None:
    gauge = ("boost", "manifold_pressure", "bar gauge")
    own = read(parts("time,boost,baro\n0,1,98\n1,0.5,\n"), form(gauge, ("baro", "barometer", "kPa")))
    assert own.trace.channels["manifold_pressure"] == pytest.approx([198, 148])
    assert ambient_of(own.trace) == 98
    said = read(parts("time,boost\n0,1\n"), form(gauge), ambient_kpa=90)
    assert said.trace.channels["manifold_pressure"] == pytest.approx([190])
    assert ambient_of(said.trace) is None
    assert needs_ambient(form(gauge))
    assert not needs_ambient(form(gauge, ("baro", "barometer", "kPa")))
    with pytest.raises(UnreadableError, match="say how high the air"):
        read(parts("time,boost\n0,1\n"), form(gauge))


def test_a_column_of_its_own_name_is_kept_and_never_taken_for_a_channel() -> None:
    found = read(parts("time,x,x,gear\n0,1,2,3\n"), form(("x", "own"), ("x", "own"), ("gear", "own")))
    assert {name: figures.tolist() for name, figures in found.trace.channels.items()} == {
        "x": [1],
        "x (2)": [2],
        "gear (own)": [3],
    }


def test_what_holds_no_row_is_refused_with_the_first_reason() -> None:
    with pytest.raises(UnreadableError, match=r"Line 2: Left out: “x” is no time\."):
        read(parts("time,rpm\nx,1\n"), form(RPM))
    with pytest.raises(UnreadableError, match="nothing below the header"):
        read(parts("time,rpm\n"), form(RPM))


_PLAIN = st.one_of(
    st.floats(-1e6, 1e6).map(lambda one: f"{one:.4g}"),
    st.sampled_from(["", " ", "nan", "NaN", "inf", "-inf", "1e999", "=1+1", "1_0", "0x10", "1d5", "+5", ".5", "-"]),
    st.sampled_from(["1,5", ",5", "5,"]),
    st.text(st.characters(exclude_characters="\n\r\x1f"), max_size=5),
)
_CELL = st.one_of(_PLAIN, _PLAIN.map(lambda one: f'"{one}"'))
_ROW = st.lists(_CELL, min_size=0, max_size=5)
_FORMS: tuple[tuple[str, Decimal], ...] = ((",", "."), (",", ","), (";", ","), (";", "."), ("\t", ","))


@settings(max_examples=500, deadline=None)
@given(st.lists(_ROW, min_size=1, max_size=8), st.sampled_from(_FORMS))
def test_a_block_read_at_once_gives_what_reading_it_cell_by_cell_gives(
    rows: list[list[str]], written: tuple[str, Decimal]
) -> None:
    delimiter, decimal = written
    text = "".join(delimiter.join(row) + "\n" for row in rows).encode("utf-8", "replace")
    columns = (RPM, ("x", "own"), ("h", "coolant", "raw hex"))
    wanted = Wanted.of(form(*columns, delimiter=delimiter, decimal=decimal))
    block = Block(1, text)
    quick, slow = at_once(block, wanted), one_by_one(block, wanted, odd := Odd())
    if quick is not None:
        assert (odd.rows, odd.cells) == (0, 0)
        assert quick.at.tolist() == slow.at.tolist()
        assert np.array_equal(quick.figures, slow.figures, equal_nan=True)
        assert quick.lines.tolist() == slow.lines.tolist()


@given(st.lists(st.floats(-1e6, 1e6), min_size=4, max_size=4), st.booleans(), st.sampled_from(_FORMS))
def test_rows_in_which_nothing_is_odd_are_read_at_once(
    figures: list[float], quoted: bool, written: tuple[str, Decimal]
) -> None:
    delimiter, decimal = written
    cells = [f"{one:.3f}".replace(".", decimal) for one in figures]
    if delimiter == decimal or quoted:
        cells = [f'"{cell}"' for cell in cells]
    wanted = Wanted.of(form(RPM, MAP, ("x", "own"), delimiter=delimiter, decimal=decimal))
    found = at_once(Block(1, (delimiter.join(cells) + "\n").encode()), wanted)
    assert found is not None
    assert found.figures.tolist() == [[float(f"{one:.3f}") for one in figures[1:]]]


def test_in_a_long_file_a_bad_cell_here_and_there_is_named_by_its_line() -> None:
    lines = [f"{n},{n % 900}" for n in range(60_000)]
    for n in (10, 30_000, 59_999):
        lines[n] = f"{n},oops"
    found = read(parts("time,rpm\n" + "\n".join(lines) + "\n", 1 << 20), form(RPM))
    assert (found.bad_cells, found.bad_rows) == (3, 0)
    assert [line for line, _ in found.trouble] == [12, 30_002, 60_001]
    assert found.trace.channels["engine_speed"][30_001] == 30_001 % 900


@settings(max_examples=200, deadline=None)
@given(st.binary(max_size=400), st.integers(1, 50), st.sampled_from(["utf-8", "utf-16-le", "cp1252"]))
def test_no_file_whatever_is_in_it_does_more_than_be_refused(raw: bytes, size: int, encoding: str) -> None:
    try:
        found = read(parts(b"time,rpm\n" + raw, size), form(RPM, encoding=encoding))
    except UnreadableError:
        return
    assert (np.diff(found.trace.at) >= 0).all()


_LINE = st.text(st.characters(exclude_characters="\r\n"), max_size=12)


@settings(max_examples=200, deadline=None)
@given(st.lists(_LINE, max_size=20), st.integers(1, 40), st.sampled_from(["\n", "\r\n"]))
def test_blocks_are_the_lines_of_the_file_in_order_with_their_numbers(lines: list[str], size: int, end: str) -> None:
    text = "".join(line + end for line in lines).encode("utf-8", "replace")
    made: list[bytes] = []
    for block in blocks(parts(text, size), "utf-8"):
        assert block.first == len(made) + 1
        made += block.text.split(b"\n")[:-1]
    expected: Sequence[bytes] = [line.encode("utf-8", "replace") for line in lines]
    assert made == list(expected) or text.startswith(b"\xef\xbb\xbf")


def test_a_row_left_out_is_counted_however_many_there_are() -> None:
    found = read(parts("time,rpm\n0,1\n" + "x\n" * 5000 + "1,2\n"), form(RPM))
    assert found.bad_rows == 5000
    assert len(found.trouble) == NAMED


def test_figures_of_an_empty_block_are_none() -> None:
    found = figures_of(Block(1, b"\n\n"), Wanted.of(form(RPM)), odd := Odd())
    assert found.at.size == 0
    assert odd.rows == 0
