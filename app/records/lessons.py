"""What this garage's closed tickets taught: the cause of each, and whether it is to teach the next ones."""

from collections import Counter
from collections.abc import Iterable
from dataclasses import dataclass

from sqlalchemy import Connection

from app.airpath.words import SUSPECT_LABEL, SUSPECT_OF_COMPONENT, ComponentKind, Suspect
from app.records.rows import rows
from app.triage.knowledge.grades import CHARGE_SMALL


@dataclass(frozen=True, slots=True)
class Lesson:
    """One proved ticket of any car: what was found at fault, by name, and by role or as a suspect where it is known."""

    ticket: str
    car: str
    car_name: str
    what: str
    proved_at: str
    found: str | None
    role: str | None
    component_kind: str | None
    suspect: str | None
    behaves_like: str | None
    teaches: int

    @property
    def found_label(self) -> str:
        """What was found at fault, as a page calls it."""
        return self.found or SUSPECT_LABEL[Suspect(self.suspect or Suspect.SOMETHING_ELSE)]

    @property
    def cause(self) -> str | None:
        """The role or suspect it teaches; None where what was found is not known."""
        if self.component_kind is not None:
            return SUSPECT_OF_COMPONENT.get(ComponentKind(self.component_kind), Suspect.SOMETHING_ELSE).value
        like = "charge" if self.behaves_like == CHARGE_SMALL else self.behaves_like
        return self.role or self.suspect or like


_LESSONS = """
SELECT t.id, t.car, car.name, t.what, t.proved_at, coalesce(l.name, c.name, o.label), l.role, c.kind, t.found_suspect,
       o.behaves_like, t.teaches
FROM ticket t JOIN car ON car.id = t.car
LEFT JOIN line l ON l.id = t.found_line LEFT JOIN component c ON c.id = t.found_component
LEFT JOIN own_suspect o ON o.id = t.found_own_suspect
WHERE t.stands = 'proved' AND t.void_reason IS NULL
ORDER BY t.proved_at DESC, t.id
"""


def lessons(connection: Connection) -> list[Lesson]:
    """Every proved ticket of the garage, the last one first."""
    return rows(connection, Lesson, _LESSONS)


def taught(found: Iterable[Lesson], ticket: str) -> tuple[tuple[str, int], ...]:
    """How often each cause was found, as far as it counts for one ticket.

    A ticket never teaches itself: seen again, it would have known its own answer.
    """
    counts = Counter(one.cause for one in found if one.teaches and one.ticket != ticket and one.cause)
    return tuple(sorted((cause, times) for cause, times in counts.items() if cause))
