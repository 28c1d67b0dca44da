"""Lines a job disturbed without taking them off: to be looked at before closing up, the brittle ones first."""

from dataclasses import dataclass

from sqlalchemy import Connection

from app.records.rows import rows


@dataclass(frozen=True, slots=True)
class LeanedOn:
    """One line reached past, or with a clamp moved. `years`: its age; None where nobody noted its fitting.

    `id` is the check a look at it fills: the job's id, a dot and the line's. `good` is None until somebody looked.
    """

    id: str
    line: str
    name: str
    how: str
    at: str
    material: str | None
    years: int | None
    air_temp_c: float | None
    looked_at: str | None
    good: int | None


# What breaks first under an elbow comes first: hard plastic goes brittle with heat and years, and more so in the cold;
# metal hardly cares. (Common practice, no source.) A line without a fitting date is as old as the car.
_BRITTLE_FIRST = """
CASE l.material WHEN 'hard_plastic' THEN 0 WHEN 'soft_plastic' THEN 1 WHEN 'silicone' THEN 3 WHEN 'metal' THEN 4
                ELSE 2 END,
l.fitted_on, l.number IS NULL, l.number, l.id
"""
_SELECT = f"""
SELECT t.job || '.' || l.id, l.id, l.name, t.how, t.at, l.material,
       CAST((julianday(t.at) - julianday(l.fitted_on)) / 365.25 AS INTEGER), job.air_temp_c, k.done_at, k.good
FROM touch t
JOIN job ON job.id = t.job
JOIN line l ON l.id = t.line AND l.retired_on IS NULL AND l.void_reason IS NULL
LEFT JOIN joint_check k ON k.id = t.job || '.' || l.id AND k.void_reason IS NULL
WHERE t.job = ? AND t.how IN ('reached_past', 'clamp_moved') AND t.void_reason IS NULL
ORDER BY {_BRITTLE_FIRST}
"""


def leaned_on(connection: Connection, job: str) -> list[LeanedOn]:
    """The lines to look at before this job is closed up, the brittle ones first."""
    return rows(connection, LeanedOn, _SELECT, job)


@dataclass(frozen=True, slots=True)
class Leanable:
    """One line that may be leaned on. `years`: its age now; None where nobody noted its fitting."""

    id: str
    name: str
    material: str | None
    years: int | None
    from_name: str
    to_name: str
    near_turbo: int
    number: float | None


_LEANABLE = f"""
SELECT l.id, l.name, l.material, CAST((julianday('now') - julianday(l.fitted_on)) / 365.25 AS INTEGER),
       f.name, o.name, 'turbocharger' IN (f.kind, o.kind), l.number
FROM line l JOIN component f ON f.id = l.from_component JOIN component o ON o.id = l.to_component
WHERE l.car = ? AND l.retired_on IS NULL AND l.void_reason IS NULL
ORDER BY {_BRITTLE_FIRST}
"""


def leanable(connection: Connection, car: str) -> list[Leanable]:
    """Every line on the car, in the order in which they would be looked at had a job leaned on them."""
    return rows(connection, Leanable, _LEANABLE, car)
