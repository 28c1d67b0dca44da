"""What a chart is made of: boxes that ask, branches that answer, and ends that name the suspects."""

from dataclasses import dataclass
from enum import StrEnum
from typing import TypeAlias

from app.triage.answers import NextStep


class End(StrEnum):
    """Why a way ends: one suspect leads clearly, nothing more is worth doing, the paper ends, or many rare answers."""

    CLEAR = "clear"
    NOTHING_LEFT = "nothing_left"
    PAPER = "paper"
    OTHERWISE = "otherwise"


@dataclass(frozen=True, slots=True)
class Lead:
    """A suspect at the end of a way, by its short name, with its probability there."""

    id: str
    name: str
    probability: float


@dataclass(frozen=True, slots=True)
class Work:
    """What a box asks or an end says to check: in few words, and the step of the model it is."""

    name: str
    step: NextStep


@dataclass(frozen=True, slots=True)
class Ending:
    """Where a way ends: the leading suspects, and the check the model would make first (None if it knows of none)."""

    why: End
    leads: tuple[Lead, ...]
    check: Work | None


@dataclass(frozen=True, slots=True)
class Again:
    """The same question as box `number`, with the same suspects leading and the same left to ask: go on there."""

    number: int
    name: str


@dataclass(frozen=True, slots=True)
class Branch:
    """One answer, or several that lead the same way, or (`End.OTHERWISE`) all those too unlikely to be drawn singly.

    `probability` is that of the answer once the question is asked; those of a box sum to 1.
    """

    outcomes: tuple[str, ...]
    label: str
    probability: float
    to: "Place"


@dataclass(frozen=True, slots=True)
class Question:
    """A box. `reach` is how likely the way comes here from the top; the likeliest answer's branch is the last."""

    number: int
    work: Work
    reach: float
    branches: tuple[Branch, ...]


Place: TypeAlias = Question | Again | Ending


@dataclass(frozen=True, slots=True)
class Chart:
    """The whole tree; only where nothing can be asked at all is its top an ending."""

    top: Question | Ending

    @property
    def questions(self) -> tuple[Question, ...]:
        """Every box, in the order of their numbers."""
        return _questions(self.top)

    @property
    def cautions(self) -> tuple[str, ...]:
        """Every caution of the boxes and of the checks at the ends, each once, in the order met."""
        return tuple(dict.fromkeys(work.step.caution for work in _work(self.top) if work.step.caution))

    def mind(self, work: Work) -> str:
        """The letter of a step's caution, A for the first of `cautions`; empty where there is none."""
        return chr(ord("A") + self.cautions.index(work.step.caution)) if work.step.caution else ""


def _questions(place: Place) -> tuple[Question, ...]:
    if not isinstance(place, Question):
        return ()
    return (place, *(each for branch in place.branches for each in _questions(branch.to)))


def _work(place: Place) -> tuple[Work, ...]:
    if isinstance(place, Question):
        return (place.work, *(work for branch in place.branches for work in _work(branch.to)))
    return (place.check,) if isinstance(place, Ending) and place.check is not None else ()
