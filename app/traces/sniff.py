"""How a file is written, from its beginning: encoding, separator, decimal mark, header, units, clock, channels."""

import codecs
import re
from collections import Counter
from collections.abc import Sequence
from dataclasses import dataclass, replace
from itertools import islice, pairwise
from typing import cast

from app.traces.cells import NOTHING, records
from app.traces.clock import DAY, NUMBERS, seconds_in
from app.traces.columns import columns_of, guessed_unit, is_time, unit_in
from app.traces.file_form import DELIMITERS, MOST_COLUMNS, OWN, Clock, Column, Decimal, FileForm, Overruled
from app.traces.lines import Block, blocks

#: Bytes of a file's beginning that are looked at, and how many of its rows.
HEAD = 1 << 16
_ROWS = 400
_SHOWN = 6
_NUMBER = {
    ".": re.compile(r"[-+]?(\d+\.?\d*|\.\d+)([eE][-+]?\d+)?"),
    ",": re.compile(r"[-+]?(\d+,?\d*|,\d+)([eE][-+]?\d+)?"),
}
#: Leaves all to the guess.
GUESS = Overruled()
#: Encodings that nothing in a file tells from cp1252: they are read when a person says so.
SAID_ONLY = frozenset(("cp1250", "cp1251"))
_SORTS = {"milliseconds": "seconds", "minutes": "seconds", "epoch_ms": "epoch", "mdy": "dmy"}
_MAGIC = {
    b"PK\x03\x04": "This is a spreadsheet's or an archive's own file. Save the table as CSV, and choose that.",
    b"\x1f\x8b": "This file is compressed. Unpack it, and choose what was in it.",
    b"%PDF": "This is a document for printing, not a table. Choose the logger's CSV file.",
    b"SQLite": "This is a database, not a table. Choose the logger's CSV file.",
}


class NoLogError(ValueError):
    """This file is no log; the message is a plain sentence that says why."""


@dataclass(frozen=True, slots=True)
class Sniffed:
    """How a file seems to be written, and its first rows as they stand there."""

    form: FileForm
    rows: Sequence[Sequence[str]]


def encoding_of(head: bytes) -> str:
    """The encoding of a file that begins like this. Raises NoLogError for what is no text."""
    for magic, sentence in _MAGIC.items():
        if head.startswith(magic):
            raise NoLogError(sentence)
    if head.startswith(codecs.BOM_UTF16_LE):
        return "utf-16-le"
    if head.startswith(codecs.BOM_UTF16_BE):
        return "utf-16-be"
    even, odd = head[0:2000:2].count(0), head[1:2000:2].count(0)
    half = min(len(head), 2000) / 2
    if odd > 0.4 * half and even < 0.1 * half:
        return "utf-16-le"
    if even > 0.4 * half and odd < 0.1 * half:
        return "utf-16-be"
    strange = sum(1 for byte in head[:4000] if byte < 32 and byte not in b"\t\n\r\0\f")
    if strange > len(head[:4000]) * 0.02 or head[:4000].count(0) > len(head[:4000]) / 2:
        raise NoLogError("This is no text file. Choose the logger's CSV file.")
    try:
        codecs.getincrementaldecoder("utf-8")().decode(head)
    except UnicodeDecodeError:
        return "cp1252"
    return "utf-8"


def sniff(head: bytes, overruled: Overruled = GUESS) -> Sniffed:
    """How a file that begins like this (up to HEAD bytes of it) is written. Raises NoLogError, saying why."""
    if not head.strip(b"\0\r\n\t \xef\xbb\xbf\xff\xfe"):
        raise NoLogError("This file is empty.")
    encoding = overruled.encoding or encoding_of(head)
    text = b"".join(one.text for one in blocks([head], encoding))
    if len(head) >= HEAD and text.count(b"\n") > 1:
        text = text[: text.rfind(b"\n", 0, len(text) - 1) + 1]  # the last line may be cut short
    block = Block(1, text)
    found = [_split(block, one, overruled.decimal) for one in DELIMITERS if overruled.delimiter in {"", one}]
    best = max(found, key=lambda one: one.score)
    if best.width < 2:
        raise NoLogError("This file has one column only. A log has a column of times, and one of figures at least.")
    if best.width > MOST_COLUMNS:
        raise NoLogError(f"This file has {best.width} columns; {MOST_COLUMNS} at most can be read.")
    if best.data is None:
        raise NoLogError("There is a header in this file, but no row of figures below it.")
    return _sniffed(best, best.data, encoding)


@dataclass(frozen=True, slots=True)
class _Split:
    """The rows of a beginning as one separator splits them; `data` is the place of the first row of figures."""

    delimiter: str
    decimal: Decimal
    width: int
    rows: Sequence[tuple[int, list[str]]]
    data: int | None
    score: float


def _split(block: Block, delimiter: str, said: str) -> _Split:
    rows = [(line, cells) for line, cells, wrong in islice(records(block, delimiter), _ROWS) if wrong is None]
    counts = Counter(len(cells) for _, cells in rows if len(cells) > 1)
    best = _Split(delimiter, ".", 1, rows, None, 0)
    for width, many in counts.most_common(3):
        decimals = said or ("." if delimiter == "," and not _quoted(block) else ".,")
        for decimal in cast("Sequence[Decimal]", tuple(decimals)):
            places = [n for n, (_, cells) in enumerate(rows) if len(cells) == width and _is_data(cells, decimal)]
            cells = [cell for n in places for cell in rows[n][1]]
            good = sum(1 for cell in cells if _is_figure(cell, decimal)) / max(1, len(cells))
            score = many / max(1, len(rows)) * (0.01 + len(places) / max(1, len(rows))) * (0.01 + good)
            if score > best.score:
                best = _Split(delimiter, decimal, width, rows, places[0] if places else None, score)
    return best


def _quoted(block: Block) -> bool:
    return b'"' in block.text


def _is_figure(cell: str, decimal: Decimal) -> bool:
    return _NUMBER[decimal].fullmatch(cell.strip()) is not None


def _is_data(cells: Sequence[str], decimal: Decimal) -> bool:
    said = [cell.strip() for cell in cells if cell.strip().lower() not in NOTHING]
    figures = sum(1 for cell in said if _is_figure(cell, decimal) or _clock_of(cell, decimal) is not None)
    return figures > 0 and figures >= len(said) / 2


def _sniffed(split: _Split, data: int, encoding: str) -> Sniffed:
    rows = split.rows
    near = [n for n in range(max(0, data - 4), data) if len(rows[n][1]) >= split.width - 1]
    above = [n for n in near if not _is_data(rows[n][1], split.decimal)]  # a row of figures cut short is no header
    begins = next((n for n in near if n > max(above, default=-1)), data)  # it is left out when read, and counted
    units: list[str] = []
    names: list[str] | None = None
    if above:
        last = rows[above[-1]][1]
        if len(above) > 1 and _is_units(last):
            units, names = last, rows[above[-2]][1]
        else:
            names = last
    header = [] if names is None else [_plain(name) for name in names]
    whole = [(header[n] if n < len(header) else "") or "" for n in range(split.width)]
    if names is None:
        whole = [f"Column {n + 1}" for n in range(split.width)]
    body = [cells for _, cells in rows[data : data + 60] if len(cells) == split.width]
    form = _form(split, encoding, whole, units, body, rows[begins][0], has_header=names is not None)
    return Sniffed(form, body[:_SHOWN])


def _form(  # noqa: PLR0913, PLR0917
    split: _Split,
    encoding: str,
    names: list[str],
    units: list[str],
    body: Sequence[Sequence[str]],
    first_line: int,
    *,
    has_header: bool,
) -> FileForm:
    columns = list(columns_of(names, units))
    place, clock = _clock(names, units, body, split.decimal)
    day = _day_beside(place, body) if clock == "hms" else None
    if day is not None:
        clock = _clock_of_both(place, day, body)
    for n, one in enumerate(columns):
        cells = [row[n] for row in body]
        if n in {place, day}:
            columns[n] = Column(one.name)
        elif one.channel == OWN and not any(_is_figure(cell, split.decimal) for cell in cells):
            columns[n] = Column(one.name)  # words are no channel
        elif one.channel not in {"", OWN}:
            figures = [_value(cell, split.decimal) for cell in cells]
            unit = guessed_unit(one.channel, one.unit, [one for one in figures if one is not None])
            columns[n] = Column(one.name, one.channel, unit)
    read = (encoding, split.delimiter, split.decimal, first_line, place, clock, tuple(columns))
    return FileForm(*read, header=has_header, date_column=day)


def _clock(
    names: Sequence[str], units: Sequence[str], body: Sequence[Sequence[str]], decimal: Decimal
) -> tuple[int, Clock]:
    """The column that tells the time, and how: one called so, else the first that never falls."""
    called = [n for n, name in enumerate(names) if is_time(name)]
    for n in [*called, *(n for n in range(len(names)) if n not in called)]:
        cells = [row[n].strip() for row in body]
        kinds = Counter(_clock_of(cell, decimal) for cell in cells)
        kind, many = kinds.most_common(1)[0]
        if kind is None or many < len(cells) * 0.7:
            continue
        if kind == "seconds":
            figures = [found for cell in cells if (found := _value(cell, decimal)) is not None]
            if n not in called and (figures != sorted(figures) or len(set(figures)) < len(figures) / 2):
                continue
            kind = _number_clock(names[n], units[n] if n < len(units) else "", figures)
        if kind == "dmy" and any(_clock_of(cell, decimal, "dmy") is None for cell in cells):
            kind = "mdy"  # a month of more than twelve
        return n, kind
    raise NoLogError("No column of this file tells the time. A log has one: seconds, or a date and a time.")


def _day_beside(place: int, body: Sequence[Sequence[str]]) -> int | None:
    """The first column that is a day in every row, beside one of times."""
    others = (n for n in range(len(body[0])) if n != place)
    return next((n for n in others if all(DAY.fullmatch(row[n].strip()) for row in body)), None)


def _clock_of_both(place: int, day: int, body: Sequence[Sequence[str]]) -> Clock:
    both = [f"{row[day].strip()} {row[place].strip()}" for row in body]
    for kind in cast("Sequence[Clock]", ("iso", "dmy", "mdy")):
        if all(_clock_of(one, ".", kind) is not None for one in both):
            return kind
    return "iso"


def _clock_of(cell: str, decimal: Decimal, only: Clock | None = None) -> Clock | None:
    plain = cell.strip()
    if _is_figure(plain, decimal):
        return "seconds" if only is None else None
    kinds: tuple[Clock, ...] = ("hms", "iso", "dmy", "mdy") if only is None else (only,)
    return next((one for one in kinds if one not in NUMBERS and seconds_in(plain, one) == seconds_in(plain, one)), None)


def _number_clock(name: str, said: str, figures: Sequence[float]) -> Clock:
    """A clock of plain numbers: by what it says it is, else by its size and its steps."""
    words = re.findall(r"[a-z]+", f"{name} {said}".lower())
    if figures and min(figures) > 1e11:
        return "epoch_ms"
    if figures and min(figures) > 1e9 - 1:
        return "epoch"
    if {"ms", "msec", "millis", "milliseconds"} & set(words):
        return "milliseconds"
    if {"min", "minutes"} & set(words):
        return "minutes"
    steps = sorted(b - a for a, b in pairwise(figures) if b > a)
    whole = all(one == int(one) for one in figures)
    said_so = unit_in(said) == "s" or {"s", "sec", "seconds"} & set(words)
    if steps and whole and steps[len(steps) // 2] >= 5 and not said_so:
        return "milliseconds"  # nobody logs every five seconds what a drive is judged by
    return "seconds"


def _value(cell: str, decimal: Decimal) -> float | None:
    return float(cell.strip().replace(",", ".")) if _is_figure(cell, decimal) else None


def _is_units(cells: Sequence[str]) -> bool:
    said = [cell for cell in cells if cell.strip()]
    known = sum(1 for cell in said if unit_in(cell) is not None or re.fullmatch(r"\s*[\[(].*[\])]\s*", cell))
    return bool(said) and known >= len(said) / 2


def _plain(name: str) -> str:
    return " ".join("".join(c if c.isprintable() else " " for c in name).split())[:80]


def fingerprint(form: FileForm) -> str:
    """What tells a logger's files from others': the names of their columns and how they are separated, as one text."""
    names = [one.name.casefold() for one in form.columns] if form.header else [str(len(form.columns))]
    with_mark = [form.delimiter, form.decimal, *names]
    return "\x1f".join(with_mark)


def as_known(form: FileForm, known: FileForm) -> FileForm:
    """The form of a new file of a logger that is known: its columns and clock as they were confirmed.

    Not so a clock that is plainly another: the time since 1970 and one from nought, a day and a number.
    """
    named = replace(form, columns=known.columns)
    if form.clock_column == known.clock_column and _sort_of(form) != _sort_of(known):
        return named
    return replace(named, clock_column=known.clock_column, clock=known.clock, date_column=known.date_column)


def _sort_of(form: FileForm) -> str:
    """Clocks of one sort can be taken for each other, by the guess or by a person."""
    if form.date_column is not None:
        return "hms"  # the day beside it may have been left out, or not
    return _SORTS.get(form.clock, form.clock)


def overruled_by(known: FileForm, guess: FileForm) -> Overruled:
    """What was said of a known logger's files against the guess that finds it.

    A logger is found by the separator and decimal mark that were guessed: where its own are others, a person said so.
    An encoding that is never guessed was said, too; any other may differ from file to file.
    """
    said = known.encoding if known.encoding in SAID_ONLY else ""
    delimiter = known.delimiter if known.delimiter != guess.delimiter else ""
    return Overruled(said, delimiter, known.decimal if delimiter or known.decimal != guess.decimal else "")
