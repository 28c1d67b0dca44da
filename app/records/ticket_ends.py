"""How a ticket ends: the stopgaps on what was at fault, and the readings that can prove it fixed."""

from dataclasses import dataclass

from sqlalchemy import Connection

from app.records.baselines import BaselineView, baselines
from app.records.readings import ReadingRow, readings_since
from app.records.rows import rows
from app.workings.spread import Where


@dataclass(frozen=True, slots=True)
class Proof:
    """A reading taken since the repair, of a series that has a baseline, and whether it is back in it."""

    reading: ReadingRow
    usual: str
    back: bool


def proofs(connection: Connection, car: str, since: str) -> list[Proof]:
    """The latest reading of each kind since the repair, newest first: an earlier one proves nothing against it."""
    own = baselines(connection, car)
    latest: dict[str, ReadingRow] = {}
    for one in readings_since(connection, car, since):
        latest.setdefault(one.series, one)
    return [_proof(one, own[series]) for series, one in latest.items() if series in own]


def open_stopgaps_on(connection: Connection, thing: str) -> list[str]:
    """The stopgaps in force on a line or component."""
    sql = "SELECT id FROM stopgap WHERE (line = ?1 OR component = ?1) AND ended_at IS NULL AND void_reason IS NULL"
    return rows(connection, str, sql + " ORDER BY id", thing)


def _proof(reading: ReadingRow, own: BaselineView) -> Proof:
    placed = reading.placed(own)
    return Proof(reading, own.figures(reading.scale), placed is not None and placed.where is Where.INSIDE)
