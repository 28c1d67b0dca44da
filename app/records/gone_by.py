"""What a re-check may wait for beside a figure, in SQL: the first event since, the first job since that moved it.

Each gives a name, or NULL while there is none or it is not waited for; `x` stands for the re-check's row.
"""

#: An event counts from the day after the re-check began to count: one set at the end of a sprint is for the next one.
EVENT_GONE = """
CASE WHEN x.after_event = 1 THEN (
  SELECT name FROM event e WHERE e.car = x.car AND e.void_reason IS NULL
  AND e.on_day > date(x.since_at, 'localtime') AND e.on_day < date('now', 'localtime')
  ORDER BY e.on_day, e.id LIMIT 1) END
"""

_LINE = "coalesce(x.line, (SELECT line FROM joint WHERE id = x.joint))"
_END = '(SELECT "end" FROM joint WHERE id = x.joint)'

#: Leaning on a hose moves no joint; a hose taken off at the other end moved the other joint.
JOB_GONE = f"""
CASE WHEN x.after_job = 1 THEN (
  SELECT job.title FROM touch t JOIN job ON job.id = t.job
  WHERE (t.line = {_LINE} OR t.component = x.component) AND t.at > x.since_at AND t.how <> 'reached_past'
  AND (x.joint IS NULL OR t.how = 'clamp_moved' OR t.ends IN ('both', {_END}))
  AND t.void_reason IS NULL AND job.void_reason IS NULL
  ORDER BY t.at, t.id LIMIT 1) END
"""
