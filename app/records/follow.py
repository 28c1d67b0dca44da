"""What follows from a record beyond its own row: a job's counts of the joints it took off, and a touch's car.

Counted anew from the tables whenever something they rest on changes, so that the order of arrival makes no
difference; kept on the job's row, so that a car page need not walk ten years of touches.
"""

from sqlalchemy import Connection

#: One row for every joint that a touch took off, with what became of it. `{where}` picks the touches.
ENDS = """
SELECT t.job AS job, t.id AS touch, j.id AS joint, j.line AS line, t.at AS off_at, e.back_on_at AS back_on_at,
       CASE WHEN k.good = 1 AND e.back_on_at IS NOT NULL THEN 'checked'
            WHEN e.back_on_at IS NOT NULL THEN 'on' ELSE 'off' END AS state
FROM touch t
JOIN line l ON l.id = t.line AND l.retired_on IS NULL AND l.void_reason IS NULL
JOIN joint j ON j.line = t.line AND t.ends IN ('both', j."end") AND j.void_reason IS NULL
LEFT JOIN loose_end e ON e.id = t.job || '.' || j.id AND e.void_reason IS NULL
LEFT JOIN joint_check k ON k.id = t.job || '.' || j.id AND k.void_reason IS NULL
WHERE t.void_reason IS NULL AND t.how IN ('disconnected', 'replaced') AND {where}
"""

_COUNT = f"""
UPDATE job SET
  touched = (SELECT count(*) FROM touch WHERE job = :job AND void_reason IS NULL),
  (ends_off, ends_on, ends_left) = (
    SELECT count(*), count(*) FILTER (WHERE state <> 'off'), count(*) FILTER (WHERE state <> 'checked')
    FROM ({ENDS.format(where="t.job = :job")}))
WHERE id = :job
"""

_JOB_OF = {
    "touch": "SELECT job FROM touch WHERE id = ?",
    "loose_end": "SELECT job FROM loose_end WHERE id = ?",
    "check": "SELECT job FROM joint_check WHERE id = ? AND job IS NOT NULL",
    "line": "SELECT DISTINCT job FROM touch WHERE line = ?",
    "joint": "SELECT DISTINCT t.job FROM touch t JOIN joint j ON j.line = t.line WHERE j.id = ?",
}


#: Whose each touch is: that of the touch that changed, and those of a job that became another car's.
_CAR_OF = {
    "touch": "UPDATE touch SET car = (SELECT car FROM job WHERE id = touch.job) WHERE id = ?",
    "job": "UPDATE touch SET car = j.car FROM job j WHERE j.id = ? AND touch.job = j.id AND touch.car IS NOT j.car",
}


def follow(connection: Connection, kind: str, record: str) -> None:
    """Count again for every job that a change of this record can matter to, and say again whose its touches are."""
    if kind in _CAR_OF:
        connection.exec_driver_sql(_CAR_OF[kind], (record,))
    if kind not in _JOB_OF:
        return
    for (job,) in connection.exec_driver_sql(_JOB_OF[kind], (record,)).all():
        connection.exec_driver_sql(_COUNT, {"job": job})
