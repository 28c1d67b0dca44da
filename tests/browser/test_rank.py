"""The page's own ranking, in a real browser, against the program's."""

import json
from collections.abc import Iterator, Mapping, Sequence
from itertools import pairwise
from typing import NamedTuple, TypedDict

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from playwright.sync_api import Browser, Page, Route

from app.airpath.words import Layout, TouchKind
from app.settings import shipped
from app.triage.checks import checks_for
from app.triage.codes import GROUP_OF
from app.triage.facts import Facts
from app.triage.inputs import Candidate, CheckResult, Evidence, Touched
from app.triage.model import Ranking, rank
from app.triage.plain_numbers import plain_car, plain_case, plain_touch
from app.triage.signs import SIGNS
from tests.triage.conftest import car

#: The page has the model once; each question is answered from it.
ASK = """
async ({ofCar, ofCase, evidence}) => {
  const {rank} = await import("/static/bay/rank.js");
  const {joined} = await import("/static/bay/model.js");
  const model = joined(ofCar, ofCase);
  const found = rank(model, evidence);
  const id = place => model.candidates[place].id;
  const step = one => "sign" in one ? one.sign : `${model.checks[one.sheet].method}:${id(one.candidate)}`;
  return {
    suspects: found.suspects.map(one => [id(one.place), one.chance, one.without]),
    why: found.suspects.map(one => one.why.map(each => [each.kind, each.by, each.reason])),
    next: found.next.map(one => [step(one), one.minutes, one.gain]),
    doubts: found.doubts.map(one => [one.first.sign, one.second.sign, one.again.sign]),
    unusedCodes: found.unusedCodes,
  };
}
"""


class Found(TypedDict):
    suspects: list[tuple[str, float, float]]
    why: list[list[tuple[str, float, str]]]
    next: list[tuple[str, float, float]]
    doubts: list[list[str]]
    unusedCodes: list[str]


class Asked(NamedTuple):
    facts: Facts
    candidates: Sequence[Candidate]
    touched: Sequence[Touched]
    evidence: Evidence
    taught: Mapping[str, int]


@pytest.fixture(scope="module")
def scripts(browser: Browser) -> Iterator[Page]:
    """A page that holds nothing but the program's own scripts."""
    context = browser.new_context()
    page = context.new_page()

    def fulfil(route: Route) -> None:
        path = route.request.url.removeprefix("http://scripts.test/")
        if path.startswith("static/"):
            script = shipped("static") / path.removeprefix("static/")
            route.fulfill(path=script, content_type="text/javascript")
        else:
            route.fulfill(body="<!doctype html><title>Scripts</title>", content_type="text/html")

    context.route("**/*", fulfil)
    page.goto("http://scripts.test/")
    yield page
    context.close()


@st.composite
def questions(draw: st.DrawFn) -> Asked:
    facts, candidates = car(draw(st.sampled_from(list(Layout))))
    some = st.sampled_from(candidates)
    signs = draw(st.fixed_dictionaries({}, optional={s.key: st.sampled_from(s.outcome_keys) for s in SIGNS.values()}))
    codes = draw(st.none() | st.lists(st.sampled_from([*sorted(GROUP_OF), "P1234"]), max_size=4, unique=True))
    past = st.none() | st.floats(0, 400)
    touch = st.builds(
        Touched,
        some.map(lambda one: one.id),
        st.sampled_from(list(TouchKind)),
        past,
        past | st.floats(0, 30_000),
        st.none() | st.floats(-40, 40),
        checked=st.booleans(),
    )
    made = draw(st.lists(some.filter(checks_of), max_size=6, unique_by=lambda one: one.id))
    checks = [
        CheckResult(one.id, draw(st.sampled_from(checks_of(one))), draw(st.sampled_from(("fault", "fine"))))
        for one in made
    ]
    return Asked(
        facts,
        candidates,
        draw(st.lists(touch, max_size=6)),
        Evidence(signs, None if codes is None else tuple(codes), tuple(checks)),
        draw(st.dictionaries(st.sampled_from(("charge", "gauge", "wastegate")), st.integers(1, 9), max_size=2)),
    )


def checks_of(candidate: Candidate) -> list[str]:
    return [check.method for check in checks_for(candidate)]


def by_the_page(page: Page, asked: Asked) -> Found:
    evidence = asked.evidence
    made = [(one.candidate_id, one.method) for one in evidence.checks]
    of_car = json.loads(json.dumps(plain_car(asked.facts, asked.candidates)))
    of_case = json.loads(json.dumps(plain_case(asked.facts, asked.candidates, asked.touched, asked.taught, made)))
    places = {one["id"]: place for place, one in enumerate(of_car["candidates"])}
    checks = of_car["checks"] + of_case["checks"]

    def sheet(check: CheckResult) -> int:
        place = places[check.candidate_id]
        both = [*of_car["candidates"][place].get("checks", ()), *of_case["candidates"][place].get("tried", ())]
        return next(int(place) for place in both if checks[place]["method"] == check.method)

    given = {
        "signs": dict(evidence.signs),
        "codes": None if evidence.codes is None else list(evidence.codes),
        "checks": [
            {"candidate": places[one.candidate_id], "sheet": sheet(one), "fault": one.result == "fault"}
            for one in evidence.checks
        ],
        "touches": of_case["touches"],
    }
    found: Found = page.evaluate(ASK, {"ofCar": of_car, "ofCase": of_case, "evidence": given})
    return found


def by_the_program(asked: Asked) -> Ranking:
    return rank(asked.facts, asked.candidates, asked.touched, asked.evidence, asked.taught)


def in_order(theirs: Sequence[tuple[str, float]], ours: Mapping[str, float]) -> bool:
    """Best first, by our own figures too: what lies closer together than rounding may change places."""
    figures = [ours[key] for key, _ in theirs]
    return all(a >= b - 1e-9 for a, b in pairwise(figures))


@settings(max_examples=150, deadline=None)
@given(asked=questions())
def test_the_page_ranks_as_the_program_does(scripts: Page, asked: Asked) -> None:
    theirs, ours = by_the_page(scripts, asked), by_the_program(asked)

    chances = {one.id: one.probability for one in ours.suspects}
    assert {key: p for key, p, _ in theirs["suspects"]} == pytest.approx(chances, abs=1e-9)
    without = {one.id: one.without_touches for one in ours.suspects}
    assert {key: p for key, _, p in theirs["suspects"]} == pytest.approx(without, abs=1e-9)
    assert in_order([(key, p) for key, p, _ in theirs["suspects"]], chances)

    for (key, _, _), reasons in zip(theirs["suspects"], theirs["why"], strict=True):
        why = next(one.why for one in ours.suspects if one.id == key)
        assert sorted(reason for _, _, reason in reasons) == sorted(one.reason for one in why)
        assert sorted(by for _, by, _ in reasons) == pytest.approx(sorted(one.by for one in why), rel=1e-9)

    gains = {_step(one.key, one.candidate_id): one.gain_bits for one in ours.next}
    assert {step: gain for step, _, gain in theirs["next"]} == pytest.approx(gains, abs=1e-9)
    assert [step for step, _, _ in theirs["next"]] == [_step(one.key, one.candidate_id) for one in ours.next] or any(
        abs(a - b) < 1e-9 for a, b in pairwise(sorted(gains.values()))
    )
    assert theirs["doubts"] == [[one.first, one.second, one.look_again] for one in ours.contradictions]
    assert theirs["unusedCodes"] == list(ours.unused_codes)


def _step(key: str, candidate: str | None) -> str:
    return key if candidate is None else f"{key}:{candidate}"


@pytest.mark.parametrize("layout", list(Layout))
def test_with_nothing_seen_the_same_question_comes_first(scripts: Page, layout: Layout) -> None:
    asked = Asked(*car(layout), (), Evidence(), {})
    theirs, ours = by_the_page(scripts, asked), by_the_program(asked)
    assert [step for step, _, _ in theirs["next"]] == [_step(one.key, one.candidate_id) for one in ours.next]
    assert [key for key, _, _ in theirs["suspects"]] == [one.id for one in ours.suspects]


def test_a_touch_that_still_waits_counts_as_one_that_was_sent(scripts: Page) -> None:
    facts, candidates = car(Layout.STORED_VACUUM)
    touch = Touched(candidates[3].id, TouchKind.REACHED_PAST, 4.0, 120.0, 5.0)
    asked = Asked(facts, candidates, (touch,), Evidence(), {})
    assert plain_touch(candidates, touch) == [3, "reached_past", 4.0, 120.0, 5.0, 0]
    leading = by_the_page(scripts, asked)["suspects"]
    assert leading[0][1] == pytest.approx(by_the_program(asked).suspects[0].probability, abs=1e-9)
