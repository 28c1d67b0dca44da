"""What the fitter knows better: the tools there are, suspects of their own, and grades overruled for one car."""

from typing import Literal, Self

from pydantic import model_validator

from app.records.fields import LONG, Fields, Flag, Recorded, key, whole, words
from app.triage.at_hand import TOOLS
from app.triage.inputs import HowLikely
from app.triage.knowledge.table import KINDS, OUTCOMES
from app.triage.signs import Need

#: The grades of app.triage.knowledge.grades, as a record keeps them.
GradeKey = Literal["almost_always", "often", "sometimes", "rarely", "almost_never"]


class ToolFields(Fields):
    """Whether the garage has a tool; its id is the tool's key. One of which nothing is said counts as there."""

    tool: Need = key()
    owned: Flag = whole()

    @model_validator(mode="after")
    def _is_a_tool(self) -> Self:
        if self.tool not in TOOLS:
            raise ValueError("tool: There is no such tool.")
        return self


class Tool(ToolFields, Recorded, table=True):
    """Table `tool`."""

    __tablename__ = "tool"


class OwnSuspectFields(Fields):
    """Something on one car that its fitter suspects and no list has: what it is, and what its faults look like."""

    car: str = key("car")
    label: str = words()
    behaves_like: str = key()
    likely: HowLikely = key(default="usual")
    note: str | None = words(LONG, default=None)

    @model_validator(mode="after")
    def _behaves_like_a_suspect(self) -> Self:
        if self.behaves_like not in KINDS:
            raise ValueError("behaves_like: Choose what it behaves like.")
        return self


class OwnSuspect(OwnSuspectFields, Recorded, table=True):
    """Table `own_suspect`."""

    __tablename__ = "own_suspect"


class OverruleFields(Fields):
    """On one car, how often a fault of one kind shows one answer of a sign: its id is all four, with dots between.

    `kind` is a role, a component suspect or the thin charge line (app.triage.knowledge.table).
    """

    car: str = key("car")
    kind: str = key()
    sign: str = key()
    outcome: str = key()
    grade: GradeKey = key()
    note: str = words(LONG)

    @model_validator(mode="after")
    def _is_in_the_table(self) -> Self:
        if self.kind not in KINDS:
            raise ValueError("kind: Choose what is at fault.")
        if self.sign not in OUTCOMES:
            raise ValueError("sign: There is no such sign.")
        if self.outcome not in OUTCOMES[self.sign]:
            raise ValueError("outcome: Choose one of this sign's answers.")
        return self


class Overrule(OverruleFields, Recorded, table=True):
    """Table `overrule`."""

    __tablename__ = "overrule"
