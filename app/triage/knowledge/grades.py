"""The grades a row is written in, and the numbers they stand for, stated here and nowhere else."""

from collections.abc import Mapping
from dataclasses import dataclass
from enum import Enum


class Grade(Enum):
    """How often a fitter would expect an outcome, weighed against the others of its row."""

    ALMOST_ALWAYS = 0.85
    OFTEN = 0.5
    SOMETIMES = 0.2
    RARELY = 0.05
    ALMOST_NEVER = 0.01

    @property
    def words(self) -> str:
        """The grade as it stands in a sentence."""
        return self.name.lower().replace("_", " ")


ALMOST_ALWAYS, OFTEN, SOMETIMES, RARELY, ALMOST_NEVER = Grade

#: The row of a suspect that has nothing to do with a sign: what a healthy car shows.
UNRELATED = "unrelated"
#: A charge-side line too thin to lose all boost; outside the table it stays the role `charge`.
CHARGE_SMALL = "charge_small"


@dataclass(frozen=True, slots=True)
class Row:
    """One suspect's grades for one sign. An outcome that is not named is graded almost never."""

    grades: Mapping[str, Grade]
    reason: str = ""

    def grade(self, outcome: str) -> Grade:
        """The grade of an outcome."""
        return self.grades.get(outcome, ALMOST_NEVER)

    def chances(self, outcomes: tuple[str, ...]) -> tuple[float, ...]:
        """The row as probabilities over `outcomes`, in their order, summing to 1; never a zero."""
        weights = [self.grade(outcome).value for outcome in outcomes]
        total = sum(weights)
        return tuple(weight / total for weight in weights)

    def as_graded(self, outcomes: tuple[str, ...]) -> tuple[float, ...]:
        """The grades' own numbers: for outcomes that do not exclude each other, each is its own yes or no."""
        return tuple(self.grade(outcome).value for outcome in outcomes)


#: One sign's rows: by role, suspect or CHARGE_SMALL, and UNRELATED for all the rest.
Rows = dict[str, Row]


def row(reason: str = "", /, **grades: Grade) -> Row:
    """Write a row: `row("why", on_target=RARELY, slightly_low=OFTEN)`."""
    return Row(grades, reason)
