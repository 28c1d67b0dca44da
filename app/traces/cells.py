"""One block of lines into figures, cell by cell; what can't be read is counted and named."""

import csv
import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, field
from itertools import islice

import numpy as np
from numpy.typing import NDArray

from app.traces.clock import seconds_in
from app.traces.file_form import FileForm
from app.traces.lines import MOST_QUOTED, TOO_LONG, Block
from app.traces.trace import Samples
from app.traces.units import units_for

#: Texts that say there is no figure, in small letters.
NOTHING = frozenset(("", "nan", "-", "--", "---", "n/a", "na", "null", "none", "?"))
#: How many odd rows and cells are named; the others are counted.
NAMED = 20
#: A stamp this far from nought, s, is no time: some three thousand years.
NO_TIME = 1e11
#: Letters of a cell that are shown of one that can't be read.
SHOWN = 40


@dataclass(frozen=True, slots=True)
class Wanted:
    """The columns that are read, by number, and which of them are in hexadecimal."""

    form: FileForm
    columns: Sequence[int]
    hexadecimal: frozenset[int]

    @classmethod
    def of(cls, form: FileForm) -> "Wanted":
        """All but the clock, its day and what is left out."""
        clock = {form.clock_column, form.date_column}
        columns = [n for n, one in enumerate(form.columns) if one.channel and n not in clock]
        hexes = (n for n in columns if _ishexadecimal(form.columns[n].channel, form.columns[n].unit))
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


def one_by_one(block: Block, wanted: Wanted, odd: Odd) -> Figures:
    """A block's rows, cell by cell. What is odd is counted in `odd`."""
    form = wanted.form
    at: list[float] = []
    rows: list[list[float]] = []
    lines: list[int] = []
    for line, cells, broken in records(block, form.delimiter):
        if wrong := broken or _wrong(cells, form):
            odd.row(line, wrong)
            continue
        told = stamp_text(cells, form)
        stamp = seconds_in(told, form.clock)
        if not abs(stamp) < NO_TIME:
            odd.row(line, f"“{_short(told)}” is no time")
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


def stamp_text(cells: Sequence[str], form: FileForm) -> str:
    """What a row's clock says, with the day before it where that is a column of its own."""
    time = _with_point(cells[form.clock_column], form)
    return time if form.date_column is None else f"{cells[form.date_column].strip()} {time.strip()}"


def _figure(text: str, column: int, line: int, wanted: Wanted, odd: Odd) -> float:
    form = wanted.form
    if column not in wanted.hexadecimal and math.isfinite(found := _decimal(_with_point(text, form))):
        return found
    plain = text.strip()
    if plain.lower() in NOTHING:
        return math.nan
    found = hexadecimal(plain) if column in wanted.hexadecimal else _decimal(_with_point(plain, form))
    if not math.isfinite(found):
        odd.cell(line, form.columns[column].name, text)
        return math.nan
    return found


def _decimal(text: str) -> float:
    try:
        return float(text) if text.isascii() and "_" not in text else math.nan
    except ValueError:
        return math.nan


def hexadecimal(text: str) -> float:
    """A whole number in base 16, with or without 0x and spaces; NaN for what is none."""
    plain = text.replace(" ", "").lower().removeprefix("0x")
    if not plain or len(plain) > 8 or not set(plain) <= set("0123456789abcdef"):
        return math.nan
    return float(int(plain, 16))


def _with_point(text: str, form: FileForm) -> str:
    return text.replace(",", ".") if form.decimal == "," else text


def _ishexadecimal(channel: str, unit: str) -> bool:
    scale = (units_for(channel) or {}).get(unit)
    return scale is not None and scale.hexadecimal


def _short(text: str) -> str:
    shown = "".join(c if c.isprintable() else " " for c in text.strip())
    return shown if len(shown) <= SHOWN else shown[: SHOWN - 1] + "…"
