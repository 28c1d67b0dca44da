"""One block of lines into figures: all at once where nothing is odd in it, else cell by cell, with the same outcome."""

import csv
import io
import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, field
from itertools import islice

import numpy as np
from numpy.typing import NDArray

from app.traces.clock import NUMBERS, Text, seconds_in, seconds_of
from app.traces.file_form import FileForm
from app.traces.lines import MOST_QUOTED, TOO_LONG, Block
from app.traces.trace import Samples
from app.traces.units import units_for

#: Texts that say there is no figure, in small letters.
NOTHING = frozenset(("", "nan", "-", "--", "---", "n/a", "na", "null", "none", "?"))
#: How many odd rows and cells are named; the others are counted.
NAMED = 20
_SHOWN = 40
_NEWLINE = 10


@dataclass(frozen=True, slots=True)
class Wanted:
    """The columns that are read, by number, and which of them are in hexadecimal."""

    form: FileForm
    columns: Sequence[int]
    hexadecimal: frozenset[int]

    @classmethod
    def of(cls, form: FileForm) -> "Wanted":
        """All but the clock and what is left out."""
        columns = [n for n, one in enumerate(form.columns) if one.channel and n != form.clock_column]
        hexes = (n for n in columns if _is_hexadecimal(form.columns[n].channel, form.columns[n].unit))
        return cls(form, columns, frozenset(hexes))


@dataclass(slots=True)
class Odd:
    """What could not be read: how many rows and cells, and the first few with the number of their line."""

    rows: int = 0
    cells: int = 0
    named: list[tuple[int, str]] = field(default_factory=list)

    def row(self, line: int, why: str) -> None:
        """Count a row that is left out."""
        self.rows += 1
        self._name(line, f"Left out: {why}.")

    def cell(self, line: int, column: str, text: str) -> None:
        """Count a cell that is no figure."""
        self.cells += 1
        self._name(line, f"{column}: “{_short(text)}” is no figure.")

    def _name(self, line: int, why: str) -> None:
        if len(self.named) < NAMED:
            self.named.append((line, why))


@dataclass(frozen=True, slots=True)
class Figures:
    """Rows read: their stamps, s, the wanted columns side by side (rows, columns), and each row's line."""

    at: Samples
    figures: NDArray[np.float64]
    lines: NDArray[np.int32]


def figures_of(block: Block, wanted: Wanted, odd: Odd) -> Figures:
    """A block's rows. What is odd is counted in `odd`."""
    return _at_once(block, wanted) or _one_by_one(block, wanted, odd)


def _at_once(block: Block, wanted: Wanted) -> Figures | None:
    """The rows of a block in which nothing is odd; None for any other."""
    form, text = wanted.form, block.text
    spans = _spans(text, form)
    if spans is None:
        return None
    try:
        numbers = _numbers(text if (spans.starts < spans.ends).all() else _filled(text, form), wanted)
        if form.clock in NUMBERS:
            at, figures = numbers[:, 0] * NUMBERS[form.clock], numbers[:, 1:]
        else:
            at, figures = seconds_of(spans.texts(form.clock_column), form.clock), numbers
        for place, column in enumerate(wanted.columns):
            if column in wanted.hexadecimal:
                figures[:, place] = [_plain_hexadecimal(one) for one in spans.texts(column).tolist()]
    except (ValueError, UnicodeDecodeError):
        return None
    if not np.isfinite(at).all() or np.isinf(figures).any():
        return None
    lines = np.arange(block.first, block.first + at.size, dtype=np.int32)
    return Figures(at, figures, lines)


def _spans(text: bytes, form: FileForm) -> "_Spans | None":
    """Where the cells of a block's rows lie; None unless each line is a row of as many cells as there are columns."""
    if b'"' in text or b"\0" in text or TOO_LONG in text or b"\n\n" in text or text.startswith(b"\n"):
        return None
    letters = np.frombuffer(text, np.uint8)
    ends = np.flatnonzero(letters == _NEWLINE)
    marks = np.flatnonzero(letters == ord(form.delimiter))
    between = len(form.columns) - 1
    if marks.size != ends.size * between:
        return None
    rows = marks.reshape(ends.size, between)
    starts = np.concatenate([[0], ends[:-1] + 1])
    if between and not ((rows[:, 0] >= starts).all() and (rows[:, -1] < ends).all()):
        return None
    return _Spans(letters, np.column_stack([starts, rows + 1]), np.column_stack([rows, ends]))


@dataclass(frozen=True, slots=True)
class _Spans:
    """Where each cell of a block begins and ends."""

    letters: NDArray[np.uint8]
    starts: NDArray[np.intp]
    ends: NDArray[np.intp]

    def texts(self, column: int) -> Text:
        """A column's cells as texts. ValueError where one is too long for a time or a figure."""
        starts, lengths = self.starts[:, column], self.ends[:, column] - self.starts[:, column]
        width = max(1, int(lengths.max()))
        if width > _SHOWN:
            raise ValueError
        places = starts[:, None] + np.arange(width)
        found = self.letters[np.minimum(places, self.letters.size - 1)]
        found[np.arange(width) >= lengths[:, None]] = 0
        return np.ascontiguousarray(found).view(f"S{width}").ravel()


def _filled(text: bytes, form: FileForm) -> bytes:
    """Rows in which every empty cell says that it holds nothing."""
    mark = form.delimiter.encode()
    nothing = mark + b"nan" + mark
    text = text.replace(mark + mark, nothing).replace(mark + mark, nothing)
    text = text.replace(b"\n" + mark, b"\nnan" + mark).replace(mark + b"\n", mark + b"nan\n")
    return b"nan" + text if text.startswith(mark) else text


def _numbers(text: bytes, wanted: Wanted) -> NDArray[np.float64]:
    """The clock, if it is a number, and the wanted columns, side by side. ValueError for a cell that is no figure."""
    form = wanted.form
    if form.decimal == ",":
        text = text.replace(b",", b".")
    columns = [column for column in wanted.columns if column not in wanted.hexadecimal]
    clock = [form.clock_column] if form.clock in NUMBERS else []
    found = np.full((text.count(b"\n"), len(clock) + len(wanted.columns)), np.nan)
    if clock or columns:
        read = np.loadtxt(
            io.BytesIO(text),
            delimiter=form.delimiter,
            usecols=[*clock, *columns],
            comments=None,
            ndmin=2,
            encoding="latin1",
        )
        places = [n for n, column in enumerate(wanted.columns) if column not in wanted.hexadecimal]
        if len(read) != len(found):
            raise ValueError
        found[:, [*range(len(clock)), *(len(clock) + n for n in places)]] = read
    return found


def _one_by_one(block: Block, wanted: Wanted, odd: Odd) -> Figures:
    form = wanted.form
    at: list[float] = []
    rows: list[list[float]] = []
    lines: list[int] = []
    for line, cells, broken in records(block, form.delimiter):
        if wrong := broken or _wrong(cells, form):
            odd.row(line, wrong)
            continue
        stamp = seconds_in(_with_point(cells[form.clock_column], form), form.clock)
        if not math.isfinite(stamp):
            odd.row(line, f"“{_short(cells[form.clock_column])}” is no time")
            continue
        at.append(stamp)
        rows.append([_figure(cells[n], n, line, wanted, odd) for n in wanted.columns])
        lines.append(line)
    figures = np.array(rows, float).reshape(len(rows), len(wanted.columns))
    return Figures(np.array(at, float), figures, np.array(lines, np.int32))


def records(block: Block, delimiter: str) -> Iterator[tuple[int, list[str], str | None]]:
    """Each row of a block: its line, its cells, and what is wrong with it as a line; rows of nothing are left out."""
    lines = block.text.decode("utf-8", "replace").split("\n")[:-1]
    place = 0
    while place < len(lines):
        line, number, taken = lines[place], block.first + place, 1
        if "\0" in line:
            yield number, [], "it holds NUL bytes, as a logger leaves that lost its power"
        elif line == TOO_LONG.decode():
            yield number, [], "it is longer than a million characters"
        elif '"' not in line:
            if line.strip():
                yield number, line.split(delimiter), None
        else:
            ahead = (f"{one}\n" for one in islice(lines, place, place + MOST_QUOTED))
            reader = csv.reader(ahead, delimiter=delimiter, strict=True)
            try:
                cells = next(reader)
                taken = reader.line_num
                yield number, cells, None
            except csv.Error:
                yield number, [], "a quotation mark is not closed"
        place += taken


def _wrong(cells: list[str], form: FileForm) -> str | None:
    """Why a row can't be read; None for one that can, once its empty cells beyond the last column are off."""
    wanted = len(form.columns)
    if len(cells) == wanted:
        return None
    while len(cells) > wanted and not cells[-1].strip():
        cells.pop()
    if len(cells) == wanted:
        return None
    return f"it has {len(cells)} columns and not {wanted}"


def _figure(text: str, column: int, line: int, wanted: Wanted, odd: Odd) -> float:
    plain = text.strip()
    if plain.lower() in NOTHING:
        return math.nan
    form = wanted.form
    found = _hexadecimal(plain) if column in wanted.hexadecimal else _decimal(_with_point(plain, form))
    if not math.isfinite(found):
        odd.cell(line, form.columns[column].name, text)
        return math.nan
    return found


def _decimal(text: str) -> float:
    try:
        return float(text) if text.isascii() and "_" not in text else math.nan
    except ValueError:
        return math.nan


def _plain_hexadecimal(text: bytes) -> float:
    """The same of a cell as bytes. ValueError for what is no figure."""
    plain = text.decode("ascii")
    found = _hexadecimal(plain)
    if math.isnan(found) and plain.strip().lower() not in NOTHING:
        raise ValueError
    return found


def _hexadecimal(text: str) -> float:
    plain = text.replace(" ", "").lower().removeprefix("0x")
    if not plain or len(plain) > 8 or not set(plain) <= set("0123456789abcdef"):
        return math.nan
    return float(int(plain, 16))


def _with_point(text: str, form: FileForm) -> str:
    return text.replace(",", ".") if form.decimal == "," else text


def _is_hexadecimal(channel: str, unit: str) -> bool:
    scale = (units_for(channel) or {}).get(unit)
    return scale is not None and scale.hexadecimal


def _short(text: str) -> str:
    shown = "".join(c if c.isprintable() else " " for c in text.strip())
    return shown if len(shown) <= _SHOWN else shown[: _SHOWN - 1] + "…"
