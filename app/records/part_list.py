"""Every part of a car as one plain list, for a spreadsheet."""

from sqlalchemy import Connection

from app.records.rows import rows

#: The list's columns, by their own names; measures are in the unit the name ends in.
COLUMNS = (
    "name",
    "kind",
    "state",
    "position",
    "stage",
    "job",
    "price",
    "currency",
    "source",
    "condition",
    "ordered_on",
    "expected_on",
    "arrived_on",
    "fitted_at",
    "fitted_odometer",
    "removed_at",
    "bore_mm",
    "wall_mm",
    "length_mm",
    "material",
    "plies",
    "stands_c",
    "stands_kpa",
    "needs_cutting",
    "hold",
    "range_low_mm",
    "range_high_mm",
    "band_mm",
    "thread",
    "strength_class",
    "life_distance",
    "life_days",
    "note",
    "id",
)
_SAID = {
    "position": "coalesce(l.name, c.name, p.position)",
    "stage": "s.name",
    "job": "j.title",
}
_SQL = f"""
SELECT {", ".join(_SAID.get(name, f"p.{name}") for name in COLUMNS)} FROM part p
LEFT JOIN line l ON l.id = p.line LEFT JOIN component c ON c.id = p.component
LEFT JOIN stage s ON s.id = p.stage LEFT JOIN job j ON j.id = p.job
WHERE p.car = ? AND p.void_reason IS NULL ORDER BY p.rowid
"""


def part_list(db: Connection, car: str) -> list[tuple[str | int | float | None, ...]]:
    """The parts of a car in the order they were written down, one value for each of COLUMNS; one query."""
    return rows(db, lambda *row: row, _SQL, car)
