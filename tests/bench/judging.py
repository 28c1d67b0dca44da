"""The bench's observations through the app's own eyes: baselines, signs, ranking, and where the table disagrees."""

from dataclasses import dataclass
from functools import cache, lru_cache
from pathlib import Path

import numpy as np

from app.airpath.layouts import StarterLayout, load
from app.airpath.readings import ReadingKind
from app.airpath.words import Layout
from app.triage.from_readings import first_start_vacuum, signs_from
from app.triage.inputs import Candidate
from app.triage.knowledge.table import OUTCOMES, knowledge
from app.triage.model import Evidence, kind_of, rank, with_standing
from app.triage.signs import SIGNS
from app.triage.starter import candidates_of, facts_of_starter
from app.workings.spread import Baseline, learn
from tests.bench import constants as c
from tests.bench.components import part_faults
from tests.bench.faults import Fault
from tests.bench.motion import Vector
from tests.bench.observed import Observed, observe
from tests.bench.plant import plant_of
from tests.bench.scenarios import Day, carried_over, day, settled
from tests.bench.sites import line_faults

LAYOUTS = Path(__file__).parents[2] / "seed_data" / "layouts"
#: Below this the table calls an outcome unlikely.
UNLIKELY = 0.1
_READINGS = 7  # healthy readings a car's baseline is learned from; assumption
_AT_IDLE = frozenset(
    {"idle_vacuum", "first_start_vacuum", "idle_needle", "fuel_trim_idle", "hiss", "brake_pedal", "vacuum_recovery"}
)
#: Scatter from day to day and the gauge's own step, by reading: kPa, s, %; assumption.
_SCATTER: dict[ReadingKind, tuple[float, float]] = {
    ReadingKind.IDLE_VACUUM: (0.7, 0.5),
    ReadingKind.FIRST_START_VACUUM: (1.0, 0.5),
    ReadingKind.STEADY_BOOST: (2.0, 1.0),
    ReadingKind.VACUUM_RECOVERY: (0.08, 0.1),
    ReadingKind.FUEL_TRIM_IDLE: (1.2, 0.8),
    ReadingKind.FUEL_TRIM_LOAD: (1.2, 0.8),
}


@dataclass(frozen=True, slots=True)
class Healthy:
    """A layout's car with nothing wrong: what it shows, its learned baselines, and the state faults start from."""

    observed: Observed
    baselines: dict[ReadingKind, Baseline]
    store: Baseline | None
    state: Vector
    metered: float


@dataclass(frozen=True, slots=True)
class Verdict:
    """One fault triaged. `blamed` is the role that came first, `role_place` the culprit's, from 1.

    `checks` is how many direct checks find it, made by probability; `chances` what each suspect was given.
    """

    layout: Layout
    fault: Fault
    kind: str
    signs: dict[str, str]
    shown: bool
    blamed: str
    role_place: int
    checks: float
    chances: dict[str, float]


@lru_cache
def starter(layout: Layout) -> StarterLayout:
    """The layout as shipped."""
    return load(layout, LAYOUTS)


@lru_cache
def faults(layout: Layout) -> tuple[Fault, ...]:
    """Every fault the bench can put into a layout."""
    return (*line_faults(starter(layout)), *part_faults(starter(layout)))


def sound_day(layout: Layout) -> tuple[Day, Vector]:
    """A healthy day and the settled state it began with."""
    plant = plant_of(starter(layout))
    state = settled(plant)
    return day(plant, state), state


@lru_cache
def healthy(layout: Layout) -> Healthy:
    """The healthy car, run once a session."""
    plant = plant_of(starter(layout))
    a_day, state = sound_day(layout)
    metered = a_day.pull.flows(-1).metered
    seen = observe(plant, a_day, metered)
    dice = np.random.default_rng(1)

    def learned(kind: ReadingKind, value: float) -> Baseline:
        spread, step = _SCATTER[kind]
        return learn([float(v) for v in value + spread * dice.standard_normal(_READINGS)], step)

    baselines = {kind: learned(kind, value) for kind, value in _figures(seen).items()}
    store = None if seen.store_kpa is None else learned(ReadingKind.FIRST_START_VACUUM, seen.store_kpa)
    return Healthy(seen, baselines, store, state, metered)


def _figures(seen: Observed) -> dict[ReadingKind, float]:
    figures = {
        ReadingKind.IDLE_VACUUM: seen.idle_kpa,
        ReadingKind.FIRST_START_VACUUM: seen.first_start_kpa,
        ReadingKind.STEADY_BOOST: seen.boost_kpa,
        ReadingKind.FUEL_TRIM_IDLE: seen.trim_idle,
        ReadingKind.FUEL_TRIM_LOAD: seen.trim_load,
    }
    if seen.recovery_s is not None:
        figures[ReadingKind.VACUUM_RECOVERY] = seen.recovery_s
    return figures


def observed(layout: Layout, fault: Fault) -> Observed:
    """Put one fault through a day and watch."""
    plant, sound = plant_of(starter(layout), fault), healthy(layout)
    start = carried_over(sound.state, plant_of(starter(layout)), plant)
    return observe(plant, day(plant, start), sound.metered)


def signs(layout: Layout, seen: Observed) -> dict[str, str]:
    """The signs a fitter would give for this, of those the layout is asked for."""
    sound = healthy(layout)
    found = signs_from(_figures(seen), sound.baselines, c.AMBIENT_KPA) | seen.seen
    if sound.store is not None and seen.store_kpa is not None:
        at_the_store = first_start_vacuum(seen.store_kpa, sound.store, found["idle_vacuum"])
        if found.get("first_start_vacuum") == "normal" and at_the_store is not None:
            found["first_start_vacuum"] = at_the_store
    if seen.stalled:  # an engine that will not idle has no idle to read
        found = {sign: outcome for sign, outcome in found.items() if sign not in _AT_IDLE}
    facts = facts_of_starter(starter(layout))
    return {sign: outcome for sign, outcome in found.items() if SIGNS[sign].asked_on(facts)}


def candidate_of(layout: Layout, fault: Fault) -> Candidate:
    """The candidate that is to blame. StopIteration when the layout has none of that name."""
    facts = facts_of_starter(starter(layout))
    everyone = with_standing(facts, candidates_of(starter(layout)))
    return next(each for each in everyone if each.id == fault.candidate)


@cache
def judged(layout: Layout, number: int) -> Verdict:
    """Triage the layout's fault of that number by all its signs, no touches, no codes."""
    fault = faults(layout)[number]
    found = signs(layout, observed(layout, fault))
    chosen = starter(layout)
    ranking = rank(facts_of_starter(chosen), candidates_of(chosen), (), Evidence(found))
    roles = [share.role for share in ranking.roles]
    chance = {suspect.id: suspect.probability for suspect in ranking.suspects}
    before = sum(p > chance[fault.candidate] * (1 + 1e-9) for p in chance.values())
    level = sum(abs(p - chance[fault.candidate]) <= 1e-9 * p for p in chance.values())
    return Verdict(
        layout,
        fault,
        kind_of(candidate_of(layout, fault)),
        found,
        any(outcome != SIGNS[sign].healthy for sign, outcome in found.items()),
        roles[0],
        roles.index(fault.role.value) + 1,
        before + (level + 1) / 2,
        chance,
    )


def doubted(verdict: Verdict) -> list[tuple[str, str, float]]:
    """The signs of a verdict that the table thinks unlikely for its row: sign, outcome, and the table's chance."""
    know = knowledge(facts_of_starter(starter(verdict.layout)))
    found = []
    for sign, outcome in verdict.signs.items():
        chance = know.chance[sign][verdict.kind][OUTCOMES[sign].index(outcome)]
        if chance < UNLIKELY:
            found.append((sign, outcome, chance))
    return found
