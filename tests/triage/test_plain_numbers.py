"""The model as plain numbers: a script that knows nothing of cars comes to the same figures."""

import gzip
import json
from math import exp, log
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


class Sign(TypedDict):
    outcomes: list[str]
    rows: list[list[str]]
    of: list[int]


class Numbers(TypedDict):
    grades: list[tuple[float, str]]
    signs: dict[str, Sign]
    codes: dict[str, dict[str, str]]
    candidates: list[One]


def chance(model: Numbers, sign: str, kind: int, outcome: str) -> float:
    of = model["signs"][sign]
    weights = [model["grades"][int(digit)][0] for digit in of["rows"][of["of"][kind]][0]]
    return weights[of["outcomes"].index(outcome)] / (1.0 if sign == "codes" else sum(weights))


def evaluated(model: Numbers, signs: dict[str, str], codes: list[str] | None) -> dict[str, float]:
    seen = [(sign, outcome) for sign, outcome in signs.items() if sign in model["signs"]]
    if codes is not None:
        members = model["codes"]["groups"]
        groups = [group for group, those in members.items() if set(those.split()) & set(codes)]
        seen += [("codes", group) for group in groups] if codes else [("codes", "no_codes")]
    logs = {}
    for one in model["candidates"]:
        logs[one["id"]] = log(one["prior"]) + sum(log(chance(model, s, one["kind"], o)) for s, o in seen)
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
    model = cast("Numbers", json.loads(json.dumps(plain_numbers(facts, candidates, taught={"charge": 2}))))
    ours = rank(facts, candidates, (), Evidence(signs, None if codes is None else tuple(codes)), {"charge": 2})
    theirs = evaluated(model, signs, codes)
    assert theirs == pytest.approx({each.id: each.probability for each in ours.suspects}, abs=1e-9)


def test_a_check_unusual_for_what_it_was_made_of_comes_along(layout: Layout) -> None:
    facts, candidates = car(layout)
    limit = candidates[0].id
    plain = json.loads(json.dumps(plain_numbers(facts, candidates, tried=[(limit, "swap"), (limit, "look_and_feel")])))
    assert [plain["checks"][place]["method"] for place in plain["candidates"][0]["tried"]] == ["swap"]


def test_a_touch_of_what_is_not_on_the_car_is_refused(layout: Layout) -> None:
    with pytest.raises(KeyError):
        plain_numbers(*car(layout), [Touched("nothing", TouchKind.REPLACED)])


def test_it_stays_small_enough_for_a_page(layout: Layout) -> None:
    facts, candidates = car(layout)
    written = json.dumps(plain_numbers(facts, candidates), ensure_ascii=False, separators=(",", ":"))
    assert len(gzip.compress(written.encode())) < 12_000
