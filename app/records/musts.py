"""A car's own list of what has to be true before an event, and what was said to it before one of them."""

from collections.abc import Sequence
from dataclasses import dataclass

from sqlalchemy import Connection

from app.records.rows import rows

#: What is offered to begin with: key, and what has to be true. (Common practice, no source.)
START: dict[str, str] = {
    "fluids": "Fluids: engine oil, coolant and brake fluid at their marks",
    "tyres": "Tyres: pressure when cold, tread, no cuts, no bulges",
    "belts": "Belts: no cracks, tension as the maker says",
    "papers": "Papers: licence, registration, insurance, entry",
    "wheel_torque": "Wheel torque: checked since the wheels were last off",
    "brake_pads": "Brake pads: enough left for the whole day, there and back",
    "seat": "Seat and harness: bolts tight, buckle opens and holds",
}
#: The one that the record answers itself once the wheels are a fastener group.
WHEELS = "wheel_torque"


@dataclass(frozen=True, slots=True)
class MustRow:
    """One thing of the list. `before`: a kind of event, or any. Struck out with a `void_reason`."""

    id: str
    before: str
    what: str
    void_reason: str | None


@dataclass(frozen=True, slots=True)
class Answered:
    """One thing of the list, and what was seen of it before one event; `good` is None while nobody looked."""

    id: str
    before: str
    what: str
    good: int | None
    looked_at: str | None
    note: str | None


_ALL = "SELECT id, before, what, void_reason FROM must WHERE car = ? ORDER BY rowid"
_ANSWERED = """
SELECT m.id, m.before, m.what, a.good, a.looked_at, a.note FROM must m
LEFT JOIN looked_at a ON a.must = m.id AND a.event = ?1 AND a.void_reason IS NULL
WHERE m.car = ?2 AND (?3 = '' OR m.before IN ('any', ?3)) AND m.void_reason IS NULL ORDER BY m.rowid
"""


def musts(db: Connection, car: str) -> list[MustRow]:
    """The whole list, struck-out things among it, in the order they were written down."""
    return rows(db, MustRow, _ALL, car)


def answered(db: Connection, event: str, car: str, kind: str, *, wheels: bool) -> list[Answered]:
    """What has to be true before an event of this kind, with its answers.

    `wheels`: the record answers for the wheels itself, so that the start list's own line about them is left out.
    """
    found: Sequence[Answered] = rows(db, Answered, _ANSWERED, event, car, kind)
    return [one for one in found if not (wheels and one.id == start_id(car, WHEELS))]


def start_id(car: str, key: str) -> str:
    """The id of one thing of the start list on a car: two phones that add it add the same."""
    return f"{car}.{key}"
