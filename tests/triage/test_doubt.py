"""Honest doubt: what the model says of itself is so on cases of its own making, and signs that fit nothing say so."""

import random
from collections import defaultdict
from itertools import product
from typing import NamedTuple

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from app.airpath.words import Layout, Suspect
from app.triage.inputs import Evidence
from app.triage.knowledge.grades import ALMOST_NEVER
from app.triage.knowledge.table import OUTCOMES, knowledge
from app.triage.model import kind_of, rank, with_standing
from app.triage.signs import SIGNS
from tests.triage.conftest import car, share


@settings(deadline=None, max_examples=12)
@given(layout=st.sampled_from(list(Layout)), data=st.data())
def test_of_all_cases_given_a_probability_that_share_is_so(layout: Layout, data: st.DataObject) -> None:
    """Over every answer there can be to three signs, weighed by how often the model itself gives it."""
    facts, candidates = car(layout)
    know = knowledge(facts)
    signs = data.draw(st.lists(st.sampled_from(sorted(know.speaks - {"codes"})), min_size=1, max_size=3, unique=True))
    everyone = with_standing(facts, candidates)
    prior = {each.id: each.probability for each in rank(facts, candidates).suspects}
    said: dict[int, float] = defaultdict(float)
    cases: dict[int, float] = defaultdict(float)
    true: dict[int, float] = defaultdict(float)
    for outcomes in product(*(OUTCOMES[sign] for sign in signs)):
        seen = dict(zip(signs, outcomes, strict=True))
        found = {each.id: each.probability for each in rank(facts, candidates, (), Evidence(seen)).suspects}
        joint = {each.id: prior[each.id] for each in everyone}
        for each in everyone:
            for sign, outcome in seen.items():
                joint[each.id] *= know.chance[sign][kind_of(each)][OUTCOMES[sign].index(outcome)]
        for suspect, p in found.items():
            tenth = int(p * 10)
            said[tenth] += p * sum(joint.values())
            cases[tenth] += sum(joint.values())
            true[tenth] += joint[suspect]
    for tenth, weight in cases.items():
        assert true[tenth] / weight == pytest.approx(said[tenth] / weight, abs=1e-9)


class Odd(NamedTuple):
    """Signs drawn blindly: how many of them the suspect that fits best shows almost never, and what came of it."""

    misfits: int
    something_else: float
    doubted: bool


def blind(layout: Layout) -> list[Odd]:
    facts, candidates = car(layout)
    know = knowledge(facts)
    named = {kind_of(each) for each in with_standing(facts, candidates)} - {Suspect.SOMETHING_ELSE.value}
    asked = [sign for sign in SIGNS.values() if sign.key in know.speaks and sign.asked_on(facts)]
    draw = random.Random(4)  # noqa: S311 - a fixed seed, so that a failure can be seen again
    found = []
    for _ in range(400):
        signs = {each.key: draw.choice(each.outcome_keys[1:]) for each in draw.sample(asked, min(5, len(asked)))}
        misfits = min(
            sum(know.rows[sign][kind].grade(outcome) is ALMOST_NEVER for sign, outcome in signs.items())
            for kind in named
        )
        ranking = rank(facts, candidates, (), Evidence(signs))
        found.append(Odd(misfits, share(ranking, Suspect.SOMETHING_ELSE), bool(ranking.contradictions)))
    return found


def mean(numbers: list[float]) -> float:
    return sum(numbers) / len(numbers)


def test_something_else_rises_the_less_the_signs_fit_and_they_are_pointed_out(layout: Layout) -> None:
    before = share(rank(*car(layout)), Suspect.SOMETHING_ELSE)
    cases = blind(layout)
    fitting, odd, nothing = ([each for each in cases if min(each.misfits, 2) == misfits] for misfits in range(3))
    means = [mean([each.something_else for each in those]) for those in (fitting, odd, nothing)]
    assert means == sorted(means)
    assert means[1] > 2 * before
    assert means[2] > 0.45
    assert mean([each.something_else > before for each in nothing]) >= 0.9
    assert mean([each.doubted for each in [*odd, *nothing]]) >= 0.9
    assert mean([each.doubted for each in nothing]) >= 0.95
