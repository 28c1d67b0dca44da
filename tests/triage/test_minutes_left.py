"""How long it still takes: by brute force over every plan, and over simulated tickets."""

import random
from itertools import permutations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from app.airpath.words import Layout
from app.triage.at_hand import AtHand, EngineNow, after, getting_ready
from app.triage.checks import check_named
from app.triage.inputs import CheckResult, Evidence
from app.triage.knowledge.table import OUTCOMES, knowledge
from app.triage.minutes_left import SEARCHING_ON, minutes_left
from app.triage.model import kind_of, rank, with_standing
from app.triage.order import Job
from app.triage.signs import CODES, Need
from tests.triage.conftest import car

ENGINES = st.none() | st.sampled_from(list(EngineNow))
STATES = st.sampled_from([None, Need.ENGINE_COLD, Need.ENGINE_RUNNING, Need.A_DRIVE])


@st.composite
def plans(draw: st.DrawFn, most: int = 4) -> tuple[list[Job], float]:
    """Jobs on rival suspects, and the likeliest suspect without one; what is left of the probability is nobody's."""
    count = draw(st.integers(0, most))
    weights = draw(st.lists(st.floats(0.01, 1), min_size=count + 2, max_size=count + 2))
    chances = [weight / sum(weights) for weight in weights]
    jobs = []
    for p in chances[:count]:
        hit = draw(st.floats(0.3, 0.99))
        place = draw(st.none() | st.sampled_from(["cover", "stands"]))
        minutes, opening = draw(st.floats(1, 40)), draw(st.floats(0, 30))
        jobs.append(Job(p * hit, minutes, place, opening, draw(STATES), p * (1 - hit)))
    return jobs, chances[count]


def by_hand(jobs: list[Job], order: tuple[int, ...], unchecked: float, engine: EngineNow | None) -> float:
    """One plan's expected minutes: these checks in this order, then going for the likeliest."""
    total, left = 0.0, 1.0
    rivals = [unchecked, *(job.p + job.missed for job in jobs)]
    opened: set[str] = set()
    for index in order:
        job = jobs[index]
        total += left * (job.minutes + getting_ready(engine, job.state))
        if job.place is None or job.place not in opened:
            total += left * job.opening_minutes
        opened |= {job.place} - {None} if job.place else set()
        engine = after(engine, job.state)
        left -= job.p
        rivals[index + 1] = job.missed
    return total + SEARCHING_ON * (left - max(rivals))


@given(plan=plans(), engine=ENGINES)
def test_no_plan_of_checks_is_quicker(plan: tuple[list[Job], float], engine: EngineNow | None) -> None:
    jobs, unchecked = plan
    orders = [order for size in range(len(jobs) + 1) for order in permutations(range(len(jobs)), size)]
    best = min(by_hand(jobs, order, unchecked, engine) for order in orders)
    assert minutes_left(jobs, unchecked, engine) == pytest.approx(best, abs=1e-9)


@given(data=st.data(), share=st.floats(0, 1), engine=ENGINES)
def test_knowing_more_never_makes_it_longer_on_average(
    data: st.DataObject, share: float, engine: EngineNow | None
) -> None:
    """Concave in the probabilities, so the mean over what may be seen is never above what stood before it was seen."""
    hits = data.draw(st.lists(st.tuples(st.floats(0.3, 0.99), st.floats(1, 40), STATES), min_size=1, max_size=6))

    def left(weights: list[float]) -> float:
        total = sum(weights)
        jobs = [
            Job(w / total * hit, minutes, None, 0.0, state, w / total * (1 - hit))
            for w, (hit, minutes, state) in zip(weights, hits, strict=False)
        ]
        return minutes_left(jobs, weights[len(hits)] / total, engine)

    some = st.lists(st.floats(0.01, 1), min_size=len(hits) + 2, max_size=len(hits) + 2)
    one, other = (data.draw(some) for _ in range(2))
    one, other = [each / sum(one) for each in one], [each / sum(other) for each in other]
    mixed = [share * a + (1 - share) * b for a, b in zip(one, other, strict=True)]
    assert share * left(one) + (1 - share) * left(other) <= left(mixed) + 1e-9


def test_a_culprit_known_for_certain_takes_no_time_and_nothing_to_go_by_takes_a_search() -> None:
    assert minutes_left([], 1.0) == 0
    assert minutes_left([], 0.0) == SEARCHING_ON
    assert minutes_left([Job(0.9, 10.0, missed=0.1)]) == 0


def test_two_suspects_alike_cost_a_check_of_one() -> None:
    """Ten minutes for the first; found in 45 of 100, else it is the other but for 5 of 100 that it missed."""
    both = [Job(0.45, 10.0, missed=0.05), Job(0.45, 12.0, missed=0.05)]
    assert minutes_left(both) == pytest.approx(10 + 0.05 * SEARCHING_ON)


def answered(truth: int, evidence: Evidence, layout: Layout, at_hand: AtHand, draw: random.Random) -> Evidence | None:
    """The evidence with the next step done on a car whose culprit is `truth`; None when there is nothing to do."""
    facts, candidates = car(layout)
    everyone, know = with_standing(facts, candidates), knowledge(facts)
    kind = kind_of(everyone[truth])
    steps = [step for step in rank(facts, candidates, (), evidence, at_hand=at_hand).next if step.key != CODES]
    if not steps:
        return None
    step = steps[0]
    if step.kind == "ask":
        outcome = draw.choices(OUTCOMES[step.key], know.chance[step.key][kind])[0]
        return Evidence({**evidence.signs, step.key: outcome}, None, evidence.checks)
    on = next(each for each in everyone if each.id == step.candidate_id)
    check = check_named(on, step.key)
    fault = draw.random() < (check.hit if on is everyone[truth] else check.false_alarm)
    made = CheckResult(on.id, step.key, "fault" if fault else "fine")
    return Evidence(evidence.signs, None, (*evidence.checks, made))


@pytest.mark.parametrize("at_hand", [AtHand(), AtHand(engine=EngineNow.RUNNING)], ids=["any", "running"])
def test_over_simulated_tickets_the_mean_falls_step_by_step(layout: Layout, at_hand: AtHand) -> None:
    facts, candidates = car(layout)
    draw = random.Random(7)  # noqa: S311 - a fixed seed, so that a failure can be seen again
    before = rank(facts, candidates, at_hand=at_hand)
    by_id = {each.id: place for place, each in enumerate(with_standing(facts, candidates))}
    totals = [0.0] * 13
    for _ in range(40):
        suspect = draw.choices(before.suspects, [each.probability for each in before.suspects])[0]
        evidence: Evidence | None = Evidence()
        left = before.minutes_left
        for step in range(len(totals)):
            if evidence is not None:
                left = rank(facts, candidates, (), evidence, at_hand=at_hand).minutes_left
                evidence = answered(by_id[suspect.id], evidence, layout, at_hand, draw)
            totals[step] += left
    means = [total / 40 for total in totals]
    thirds = means[::4]
    assert thirds == sorted(thirds, reverse=True)
    assert means[-1] < 0.6 * means[0]
