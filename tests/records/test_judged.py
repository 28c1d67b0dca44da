import pytest

from app.airpath.readings import Condition, ReadingKind
from app.records.baselines import baselines
from app.records.garage import Garage
from app.records.judged import Read, outcome_of, outcomes, read_from, sentence, usual
from app.records.logbook import now
from app.records.readings import reading_in_si
from app.records.signs import signs_of
from tests.conftest import Enter

VACUUM = {"what": "idle_vacuum", "condition": "warm", "unit": "inHg", "basis": "vacuum"}


@pytest.fixture
def known(enter: Enter, tern: str) -> str:
    """The car with its usual idle vacuum, stated at sea level."""
    enter("baseline", "tern.idle_vacuum.warm", car=tern, centre=19.5, spread=0.3, altitude_m=0, **VACUUM)
    return tern


def judge(garage: Garage, reading: str, warm: str | None = None) -> tuple[str | None, str]:
    with garage.read() as db:
        found, own = reading_in_si(db, reading), baselines(db, "tern")
        assert found is not None
        read = read_from(found)
        sign = read.what.value
        outcome = outcome_of(sign, read, own, warm)
        return outcome, sentence(sign, read, outcome, own)


def test_thin_mountain_air_is_no_leak(garage: Garage, enter: Enter, known: str) -> None:
    enter("reading", "valley", car=known, value=15.8, altitude_m=0, taken_at=now(), **VACUUM)
    enter("reading", "pass", car=known, value=15.8, altitude_m=1000, taken_at=now(), **VACUUM)
    assert (judge(garage, "valley")[0], judge(garage, "pass")[0]) == ("slightly_low", "normal")


def test_a_car_without_a_baseline_is_held_to_what_is_usual_and_told_so(garage: Garage, enter: Enter, tern: str) -> None:
    enter("reading", "r", car=tern, value=10, altitude_m=0, taken_at=now(), **VACUUM)
    outcome, told = judge(garage, "r")
    assert outcome == "very_low"
    assert "this one has no baseline yet" in told


def test_a_low_first_start_waits_for_the_warm_idle(garage: Garage, enter: Enter, known: str) -> None:
    first = VACUUM | {"what": "first_start_vacuum", "condition": "first_start"}
    enter("reading", "r", car=known, value=8, altitude_m=0, taken_at=now(), **first)
    waiting, told = judge(garage, "r")
    assert waiting is None
    assert "Note idle vacuum once warm" in told
    assert judge(garage, "r", "normal")[0] == "low_then_builds"
    assert judge(garage, "r", "very_low")[0] == "low_and_stays"


def test_a_bare_reading_sent_as_a_sign_is_judged_when_it_is_looked_at(garage: Garage, enter: Enter, known: str) -> None:
    enter("ticket", "t1", car=known, what="Hunts", noticed_at=now())
    enter("reading", "r", car=known, value=17.5, altitude_m=0, taken_at=now(), **VACUUM)
    enter("sign", "t1.idle_vacuum", ticket="t1", sign="idle_vacuum", reading="r", noted_at=now())
    enter("sign", "t1.hiss", ticket="t1", sign="hiss", noted_at=now())
    with garage.read() as db:
        noted = signs_of(db, ["t1"])
        assert dict(outcomes(noted, baselines(db, known))) == {"idle_vacuum": "slightly_low"}


def test_a_voided_reading_no_longer_answers(garage: Garage, enter: Enter, known: str) -> None:
    enter("ticket", "t1", car=known, what="Hunts", noticed_at=now())
    enter("reading", "r", car=known, value=17.5, altitude_m=0, taken_at=now(), **VACUUM)
    enter("sign", "t1.idle_vacuum", ticket="t1", sign="idle_vacuum", reading="r", noted_at=now())
    enter("reading", "r", void_reason="Wrong gauge")
    with garage.read() as db:
        assert outcomes(signs_of(db, ["t1"]), baselines(db, known)) == ()


def test_a_reading_says_nothing_of_another_sign(garage: Garage, known: str) -> None:
    read = Read(ReadingKind.VACUUM_RECOVERY, Condition.LIFT_OFF, 4.0, "s", None, 4.0, None)
    assert outcome_of("vacuum_recovery", read, {}, None) == "slow"
    assert outcome_of("hiss", read, {}, None) is None


def test_what_is_usual_stands_beside_the_question(garage: Garage, known: str) -> None:
    with garage.read() as db:
        own = baselines(db, known)
    assert str(usual("idle_vacuum", own)).startswith("Usually 19.5 ±")
    assert usual("vacuum_recovery", own) is None
    assert usual("hiss", own) is None
