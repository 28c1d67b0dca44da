"""Answers kept at hand under all they follow from, so that none is ever out of date: the last ones asked for."""

from collections import OrderedDict
from collections.abc import Callable, Hashable
from threading import Lock
from typing import Generic, TypeVar

T = TypeVar("T")


class Memo(Generic[T]):
    """Up to `most` answers; whoever gets one must not change it. Safe with threads: two may work the same out at once,
    and both are right.
    """

    def __init__(self, most: int) -> None:
        """Empty."""
        self._most = most
        self._answers: OrderedDict[Hashable, T] = OrderedDict()
        self._lock = Lock()

    def __len__(self) -> int:
        """How many are kept."""
        return len(self._answers)

    def forget(self, these: Callable[[Hashable], bool]) -> None:
        """Let go of the answers under `these` keys."""
        with self._lock:
            for key in [one for one in self._answers if these(one)]:
                del self._answers[key]

    def get(self, key: Hashable, make: Callable[[], T], *, keep: Callable[[T], bool] = lambda _: True) -> T:
        """The answer kept under `key`, or what `make` answers, kept from now on if it is one to `keep`."""
        with self._lock:
            if key in self._answers:
                self._answers.move_to_end(key)
                return self._answers[key]
        answer = make()
        if keep(answer):
            with self._lock:
                self._answers[key] = answer
                while len(self._answers) > self._most:
                    self._answers.popitem(last=False)
        return answer
