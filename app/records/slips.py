"""How the day a part is expected has slipped, told from the entries that set it."""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date

from sqlalchemy import Connection

from app.records.entry import in_order_of_entry
from app.records.logbook import entries_of

_FIELD = "expected_on"


@dataclass(frozen=True, slots=True)
class Expected:
    """A day something was said to arrive, and when that was said."""

    day: str
    said_at: str


@dataclass(frozen=True, slots=True)
class Slip:
    """Every day that was said, the first one first; empty if none ever was, or the last word is that none is known."""

    days: Sequence[Expected]

    @property
    def first(self) -> str | None:
        """The day first told."""
        return self.days[0].day if self.days else None

    @property
    def later_by(self) -> int:
        """Days between the first told and the last, below 0 if it is to come earlier."""
        if not self.days:
            return 0
        first, last = (date.fromisoformat(self.days[at].day) for at in (0, -1))
        return (last - first).days


def slip_of(db: Connection, kind: str, record: str) -> Slip:
    """How the day a stopgap's part, or a part, is expected has slipped. A day said again changes nothing."""
    told: list[Expected] = []
    known = False
    for kept in in_order_of_entry(entries_of(db, kind, record)):
        if _FIELD not in kept.entry.fields:
            continue
        day = kept.entry.fields[_FIELD]
        known = day is not None
        if known and (not told or told[-1].day != day):
            told.append(Expected(str(day), kept.counted_at))
    return Slip(told if known else [])
