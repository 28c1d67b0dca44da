from collections.abc import Callable
from contextlib import AbstractContextManager

import pytest
from starlette.testclient import TestClient

from app.records.cars import car
from app.records.garage import Garage
from app.records.suspects import Case, cases
from app.records.tickets import ticket
from tests.conftest import Count, Enter
from tests.pages.test_tickets import ago
from tests.seen import seen

PAGE = "/cars/tern/experience"
OWN = {"record": "o1", "label": "Weld seam", "behaves_like": "charge", "likely": "twice", "note": "Done at a fair"}
GRADE = {"kind": "gauge", "sign": "idle_needle", "outcome": "wavering", "grade": "rarely", "note": "It is damped"}


@pytest.fixture
def closed(enter: Enter, tern: str) -> None:
    """Two closed tickets that found a charge pipe, and one open one."""
    for n in (1, 2):
        enter("ticket", f"t{n}", car=tern, what=f"Hiss {n}", noticed_at=ago(50 - n), found_at=ago(40 - n))
        enter("ticket", f"t{n}", found_line="tern.coupler", proved_at=ago(30 - n), proof_reason="Gone")
    enter("ticket", "open", car=tern, what="Boost wanders", noticed_at=ago(1))


def shown(client: TestClient) -> str:
    return seen(client.get(PAGE).text)


def case(garage: Garage) -> Case:
    with garage.read() as db:
        the_car, the_ticket = car(db, "tern"), ticket(db, "open")
        assert the_car is not None
        assert the_ticket is not None
        return cases(db, the_car, [the_ticket])["open"]


def test_with_nothing_known_it_says_what_to_do(client: TestClient, tern: str) -> None:
    text = shown(client)
    for words in ("Add what you suspect", "Overrule one where", "A ticket teaches once it is proved fixed."):
        assert words in text


@pytest.mark.usefixtures("closed")
def test_closed_tickets_stand_by_what_they_taught_and_are_counted(client: TestClient) -> None:
    text = shown(client)
    assert "Charge pipe 2 tickets" in text
    assert "Hiss 1 Throttle coupler, proved" in text
    assert "Boost wanders" not in text


@pytest.mark.usefixtures("closed")
def test_a_ticket_that_was_no_lesson_is_left_out_and_taken_back_in(client: TestClient, garage: Garage) -> None:
    assert case(garage).taught == (("charge", 2),)
    answer = client.post(f"{PAGE}/lessons/t1", data={"teaches": "no"})
    assert (answer.status_code, answer.headers["location"]) == (303, PAGE)
    assert case(garage).taught == (("charge", 1),)
    assert "Charge pipe 1 ticket" in shown(client)
    assert "Left out: it teaches nothing" in shown(client)
    client.post(f"{PAGE}/lessons/t1", data={"teaches": "yes"})
    assert case(garage).taught == (("charge", 2),)
    assert "teaches the next ones" in client.get("/records/ticket/t1/history").text


@pytest.mark.usefixtures("closed")
def test_a_lesson_of_another_car_says_whose_it_is(client: TestClient, enter: Enter) -> None:
    enter("car", "dunlin", name="Dunlin", layout="direct-signal")
    assert "on Tern" in seen(client.get("/cars/dunlin/experience").text)
    assert "on Tern" not in shown(client).partition("closed tickets taught")[2]


def test_a_suspect_is_added_put_right_struck_out_and_put_back(
    client: TestClient, garage: Garage, enter: Enter, tern: str
) -> None:
    enter("ticket", "open", car=tern, what="Boost wanders", noticed_at=ago(1))
    for _ in range(2):  # sent twice, it is one
        answer = client.post("/cars/tern/own-suspects/new", data=OWN)
        assert (answer.status_code, answer.headers["location"]) == (303, PAGE)
    assert shown(client).count("Weld seam Behaves like: Charge pipe Twice as likely · Done at a fair") == 1
    own = case(garage).candidate("o1")
    assert own is not None
    assert (own.behaves_like, own.likely) == ("charge", "twice")
    edit = client.get("/own-suspects/o1/edit").text
    assert 'value="Weld seam"' in edit
    client.post("/own-suspects/o1/edit", data={**OWN, "label": "Weld at the tank", "likely": "usual"})
    assert "Weld at the tank Behaves like: Charge pipe As likely as another such" in shown(client)
    client.post("/own-suspects/o1/off", data={})
    assert case(garage).candidate("o1") is None
    assert "Weld at the tank" in shown(client).partition("Struck out")[2]
    client.post("/own-suspects/o1/on", data={})
    assert case(garage).candidate("o1") is not None


@pytest.mark.parametrize(
    ("path", "form", "wrong", "says"),
    [
        ("own-suspects", OWN, {"label": ""}, "This is needed."),
        ("own-suspects", OWN, {"behaves_like": ""}, "This is needed."),
        ("own-suspects", OWN, {"behaves_like": "weld"}, "Choose what it behaves like."),
        ("own-suspects", OWN, {"likely": "often"}, "Choose one of these"),
        ("overrules", GRADE, {"kind": ""}, "This is needed."),
        ("overrules", GRADE, {"kind": "weld"}, "Choose what is at fault."),
        ("overrules", GRADE, {"outcome": ""}, "This is needed."),
        ("overrules", GRADE, {"outcome": "smooth"}, "Choose one of this sign&#39;s answers."),
        ("overrules", GRADE, {"grade": "always"}, "Choose one of these"),
        ("overrules", GRADE, {"sign": "smell"}, "There is no such sign."),
    ],
)
@pytest.mark.usefixtures("tern")
def test_refused_input_keeps_what_was_typed(
    client: TestClient, path: str, form: dict[str, str], wrong: dict[str, str], says: str
) -> None:
    answer = client.post(f"/cars/tern/{path}/new", data=form | wrong)
    assert answer.status_code == 422
    assert says in answer.text
    assert "sign" in wrong or ">" + form["note"] + "</textarea>" in answer.text


def test_a_grade_needs_its_note(client: TestClient, tern: str) -> None:
    answer = client.post("/cars/tern/overrules/new", data=GRADE | {"note": " "})
    assert answer.status_code == 422
    assert 'id="note-wrong">This is needed.' in answer.text
    assert '<details class="plate" id="sign-idle_needle" open>' in answer.text


def test_a_suspect_put_right_wrongly_keeps_what_was_typed(client: TestClient, tern: str) -> None:
    client.post("/cars/tern/own-suspects/new", data=OWN)
    answer = client.post("/own-suspects/o1/edit", data={**OWN, "label": "", "note": "Seen again"})
    assert answer.status_code == 422
    assert "Seen again" in answer.text


def test_a_grade_is_overruled_struck_out_and_said_again(
    client: TestClient, garage: Garage, enter: Enter, tern: str
) -> None:
    enter("ticket", "open", car=tern, what="Needle wanders", noticed_at=ago(1))
    assert client.post("/cars/tern/overrules/new", data=GRADE).headers["location"] == PAGE
    assert "Gauge line The needle wanders at idle: rarely It is damped" in shown(client)
    assert [one.note for one in case(garage).overrules] == ["It is damped"]
    record = "tern.gauge.idle_needle.wavering"
    client.post(f"/overrules/{record}/off", data={})
    assert case(garage).overrules == ()
    assert "It is damped" in shown(client).partition("Struck out")[2]
    client.post(f"/overrules/{record}/on", data={})
    assert len(case(garage).overrules) == 1
    client.post(f"/overrules/{record}/off", data={})
    client.post("/cars/tern/overrules/new", data=GRADE | {"grade": "often"})
    (said,) = case(garage).overrules
    assert said.grade.words == "often"


def test_trouble_codes_can_be_overruled_by_their_group(client: TestClient, tern: str) -> None:
    form = {"kind": "wastegate", "sign": "codes", "outcome": "overboost", "grade": "often", "note": "Three times"}
    assert client.post("/cars/tern/overrules/new", data=form).status_code == 303
    assert "A code for too much boost: often" in shown(client)


def test_a_car_without_a_turbocharger_is_not_asked_about_boost(client: TestClient, enter: Enter) -> None:
    enter("car", "plain", name="Plain", layout="naturally-aspirated", turbocharged="no")
    for path in ("own-suspects", "overrules"):
        page = client.get(f"/cars/plain/{path}/new").text
        assert 'value="intake"' in page
        assert 'value="wastegate"' not in page
        assert 'id="sign-boost_level"' not in page


@pytest.mark.parametrize(
    "path", [f"{PAGE}/lessons/none", "/own-suspects/none/off", "/own-suspects/none/edit", "/overrules/none/on"]
)
def test_what_is_not_there_is_said_plainly(client: TestClient, tern: str, path: str) -> None:
    assert client.post(path, data={}).status_code == 404


def test_the_page_is_led_to_from_the_car_and_from_a_ticket(client: TestClient, enter: Enter, tern: str) -> None:
    enter("ticket", "t1", car=tern, what="Hiss", noticed_at=ago(1))
    for path in ("/cars/tern", "/tickets/t1"):
        assert f'href="{PAGE}"' in client.get(path).text


@pytest.mark.usefixtures("closed")
def test_more_of_it_adds_no_query(
    client: TestClient, garage: Garage, enter: Enter, count_queries: Callable[[Garage], AbstractContextManager[Count]]
) -> None:
    with count_queries(garage) as before:
        client.get(PAGE)
    for n in range(3, 6):
        enter("ticket", f"t{n}", car="tern", what=f"Hiss {n}", noticed_at=ago(50), found_at=ago(40))
        enter("ticket", f"t{n}", found_component="tern.throttle", proved_at=ago(30), proof_reason="Gone")
        enter("own_suspect", f"o{n}", car="tern", label="Weld", behaves_like="charge")
        client.post("/cars/tern/overrules/new", data=GRADE | {"grade": "often", "outcome": "steady"})
    with count_queries(garage) as after:
        client.get(PAGE)
    assert after.total == before.total


def test_a_suspect_of_ones_own_is_checked_and_found_on_a_ticket(client: TestClient, enter: Enter, tern: str) -> None:
    enter("own_suspect", "o1", car=tern, label="Weld seam", behaves_like="charge", likely="twice")
    enter("ticket", "t1", car=tern, what="Hiss", noticed_at=ago(5))
    assert "found_own_suspect=o1" in client.get("/tickets/t1").text
    assert "A suspect of your own" in client.get("/tickets/t1/suspects/o1").text
    form = {"record": "d1", "own_suspect": "o1", "method": "soapy_water", "result": "fault"}
    assert client.post("/tickets/t1/checks", data=form).status_code == 303
    assert "Weld seam" in seen(client.get("/tickets/t1").text).partition("Checked")[2]
    assert 'name="found_own_suspect" value="o1"' in client.get("/tickets/t1/found?suspect=o1").text
    found = {"found_own_suspect": "o1", "found_wrong": "Cracked along the weld"}
    assert client.post("/tickets/t1/found", data=found).status_code == 303
    page = seen(client.get("/tickets/t1").text)
    assert "Weld seam Cracked along the weld" in page
    assert "Found: Weld seam. To be repaired" in seen(client.get("/cars/tern").text)
