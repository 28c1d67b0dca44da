"""Who is paired, remembered for half a minute, so that a page costs one look at the database at most."""

import hashlib
import threading
import time
from collections.abc import Callable
from contextlib import suppress
from datetime import UTC, datetime
from typing import NamedTuple

from sqlalchemy.exc import DBAPIError

from app.records import devices
from app.records.devices import Credential
from app.records.garage import Garage

#: Seconds a device once found paired is believed without looking again.
REMEMBERED_S = 30.0
_MOST = 1000


class _Remembered(NamedTuple):
    device: str
    until: float


class Keyring:
    """One for the program. Removing a device has to tell it: `forget`."""

    def __init__(self, garage: Garage, clock: Callable[[], float] = time.monotonic) -> None:
        """Keep the keys of `garage`; `clock` counts seconds."""
        self._garage = garage
        self._clock = clock
        self._lock = threading.Lock()
        self._paired: dict[bytes, _Remembered] = {}
        self._forgotten = 0

    def remembered(self, credential: Credential) -> bool:
        """Whether this device was found paired within REMEMBERED_S. Never waits."""
        found = self._paired.get(_mark(credential))
        return found is not None and self._clock() < found.until

    def look_up(self, credential: Credential) -> bool:
        """Whether this device is paired, as the database has it. Waits for the disk."""
        forgotten = self._forgotten
        with self._garage.read() as db:
            if not devices.is_paired(db, credential, datetime.now(UTC)):
                return False
        with self._lock:
            # A device removed since we looked must not be remembered as paired.
            if forgotten == self._forgotten:
                if len(self._paired) >= _MOST:
                    self._paired.clear()
                self._paired[_mark(credential)] = _Remembered(credential.id, self._clock() + REMEMBERED_S)
        return True

    def forget(self, device: str) -> None:
        """Look this device up afresh next time: it was removed, or given another secret."""
        with self._lock:
            self._forgotten += 1
            self._paired = {mark: one for mark, one in self._paired.items() if one.device != device}

    def note_seen(self, device: str) -> None:
        """Write down that a device was here, at most once a minute; not at all while the database is busy or full."""
        with suppress(DBAPIError):  # an answer already given must not turn into an error over this
            devices.note_seen(self._garage.engine, device, datetime.now(UTC))


def _mark(credential: Credential) -> bytes:
    # The secret itself is not kept about: what is remembered can't be used to get in.
    return hashlib.sha256(f"{credential.id}.{credential.secret}".encode()).digest()
