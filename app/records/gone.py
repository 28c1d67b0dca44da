"""What is no longer on a car, or never was: retired, or struck out. It can be brought back, so it has to be found."""

from dataclasses import dataclass

from sqlalchemy import Connection

from app.records.rows import rows


@dataclass(frozen=True, slots=True)
class Gone:
    """One line or component that left the car on `retired_on`, or was struck out because of `void_reason`."""

    kind: str
    id: str
    name: str
    retired_on: str | None
    void_reason: str | None


@dataclass(frozen=True, slots=True)
class StruckCar:
    """A car struck out of the list."""

    id: str
    name: str


_GONE = """
SELECT * FROM (
  SELECT 'line', id, name, retired_on, void_reason FROM line
  WHERE car = ?1 AND (retired_on IS NOT NULL OR void_reason IS NOT NULL)
  UNION ALL
  SELECT 'component', id, name, retired_on, void_reason FROM component
  WHERE car = ?1 AND (retired_on IS NOT NULL OR void_reason IS NOT NULL))
ORDER BY void_reason IS NOT NULL, retired_on DESC, name, id
"""


def gone_from(connection: Connection, car_id: str) -> list[Gone]:
    """Retired lines and components, the last first; then those struck out."""
    return rows(connection, Gone, _GONE, car_id)


def struck_cars(connection: Connection) -> list[StruckCar]:
    """Cars struck out of the list, by name."""
    return rows(connection, StruckCar, "SELECT id, name FROM car WHERE void_reason IS NOT NULL ORDER BY name, id")
