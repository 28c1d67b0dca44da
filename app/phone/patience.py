"""How many wrong links one address may try before it has to wait."""

import threading
import time
from collections import deque
from collections.abc import Callable
from ipaddress import IPv6Address, ip_network

from app.phone.private_names import read_address

#: Wrong tries an address has within WINDOW_S.
TRIES = 10
WINDOW_S = 60.0
_MOST = 1000


class Patience:
    """Counts in memory: a restart forgives. Guessing a link is out of reach anyway; this keeps the noise down."""

    def __init__(self, clock: Callable[[], float] = time.monotonic) -> None:
        """`clock` counts seconds."""
        self._clock = clock
        self._lock = threading.Lock()
        self._wrong: dict[str, deque[float]] = {}

    def is_out(self, peer: str) -> bool:
        """Whether this address has had its tries and has to wait."""
        with self._lock:
            return len(self._recent(_whose(peer))) >= TRIES

    def wrong(self, peer: str) -> None:
        """One wrong try."""
        with self._lock:
            whose = _whose(peer)
            recent = self._recent(whose)
            recent.append(self._clock())
            if whose not in self._wrong and len(self._wrong) >= _MOST:
                self._wrong.pop(next(iter(self._wrong)))
            self._wrong[whose] = recent

    def _recent(self, whose: str) -> deque[float]:
        recent = self._wrong.get(whose, deque(maxlen=TRIES))
        while recent and recent[0] <= self._clock() - WINDOW_S:
            recent.popleft()
        if not recent:
            self._wrong.pop(whose, None)
        return recent


def _whose(peer: str) -> str:
    address = read_address(peer)
    # One machine has a whole /64 of IPv6 addresses to choose from.
    if isinstance(address, IPv6Address):
        return str(ip_network((address, 64), strict=False))
    return str(address or peer)
