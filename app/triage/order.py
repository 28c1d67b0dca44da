"""In which order to make direct checks, for the least expected minutes to the culprit.

Probability over minutes is best for independent, decisive checks each paid on its own (Kalagnanam and Henrion 1990;
Heckerman, Breese and Rommelse 1995, from memory). It is not where checks share a preparation (Ottosen and Jensen, cost
clusters) or where the last suspect is known by elimination, so the orders of the leading few are searched.
"""

from collections.abc import Sequence
from dataclasses import dataclass

#: How many leading checks are searched exhaustively; the rest follow by probability over minutes.
SEARCHED = 7


@dataclass(frozen=True, slots=True)
class Job:
    """A check to be ordered: P(it finds the culprit), its own minutes, and the place that must be opened first."""

    p: float
    minutes: float
    place: str | None = None
    opening_minutes: float = 0.0


def expected_minutes(jobs: Sequence[Job], order: Sequence[int], *, last_known: bool) -> float:
    """Expected minutes when `jobs` are done in `order` until one finds the culprit.

    A place is opened once. With `last_known` the last job is not done: by then it can only be that one.
    """
    left = 1.0
    opened: set[str] = set()
    total = 0.0
    for position, index in enumerate(order):
        if last_known and position == len(order) - 1:
            break
        job = jobs[index]
        total += left * (job.minutes + _opening(job, opened))
        if job.place is not None:
            opened.add(job.place)
        left -= job.p
    return total


def best_order(jobs: Sequence[Job], *, last_known: bool) -> tuple[tuple[int, ...], float]:
    """The order (0-based) of least expected minutes, and those minutes.

    Exact up to seven jobs; beyond, the leading seven by probability over minutes are searched and the rest follow.
    """
    by_ratio = sorted(range(len(jobs)), key=lambda index: -jobs[index].p / _whole(jobs[index]))
    leading, rest = by_ratio[:SEARCHED], by_ratio[SEARCHED:]
    order = (*_searched(jobs, leading, last_known=last_known and not rest), *rest)
    return order, expected_minutes(jobs, order, last_known=last_known)


def _whole(job: Job) -> float:
    return max(job.minutes + job.opening_minutes, 1e-9)


def _opening(job: Job, opened: set[str]) -> float:
    return job.opening_minutes if job.place is None or job.place not in opened else 0.0


def _searched(jobs: Sequence[Job], leading: Sequence[int], *, last_known: bool) -> tuple[int, ...]:
    """Dynamic programming over which jobs are done: what is left to pay depends on the set, not on its order."""
    full = (1 << len(leading)) - 1
    best: dict[int, tuple[float, tuple[int, ...]]] = {full: (0.0, ())}
    for done in range(full - 1, -1, -1):
        within = [index for bit, index in enumerate(leading) if done >> bit & 1]
        left = 1.0 - sum(jobs[index].p for index in within)
        opened = {place for index in within if (place := jobs[index].place) is not None}
        choices = []
        for bit, index in enumerate(leading):
            if done >> bit & 1:
                continue
            after, order = best[done | 1 << bit]
            known = last_known and done | 1 << bit == full
            cost = 0.0 if known else left * (jobs[index].minutes + _opening(jobs[index], opened))
            choices.append((cost + after, (index, *order)))
        best[done] = min(choices)
    return best[0][1]
