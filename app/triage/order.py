"""In which order to make direct checks, for the least expected minutes to the culprit.

Probability over minutes is best for independent, decisive checks each paid on its own (Kalagnanam and Henrion 1990;
Heckerman, Breese and Rommelse 1995, from memory). It is not where checks share a preparation (Ottosen and Jensen, cost
clusters), where the engine has to cool or warm up in between, or where the last suspect is known by elimination, so
the orders of the leading few are searched.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from functools import cache
from math import inf

from app.triage.at_hand import EngineNow, after, getting_ready
from app.triage.signs import Need

#: How many leading checks are searched exhaustively; the rest follow by probability over minutes.
SEARCHED = 7


@dataclass(frozen=True, slots=True)
class Job:
    """A check to be ordered: P(it finds the culprit), its own minutes, and the place that must be opened first.

    `state` is how the engine has to be for it, `missed` P(its suspect is the culprit and it does not show).
    """

    p: float
    minutes: float
    place: str | None = None
    opening_minutes: float = 0.0
    state: Need | None = None
    missed: float = 0.0


def expected_minutes(
    jobs: Sequence[Job], order: Sequence[int], *, last_known: bool, engine: EngineNow | None = None
) -> float:
    """Expected minutes when `jobs` are done in `order` until one finds the culprit, `engine` being so at the start.

    A place is opened once, the engine cooled or warmed whenever the next job wants it otherwise than the last left it.
    With `last_known` the last job is not done: by then it can only be that one.
    """
    left = 1.0
    opened: set[str] = set()
    total = 0.0
    for position, index in enumerate(order):
        if last_known and position == len(order) - 1:
            break
        job = jobs[index]
        opening = job.opening_minutes if job.place is None or job.place not in opened else 0.0
        total += left * (job.minutes + opening + getting_ready(engine, job.state))
        if job.place is not None:
            opened.add(job.place)
        engine = after(engine, job.state)
        left -= job.p
    return total


def best_order(
    jobs: Sequence[Job], *, last_known: bool, engine: EngineNow | None = None
) -> tuple[tuple[int, ...], float]:
    """The order (0-based) of least expected minutes, and those minutes.

    Exact up to seven jobs; beyond, the leading seven by probability over minutes are searched and the rest follow.
    """
    by_ratio = leading_first(jobs, engine)
    leading, rest = by_ratio[:SEARCHED], by_ratio[SEARCHED:]
    full = (1 << len(leading)) - 1
    ends = [inf] * full + [0.0]
    if last_known and not rest:
        for bit in range(len(leading)):
            ends[full & ~(1 << bit)] = 0.0
    _, found = least_minutes([jobs[index] for index in leading], ends, engine)
    unneeded = [place for place in range(len(leading)) if place not in found]
    order = (*(leading[place] for place in (*found, *unneeded)), *rest)
    return order, expected_minutes(jobs, order, last_known=last_known, engine=engine)


def leading_first(jobs: Sequence[Job], engine: EngineNow | None) -> list[int]:
    """The jobs' places by probability over all the minutes each takes by itself from now."""

    def whole(job: Job) -> float:
        return max(job.minutes + job.opening_minutes + getting_ready(engine, job.state), 1e-9)

    return sorted(range(len(jobs)), key=lambda index: -jobs[index].p / whole(jobs[index]))


def least_minutes(
    jobs: Sequence[Job], ends: Sequence[float], engine: EngineNow | None
) -> tuple[float, tuple[int, ...]]:
    """The least expected minutes, and the jobs to do for them in order, broken off where `ends` makes that cheaper.

    `ends[done]` is what breaking off costs once the jobs of the bit set `done` are done (weighed by how likely it is
    to come to that), infinite where one may not. Dynamic programming over which jobs are done and how the last of them
    left the engine: what is left to pay depends on that and not on their order.
    """
    engines, rows = _engines(jobs, engine)
    left, unopened = _by_set(jobs)
    cost = [[0.0] * len(ends) for _ in engines]
    choice = [[-1] * len(ends) for _ in engines]
    still_to_do = _still_to_do(len(jobs))
    for done in range(len(ends) - 1, -1, -1):
        still, own, todo = left[done], unopened[done], still_to_do[done]
        for now, row in enumerate(rows):
            best, chosen = ends[done], -1
            for index, next_done in todo:
                ready, then = row[index]
                whole = still * (own[index] + ready) + cost[then][next_done]
                if whole < best:
                    best, chosen = whole, index
            cost[now][done], choice[now][done] = best, chosen
    order: list[int] = []
    now = done = 0
    while (chosen := choice[now][done]) >= 0:
        order.append(chosen)
        now, done = rows[now][chosen][1], done | 1 << chosen
    return cost[0][0], tuple(order)


@cache
def _still_to_do(count: int) -> list[list[tuple[int, int]]]:
    """For each bit set of `count` jobs done: each job that is not, and the set with it."""
    return [
        [(index, done | 1 << index) for index in range(count) if not done >> index & 1] for done in range(1 << count)
    ]


def _engines(
    jobs: Sequence[Job], engine: EngineNow | None
) -> tuple[list[EngineNow | None], list[list[tuple[float, int]]]]:
    """The states that can come up, the present first; from each, for each job, minutes to get ready and state after."""
    engines = list(dict.fromkeys([engine, *(after(engine, job.state) for job in jobs)]))
    places = {state: place for place, state in enumerate(engines)}
    rows = [[(getting_ready(now, job.state), places[after(now, job.state)]) for job in jobs] for now in engines]
    return engines, rows


def _by_set(jobs: Sequence[Job]) -> tuple[list[float], list[list[float]]]:
    """For each bit set of jobs done: the probability left, and each job's minutes with what is still to be opened."""
    left = [1.0]
    opened: list[frozenset[str]] = [frozenset()]
    for job in jobs:  # each job doubles the sets: those without it, then those with it
        left += [each - job.p for each in left]
        here = frozenset() if job.place is None else frozenset({job.place})
        opened += [each | here for each in opened]
    alone = [job.minutes + job.opening_minutes for job in jobs]
    inside: dict[frozenset[str], list[float]] = {}
    for places in set(opened):
        inside[places] = [job.minutes if job.place in places else whole for job, whole in zip(jobs, alone, strict=True)]
    return left, [inside[places] for places in opened]
