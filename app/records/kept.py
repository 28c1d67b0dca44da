"""Read models kept until the next entry.

Nothing changes the record but an entry, so what was read and worked out stays true for as long as the last entry is
the same: a page looked at again, or drawn again after a tap that changed nothing, need not work it out anew.
"""

from collections import OrderedDict
from collections.abc import Callable
from functools import wraps
from threading import Lock
from typing import Concatenate, ParamSpec, TypeVar, cast

from sqlalchemy import Connection

from app.records.rows import row

P = ParamSpec("P")
T = TypeVar("T")

#: The number of the last entry, as this view of the record sees it.
_LAST = "SELECT max(seq) FROM entry"
_SIZE = 128


def kept(read: Callable[Concatenate[Connection, P], T]) -> Callable[Concatenate[Connection, P], T]:
    """Keep what `read` answers for these arguments (hashable ones) until the next entry.

    For answers that follow from the record alone, not from the time of day; whoever gets one must not change it.
    """
    answers: OrderedDict[object, T] = OrderedDict()
    lock = Lock()

    @wraps(read)
    def reads(connection: Connection, /, *args: P.args, **kwargs: P.kwargs) -> T:
        last = row(connection, lambda seq: seq, _LAST)
        key = (connection.engine.url.database, last, args, tuple(sorted(kwargs.items())))
        with lock:
            if key in answers:
                answers.move_to_end(key)
                return answers[key]
        answer = read(connection, *args, **kwargs)
        with lock:
            answers[key] = answer
            while len(answers) > _SIZE:
                answers.popitem(last=False)
        return answer

    return cast("Callable[Concatenate[Connection, P], T]", reads)  # wraps() hides that it takes what `read` takes
