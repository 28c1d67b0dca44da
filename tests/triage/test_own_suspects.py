"""Suspects of the fitter's own: they read a row, weigh as told, and take nothing from the others."""

from dataclasses import replace

import pytest

from app.airpath.words import Layout, Role, Suspect
from app.triage.checks import checks_for
from app.triage.inputs import Candidate, Evidence, HowLikely
from app.triage.knowledge.grades import CHARGE_SMALL
from app.triage.knowledge.table import KINDS
from app.triage.model import kind_of, rank
from app.triage.priors import BASE_RATE, weigh
from tests.triage.conftest import car

FACTS, CANDIDATES = car(Layout.STORED_VACUUM)


def own(like: str, likely: HowLikely = "usual") -> Candidate:
    return Candidate("seam", Suspect.SOMETHING_ELSE, "Seam of the intercooler", behaves_like=like, likely=likely)


def weights(*more: Candidate) -> dict[str, float]:
    everyone = [*CANDIDATES, *more]
    return {each.id: prior.weight for each, prior in zip(everyone, weigh(everyone, (), {}), strict=True)}


@pytest.mark.parametrize("like", KINDS)
def test_it_reads_the_row_of_what_it_behaves_like_and_leaves_the_others_as_they_were(like: str) -> None:
    assert kind_of(own(like)) == like
    before, after = weights(), weights(own(like))
    assert after["seam"] > 0
    assert {key: after[key] for key in before} == before
    assert checks_for(own(like))


def test_a_usual_one_weighs_as_one_more_of_its_kind_twice_and_half_of_that() -> None:
    pipes = sum(each.role is Role.CHARGE for each in CANDIDATES)
    usual = weights(own(Role.CHARGE))["seam"]
    assert usual == pytest.approx(BASE_RATE[Role.CHARGE] / pipes)
    assert weights(own(Role.CHARGE, "twice"))["seam"] == pytest.approx(2 * usual)
    assert weights(own(Role.CHARGE, "half"))["seam"] == pytest.approx(usual / 2)
    assert weights(own(CHARGE_SMALL))["seam"] == pytest.approx(usual)


def test_it_rises_with_the_signs_of_its_kind_and_says_that_it_is_the_fitters_own() -> None:
    evidence = Evidence({"hiss": "under_boost", "boost_level": "slightly_low"})
    found = next(
        each for each in rank(FACTS, [*CANDIDATES, own(Role.CHARGE)], (), evidence).suspects if each.id == "seam"
    )
    before = next(each for each in rank(FACTS, [*CANDIDATES, own(Role.CHARGE)]).suspects if each.id == "seam")
    assert found.probability > 2 * before.probability
    assert "a suspect of your own, as likely as another that behaves like it: charge pipe" in {
        factor.reason for factor in found.why
    }


def test_something_else_stays_beside_it() -> None:
    ids = {each.id for each in rank(FACTS, [*CANDIDATES, own(Suspect.SOMETHING_ELSE)]).suspects}
    assert {"seam", Suspect.SOMETHING_ELSE.value} <= ids


def test_one_like_a_line_is_checked_like_a_line_and_one_like_a_part_is_looked_at() -> None:
    assert "pressure_test" in {check.method for check in checks_for(own(Role.CHARGE))}
    assert {check.method for check in checks_for(own(Suspect.TURBOCHARGER))} == {"look_and_feel"}


def test_what_behaves_like_nothing_known_is_refused() -> None:
    with pytest.raises(KeyError, match="gremlin"):
        rank(FACTS, [*CANDIDATES, replace(own(Role.CHARGE), behaves_like="gremlin")])
