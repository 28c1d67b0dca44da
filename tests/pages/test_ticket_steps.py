import re
import uuid

import pytest
from httpx2 import Response
from starlette.testclient import TestClient

from app.airpath import layouts
from app.airpath.words import Layout
from app.pages.forms import Posted
from app.records import cars
from app.records.garage import Garage
from app.records.open_tickets import open_tickets
from app.records.starting import car_entries
from app.settings import shipped
from tests.conftest import Enter
from tests.pages.test_ticket_signs import leading, tap
from tests.pages.test_tickets import ago, report, the, typed


@pytest.fixture
def wanders(enter: Enter, tern: str) -> str:
    enter("ticket", "t1", car=tern, what="Boost wanders", noticed_at=ago(5))
    return "t1"


@pytest.fixture
def found(enter: Enter, wanders: str) -> str:
    enter("ticket", "t1", found_at=ago(4), found_line="tern.gauge_hose", found_wrong="Split at the barb")
    return wanders


@pytest.fixture
def repaired(enter: Enter, found: str) -> str:
    enter("ticket", "t1", repaired_at=ago(3), repaired_how="for_good")
    return found


def plain_text(html: str) -> str:
    """The page without its marks, as it reads."""
    return re.sub(r"\s+", " ", re.sub(r"<[^>]*>", "", html))


def send(client: TestClient, step: str, **fields: str) -> Response:
    return client.post(f"/tickets/t1/{step}", data={"entry": str(uuid.uuid4())} | fields)


def line(garage: Garage, line_id: str = "tern.gauge_hose") -> tuple[object, ...]:
    with garage.read() as db:
        sql = "SELECT state, material, part, fitted_odometer FROM line WHERE id = ?"
        return tuple(db.exec_driver_sql(sql, (line_id,)).one())


# Found


def test_every_suspect_and_every_other_part_can_be_found_at_fault(client: TestClient, wanders: str) -> None:
    page = client.get("/tickets/t1/found").text
    for one in ("tern.coupler", "tern.gauge", "tern.throttle", "power_limit", "something_else"):
        assert f'/tickets/t1/found?suspect={one}"' in page
    assert 'name="found_line" value="tern.coupler"' in client.get("/tickets/t1/found?suspect=tern.coupler").text
    assert 'name="found_suspect" value="something_else"' in client.get("/tickets/t1/found?suspect=something_else").text


@pytest.mark.parametrize(
    ("field", "value"),
    [("found_line", "tern.coupler"), ("found_component", "tern.throttle"), ("found_suspect", "power_limit")],
)
def test_what_was_found_is_kept_and_sent_twice_changes_nothing(
    client: TestClient, garage: Garage, wanders: str, field: str, value: str
) -> None:
    form = {"entry": str(uuid.uuid4()), "found_wrong": "Loose", "found_at": typed(1), field: value}
    for _ in range(2):
        answer = send(client, "found", **form)
        assert answer.status_code == 303
    assert (the(garage).stands, the(garage).found_id, the(garage).found_wrong) == ("found", value, "Loose")
    with garage.read() as db:
        assert db.exec_driver_sql("SELECT count(*) FROM entry WHERE record = 't1'").scalar() == 2


def test_the_ticket_s_own_form_says_which_and_when_by_itself(client: TestClient, garage: Garage, wanders: str) -> None:
    assert '<option value="found_component=tern.throttle">' in client.get("/tickets/t1").text
    answer = send(client, "found", found="found_component=tern.throttle", found_wrong="Gummed up", found_at="")
    assert (answer.status_code, the(garage).stands, the(garage).found_id) == (303, "found", "tern.throttle")


def test_finding_another_part_forgets_the_first(client: TestClient, garage: Garage, found: str) -> None:
    send(client, "found", found_component="tern.throttle", found_wrong="Gummed up", found_at=typed(1))
    assert (the(garage).found_line, the(garage).found_component) == (None, "tern.throttle")


@pytest.mark.parametrize(
    ("wrong", "why"),
    [
        ({"found_line": "tern.moon"}, "This car has no such line or part."),
        ({"found_line": ""}, "Say which it was."),
        ({"found_component": "tern.coupler", "found_line": ""}, "This car has no such line or part."),
        ({"found_component": "tern.throttle"}, "This car has no such line or part."),
        ({"found_wrong": " "}, "Say what was wrong with it"),
        ({"found_at": typed(-2)}, "This is still to come."),
        ({"found_at": typed(30)}, "That is before it was noticed"),
        ({"found_at": "soon"}, "Write a date and a time"),
    ],
)
def test_what_cannot_be_found_is_refused(
    client: TestClient, garage: Garage, wanders: str, wrong: dict[str, str], why: str
) -> None:
    answer = send(
        client, "found", **{"found_line": "tern.coupler", "found_wrong": "Loose", "found_at": typed(1)} | wrong
    )
    assert answer.status_code == 422
    assert why in answer.text
    assert the(garage).stands == "open"


def test_nothing_chosen_loses_nothing_that_was_written(client: TestClient, garage: Garage, wanders: str) -> None:
    at = typed(1)
    answer = send(client, "found", found="", found_wrong="Split at the barb", found_at=at)
    assert answer.status_code == 422
    assert 'id="found-hint">Say which it was.' in answer.text
    assert ">Split at the barb</textarea>" in answer.text
    assert f'value="{at}"' in answer.text
    offered = re.findall(r'<option value="(found_[a-z_]+=[^"]+)"', answer.text)
    assert {"found_line=tern.coupler", "found_component=tern.throttle", "found_suspect=something_else"} <= {*offered}
    again = send(client, "found", found="found_line=tern.coupler", found_wrong="Split at the barb", found_at=at)
    assert (again.status_code, the(garage).found_id) == (303, "tern.coupler")


def test_a_line_at_fault_in_the_brake_servo_keeps_the_car_standing(
    client: TestClient, garage: Garage, enter: Enter, found: str
) -> None:
    enter("line", "tern.gauge_hose", role="brake_servo")
    assert "do not drive until it is repaired" in client.get("/tickets/t1").text


# Repaired


def test_nothing_is_repaired_before_it_is_found(client: TestClient, garage: Garage, wanders: str) -> None:
    assert client.get("/tickets/t1/repaired").headers["location"] == "/tickets/t1/found"
    assert send(client, "repaired", repaired_how="for_good", repaired_at=typed(0)).status_code == 303
    assert the(garage).stands == "open"


def test_a_line_replaced_for_good_is_on_its_own_record_too(
    client: TestClient, garage: Garage, enter: Enter, found: str
) -> None:
    gap = {"car": "tern", "line": "tern.gauge_hose", "used": "Tape", "fitted_at": ago(4), "limit_days": 9}
    enter("stopgap", "s1", **gap)
    enter("line", "tern.gauge_hose", state="stopgap")
    new = {"state": "replaced", "material": "silicone", "part": "4 mm hose", "fitted_odometer": "184 300"}
    answer = send(client, "repaired", repaired_how="for_good", repaired_at=typed(1), repaired_note="New hose", **new)
    assert answer.status_code == 303
    assert (the(garage).stands, the(garage).repaired_note) == ("repaired", "New hose")
    assert line(garage) == ("replaced", "silicone", "4 mm hose", 184300)
    with garage.read() as db:
        assert db.exec_driver_sql("SELECT ended_how FROM stopgap").scalar() == "Repaired for good: Boost wanders"


def test_a_line_mended_as_it_is_keeps_its_facts(client: TestClient, garage: Garage, found: str) -> None:
    given = {"state": "", "material": "rubber", "part": "", "fitted_odometer": "1"}
    send(client, "repaired", repaired_how="for_good", repaired_at=typed(1), repaired_note="", **given)
    assert the(garage).repaired_how == "for_good"
    assert line(garage) == ("original", "hard_plastic", None, None)


def test_a_part_is_repaired_without_a_line(client: TestClient, garage: Garage, enter: Enter, found: str) -> None:
    enter("ticket", "t1", found_component="tern.throttle")
    assert send(client, "repaired", repaired_how="for_good", repaired_at=typed(1)).status_code == 303
    assert the(garage).stands == "repaired"


GAP = {
    "repaired_how": "stopgap",
    "record": "s1",
    "used": "Barb and cable tie",
    "fitted_odometer": "",
    "limit_distance": "300",
    "part_name": "Tee",
    "part_bore_mm": "4",
    "part_length_mm": "",
    "part_material": "silicone",
    "part_stands": "Full vacuum",
}


def test_a_stopgap_has_its_limit_and_the_part_it_waits_for(client: TestClient, garage: Garage, found: str) -> None:
    entry = str(uuid.uuid4())
    for _ in range(2):
        assert send(client, "repaired", fitted_at=typed(1), entry=entry, **GAP).status_code == 303
    assert (the(garage).stands, the(garage).repaired_how) == ("repaired", "stopgap")
    assert line(garage)[0] == "stopgap"
    with garage.read() as db:
        sql = "SELECT ticket, line, limit_distance, part_bore_mm, part_material, part_stands FROM stopgap"
        assert db.exec_driver_sql(sql).all() == [("t1", "tern.gauge_hose", 300, 4, "silicone", "Full vacuum")]
    page = client.get("/tickets/t1").text
    assert "Held by a stopgap" in page
    assert 'href="/stopgaps/s1"' in page


def test_a_stopgap_of_what_is_no_part_says_what_it_is_of(
    client: TestClient, garage: Garage, enter: Enter, found: str
) -> None:
    enter("ticket", "t1", found_suspect="something_else")
    assert send(client, "repaired", fitted_at=typed(1), **GAP).status_code == 303
    with garage.read() as db:
        assert db.exec_driver_sql("SELECT what FROM stopgap").scalar() == "Something else"


@pytest.mark.parametrize(
    ("wrong", "why"),
    [
        ({"limit_distance": ""}, "Give it a limit"),
        ({"used": ""}, "This is needed."),
        ({"fitted_at": typed(9)}, "That is before it was found"),
        ({"fitted_at": typed(-9)}, "This is still to come."),
        ({"limit_days": "a few"}, "Write a whole number"),
    ],
)
def test_a_stopgap_that_cannot_be_is_refused_with_its_boxes_as_typed(
    client: TestClient, garage: Garage, found: str, wrong: dict[str, str], why: str
) -> None:
    answer = send(client, "repaired", **{**GAP, "fitted_at": typed(1), **wrong})
    assert answer.status_code == 422
    assert why in answer.text
    assert 'value="Full vacuum"' in answer.text
    assert re.search(r"<details[^>]* open>\s*<summary>For now: a stopgap", answer.text)
    assert the(garage).stands == "found"


def test_an_odometer_that_runs_backwards_is_asked_about_at_a_stopgap(
    client: TestClient, garage: Garage, enter: Enter, found: str
) -> None:
    enter("drive", "d1", car="tern", at=ago(5), odometer=184_000)
    given = {**GAP, "fitted_odometer": "12", "fitted_at": typed(1)}
    assert 'name="sure" value="odometer"' in send(client, "repaired", **given).text
    assert send(client, "repaired", sure="odometer", **given).status_code == 303


def test_a_repair_without_a_way_is_refused(client: TestClient, garage: Garage, found: str) -> None:
    assert send(client, "repaired", repaired_how="magic", repaired_at=typed(1)).status_code == 422


# Proved


def idle(enter: Enter, reading: str, value: float, days: float, *, healthy: bool = False) -> None:
    fields = {"what": "idle_vacuum", "condition": "warm", "unit": "inHg", "basis": "vacuum"}
    enter("reading", reading, car="tern", value=value, taken_at=ago(days), healthy=healthy, **fields)


@pytest.fixture
def usual(enter: Enter, repaired: str) -> str:
    for n, value in enumerate((19.4, 19.5, 19.6, 19.5)):
        idle(enter, f"h{n}", value, 30 + n, healthy=True)
    return repaired


def test_a_reading_back_in_its_baseline_proves_the_repair(
    client: TestClient, garage: Garage, enter: Enter, usual: str
) -> None:
    idle(enter, "back", 19.5, 1)
    assert "Back in its baseline" in client.get("/tickets/t1/proved").text
    entry = str(uuid.uuid4())
    for _ in range(2):
        given = {"proof_reading": "back", "proof_reason": "", "proved_at": typed(0), "entry": entry}
        assert send(client, "proved", **given).status_code == 303
    assert (the(garage).stands, the(garage).proof_reading) == ("proved", "back")
    page = plain_text(client.get("/tickets/t1").text)
    assert "Proved by idle vacuum" in page
    assert "19.5 inHg" in page


def test_a_reading_outside_its_baseline_is_asked_about(
    client: TestClient, garage: Garage, enter: Enter, usual: str
) -> None:
    idle(enter, "low", 17.0, 1)
    given = {"proof_reading": "low", "proof_reason": "", "proved_at": typed(0)}
    asked = send(client, "proved", **given)
    assert asked.status_code == 422
    assert "17.0 inHg is not back in the usual" in asked.text
    assert the(garage).stands == "repaired"
    assert send(client, "proved", sure="baseline", **given).status_code == 303
    assert the(garage).stands == "proved"


def test_only_the_latest_reading_since_the_repair_proves_anything(
    client: TestClient, garage: Garage, enter: Enter, usual: str
) -> None:
    idle(enter, "good", 19.5, 2)
    idle(enter, "then", 17.0, 1)
    for reading in ("good", "h0", "none"):
        answer = send(client, "proved", proof_reading=reading, proved_at=typed(0))
        assert answer.status_code == 422
        assert "Choose a reading of this car taken since the repair." in answer.text


def test_a_stated_reason_proves_the_repair_too(client: TestClient, garage: Garage, repaired: str) -> None:
    assert "no reading of this car has a baseline" in client.get("/tickets/t1/proved").text
    assert send(client, "proved", proof_reason=" ", proved_at=typed(0)).status_code == 422
    assert send(client, "proved", proof_reason="No hiss since", proved_at=typed(0)).status_code == 303
    assert "No hiss since" in client.get("/tickets/t1").text


def test_a_proof_from_before_the_repair_is_refused(client: TestClient, garage: Garage, repaired: str) -> None:
    answer = send(client, "proved", proof_reason="No hiss since", proved_at=typed(9))
    assert "That is before it was repaired" in answer.text
    assert "No hiss since" in answer.text


def test_a_reading_taken_on_the_spot_comes_back_chosen(client: TestClient, garage: Garage, usual: str) -> None:
    figure = {"record": "now", "what": "idle_vacuum", "condition": "warm", "unit": "inHg", "basis": "vacuum"}
    entry = str(uuid.uuid4())
    for _ in range(2):
        answer = send(client, "proved/reading", value="19,5", entry=entry, **figure)
        assert answer.headers["location"] == "/tickets/t1/proved?reading=now"
    assert re.search(r'value="now" checked', client.get("/tickets/t1/proved?reading=now").text)
    refused = send(client, "proved/reading", value="200", **figure)
    assert refused.status_code == 422
    assert 'value="200"' in refused.text


def test_nothing_is_proved_before_it_is_repaired(client: TestClient, garage: Garage, found: str) -> None:
    assert client.get("/tickets/t1/proved").headers["location"] == "/tickets/t1"
    assert send(client, "proved", proof_reason="Gone", proved_at=typed(0)).status_code == 303
    assert the(garage).stands == "found"


# Reopened


def test_reopening_needs_its_reason_and_keeps_what_was_noted(
    client: TestClient, garage: Garage, enter: Enter, repaired: str
) -> None:
    assert send(client, "reopen", reopened_reason=" ").status_code == 422
    for _ in range(2):
        assert send(client, "reopen", reopened_reason="Back after 20 km").status_code == 303
    found = the(garage)
    assert (found.stands, found.found_line, found.reopened_reason) == ("open", "tern.gauge_hose", "Back after 20 km")
    assert "Reopened today: Back after 20 km" in plain_text(client.get("/tickets/t1").text)


def test_a_ticket_found_in_the_minute_it_was_reopened_is_found(
    client: TestClient, garage: Garage, repaired: str
) -> None:
    send(client, "reopen", reopened_reason="Back")
    answer = send(client, "found", found_line="tern.coupler", found_wrong="Loose", found_at=typed(0))
    assert (answer.status_code, the(garage).stands) == (303, "found")


def test_the_story_of_a_fault_from_report_to_proof_and_back(client: TestClient, garage: Garage) -> None:
    make = Posted({}, {}, "bay phone").make
    starter = layouts.load(Layout.STORED_VACUUM, shipped("seed_data") / "layouts")
    garage.take_all(car_entries(make, "tern", starter, {"name": "Tern"}))
    with garage.read() as db:
        hose = db.exec_driver_sql("SELECT id, name FROM line WHERE role = 'boost_control' LIMIT 1").one()
    garage.take(make("line", hose.id, {"material": "hard_plastic"}))
    garage.take(make("job", "j1", {"car": "tern", "title": "Coupler", "opened_at": ago(5), "air_temp_c": 6}))
    garage.take(make("touch", f"j1.{hose.id}", {"job": "j1", "line": hose.id, "how": "reached_past", "at": ago(5)}))

    assert report(client, what="Boost wanders", noticed_at=typed(3)).status_code == 303
    for sign, outcome in (("boost_stability", "erratic"), ("idle_vacuum", "normal"), ("hiss", "none")):
        assert tap(client, sign, outcome).status_code == 303
    page = client.get("/tickets/t1").text
    assert leading(page) == hose.name
    assert f"/tickets/t1/touched#of-{hose.id}" in page
    touched = client.get("/tickets/t1/touched").text
    assert f'id="of-{hose.id}"' in touched
    assert f'href="/tickets/t1/suspects/{hose.id}"' in touched
    assert "not checked" in touched
    with garage.read() as db:
        here = cars.car(db, "tern")
        assert here is not None
        (waiting,) = open_tickets(db, here)
    assert (waiting.leading, waiting.probability is not None and waiting.probability > 0.3) == (hose.name, True)

    assert send(client, "found", found_line=hose.id, found_wrong="Cracked", found_at=typed(2)).status_code == 303
    assert send(client, "repaired", **{**GAP, "fitted_at": typed(1)}).status_code == 303
    assert send(client, "proved", proof_reason="Boost stands still", proved_at=typed(0)).status_code == 303
    assert the(garage).stands == "proved"
    with garage.read() as db:
        assert open_tickets(db, here) == []
    assert send(client, "reopen", reopened_reason="It wanders again").status_code == 303
    with garage.read() as db:
        (again,) = open_tickets(db, here)
    assert (again.stands, again.leading) == ("open", hose.name)


# A second fault


def test_still_off_after_the_repair_it_hunts_on_given_what_was_repaired(
    client: TestClient, enter: Enter, repaired: str
) -> None:
    enter("sign", "t1.idle_needle", ticket="t1", sign="idle_needle", outcome="wavering", noted_at=ago(4))
    assert "Gauge hose, manifold to gauge counts as repaired" in plain_text(client.get("/tickets/t1").text)
    assert send(client, "reopen", reopened_reason="Idle vacuum is still low").status_code == 303
    text = plain_text(client.get("/tickets/t1").text)
    assert "Given that Gauge hose, manifold to gauge is repaired, what else is it?" in text
    assert "Needle at idleBefore the repair: Wanders slowly" in text
    assert text.index("Given that") < text.index("Suspects")


def test_what_was_seen_before_the_repair_is_asked_again(client: TestClient, enter: Enter, repaired: str) -> None:
    enter("sign", "t1.codes", ticket="t1", sign="codes", outcome="P0171", noted_at=ago(4))
    send(client, "reopen", reopened_reason="Still off")
    assert "Trouble codesBefore the repair: P0171" in plain_text(client.get("/tickets/t1").text)
    tap(client, "codes", "no_codes")
    assert "Trouble codesNone stored" in plain_text(client.get("/tickets/t1").text)


def test_the_reasons_tell_the_repair_apart(client: TestClient, enter: Enter, repaired: str) -> None:
    enter("sign", "t1.idle_needle", ticket="t1", sign="idle_needle", outcome="wavering", noted_at=ago(4))
    send(client, "reopen", reopened_reason="Still off")
    page = client.get("/tickets/t1/suspects/tern.gauge_hose").text
    assert "It was repaired, and may not have held" in page
    assert "Before Gauge hose, manifold to gauge was repaired" in page


def test_reopened_with_nothing_repaired_it_says_nothing_of_a_repair(client: TestClient, found: str) -> None:
    send(client, "reopen", reopened_reason="It was not that")
    shown = re.sub(r"<(\w+)[^>]* hidden>.*?</\1>", "", client.get("/tickets/t1").text)
    assert "Given that" not in shown
