"""Parts that came off and went on in a job."""

from dataclasses import dataclass

from sqlalchemy import Connection

from app.records.rows import rows


@dataclass(frozen=True, slots=True)
class PartChangeRow:
    """One change at one place: a line, a component, or a position in words."""

    id: str
    line: str | None
    component: str | None
    place: str
    off_part: str | None
    on_part: str | None
    at: str
    note: str | None


def changes_in(connection: Connection, job: str) -> list[PartChangeRow]:
    """The job's part changes, in the order they were entered."""
    return rows(
        connection,
        PartChangeRow,
        """
        SELECT p.id, p.line, p.component, coalesce(l.name, c.name, p.position), p.off_part, p.on_part, p.at, p.note
        FROM part_change p LEFT JOIN line l ON l.id = p.line LEFT JOIN component c ON c.id = p.component
        WHERE p.job = ? AND p.void_reason IS NULL ORDER BY p.rowid
        """,
        job,
    )
