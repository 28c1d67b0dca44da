"""The model as plain numbers: a script that knows nothing of cars comes to the same figures."""

import json
from math import exp, fsum
from typing import TypedDict, cast

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from app.airpath.words import Layout, TouchKind
from app.triage.codes import GROUP_OF
from app.triage.inputs import Evidence, Touched
from app.triage.model import rank
from app.triage.plain_numbers import plain_numbers
from app.triage.signs import SIGNS
from tests.triage.conftest import car


class One(TypedDict):
    id: str
    kind: int
    prior: float
    untouched: float


class Numbers(TypedDict):
    signs: dict[str, dict[str, list[str]]]
    codes: dict[str, str]
    candidates: list[One]
    logs: dict[str, list[list[float]]]


def evaluated(model: Numbers, signs: dict[str, str], codes: list[str] | None) -> dict[str, float]:
    seen = [(sign, outcome) for sign, outcome in signs.items() if sign in model["signs"]]
    if codes is not None:
        groups = {model["codes"][code] for code in codes if code in model["codes"]}
        seen += [("codes", group) for group in groups] if codes else [("codes", "no_codes")]
    logs = {}
    for one in model["candidates"]:
        terms = [model["logs"][s][one["kind"]][model["signs"][s]["outcomes"].index(o)] for s, o in seen]
        logs[one["id"]] = fsum([one["prior"], *terms])
    weights = {key: exp(value - max(logs.values())) for key, value in logs.items()}
    return {key: weight / sum(weights.values()) for key, weight in weights.items()}


@settings(deadline=None)
@given(
    layout=st.sampled_from(list(Layout)),
    signs=st.fixed_dictionaries({}, optional={s.key: st.sampled_from(s.outcome_keys) for s in SIGNS.values()}),
    codes=st.none() | st.lists(st.sampled_from([*sorted(GROUP_OF), "P1234"]), max_size=4),
)
def test_twenty_lines_that_multiply_normalise_and_sort_equal_the_ranking(
    layout: Layout, signs: dict[str, str], codes: list[str] | None
) -> None:
    facts, candidates = car(layout)
    touched = [Touched(candidates[3].id, TouchKind.CLAMP_MOVED, 4, 100, 5)]
    model = cast("Numbers", json.loads(json.dumps(plain_numbers(facts, candidates, touched, {"charge": 2}))))
    ours = rank(facts, candidates, touched, Evidence(signs, None if codes is None else tuple(codes)), {"charge": 2})
    theirs = evaluated(model, signs, codes)
    assert theirs == pytest.approx({each.id: each.probability for each in ours.suspects}, abs=1e-9)


def test_it_stays_small(layout: Layout) -> None:
    facts, candidates = car(layout)
    assert len(json.dumps(plain_numbers(facts, candidates))) < 80_000
