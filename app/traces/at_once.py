"""One block of lines into figures, all at once: where nothing is odd in it, which in a good file is everywhere.

The outcome is that of app.traces.cells, which reads what this gives back; `tests/traces/test_read.py` holds the two to
each other.
"""

import io
import math
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from app.traces.cells import NO_TIME, NOTHING, SHOWN, Figures, Odd, Wanted, hexadecimal, one_by_one
from app.traces.clock import NUMBERS, Text, seconds_of
from app.traces.file_form import FileForm
from app.traces.lines import TOO_LONG, Block

#: Bytes of a block so short that halving it costs more than reading it cell by cell.
_SHORT = 16_384
_NEWLINE, _QUOTE = 10, 34


def figures_of(block: Block, wanted: Wanted, odd: Odd) -> Figures:
    """A block's rows. What is odd is counted in `odd`; in a long block it is looked for half by half."""
    if (found := at_once(block, wanted)) is not None:
        return found
    text = block.text
    middle = text.find(b"\n", len(text) // 2) + 1
    if b'"' in text or not 0 < middle < len(text) or len(text) < _SHORT:
        return one_by_one(block, wanted, odd)
    first = figures_of(Block(block.first, text[:middle]), wanted, odd)
    second = figures_of(Block(block.first + text.count(b"\n", 0, middle), text[middle:]), wanted, odd)
    return Figures(
        np.concatenate([first.at, second.at]),
        np.concatenate([first.figures, second.figures]),
        np.concatenate([first.lines, second.lines]),
    )


def at_once(block: Block, wanted: Wanted) -> Figures | None:
    """The rows of a block in which nothing is odd; None for any other."""
    form = wanted.form
    text = _unquoted(block.text, form) if b'"' in block.text else block.text
    spans = None if text is None else _spans(text, form)
    if text is None or spans is None:
        return None
    try:
        numbers = _numbers(text if (spans.starts < spans.ends).all() else _filled(text, form), wanted)
        if form.clock in NUMBERS:
            at, figures = numbers[:, 0] * NUMBERS[form.clock], numbers[:, 1:]
        else:
            at, figures = seconds_of(_stamps(spans, form), form.clock), numbers
        for place, column in enumerate(wanted.columns):
            if column in wanted.hexadecimal:
                figures[:, place] = [_plain_hexadecimal(one) for one in spans.texts(column).tolist()]
    except (ValueError, UnicodeDecodeError):
        return None
    if not (abs(at) < NO_TIME).all() or np.isinf(figures).any():
        return None
    lines = np.arange(block.first, block.first + at.size, dtype=np.int32)
    return Figures(at, figures, lines)


def _stamps(spans: "_Spans", form: FileForm) -> Text:
    time = spans.texts(form.clock_column)
    if form.date_column is None:
        return time
    return np.char.add(np.char.add(np.char.strip(spans.texts(form.date_column)), b" "), np.char.strip(time))


def _unquoted(text: bytes, form: FileForm) -> bytes | None:
    """The same rows without quotation marks, decimal commas within them as points.

    None where they hold what only a slow look can tell: separators, line ends, marks within marks.
    """
    letters = np.frombuffer(text, np.uint8)
    mark = ord(form.delimiter)
    quotes = np.flatnonzero(letters == _QUOTE)
    apart = (letters == mark) | (letters == _NEWLINE)
    begins = np.concatenate([[True], apart[:-1]])
    ends = np.append(apart[1:], True)
    if quotes.size % 2 or not (begins[quotes[::2]].all() and ends[quotes[1::2]].all()):
        return None
    inside = np.cumsum(letters == _QUOTE) % 2 == 1
    if form.delimiter == form.decimal == ",":
        letters = np.where(inside & (letters == mark), ord("."), letters).astype(np.uint8)
        apart = letters == _NEWLINE
    if (inside & apart).any():
        return None
    plain: bytes = letters[letters != _QUOTE].tobytes()
    return plain


def _spans(text: bytes, form: FileForm) -> "_Spans | None":
    """Where the cells of a block's rows lie; None unless each line is a row of as many cells as there are columns."""
    if b"\0" in text or TOO_LONG in text or b"\n\n" in text or text.startswith(b"\n"):
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
        if width > SHOWN:
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
    if form.decimal == "," != form.delimiter:
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


def _plain_hexadecimal(text: bytes) -> float:
    """The same of a cell as bytes. ValueError for what is no figure."""
    plain = text.decode("ascii")
    found = hexadecimal(plain)
    if math.isnan(found) and plain.strip().lower() not in NOTHING:
        raise ValueError
    return found
