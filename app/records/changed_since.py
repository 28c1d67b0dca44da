"""What of a car was changed after a moment: an event that was signed before may be signed for something else now."""

from dataclasses import dataclass

from sqlalchemy import Connection

from app.records.events import EventRow
from app.records.kinds import KINDS
from app.records.record_heads import SAID
from app.records.rows import rows

#: How many are shown.
_MOST = 6
#: The kinds of record by which a car's fitness is judged, what was said by hand among them.
JUDGED = (
    "job",
    "touch",
    "loose_end",
    "check",
    "part_change",
    "finding",
    "ticket",
    "sign",
    "direct_check",
    "stopgap",
    "recheck",
    "drive",
    "fastener",
    "line",
    "must",
    "looked_at",
)


@dataclass(frozen=True, slots=True)
class Changed:
    """One record that was changed, and when."""

    kind: str
    id: str
    title: str | None
    changed_at: str

    @property
    def label(self) -> str:
        """What this kind of record is called."""
        return KINDS[self.kind].label


def _of(kind: str) -> str:
    title, car, _ = SAID[kind]
    # The moment first: it leaves next to nothing for which the car has to be looked up.
    return (
        f"SELECT '{kind}', r.id, {title}, r.changed_at FROM {KINDS[kind].table.name} r JOIN car c ON c.id = ?3 "
        f"WHERE r.changed_at > ?1 AND r.changed_at < ?2 AND {car} = ?3"
    )


# An event's own day and kind decide what is asked before it; its note does not.
_EVENT = """
SELECT 'event', r.id, r.name, max(e.counted_at) FROM entry e JOIN event r ON r.id = e.record
WHERE e.kind = 'event' AND e.record = ?4 AND e.counted_at > ?1 AND e.counted_at < ?2
  AND (json_type(e.fields, '$.kind') IS NOT NULL OR json_type(e.fields, '$.on_day') IS NOT NULL) GROUP BY r.id
"""
_SQL = " UNION ALL ".join([*map(_of, JUDGED), _EVENT]) + " ORDER BY 4 DESC, 1, 2 LIMIT ?5"


def changed_since(db: Connection, event: EventRow, before: str) -> list[Changed]:
    """What of an event's car was changed after it was signed and `before` a moment, the last first; one query."""
    return rows(db, Changed, _SQL, event.signed_at, before, event.car, event.id, _MOST)
