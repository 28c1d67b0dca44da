"""The model as plain numbers: a script that knows nothing of cars comes to the same figures."""

import gzip
import json
from dataclasses import replace
from math import exp, log
from typing import TypedDict, cast

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from app.airpath.words import Layout, Suspect, TouchKind
from app.triage.at_hand import STATES, TOOLS, EngineNow, after, getting_ready
from app.triage.codes import GROUP_OF
from app.triage.inputs import Candidate, Evidence, Touched
from app.triage.knowledge.grades import Grade
from app.triage.knowledge.overrules import Overrule
from app.triage.model import rank, with_standing
from app.triage.plain_numbers import plain_car, plain_case
from app.triage.plain_sheets import not_there, plain_needed, plain_needs
from app.triage.priors import weigh
from app.triage.signs import NEED_LABEL, SIGNS, Need
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


def model_of(layout: Layout, taught: dict[str, int]) -> Numbers:
    """Both parts in one, as static/bay/model.js puts them together."""
    of_car, of_case = json.loads(json.dumps([plain_car(*car(layout)), plain_case(*car(layout), taught=taught)]))
    pairs = zip(of_car["candidates"], of_case["candidates"], strict=True)
    return cast("Numbers", of_car | {"candidates": [one | before for one, before in pairs]})


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
    ours = rank(facts, candidates, (), Evidence(signs, None if codes is None else tuple(codes)), {"charge": 2})
    theirs = evaluated(model_of(layout, {"charge": 2}), signs, codes)
    assert theirs == pytest.approx({each.id: each.probability for each in ours.suspects}, abs=1e-9)


def test_a_check_unusual_for_what_it_was_made_of_comes_along(layout: Layout) -> None:
    facts, candidates = car(layout)
    tried = [(candidates[0].id, "swap"), (candidates[0].id, "look_and_feel")]
    of_car, of_case = json.loads(json.dumps([plain_car(facts, candidates), plain_case(facts, candidates, tried=tried)]))
    checks = of_car["checks"] + of_case["checks"]
    assert [checks[place]["method"] for place in of_case["candidates"][0]["tried"]] == ["swap"]


def test_age_and_a_stopgap_make_no_difference_to_the_cars_part(layout: Layout) -> None:
    facts, candidates = car(layout)
    others = [replace(one, age_years=17.0, stopgap=True) for one in candidates]
    assert plain_car(facts, others) == plain_car(facts, candidates)
    assert plain_case(facts, others) != plain_case(facts, candidates)


def test_a_stopgap_is_a_mark_beside_the_figure_so_that_a_phone_can_end_it(layout: Layout) -> None:
    facts, candidates = car(layout)
    patched = [replace(candidates[0], stopgap=True), *candidates[1:]]
    times, reason = cast("list[object]", plain_car(facts, candidates)["patched"])
    with_it, without = (
        cast("list[dict[str, float]]", plain_case(facts, one)["candidates"]) for one in (patched, candidates)
    )
    assert with_it[0] == without[0] | {"patched": True}
    assert with_it[1:] == without[1:]
    prior = weigh(with_standing(facts, patched), (), {})[0]
    assert with_it[0]["prior"] * cast("float", times) == pytest.approx(prior.weight, rel=1e-12)
    assert reason in {factor.reason for factor in prior.factors}


def test_needs_are_places_in_one_list_and_what_is_not_owned_is_among_them() -> None:
    needed = plain_needed()
    labels, states = cast("list[str]", needed["labels"]), cast("list[int]", needed["states"])
    assert [labels[place] for place in cast("list[int]", plain_needs((Need.ENGINE_COLD, Need.SMOKE_MACHINE)))] == [
        NEED_LABEL[Need.ENGINE_COLD],
        NEED_LABEL[Need.SMOKE_MACHINE],
    ]
    lacking = not_there(TOOLS - {Need.SMOKE_MACHINE})
    assert [labels[cast("int", place)] for place in lacking] == [NEED_LABEL[Need.SMOKE_MACHINE]]
    assert not_there(None) == []
    assert not set(lacking) & set(states)


@pytest.mark.parametrize("engine", list(EngineNow))
@pytest.mark.parametrize("state", STATES)
def test_minutes_to_a_state_and_how_a_step_leaves_the_engine_are_the_programs(engine: EngineNow, state: Need) -> None:
    needed = json.loads(json.dumps(plain_needed()))
    now, place = needed["engines"].index(engine), STATES.index(state)
    assert needed["ready"][now][place] == getting_ready(engine, state)
    assert needed["engines"][needed["after"][place]] == after(engine, state)


def test_what_a_fitter_overrules_changes_the_cars_part_alone(layout: Layout) -> None:
    facts, candidates = car(layout)
    overrule = Overrule("manifold_small", "hiss", "at_idle", Grade.RARELY, "a long pipe")
    assert plain_car(facts, candidates, [overrule]) != plain_car(facts, candidates)
    assert "on this car, a long pipe" in json.dumps(plain_car(facts, candidates, [overrule]))


def test_a_suspect_of_ones_own_can_be_repaired_and_something_else_can_not(layout: Layout) -> None:
    facts, candidates = car(layout)
    own = Candidate("seam", Suspect.SOMETHING_ELSE, "The seam", behaves_like="charge")
    found = cast("list[dict[str, object]]", plain_car(facts, [*candidates, own])["candidates"])
    assert [one["id"] for one in found if one.get("nothing")] == ["something_else"]


def test_a_touch_of_what_is_not_on_the_car_is_refused(layout: Layout) -> None:
    with pytest.raises(KeyError):
        plain_case(*car(layout), [Touched("nothing", TouchKind.REPLACED)])


def test_what_belongs_to_one_fault_is_the_smaller_part_by_far(layout: Layout) -> None:
    parts = (plain_car(*car(layout)), plain_case(*car(layout)))
    of_car, of_case = (len(gzip.compress(json.dumps(part, ensure_ascii=False).encode())) for part in parts)
    assert of_car < 12_000
    assert of_case < 1_000
