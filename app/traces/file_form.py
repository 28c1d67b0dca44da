"""How one logger writes its files: what separates its columns, and what each column is. Plain JSON when kept."""

import json
from collections.abc import Sequence
from dataclasses import asdict, dataclass
from functools import lru_cache
from typing import Any, Literal, get_args

from app.traces.units import units_for

Decimal = Literal[".", ","]
Clock = Literal["seconds", "milliseconds", "minutes", "hms", "iso", "dmy", "mdy", "epoch", "epoch_ms"]

ENCODINGS = ("utf-8", "utf-16-le", "utf-16-be", "cp1252", "cp1250", "cp1251")
DELIMITERS = (",", ";", "\t", "|")
#: Clocks that write out the day, in one column with the time of day or in one beside it.
WITH_DAY = frozenset(("iso", "dmy", "mdy"))
_UNKNOWN = "This encoding, separator or decimal mark is not known."
#: A channel that is kept under the name its column has in the file, and nothing reckoned from it.
OWN = "own"
#: More columns than any logger writes; beyond it a file is something else.
MOST_COLUMNS = 400


@dataclass(frozen=True, slots=True)
class Column:
    """One column: its name in the file, its channel (one of UNITS, OWN, or "" to leave it out), its unit there."""

    name: str
    channel: str = ""
    unit: str = ""


@dataclass(frozen=True, slots=True)
class Overruled:
    """What a person says of how a file is written, where the guess is wrong; "" leaves it to the guess."""

    encoding: str = ""
    delimiter: str = ""
    decimal: str = ""

    def __post_init__(self) -> None:
        """Raises ValueError, in a sentence, for what no file is read by."""
        known = (self.encoding, ENCODINGS), (self.delimiter, DELIMITERS), (self.decimal, get_args(Decimal))
        if any(said and said not in these for said, these in known):
            raise ValueError(_UNKNOWN)


@dataclass(frozen=True, slots=True)
class FileForm:
    """How a file is read. `first_line` is the number of the first line of figures, counted from 1.

    `clock` says how the column number `clock_column` tells the time, both counted from 0. Where the day stands in a
    column of its own, `date_column` is its number, and `clock` says how the two read together. `header` is false where
    the file names no columns, and their names are made up.
    """

    encoding: str
    delimiter: str
    decimal: Decimal
    first_line: int
    clock_column: int
    clock: Clock
    columns: Sequence[Column]
    header: bool = True
    date_column: int | None = None

    def as_text(self) -> str:
        """The same as JSON: one text for one form."""
        return json.dumps(asdict(self), ensure_ascii=False, sort_keys=True, separators=(",", ":"))


@lru_cache(maxsize=128)
def form_of(text: str) -> FileForm:
    """A form out of JSON. Raises ValueError, in a plain sentence, for what can't be read with."""
    try:
        told: dict[str, Any] = json.loads(text)
        columns = tuple(Column(**one) for one in told.pop("columns"))
        form = FileForm(columns=columns, **told)
        wrong = _wrong(form)
    except (ValueError, TypeError, AttributeError, KeyError, RecursionError):
        raise ValueError("This does not say how a log is read.") from None
    if wrong:
        raise ValueError(wrong)
    return form


def _wrong(form: FileForm) -> str | None:
    if form.encoding not in ENCODINGS or form.delimiter not in DELIMITERS or form.decimal not in get_args(Decimal):
        return _UNKNOWN
    if form.clock not in get_args(Clock) or not 1 <= len(form.columns) <= MOST_COLUMNS or form.first_line < 1:
        return "This clock is not known, or there are no columns."
    if not 0 <= form.clock_column < len(form.columns):
        return "Say which column tells the time."
    if form.date_column is not None:
        if not 0 <= form.date_column < len(form.columns) or form.date_column == form.clock_column:
            return "Say which column tells the day: not the one that tells the time."
        if form.clock not in WITH_DAY:
            return "With the day in a column of its own, say how it is written: as one of the dates and times."
    return _wrong_columns([one for one in form.columns if one.channel not in {"", OWN}])


def _wrong_columns(columns: Sequence[Column]) -> str | None:
    channels = [one.channel for one in columns]
    for one in columns:
        units = units_for(one.channel)
        if units is None:
            return "There is no such channel."
        if channels.count(one.channel) > 1:
            return f"Two columns can't both be the channel {one.channel.replace('_', ' ')}. Leave one out."
        if one.unit not in units:
            return f"Say in which unit “{one.name}” is."
    return None
