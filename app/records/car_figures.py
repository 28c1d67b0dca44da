"""The figures of a car by which a leak's size is reckoned, and the bores a hole is held to."""

from dataclasses import dataclass

from sqlalchemy import Connection

from app.records.rows import row, rows


@dataclass(frozen=True, slots=True)
class FiguresRow:
    """One car's figures, each None while nobody said. Units: app.records.kinds.figures."""

    displacement_l: float | None = None
    cylinders: int | None = None
    idle_airflow_gs: float | None = None
    ve_idle: float | None = None
    ve_full: float | None = None
    reservoir_l: float | None = None
    charge_side_l: float | None = None
    note: str | None = None


@dataclass(frozen=True, slots=True)
class Bore:
    """A line of the car and its inner diameter, mm."""

    name: str
    mm: float


_FIGURES = """
SELECT displacement_l, cylinders, idle_airflow_gs, ve_idle, ve_full, reservoir_l, charge_side_l, note
FROM car_figures WHERE id = ? AND void_reason IS NULL
"""
_BORES = """
SELECT name, bore_mm FROM line
WHERE car = ? AND bore_mm IS NOT NULL AND retired_on IS NULL AND void_reason IS NULL ORDER BY bore_mm, number, id
"""


def figures_of(db: Connection, car: str) -> FiguresRow:
    """The car's figures; none of them set where nobody said any."""
    return row(db, FiguresRow, _FIGURES, car) or FiguresRow()


def bores_of(db: Connection, car: str) -> list[Bore]:
    """The bores of the lines on the car that are known, the narrowest first."""
    return rows(db, Bore, _BORES, car)
