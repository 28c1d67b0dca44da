"""The garage's torque wrenches: between which settings each may be trusted, and how long ago it was calibrated."""

from dataclasses import dataclass
from datetime import UTC, date, datetime

from sqlalchemy import Connection

from app.records.rows import row, rows
from app.workings.units import TorqueUnit, convert, unit_of

#: Days after which a calibration counts as old, and the uses that do the same. (Common practice, no source.)
CALIBRATED_DAYS, CALIBRATED_USES = 365, 5000


@dataclass(frozen=True, slots=True)
class WrenchRow:
    """One torque wrench, its settings in `unit`; `uses`: checks in the record made with it since it was calibrated."""

    id: str
    name: str
    smallest: float | None
    largest: float
    unit: str
    lever_mm: float | None
    calibrated_on: str | None
    retired_on: str | None
    note: str | None
    void_reason: str | None
    uses: int

    @property
    def smallest_nm(self) -> float | None:
        """Its smallest setting in N·m; None if it is not known."""
        return None if self.smallest is None else self._nm(self.smallest)

    @property
    def largest_nm(self) -> float:
        """Its largest setting in N·m."""
        return self._nm(self.largest)

    def reaches(self, torque_nm: float) -> bool:
        """Whether a torque in N·m lies between its settings, their ends included."""
        low = self.smallest_nm or 0.0
        return low * (1 - 1e-9) <= torque_nm <= self.largest_nm * (1 + 1e-9)

    def _nm(self, figure: float) -> float:
        return convert(figure, unit_of(self.unit, TorqueUnit), TorqueUnit.NEWTON_METRE)


_SELECT = """
SELECT id, name, smallest, largest, unit, lever_mm, calibrated_on, retired_on, note, void_reason,
       (SELECT count(*) FROM joint_check k WHERE k.wrench = w.id AND k.void_reason IS NULL
        AND date(k.done_at, 'localtime') >= coalesce(w.calibrated_on, ''))
FROM wrench w
"""


def wrenches(db: Connection) -> list[WrenchRow]:
    """Those there are, the one with the largest setting last."""
    found = rows(db, WrenchRow, _SELECT + " WHERE retired_on IS NULL AND void_reason IS NULL ORDER BY name, id")
    return sorted(found, key=lambda one: one.largest_nm)


def every_wrench(db: Connection) -> list[WrenchRow]:
    """Those there are and those that are gone, by name; struck-out ones are not among them."""
    return rows(db, WrenchRow, _SELECT + " WHERE void_reason IS NULL ORDER BY name, id")


def wrench(db: Connection, wrench_id: str) -> WrenchRow | None:
    """One wrench, gone or struck out or not; None if there is none of that id."""
    return row(db, WrenchRow, _SELECT + " WHERE id = ?", wrench_id)


def days_since(day: str) -> int:
    """Whole days since a day, by the calendar; 0 for one still to come."""
    return max(0, (datetime.now(UTC).astimezone().date() - date.fromisoformat(day)).days)
