"""Where a fitter knows one car better than the table does: a grade of their own, with a note that says why."""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass

from app.triage.knowledge.grades import Grade, Row


@dataclass(frozen=True, slots=True)
class Overrule:
    """On this car a fault of `kind` (role, suspect or thin charge line) shows `outcome` of `sign` that often."""

    kind: str
    sign: str
    outcome: str
    grade: Grade
    note: str


def overruled(rows: Mapping[str, Row], overrules: Iterable[Overrule]) -> dict[str, Row]:
    """One sign's rows with the overrules written in, the later of two for one place standing.

    The other outcomes keep their grades and are weighed against the new one; the row's reason names the notes.
    """
    changed = dict(rows)
    for overrule in overrules:
        row = changed[overrule.kind]
        said = f"on this car, {overrule.note}"
        reason = f"{row.reason}; {said}" if row.reason else said
        changed[overrule.kind] = Row({**row.grades, overrule.outcome: overrule.grade}, reason)
    return changed
