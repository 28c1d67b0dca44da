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
_SELECT = """
SELECT t.job || '.' || l.id, l.id, l.name, t.how, t.at, l.material,
       CAST((julianday(t.at) - julianday(l.fitted_on)) / 365.25 AS INTEGER), job.air_temp_c, k.done_at, k.good
FROM touch t
JOIN job ON job.id = t.job
JOIN line l ON l.id = t.line AND l.retired_on IS NULL AND l.void_reason IS NULL
LEFT JOIN joint_check k ON k.id = t.job || '.' || l.id AND k.void_reason IS NULL
WHERE t.job = ? AND t.how IN ('reached_past', 'clamp_moved') AND t.void_reason IS NULL
ORDER BY k.id IS NOT NULL,
         CASE l.material WHEN 'hard_plastic' THEN 0 WHEN 'soft_plastic' THEN 1 WHEN 'silicone' THEN 3
                         WHEN 'metal' THEN 4 ELSE 2 END,
         l.fitted_on, l.number, l.id
"""


def leaned_on(connection: Connection, job: str) -> list[LeanedOn]:
    """The lines to look at before this job is closed up, those nobody has looked at yet first."""
    return rows(connection, LeanedOn, _SELECT, job)
