"""The page's own ranking, in a real browser, against the program's."""

import json
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import replace
from itertools import pairwise
from typing import NamedTuple, TypedDict

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from playwright.sync_api import Browser, Page, Route

from app.airpath.words import Layout, Suspect, TouchKind
from app.settings import shipped
from app.triage.at_hand import GETTING_READY, STATES, TOOLS, AtHand, EngineNow
from app.triage.bundles import Work, already_paid, most_a_minute
from app.triage.checks import checks_for
from app.triage.codes import GROUP_OF
from app.triage.facts import Facts
from app.triage.inputs import HOW_LIKELY, Candidate, CheckOutcome, CheckResult, Evidence, Repaired, Touched
from app.triage.knowledge.grades import Grade
from app.triage.knowledge.overrules import Overrule
from app.triage.knowledge.table import KINDS, OUTCOMES
from app.triage.model import Ranking, rank
from app.triage.plain_numbers import plain_car, plain_case, plain_touches
from app.triage.plain_sheets import not_there
from app.triage.signs import NEED_LABEL, SIGNS
from tests.browser.pocket import put_away
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
    suspects: found.suspects.map(one => [id(one.place), one.chance, one.without, one.touched]),
    why: found.suspects.map(one => one.why().map(each => [each.kind, each.by, each.reason])),
    next: found.next.map(one => [step(one), one.minutes, one.gain, one.ready, one.opened + one.kept]),
    lacks: found.next.map(one => one.lacks.map(need => model.needed.labels[need])),
    minutesLeft: found.minutesLeft,
    doubts: found.doubts.map(one => [one.first.sign, one.second.sign, one.again.sign]),
    unusedCodes: found.unusedCodes,
  };
}
"""


#: Steps put together and in order, apart from any model.
BUNDLE = """
async works => {
  const {alreadyPaid, mostAMinute} = await import("/static/bay/bundles.js");
  const paid = alreadyPaid(works).map(({opened, kept}) => opened + kept);
  return [mostAMinute(works).map(one => one.n), paid];
}
"""


class Found(TypedDict):
    suspects: list[tuple[str, float, float, float]]
    why: list[list[tuple[str, float, str]]]
    next: list[tuple[str, float, float, float, float]]
    lacks: list[list[str]]
    minutesLeft: float
    doubts: list[list[str]]
    unusedCodes: list[str]


class Asked(NamedTuple):
    facts: Facts
    candidates: Sequence[Candidate]
    touched: Sequence[Touched]
    evidence: Evidence
    taught: Mapping[str, int]
    overrules: Sequence[Overrule] = ()
    at_hand: AtHand = AtHand()


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
    put_away(context)


#: Behind which cover, if any, and how long it takes to get there.
REACHED = st.tuples(st.sampled_from((None, "undertray", "wheel arch")), st.sampled_from((0.0, 0.0, 5.0, 12.5)))
CODES_READ = st.none() | st.lists(st.sampled_from([*sorted(GROUP_OF), "P1234"]), max_size=4, unique=True).map(tuple)
_ANSWERS = {sign.key: st.sampled_from(sign.outcome_keys) for sign in SIGNS.values()}
#: Some of them, or all: then checks are all that is left to do.
SIGNS_SEEN = st.fixed_dictionaries({}, optional=_ANSWERS) | st.fixed_dictionaries(_ANSWERS)
PAST = st.none() | st.floats(0, 400)


@st.composite
def questions(draw: st.DrawFn) -> Asked:
    facts, on_the_car = car(draw(st.sampled_from(list(Layout))))
    if draw(st.booleans()):
        reached = draw(st.lists(REACHED, min_size=len(on_the_car), max_size=len(on_the_car)))
        on_the_car = tuple(
            replace(one, place=place, access_minutes=minutes)
            for one, (place, minutes) in zip(on_the_car, reached, strict=True)
        )
    patched = draw(st.sets(st.sampled_from(range(len(on_the_car))), max_size=2))
    candidates = [replace(one, stopgap=place in patched) for place, one in enumerate(on_the_car)]
    candidates += [
        Candidate(f"own.{n}", Suspect.SOMETHING_ELSE, f"My own {n}", behaves_like=kind, likely=likely)
        for n, (kind, likely) in enumerate(
            draw(st.lists(st.tuples(st.sampled_from(KINDS), st.sampled_from(list(HOW_LIKELY))), max_size=2))
        )
    ]
    some = st.sampled_from(candidates)
    touch = st.builds(
        Touched,
        some.map(lambda one: one.id),
        st.sampled_from(list(TouchKind)),
        PAST,
        PAST | st.floats(0, 30_000),
        st.none() | st.floats(-40, 40),
        checked=st.booleans(),
    )
    first = draw(st.none() | some)
    before = (draw(SIGNS_SEEN), draw(CODES_READ), draw(checks_made(candidates)))
    repaired = Repaired(first.id, *before) if first else None
    return Asked(
        facts,
        candidates,
        draw(st.lists(touch, max_size=6)),
        Evidence(draw(SIGNS_SEEN), draw(CODES_READ), draw(checks_made(candidates)), repaired),
        draw(st.dictionaries(st.sampled_from(("charge", "gauge", "wastegate")), st.integers(1, 9), max_size=2)),
        draw(st.lists(overrules(), max_size=3)),
        AtHand(
            draw(st.none() | st.frozensets(st.sampled_from(sorted(TOOLS)))),
            draw(st.none() | st.sampled_from(list(EngineNow))),
        ),
    )


@st.composite
def overrules(draw: st.DrawFn) -> Overrule:
    sign = draw(st.sampled_from(sorted(OUTCOMES)))
    outcome = draw(st.sampled_from(OUTCOMES[sign]))
    return Overrule(draw(st.sampled_from(KINDS)), sign, outcome, draw(st.sampled_from(list(Grade))), "seen twice")


@st.composite
def checks_made(draw: st.DrawFn, candidates: Sequence[Candidate]) -> tuple[CheckResult, ...]:
    checkable = [one for one in candidates if checks_for(one)]
    made = draw(st.lists(st.sampled_from(checkable), max_size=6, unique_by=lambda one: one.id))
    results: st.SearchStrategy[CheckOutcome] = st.sampled_from(("fault", "fine"))
    return tuple(
        CheckResult(one.id, draw(st.sampled_from([check.method for check in checks_for(one)])), draw(results))
        for one in made
    )


def plainly(asked: Asked) -> dict[str, object]:
    """What a page has: the model in its two parts, and the evidence by places in it."""
    first = asked.evidence.repaired
    all_made = [*asked.evidence.checks, *(first.checks if first else ())]
    made = [(one.candidate_id, one.method) for one in all_made]
    of_car = json.loads(json.dumps(plain_car(asked.facts, asked.candidates, asked.overrules)))
    of_case = json.loads(json.dumps(plain_case(asked.facts, asked.candidates, asked.touched, asked.taught, made)))
    of_case["lacking"] = not_there(asked.at_hand.tools)
    places = {one["id"]: place for place, one in enumerate(of_car["candidates"])}
    checks = of_car["checks"] + of_case["checks"]

    def plain_check(check: CheckResult) -> dict[str, object]:
        place = places[check.candidate_id]
        both = [*of_car["candidates"][place].get("checks", ()), *of_case["candidates"][place].get("tried", ())]
        sheet = next(int(place) for place in both if checks[place]["method"] == check.method)
        return {"candidate": place, "sheet": sheet, "fault": check.result == "fault"}

    def seen(of: Evidence | Repaired) -> dict[str, object]:
        return {
            "signs": dict(of.signs),
            "codes": None if of.codes is None else list(of.codes),
            "checks": [plain_check(one) for one in of.checks],
        }

    evidence = seen(asked.evidence) | {"touches": of_case["touches"], "engine": asked.at_hand.engine}
    if first:
        evidence["repaired"] = seen(first) | {"candidate": places[first.candidate_id]}
    return {"ofCar": of_car, "ofCase": of_case, "evidence": evidence}


def by_the_page(page: Page, asked: Asked) -> Found:
    found: Found = page.evaluate(ASK, plainly(asked))
    return found


def by_the_program(asked: Asked) -> Ranking:
    return rank(
        asked.facts,
        asked.candidates,
        asked.touched,
        asked.evidence,
        asked.taught,
        overrules=asked.overrules,
        at_hand=asked.at_hand,
    )


def in_order(theirs: Sequence[str], ours: Mapping[str, float]) -> bool:
    """Best first, by our own figures too: what lies closer together than rounding may change places."""
    figures = [ours[key] for key in theirs]
    return all(a >= b - 1e-9 for a, b in pairwise(figures))


@settings(max_examples=30, deadline=None)
@given(asked=questions())
def test_the_page_ranks_as_the_program_does(scripts: Page, asked: Asked) -> None:
    theirs, ours = by_the_page(scripts, asked), by_the_program(asked)

    chances = {one.id: one.probability for one in ours.suspects}
    assert {key: p for key, p, _, _ in theirs["suspects"]} == pytest.approx(chances, abs=1e-9)
    without = {one.id: one.without_touches for one in ours.suspects}
    assert {key: p for key, _, p, _ in theirs["suspects"]} == pytest.approx(without, abs=1e-9)
    from_touches = {one.id: one.from_touches for one in ours.suspects}
    assert {key: p for key, _, _, p in theirs["suspects"]} == pytest.approx(from_touches, abs=1e-9)
    assert in_order([key for key, *_ in theirs["suspects"]], chances)

    for (key, *_), reasons in zip(theirs["suspects"], theirs["why"], strict=True):
        why = next(one.why for one in ours.suspects if one.id == key)
        assert sorted(reason for _, _, reason in reasons) == sorted(one.reason for one in why)
        assert sorted(by for _, by, _ in reasons) == pytest.approx(sorted(one.by for one in why), rel=1e-9)

    assert theirs["doubts"] == [[one.first, one.second, one.look_again] for one in ours.contradictions]
    assert theirs["unusedCodes"] == list(ours.unused_codes)


@settings(max_examples=40, deadline=None)
@given(asked=questions())
def test_the_page_says_what_to_do_next_as_the_program_does(scripts: Page, asked: Asked) -> None:
    theirs, ours = by_the_page(scripts, asked), by_the_program(asked)

    assert theirs["minutesLeft"] == pytest.approx(ours.minutes_left, abs=1e-9)
    lacks = [[NEED_LABEL[need] for need in one.lacks] for one in ours.next]
    steps = [_step(one.key, one.candidate_id) for one in ours.next]
    said = dict(zip((key for key, *_ in theirs["next"]), theirs["lacks"], strict=True))
    assert said == dict(zip(steps, lacks, strict=True))
    figures = [(one.minutes, one.gain_bits, one.getting_ready, one.shared) for one in ours.next]
    assert [key for key, *_ in theirs["next"]] == steps or _are_level(theirs, ours)
    # Two that tell the same a minute may change places, but what stands in a place is worth the same.
    for (_, *those), these in zip(theirs["next"], figures, strict=True):
        assert those == pytest.approx(list(these), abs=1e-9)


def _are_level(theirs: Found, ours: Ranking) -> bool:
    """Whether no step stands where our own figures have one that is worth more or less."""
    rates = {_step(one.key, one.candidate_id): one.gain_bits / one.minutes for one in ours.next}
    ordered = [rates[_step(one.key, one.candidate_id)] for one in ours.next]
    return [rates[key] for key, *_ in theirs["next"]] == pytest.approx(ordered, abs=1e-9)


def _step(key: str, candidate: str | None) -> str:
    return key if candidate is None else f"{key}:{candidate}"


works = st.builds(
    Work,
    st.integers(1, 10**6).map(lambda n: n / 10**6),
    st.sampled_from((1.0, 3.0, 5.0, 12.0, 20.0)),
    st.sampled_from((None, "undertray", "wheel arch")),
    st.sampled_from((0.0, 5.0, 12.5)),
    st.none() | st.sampled_from(STATES),
).map(lambda work: replace(work, ready=GETTING_READY[EngineNow.WARM][work.state] if work.state else 0.0))


@settings(max_examples=60, deadline=None)
@given(some=st.lists(works, min_size=1, max_size=12, unique_by=lambda work: work.gain))
def test_steps_are_put_together_and_what_is_paid_already_is_counted_as_by_the_program(
    scripts: Page, some: list[Work]
) -> None:
    plain = [
        {
            "n": n,
            "gain": work.gain,
            "own": work.minutes,
            "place": work.place,
            "opening": work.opening,
            "state": STATES.index(work.state) if work.state else -1,
            "ready": work.ready,
        }
        for n, work in enumerate(some)
    ]
    order, paid = scripts.evaluate(BUNDLE, plain)
    assert order == list(most_a_minute(some))
    assert paid == already_paid(some)


@pytest.mark.parametrize("layout", list(Layout))
def test_with_nothing_seen_the_same_question_comes_first(scripts: Page, layout: Layout) -> None:
    asked = Asked(*car(layout), (), Evidence(), {})
    theirs, ours = by_the_page(scripts, asked), by_the_program(asked)
    assert [step for step, *_ in theirs["next"]] == [_step(one.key, one.candidate_id) for one in ours.next]
    assert [key for key, *_ in theirs["suspects"]] == [one.id for one in ours.suspects]


def test_a_touch_that_still_waits_counts_as_one_that_was_sent(scripts: Page) -> None:
    facts, candidates = car(Layout.STORED_VACUUM)
    touch = Touched(candidates[3].id, TouchKind.REACHED_PAST, 4.0, 120.0, 5.0)
    asked = Asked(facts, candidates, (touch,), Evidence(), {})
    assert plain_touches(candidates, [touch]) == [[3, "reached_past", 4.0, 120.0, 5.0, 0]]
    leading = by_the_page(scripts, asked)["suspects"]
    assert leading[0][1] == pytest.approx(by_the_program(asked).suspects[0].probability, abs=1e-9)
