"""A car straight off each starter layout."""

from functools import lru_cache
from pathlib import Path

import pytest

from app.airpath.layouts import StarterLayout, load
from app.airpath.words import Layout, Role, Suspect
from app.triage.inputs import Candidate
from app.triage.model import Evidence, Facts, Ranking, Touched, rank
from app.triage.starter import candidates_of, facts_of_starter

LAYOUTS = Path(__file__).parents[2] / "seed_data" / "layouts"

Car = tuple[Facts, tuple[Candidate, ...]]
Signs = dict[str, str]


@lru_cache
def starter(layout: Layout) -> StarterLayout:
    return load(layout, LAYOUTS)


@lru_cache
def car(layout: Layout) -> Car:
    found = starter(layout)
    return facts_of_starter(found), tuple(candidates_of(found))


def ranked(
    layout: Layout, signs: Signs | None = None, *touched: Touched, codes: tuple[str, ...] | None = None
) -> Ranking:
    facts, candidates = car(layout)
    return rank(facts, candidates, touched, Evidence(signs or {}, codes))


def order(ranking: Ranking) -> list[str]:
    return [share.role for share in ranking.roles]


def share(ranking: Ranking, *roles: Role | Suspect) -> float:
    return sum(each.probability for each in ranking.roles if each.role in roles)


def one_of(layout: Layout, role: Role | Suspect) -> Candidate:
    return next(candidate for candidate in car(layout)[1] if candidate.role == role)


@pytest.fixture(params=list(Layout), ids=lambda layout: layout.value)
def layout(request: pytest.FixtureRequest) -> Layout:
    found: Layout = request.param
    return found
