"""Hold tests by form, without scripts: taken, judged, a check on the line and evidence on the ticket."""

import uuid
from collections.abc import Callable
from contextlib import AbstractContextManager

import pytest
from starlette.testclient import TestClient

from app.records.garage import Garage
from tests.conftest import Count, Enter
from tests.pages.seen import seen

NEW = "/cars/tern/hold-tests/new"


def _form(**more: object) -> dict[str, object]:
    held = {"medium": "vacuum", "line": "tern.gauge_hose", "unit": "inHg", "start_value": "18", "end_value": "17,7"}
    times = {"started_at": "2026-04-18T10:40:00Z", "ended_at": "2026-04-18T10:41:00Z", "limit_from": "practice"}
    empty = dict.fromkeys(("branch", "ticket", "readings", "volume_ml", "limit_loss", "limit_s", "ambient_kpa"), "")
    return {"entry": str(uuid.uuid4()), "record": "h1", **empty, **held, **times, **more}


def _kept(garage: Garage, sql: str) -> list[tuple[object, ...]]:
    with garage.read() as db:
        return [tuple(row) for row in db.exec_driver_sql(sql).all()]


def test_what_holds_is_kept_as_a_test_and_as_a_check_on_the_line(client: TestClient, garage: Garage, tern: str) -> None:
    answer = client.post(NEW, data=_form(volume_ml="40"))
    assert (answer.status_code, answer.headers["location"]) == (303, "/hold-tests/h1")
    assert _kept(garage, "SELECT line, passed, limit_loss, limit_s FROM hold_test") == [
        ("tern.gauge_hose", 1, 0.9, 60.0)
    ]
    [(good, note)] = _kept(garage, "SELECT good, note FROM joint_check WHERE line = 'tern.gauge_hose'")
    assert (good, str(note)[:45]) == (1, "Hold test, vacuum: 18 to 17.7 inHg in 1:00, a")
    shown = seen(client.get("/hold-tests/h1").text)
    assert "HoldsIn 1:00 it loses 0.300 inHg; 0.9 may be lost, by common practice, no source" in shown
    assert "Hold test, vacuum: 18 to 17.7 inHg" in seen(client.get("/lines/tern.gauge_hose").text)


def test_what_leaks_speaks_against_the_line_on_its_ticket_and_leads_back_there(
    client: TestClient, garage: Garage, enter: Enter, tern: str
) -> None:
    enter("ticket", "t1", car=tern, what="Gauge falls", noticed_at="2026-04-18T09:00:00Z")
    before = seen(client.get("/tickets/t1").text)
    answer = client.post(NEW, data=_form(end_value="9", ticket="t1", evidence="yes"))
    assert answer.headers["location"] == "/tickets/t1"
    assert _kept(garage, "SELECT ticket, line, method, result FROM direct_check") == [
        ("t1", "tern.gauge_hose", "hand_vacuum_pump", "fault")
    ]
    after = seen(client.get("/tickets/t1").text)
    assert "Hand vacuum pump: Gauge hose, manifold to gaugeFault here" in after
    assert after != before
    assert "Not in order" in seen(client.get("/lines/tern.gauge_hose").text)


def test_without_the_tick_it_is_no_evidence(client: TestClient, garage: Garage, enter: Enter, tern: str) -> None:
    enter("ticket", "t1", car=tern, what="Gauge falls", noticed_at="2026-04-18T09:00:00Z")
    assert client.post(NEW, data=_form(ticket="t1")).status_code == 303
    assert _kept(garage, "SELECT count(*) FROM direct_check") == [(0,)]


def test_a_set_of_lines_is_a_check_of_what_it_is_called(client: TestClient, garage: Garage, tern: str) -> None:
    said = {"line": "", "branch": "Charge pipes", "medium": "pressure", "unit": "bar"}
    assert client.post(NEW, data=_form(**said, start_value="0.6", end_value="0.3")).status_code == 303
    assert _kept(garage, "SELECT branch, passed, limit_loss FROM hold_test") == [("Charge pipes", 0, 0.06)]
    assert _kept(garage, "SELECT what, good FROM joint_check") == [("Charge pipes", 0)]


def test_a_short_time_is_too_soon_to_tell_that_it_holds_and_makes_no_check(
    client: TestClient, garage: Garage, tern: str
) -> None:
    assert client.post(NEW, data=_form(ended_at="2026-04-18T10:40:20Z", end_value="17.9")).status_code == 303
    assert _kept(garage, "SELECT passed FROM hold_test") == [(None,)]
    assert _kept(garage, "SELECT count(*) FROM joint_check") == [(0,)]
    assert "Too soon to tell" in client.get("/hold-tests/h1").text


def test_what_only_cooled_does_not_leak(client: TestClient, garage: Garage, tern: str) -> None:
    """Ideal gas: 201.325 kPa from 50 to 20 °C lose 18.69 kPa."""
    warm = {"medium": "pressure", "unit": "kPa", "start_value": "100", "end_value": "81.31", "ambient_kpa": "101.325"}
    warm |= {"most_value": "120", "volume_ml": "5000"}
    assert client.post(NEW, data=_form(**warm)).status_code == 303
    assert client.post(NEW, data=_form(**warm, start_c="50", end_c="20", record="h2")).status_code == 303
    assert _kept(garage, "SELECT id, passed FROM hold_test ORDER BY id") == [("h1", 0), ("h2", 1)]
    assert "CoolingLost by it alone; it is taken off18.7 kPa" in seen(client.get("/hold-tests/h2").text)


def test_a_volume_is_worked_out_from_bore_and_length(client: TestClient, garage: Garage, tern: str) -> None:
    assert client.post(NEW, data=_form(bore_mm="4", length_mm="1000")).status_code == 303
    [(volume, hole)] = _kept(garage, "SELECT volume_ml, hole_mm FROM hold_test")
    assert volume == 12.57
    assert isinstance(hole, float)
    assert 0.001 < hole < 0.1


def test_readings_between_are_shown_and_drawn(client: TestClient, tern: str) -> None:
    assert client.post(NEW, data=_form(readings="20 17.9\n40 17,8")).status_code == 303
    text = client.get("/hold-tests/h1").text
    shown = seen(text)
    assert "At 0:2017.9 inHg" in shown
    assert "At 0:4017.8 inHg" in shown
    assert text.count('<circle cx="') - text.count('<circle cx="17"') == 4


@pytest.mark.parametrize(
    ("wrong", "where", "sentence"),
    [
        ({"start_value": "35"}, "start_value", "That is more vacuum than the air around the car allows."),
        ({"end_value": ""}, "end_value", "This is needed."),
        ({"ended_at": "2026-04-18T10:39:00Z"}, "ended_at", "It ends after it starts."),
        ({"readings": "soon"}, "readings", "Write each reading as seconds"),
        ({"line": ""}, "", "Say which one thing this is about"),
        ({"limit_from": "own", "limit_loss": "20", "limit_s": "60"}, "start_value", "What may be lost is more than"),
    ],
)
def test_what_can_not_be_is_said_at_its_box_and_nothing_typed_is_lost(
    client: TestClient, tern: str, wrong: dict[str, str], where: str, sentence: str
) -> None:
    answer = client.post(NEW, data=_form(**wrong, note="By the wing"))
    assert answer.status_code == 422
    assert sentence in seen(answer.text)
    assert "By the wing" in answer.text
    if where:
        assert f'id="{where}-hint"' in answer.text


def test_more_than_the_limit_of_the_test_is_asked_about_once(client: TestClient, tern: str) -> None:
    bold = {"medium": "pressure", "unit": "bar", "start_value": "1.2", "end_value": "1.19"}
    answer = client.post(NEW, data=_form(**bold))
    assert answer.status_code == 422
    assert "It was started at 1.2 bar, above the limit of 0.7. Was it really so?" in seen(answer.text)
    assert client.post(NEW, data=_form(**bold, sure="most_value")).status_code == 303


@pytest.mark.parametrize("most", ["1.2", "1.5"])
def test_the_maker_s_figure_goes_before_common_practice(client: TestClient, tern: str, most: str) -> None:
    bold = {"medium": "pressure", "unit": "bar", "start_value": "1.2", "end_value": "1.19", "most_value": most}
    assert client.post(NEW, data=_form(**bold)).status_code == 303


def test_the_cautions_come_before_the_button_that_starts_the_clock(client: TestClient, tern: str) -> None:
    text = client.get(NEW).text
    start = text.index('data-do="start"')
    for said in (
        "Regulated air only",
        "can fly off",
        "Never a hand in front of an open end",
        "cold and off",
        "collapse",
    ):
        assert text.index(said) < start
    assert "The maker’s test figure for this part comes before" in text[:start]


def test_the_address_says_what_is_tested_and_for_which_fault(client: TestClient, enter: Enter, tern: str) -> None:
    enter("ticket", "t1", car=tern, what="No boost", noticed_at="2026-04-18T09:00:00Z")
    text = client.get(f"{NEW}?line=tern.coupler&ticket=t1&medium=pressure").text
    assert '<option value="tern.coupler" selected>' in text
    assert '<option value="t1" data-record="ticket/t1" selected>No boost' in text
    assert 'value="pressure" checked' in text


def test_the_pages_of_a_line_and_of_a_car_lead_there(client: TestClient, tern: str) -> None:
    assert (
        'href="/cars/tern/hold-tests/new?line=tern.coupler&amp;medium=pressure"'
        in client.get("/lines/tern.coupler").text
    )
    assert "medium=vacuum" in client.get("/lines/tern.gauge_hose").text
    assert 'href="/cars/tern/hold-tests"' in client.get("/cars/tern").text


def test_a_ticket_s_check_by_pump_or_pressure_can_be_timed(client: TestClient, enter: Enter, tern: str) -> None:
    enter("ticket", "t1", car=tern, what="No boost", noticed_at="2026-04-18T09:00:00Z")
    text = client.get("/tickets/t1/suspects/tern.gauge_hose").text
    assert "/cars/tern/hold-tests/new?ticket=t1&amp;line=tern.gauge_hose&amp;medium=vacuum" in text


def test_a_test_that_is_none_is_not_there(client: TestClient, tern: str) -> None:
    assert client.get("/hold-tests/none").status_code == 404
    assert client.get("/cars/none/hold-tests").status_code == 404
    assert client.get("/cars/none/hold-tests/new").status_code == 404


def test_more_tests_need_no_more_questions(
    client: TestClient,
    garage: Garage,
    enter: Enter,
    count_queries: Callable[[Garage], AbstractContextManager[Count]],
    tern: str,
) -> None:
    held = {"medium": "vacuum", "unit": "inHg", "start_value": 18, "end_value": 17, "limit_loss": 1, "limit_s": 60}
    times = {"started_at": "2026-04-18T10:40:00Z", "ended_at": "2026-04-18T10:41:00Z"}
    enter("hold_test", "h0", car=tern, line="tern.inlet", **times, **held)
    with count_queries(garage) as few:
        client.get("/cars/tern/hold-tests")
        client.get(NEW)
    for n in range(1, 8):
        enter("hold_test", f"h{n}", car=tern, line="tern.inlet", **times, **held)
        enter("ticket", f"t{n}", car=tern, what=f"Fault {n}", noticed_at="2026-04-18T09:00:00Z")
    with count_queries(garage) as many:
        client.get("/cars/tern/hold-tests")
        client.get(NEW)
    assert many.total == few.total
