"""The checks of a car's candidates as plain numbers, each written once, and what a step needs."""

from collections.abc import Iterable, Mapping, Sequence

from app.triage.at_hand import AFTER, GETTING_READY, STATES, TOOLS, EngineNow
from app.triage.check_words import METHOD_LABEL
from app.triage.checks import DirectCheck, caution_for, check_named, checks_for, how_to, what_a_pass_is
from app.triage.facts import Facts
from app.triage.inputs import Candidate
from app.triage.signs import NEED_LABEL, Need

#: What JSON can hold.
Plain = str | int | float | bool | None | Mapping[str, "Plain"] | Sequence["Plain"]

_NEEDS = tuple(Need)
_ENGINES = tuple(EngineNow)

#: How the minutes read that go by until the engine is in a state.
_UNTIL: dict[Need, str] = {
    Need.FIRST_START: "after it has stood overnight",
    Need.A_DRIVE: "once it is on the road",
    Need.ENGINE_COLD: "after it has gone cold",
    Need.ENGINE_RUNNING: "once it runs",
}


def plain_needs(needs: Iterable[Need]) -> list[Plain]:
    """What a step needs, each by its place among `plain_needed()["labels"]`."""
    return [_NEEDS.index(need) for need in needs]


def not_there(tools: frozenset[Need] | None) -> list[Plain]:
    """The tools that are not owned, as `plain_needs`; none where nobody has said what is."""
    return [] if tools is None else plain_needs(need for need in Need if need in TOOLS and need not in tools)


def plain_needed() -> dict[str, Plain]:
    """What needs are called, and how long the engine takes from one state to another.

    `states` are those needs that are states of the engine, the one that includes the others first; `ready[engine][n]`
    are the minutes to the n-th of them, and `after[n]` is how a step in it leaves the engine.
    """
    return {
        "labels": [NEED_LABEL[need] for need in _NEEDS],
        "states": plain_needs(STATES),
        "until": [_UNTIL[state] for state in STATES],
        "engines": [engine.value for engine in _ENGINES],
        "ready": [[GETTING_READY[engine][state] for state in STATES] for engine in _ENGINES],
        "after": [_ENGINES.index(AFTER[state]) for state in STATES],
    }


class Sheets:
    """Every way to check that this car's candidates need, each written once."""

    def __init__(self, facts: Facts) -> None:
        """Nothing written yet, for a car of these facts."""
        self.written: list[Plain] = []
        self._facts = facts
        self._places: dict[tuple[object, ...], int] = {}

    def usual(self, candidate: Candidate) -> list[int]:
        """The places of the checks that suit a candidate."""
        return [self._place(candidate, check) for check in self._suited(candidate)]

    def unusual(self, candidate: Candidate, methods: Iterable[str]) -> list[int]:
        """The places of those among `methods` that do not suit it."""
        suited = {check.method for check in self._suited(candidate)} if methods else set()
        others = [method for method in dict.fromkeys(methods) if method not in suited]
        return [self._place(candidate, check_named(candidate, method)) for method in others]

    def _suited(self, candidate: Candidate) -> Sequence[DirectCheck]:
        return checks_for(candidate, throttle_vacuum=self._facts.throttle_vacuum)

    def _place(self, candidate: Candidate, check: DirectCheck) -> int:
        sheet: tuple[object, ...] = (
            check,
            caution_for(candidate, check.method),
            how_to(candidate, check.method),
            what_a_pass_is(candidate, check.method),
        )
        if sheet not in self._places:
            self._places[sheet] = len(self.written)
            self.written.append(_sheet(candidate, check))
        return self._places[sheet]


def _sheet(candidate: Candidate, check: DirectCheck) -> Plain:
    return {
        "method": check.method,
        "name": METHOD_LABEL[check.method],
        "label": check.label,
        "minutes": check.minutes,
        "needs": plain_needs(check.needs),
        "hit": check.hit,
        "alarm": check.false_alarm,
        "caution": caution_for(candidate, check.method),
        "how": list[Plain](how_to(candidate, check.method)),
        "pass": what_a_pass_is(candidate, check.method),
    }
