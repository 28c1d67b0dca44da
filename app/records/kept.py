"""Read models kept until the next entry.

Nothing changes the record but an entry, so what was read and worked out stays true for as long as the last entry is
the same: a page looked at again, or drawn again after a tap that changed nothing, need not work it out anew.
"""

from collections.abc import Callable, Hashable
from datetime import datetime
from functools import wraps
from typing import Concatenate, ParamSpec, TypeVar, cast

from sqlalchemy import Connection

from app.records.memo import Memo
from app.records.rows import row

P = ParamSpec("P")
T = TypeVar("T")

#: The number of the last entry, as this view of the record sees it.
_LAST = "SELECT max(seq) FROM entry"
_SIZE = 128


def kept(read: Callable[Concatenate[Connection, P], T]) -> Callable[Concatenate[Connection, P], T]:
    """Keep what `read` answers for these arguments (hashable ones) until the next entry.

    For answers that follow from the record alone, not from the time of day, and not from what is no entry: the names of
    devices, or whether a log's file has come in. Whoever gets one must not change it.
    """
    return _kept(read, lambda: None)


def kept_today(read: Callable[Concatenate[Connection, P], T]) -> Callable[Concatenate[Connection, P], T]:
    """The same for what follows from the record and from which day it is: ages in days, `due tomorrow`."""
    return _kept(read, lambda: datetime.now().astimezone().date())


def _kept(
    read: Callable[Concatenate[Connection, P], T], besides: Callable[[], Hashable]
) -> Callable[Concatenate[Connection, P], T]:
    answers: Memo[T] = Memo(_SIZE)
    as_of: dict[str | None, Hashable] = {}

    @wraps(read)
    def reads(connection: Connection, /, *args: P.args, **kwargs: P.kwargs) -> T:
        garage = connection.engine.url.database
        now = row(connection, lambda seq: seq, _LAST), besides()
        if as_of.get(garage) != now:  # what was true before is asked for by nobody any more
            answers.forget(lambda key: isinstance(key, tuple) and key[0] == garage)
            as_of[garage] = now
        key = (garage, now, args, tuple(sorted(kwargs.items())))
        return answers.get(key, lambda: read(connection, *args, **kwargs))

    return cast("Callable[Concatenate[Connection, P], T]", reads)  # wraps() hides that it takes what `read` takes
