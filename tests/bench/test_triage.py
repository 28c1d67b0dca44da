"""Triage held to what the bench shows, on every seventeenth fault; `python -m tests.bench.report` does them all."""

from functools import lru_cache

import pytest

from app.airpath.words import Layout
from app.triage.knowledge.table import KINDS, OUTCOMES
from tests.bench.judging import Verdict, candidate_of, faults, judged, starter
from tests.bench.summary import VERDICTS, disputes, evenly, listed, score

EVERY = 17
#: What was measured over all 596 faults (41 % and 63 %, signs alone, none of the car's history), less a margin for a
#: sample this small. Signs alone allow 65 % and 91 %: many faults of several roles show exactly the same.
LEAST_FIRST, LEAST_THREE = 0.30, 0.50


@lru_cache
def sample() -> tuple[Verdict, ...]:
    everything = [(layout, number) for layout in Layout for number in range(len(faults(layout)))]
    return tuple(judged(layout, number) for layout, number in everything[::EVERY])


def test_every_culprit_is_a_candidate_of_its_role() -> None:
    for layout in Layout:
        for fault in faults(layout):
            assert candidate_of(layout, fault).role == fault.role, fault.name


def test_every_role_with_a_line_and_every_part_has_a_fault_on_the_bench() -> None:
    for layout in Layout:
        tried = {fault.role for fault in faults(layout)}
        assert {line.role for line in starter(layout).lines} <= tried


def test_the_culprits_role_comes_first_and_among_three_as_often_as_measured() -> None:
    found = score(sample(), evenly)
    assert found.first >= LEAST_FIRST
    assert found.three >= LEAST_THREE
    assert found.first <= found.best_first


def test_no_disagreement_between_bench_and_table_goes_unjudged() -> None:
    assert set(disputes(sample())) <= set(listed())


@pytest.mark.parametrize("dispute", listed(), ids=" ".join)
def test_a_judged_disagreement_names_what_exists_and_says_why(dispute: tuple[str, str, str]) -> None:
    role, sign, outcome = dispute
    judgement = listed()[dispute]
    assert role in KINDS
    assert outcome in OUTCOMES[sign]
    assert judgement["verdict"] in VERDICTS
    assert len(judgement["why"].split()) >= 8
