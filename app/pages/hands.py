"""Threads that answer pages, so that one that takes long holds up nobody else.

The framework hands over by way of limits and scopes that a page which only reads has no use for; that costs more than
a small page takes to read and render.
"""

import asyncio
from collections import deque
from collections.abc import Callable
from contextlib import suppress
from queue import SimpleQueue
from threading import Lock, Thread
from typing import Any, NamedTuple, TypeVar

T = TypeVar("T")

#: As many as the framework has of its own. Each may hold a connection to the database (records/engine.py).
MOST = 40


class _Asked(NamedTuple):
    work: Callable[[], Any]
    answer: "asyncio.Future[Any]"
    loop: asyncio.AbstractEventLoop


class Hands:
    """Up to `most` threads, each begun when all others are at work. They end with the program."""

    def __init__(self, most: int = MOST) -> None:
        """No thread yet."""
        self.threads = 0
        self._most = most
        self._waiting: SimpleQueue[_Asked] = SimpleQueue()
        # One mark for each thread that waits for work. A mark taken while the last threads are busy is given back when
        # one of them is done, so there may be too few threads for a moment only once all of them were begun.
        self._free: deque[None] = deque()
        self._beginning = Lock()

    async def do(self, work: Callable[[], T]) -> T:
        """What `work` returns, or raises, in one of the threads."""
        loop = asyncio.get_running_loop()
        answer: asyncio.Future[T] = loop.create_future()
        try:
            self._free.pop()
        except IndexError:
            self._begin_one()
        self._waiting.put(_Asked(work, answer, loop))
        return await answer

    def _begin_one(self) -> None:
        with self._beginning:
            if self.threads == self._most:
                return
            self.threads += 1
        Thread(target=self._work, name="page", daemon=True).start()

    def _work(self) -> None:
        while True:
            self._one()
            self._free.append(None)

    def _one(self) -> None:
        # A frame of its own, so that nothing of the last page is held while the next is waited for.
        work, answer, loop = self._waiting.get()
        try:
            done, raised = work(), None
        except BaseException as error:  # noqa: BLE001  # whoever asked gets it, whatever it is
            done, raised = None, error
        with suppress(RuntimeError):  # the loop is closed: the program ends, and nobody waits
            loop.call_soon_threadsafe(_tell, answer, done, raised)


def _tell(answer: "asyncio.Future[Any]", done: object, raised: BaseException | None) -> None:
    if answer.done():  # whoever asked went away
        return
    if raised is None:
        answer.set_result(done)
    else:
        answer.set_exception(raised)


#: Those of the program.
HANDS = Hands()
