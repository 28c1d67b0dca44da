"""What is at hand: the tools the garage owns, the engine as it is now, and the minutes to get it as a step needs it.

All minutes are common practice, no source.
"""

from collections.abc import Iterable
from dataclasses import dataclass
from enum import StrEnum
from functools import cache

from app.triage.signs import Need


class EngineNow(StrEnum):
    """The state of the engine at this moment; `warm` is hot and switched off."""

    COLD = "cold"
    WARM = "warm"
    RUNNING = "running"
    ON_THE_ROAD = "on_the_road"


#: What a garage owns or not; the other needs are states of the engine.
TOOLS = frozenset(
    {
        Need.SECOND_PERSON,
        Need.CODE_READER,
        Need.HAND_VACUUM_PUMP,
        Need.SMOKE_MACHINE,
        Need.PRESSURE_TESTER,
        Need.SPARE_PART,
    }
)

#: States a step can need, the one that includes the others first: a first start needs a running engine too.
STATES = (Need.FIRST_START, Need.A_DRIVE, Need.ENGINE_COLD, Need.ENGINE_RUNNING)

A_NIGHT = 480.0  # min: a store or a check valve shows its leak after hours, not minutes
COOLING = 60.0  # min until a hand can go round the turbocharger
WARMING_UP = 10.0  # min from a cold start to the warm idle the questions ask about

#: Minutes from the engine as it is to the state a step needs.
GETTING_READY: dict[EngineNow, dict[Need, float]] = {
    EngineNow.COLD: {
        Need.FIRST_START: 0.0,
        Need.A_DRIVE: WARMING_UP,  # it warms up on the way
        Need.ENGINE_COLD: 0.0,
        Need.ENGINE_RUNNING: WARMING_UP,
    },
    EngineNow.WARM: {
        Need.FIRST_START: A_NIGHT,
        Need.A_DRIVE: 4.0,
        Need.ENGINE_COLD: 45.0,
        Need.ENGINE_RUNNING: 1.0,
    },
    EngineNow.RUNNING: {
        Need.FIRST_START: A_NIGHT,
        Need.A_DRIVE: 3.0,
        Need.ENGINE_COLD: COOLING,
        Need.ENGINE_RUNNING: 0.0,
    },
    EngineNow.ON_THE_ROAD: {
        Need.FIRST_START: A_NIGHT,
        Need.A_DRIVE: 0.0,
        Need.ENGINE_COLD: COOLING,
        Need.ENGINE_RUNNING: 2.0,
    },
}

#: How a step leaves the engine.
AFTER: dict[Need, EngineNow] = {
    Need.FIRST_START: EngineNow.RUNNING,
    Need.A_DRIVE: EngineNow.ON_THE_ROAD,
    Need.ENGINE_COLD: EngineNow.COLD,
    Need.ENGINE_RUNNING: EngineNow.RUNNING,
}


@dataclass(frozen=True, slots=True)
class AtHand:
    """The tools owned and the engine now. None where nobody has said: then every tool is there, and waiting is free."""

    tools: frozenset[Need] | None = None
    engine: EngineNow | None = None

    def lacks(self, needs: Iterable[Need]) -> tuple[Need, ...]:
        """Which of the tools needed are not owned."""
        if self.tools is None:
            return ()
        return tuple(need for need in needs if need in TOOLS and need not in self.tools)

    def getting_ready(self, needs: tuple[Need, ...]) -> float:
        """Minutes from the engine as it is now to the state these needs ask for."""
        return getting_ready(self.engine, state_for(needs))


@cache
def state_for(needs: tuple[Need, ...]) -> Need | None:
    """The state of the engine a step with these needs is done in; None where any will do."""
    return next((state for state in STATES if state in needs), None)


def getting_ready(engine: EngineNow | None, state: Need | None) -> float:
    """Minutes from the engine as it is to `state`; nothing where either is not said."""
    return 0.0 if engine is None or state is None else GETTING_READY[engine][state]


def after(engine: EngineNow | None, state: Need | None) -> EngineNow | None:
    """The engine as a step done in `state` leaves it; unknown stays unknown."""
    return engine if engine is None or state is None else AFTER[state]
