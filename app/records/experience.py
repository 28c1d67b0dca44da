"""What the fitter of a garage knows better than the table: its tools, suspects of their own, overruled grades."""

from dataclasses import dataclass
from typing import cast

from sqlalchemy import Connection

from app.airpath.words import ROLE_LABEL, SUSPECT_LABEL, Suspect
from app.records.rows import row, rows
from app.triage.at_hand import TOOLS
from app.triage.inputs import Candidate, HowLikely
from app.triage.knowledge.grades import CHARGE_SMALL, Grade
from app.triage.knowledge.overrules import Overrule
from app.triage.signs import Need

#: What a row of the table is written for, as a list has it.
KIND_LABEL: dict[str, str] = {
    **{role.value: label[:1].upper() + label[1:] for role, label in ROLE_LABEL.items()},
    CHARGE_SMALL: "Charge pipe, thin line on it",
    **{suspect.value: label for suspect, label in SUSPECT_LABEL.items()},
}
LIKELY_LABEL: dict[HowLikely, str] = {
    "usual": "As likely as another such",
    "twice": "Twice as likely",
    "half": "Half as likely",
}
#: By the key a record keeps (kinds.experience.GradeKey).
GRADES: dict[str, Grade] = {grade.name.lower(): grade for grade in Grade}


def tools_said(connection: Connection) -> dict[Need, bool]:
    """What was said of the garage's tools; one of which nothing was said is not among them."""
    said = rows(connection, lambda tool, owned: (Need(tool), bool(owned)), _TOOLS)
    return dict(said)


_TOOLS = "SELECT tool, owned FROM tool WHERE void_reason IS NULL ORDER BY changed_at, id"


def tools_there(connection: Connection) -> frozenset[Need] | None:
    """The tools the garage has; None while nobody ever said. One of which nothing was said counts as there."""
    said = tools_said(connection)
    return TOOLS - {tool for tool, owned in said.items() if not owned} if said else None


@dataclass(frozen=True, slots=True)
class OwnSuspectRow:
    """A suspect of the fitter's own on one car."""

    id: str
    car: str
    label: str
    behaves_like: str
    likely: str
    note: str | None
    void_reason: str | None

    @property
    def candidate(self) -> Candidate:
        """As triage weighs it."""
        likely = cast(HowLikely, self.likely)
        return Candidate(self.id, Suspect.SOMETHING_ELSE, self.label, behaves_like=self.behaves_like, likely=likely)


_OWN = "SELECT id, car, label, behaves_like, likely, note, void_reason FROM own_suspect"


def own_suspects(connection: Connection, car: str) -> list[OwnSuspectRow]:
    """Every suspect of the fitter's own on a car, those struck out among them, by name."""
    return rows(connection, OwnSuspectRow, f"{_OWN} WHERE car = ? ORDER BY label, id", car)


def own_suspect(connection: Connection, suspect: str) -> OwnSuspectRow | None:
    """One of them; None if there is none of that id."""
    return row(connection, OwnSuspectRow, f"{_OWN} WHERE id = ?", suspect)


def own_candidates(connection: Connection, car: str) -> tuple[Candidate, ...]:
    """Those that count, as triage weighs them."""
    return tuple(one.candidate for one in own_suspects(connection, car) if one.void_reason is None)


@dataclass(frozen=True, slots=True)
class OverruleRow:
    """One grade overruled for one car."""

    id: str
    car: str
    kind: str
    sign: str
    outcome: str
    grade: str
    note: str
    void_reason: str | None


_OVERRULES = """
SELECT id, car, kind, sign, outcome, grade, note, void_reason FROM overrule WHERE car = ? ORDER BY kind, sign, outcome
"""


def overrule_rows(connection: Connection, car: str) -> list[OverruleRow]:
    """Every grade overruled for a car, those struck out among them."""
    return rows(connection, OverruleRow, _OVERRULES, car)


def overrules(connection: Connection, car: str) -> tuple[Overrule, ...]:
    """Those that count, as triage reads them."""
    return tuple(
        Overrule(one.kind, one.sign, one.outcome, GRADES[one.grade], one.note)
        for one in overrule_rows(connection, car)
        if one.void_reason is None
    )
