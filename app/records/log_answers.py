"""What pages say of logs, kept at hand: a log's file never changes, and going through an hour of figures takes long.

An answer is kept under all it follows from: whose file it is, how its columns are read, the air it was taken in, and
what was asked. So one after a change of columns is another, and none can be out of date. Kept is what a page shows,
some dozens of kilobytes at the most, and never a log's own figures.
"""

from collections.abc import Callable, Hashable, Sequence
from typing import Any, TypeVar

from sqlalchemy import Connection

from app.records import log_files
from app.records.garage import Garage
from app.records.memo import Memo
from app.records.traces import TraceRow, figures_of
from app.traces.file_form import Overruled
from app.traces.sniff import GUESS, HEAD, Sniffed, sniff
from app.traces.trace import Trace

T = TypeVar("T")

#: A few logs, each looked at in a few windows.
MOST = 128
_ANSWERS: Memo[Any] = Memo(MOST)
_BEGINNINGS: Memo[Sniffed] = Memo(MOST)


def answered(garage: Garage, logs: Sequence[TraceRow], work: Callable[..., T], *asked: Hashable) -> T:
    """What `work`, a function of a module, makes of the logs' traces and of what is asked. Raises NoTraceError."""

    def make() -> T:
        traces: list[Trace] = [figures_of(garage, one) for one in logs]
        return work(*traces, *asked)

    answer: T = _ANSWERS.get((work, *(follows_from(garage, one) for one in logs), *asked), make)
    return answer


def sniffed_of(garage: Garage, db: Connection, log: TraceRow, overruled: Overruled = GUESS) -> Sniffed:
    """How a log's file seems to be written, and its first rows. Raises NoFileError, and NoLogError as `sniff` does."""

    def make() -> Sniffed:
        return sniff(log_files.head_of(db, log.id, HEAD), overruled)

    if log.sha256 is None:
        return make()
    return _BEGINNINGS.get((str(garage.settings.data), log.id, log.sha256, overruled), make)


def follows_from(garage: Garage, log: TraceRow) -> Hashable:
    """All that a log's figures follow from."""
    return str(garage.settings.data), log.id, log.sha256, log.columns, log.ambient_kpa
