import re
import uuid

import pytest
from httpx2 import Response
from starlette.testclient import TestClient

from app.records.garage import Garage
from tests.conftest import Enter
from tests.pages.test_tickets import ago


@pytest.fixture
def wanders(enter: Enter, tern: str) -> str:
    enter("ticket", "t1", car=tern, what="Boost wanders", noticed_at=ago(1))
    return "t1"


def tap(client: TestClient, sign: str, outcome: str, to: str = "signs", **fields: str) -> Response:
    given = {"entry": str(uuid.uuid4()), "sign": sign, "outcome": outcome}
    return client.post(f"/tickets/t1/{to}", data=given | fields)


def tapped(client: TestClient, sign: str, outcome: str) -> str:
    """The ticket's page after a tap."""
    return client.get(tap(client, sign, outcome).headers["location"]).text


def signs(garage: Garage) -> list[tuple[object, ...]]:
    with garage.read() as db:
        return [tuple(one) for one in db.exec_driver_sql("SELECT sign, outcome, reading IS NOT NULL FROM sign").all()]


def question(text: str) -> str:
    found = re.search(r'data-ask="[a-z_]+">\s*<div class="row"><div class="grow"><strong[^>]*>([^<]*)<', text)
    assert found is not None
    return found[1]


def leading(text: str) -> str:
    found = re.search(r'/suspects/[^"]*">([^<]*)</a>', text)
    assert found is not None
    return found[1]


def test_a_tap_notes_the_sign_and_goes_back_to_the_ticket(client: TestClient, garage: Garage, wanders: str) -> None:
    answer = tap(client, "boost_stability", "erratic")
    assert (answer.status_code, answer.headers["location"]) == (303, "/tickets/t1")
    assert signs(garage) == [("boost_stability", "erratic", 0)]
    assert "Wanders or surges" in client.get("/tickets/t1").text


def test_a_tap_in_the_list_goes_back_to_its_place_there(client: TestClient, wanders: str) -> None:
    assert tap(client, "hiss", "none", "signs?at=list").headers["location"] == "/tickets/t1#sign-hiss"


def test_a_tap_sent_twice_is_one_sign(client: TestClient, garage: Garage, wanders: str) -> None:
    entry = str(uuid.uuid4())
    for _ in range(2):
        assert tap(client, "hiss", "at_idle", entry=entry).status_code == 303
    assert signs(garage) == [("hiss", "at_idle", 0)]


def test_suspects_rank_anew_at_each_answer(client: TestClient, wanders: str) -> None:
    assert "Throttle" in leading(client.get("/tickets/t1").text)
    page = tapped(client, "idle_vacuum", "very_low")
    assert leading(page) == "Manifold, gasket"
    assert "idle vacuum is far too low" in page
    assert leading(tapped(client, "idle_vacuum", "")) != "Manifold, gasket"


def test_what_nobody_can_tell_is_not_asked_next_again(client: TestClient, garage: Garage, wanders: str) -> None:
    page = client.get("/tickets/t1").text
    asked = question(page)
    found = re.search(r'data-ask="([a-z_]+)">', page)
    assert found is not None
    assert question(tapped(client, found[1], "")) != asked
    assert signs(garage) == [(found[1], None, 0)]


def test_an_answer_can_be_changed_and_cleared(client: TestClient, garage: Garage, wanders: str) -> None:
    for outcome in ("slow", "prompt", ""):
        tap(client, "vacuum_recovery", outcome)
    assert signs(garage) == [("vacuum_recovery", None, 0)]


def test_codes_are_kept_tidied_and_those_of_no_use_are_named(client: TestClient, garage: Garage, wanders: str) -> None:
    page = tapped(client, "codes", "p0299, p1234 P0299")
    assert signs(garage) == [("codes", "P0299 P1234", 0)]
    assert "Kept, but no help here: <span>P1234</span>." in page


@pytest.mark.parametrize("to", ["signs?at=list", "signs"])
def test_what_is_no_code_is_refused_where_it_was_typed(
    client: TestClient, garage: Garage, wanders: str, to: str
) -> None:
    answer = tap(client, "codes", "P0299 banana", to)
    assert answer.status_code == 422
    assert "BANANA is no trouble code." in answer.text
    assert signs(garage) == []
    if "list" in to:
        assert 'value="P0299 banana"' in answer.text


@pytest.mark.parametrize(("sign", "outcome"), [("hiss", "loud"), ("colour", "red"), ("", "")])
def test_a_sign_or_answer_outside_the_vocabulary_is_refused(
    client: TestClient, garage: Garage, wanders: str, sign: str, outcome: str
) -> None:
    assert tap(client, sign, outcome).status_code == 422
    assert signs(garage) == []


def figure(client: TestClient, sign: str, **fields: str) -> Response:
    given = {"entry": str(uuid.uuid4()), "record": "r1", "what": "idle_vacuum", "condition": "warm", "unit": "inHg"}
    return client.post(f"/tickets/t1/signs/{sign}/reading", data=given | {"basis": "vacuum"} | fields)


def test_a_figure_becomes_a_reading_and_the_signs_answer(
    client: TestClient, garage: Garage, enter: Enter, wanders: str
) -> None:
    enter(
        "baseline",
        "tern.idle_vacuum.warm",
        car="tern",
        what="idle_vacuum",
        condition="warm",
        centre=19.5,
        spread=0.3,
        unit="inHg",
        basis="vacuum",
    )
    entry = str(uuid.uuid4())
    for _ in range(2):
        assert figure(client, "idle_vacuum", value="17,5", entry=entry).status_code == 303
    with garage.read() as db:
        assert db.exec_driver_sql("SELECT id, value FROM reading").all() == [("r1", 17.5)]
    assert signs(garage) == [("idle_vacuum", "slightly_low", 1)]
    page = client.get("/tickets/t1").text
    assert re.search(
        r"17\.5 inHg, held to this car&#39;s usual 19\.5 ± 0\.\d inHg: idle vacuum is a little low\.", page
    )


def test_boost_without_a_baseline_is_kept_and_judged_once_there_is_one(
    client: TestClient, garage: Garage, enter: Enter, wanders: str
) -> None:
    boost = {"what": "peak_boost", "condition": "full_throttle", "basis": "gauge", "unit": "bar", "value": "0.9"}
    assert figure(client, "boost_level", **boost).status_code == 303
    assert "This car has no baseline for it yet, so say yourself how it looks." in client.get("/tickets/t1").text
    assert signs(garage) == [("boost_level", None, 1)]
    usual = {"what": "peak_boost", "condition": "full_throttle", "centre": 1.25, "spread": 0.02}
    enter("baseline", "tern.peak_boost.full_throttle", car="tern", unit="bar", basis="gauge", **usual)
    assert "boost is a little low" in client.get("/tickets/t1").text


@pytest.mark.parametrize(
    "wrong",
    [("200", "psi", "deeper than"), ("low", "inHg", "Write a number"), ("19", "s", "pressure")],
)
def test_a_figure_that_cannot_be_is_refused_and_kept_in_its_box(
    client: TestClient, garage: Garage, wanders: str, wrong: tuple[str, str, str]
) -> None:
    value, unit, why = wrong
    answer = figure(client, "idle_vacuum", value=value, unit=unit)
    assert answer.status_code == 422
    assert why in answer.text
    assert f'value="{value}"' in answer.text
    assert signs(garage) == []


def test_a_figure_that_answers_another_sign_is_not_taken(client: TestClient, wanders: str) -> None:
    assert figure(client, "hiss", value="19").status_code == 404


def check(client: TestClient, result: str, **fields: str) -> Response:
    given = {"entry": str(uuid.uuid4()), "record": "c1", "line": "tern.coupler", "method": "smoke", "result": result}
    return client.post("/tickets/t1/checks", data=given | fields)


def test_a_direct_check_is_evidence_and_can_be_taken_back(client: TestClient, garage: Garage, wanders: str) -> None:
    for _ in range(2):
        assert check(client, "fault").status_code == 303
    page = client.get("/tickets/t1").text
    assert leading(page) == "Throttle coupler"
    assert re.search(r'data-record="direct_check/c1" data-if="! . void_reason">', page)
    for _ in range(2):
        assert client.post("/tickets/t1/checks/c1/take-back", data={"entry": str(uuid.uuid4())}).status_code == 303
    assert 'data-record="direct_check/c1"' not in client.get("/tickets/t1").text


def test_a_check_that_did_not_tell_comes_after_those_nobody_tried(client: TestClient, wanders: str) -> None:
    assert check(client, "unclear", method="look_and_feel").status_code == 303
    page = client.get("/tickets/t1").text
    checks = re.findall(r"min[^<]*</span>", page[page.index("Check next") :])
    assert all("did not tell" not in one for one in checks[:3])


@pytest.mark.parametrize("wrong", [{"line": "tern.moon"}, {"method": "prayer"}, {"line": ""}, {"result": "perhaps"}])
def test_a_check_of_nothing_known_is_refused(client: TestClient, wanders: str, wrong: dict[str, str]) -> None:
    given = {"record": "c1", "line": "tern.coupler", "method": "smoke", "result": "sound"}
    answer = client.post("/tickets/t1/checks", data=given | wrong)
    assert answer.status_code == 422
    assert re.search(r'role="alert">[^<]', answer.text)


def test_a_hard_pedal_and_boost_over_target_are_cautioned_at_once(client: TestClient, wanders: str) -> None:
    assert 'id="do-not-drive" hidden' in client.get("/tickets/t1").text
    assert 'id="do-not-drive"><strong>Do not drive.' in tapped(client, "brake_pedal", "hard")
    assert 'id="off-throttle"><span>Boost goes over target' in tapped(client, "boost_level", "over_target")


def test_signs_that_seldom_go_together_are_pointed_out(client: TestClient, wanders: str) -> None:
    assert "seldom go together" not in tapped(client, "first_start_vacuum", "low_then_builds")
    answer = tapped(client, "boost_level", "none")
    assert "Vacuum is gone after a night and builds again and there is no boost at all seldom go together" in answer
    assert '<a href="#sign-first_start_vacuum">Look again</a>' in answer
