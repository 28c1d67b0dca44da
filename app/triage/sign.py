"""What a sign is: a question with fixed answers, and what it takes to answer it."""

from collections.abc import Callable
from dataclasses import dataclass
from enum import StrEnum

from app.triage.facts import Facts


class Need(StrEnum):
    """What an observation or a check needs before it can be made."""

    ENGINE_COLD = "engine_cold"
    ENGINE_RUNNING = "engine_running"
    FIRST_START = "first_start"
    A_DRIVE = "a_drive"
    SECOND_PERSON = "second_person"
    CODE_READER = "code_reader"
    HAND_VACUUM_PUMP = "hand_vacuum_pump"
    SMOKE_MACHINE = "smoke_machine"
    PRESSURE_TESTER = "pressure_tester"
    SPARE_PART = "spare_part"


NEED_LABEL: dict[Need, str] = {
    Need.ENGINE_COLD: "engine cold",
    Need.ENGINE_RUNNING: "engine running",
    Need.FIRST_START: "first start of the day",
    Need.A_DRIVE: "a drive",
    Need.SECOND_PERSON: "someone else to watch",
    Need.CODE_READER: "a code reader",
    Need.HAND_VACUUM_PUMP: "a hand vacuum pump",
    Need.SMOKE_MACHINE: "a smoke machine",
    Need.PRESSURE_TESTER: "a pressure tester",
    Need.SPARE_PART: "a known good spare",
}


@dataclass(frozen=True, slots=True)
class Outcome:
    """One answer: its fixed key, the label on the button, and how it reads in a reason."""

    key: str
    label: str
    phrase: str


@dataclass(frozen=True, slots=True)
class Sign:
    """One observation: its question and what it takes to answer it.

    One that is `worked_out` from figures is never asked for: it is there once somebody worked it out.
    """

    key: str
    label: str
    question: str
    outcomes: tuple[Outcome, ...]
    minutes: float
    needs: tuple[Need, ...]
    caution: str
    asked_on: Callable[[Facts], bool]
    worked_out: bool = False

    @property
    def outcome_keys(self) -> tuple[str, ...]:
        """The outcome keys, in the vocabulary's order."""
        return tuple(outcome.key for outcome in self.outcomes)

    @property
    def healthy(self) -> str:
        """The outcome of a car with nothing wrong; it always stands first."""
        return self.outcomes[0].key

    def phrase(self, outcome: str) -> str:
        """How an outcome reads in a reason. KeyError when it is not one of this sign's."""
        for known in self.outcomes:
            if known.key == outcome:
                return known.phrase
        raise KeyError(outcome)
