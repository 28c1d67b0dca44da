"""The hoses page, its shopping list and its table."""

import csv
from io import StringIO

import pytest
from starlette.testclient import TestClient

from app.pages.spreadsheet import cell
from app.records.logbook import now
from tests.conftest import Enter
from tests.pages.seen import seen

COUPLER, GAUGE, INLET = "tern.coupler", "tern.gauge_hose", "tern.inlet"


@pytest.fixture
def known(enter: Enter, tern: str) -> str:
    """A gauge hose to be replaced now, and two charge hoses whose lengths are known."""
    enter("finding", "f", car=tern, line=GAUGE, what="Split at the clip", weight="act", seen_at=now())
    enter("line", COUPLER, length_mm=90.0, state="replaced", fitted_on="2024-03-01", part="=2+2 mm coupler")
    enter("line", INLET, length_mm=110.0, material="silicone", bore_mm=63.0)
    return tern


def _table(client: TestClient) -> list[dict[str, str]]:
    return list(csv.DictReader(StringIO(client.get("/cars/tern/hoses.csv").text, newline="")))


def test_the_page_says_what_is_original_what_was_replaced_and_what_is_next(client: TestClient, known: str) -> None:
    shown = seen(client.get("/cars/tern/hoses").text)
    assert "3 lines: 2 as they came, 1 replaced" in shown
    assert "Replace now 1 line" in shown
    assert "To act on: Split at the clip" in shown
    assert "Replaced 1 Mar 2024" in shown


def test_what_is_to_be_replaced_now_is_ticked_and_nothing_else(client: TestClient, known: str) -> None:
    page = client.get("/cars/tern/hoses").text
    assert f'value="{GAUGE}" checked' in page
    assert page.count("checked>") == 1


def test_the_drawing_marks_by_shape_what_to_replace(client: TestClient, known: str) -> None:
    page = client.get("/cars/tern/hoses").text
    assert page.count('class="cracks hose now"') == 2  # the line, and the key under the drawing
    assert 'aria-label="2 Gauge hose, manifold to gauge: original, now"' in page
    assert page.count('class="collar"') == 4  # both ends of the replaced line, and the key


def test_the_list_adds_up_hose_and_clamps(client: TestClient, known: str) -> None:
    shown = seen(client.get(f"/cars/tern/hoses/list?line={COUPLER}&line={INLET}").text)
    assert "63 mm bore, silicone 2 pieces, 200 mm as they are now 220 mm" in shown
    assert "T-bolt clamp, round 72 mm The wall is assumed: measure across the hose before you buy. 2" in shown
    assert "Worm-drive clamp, round 72 mm" in shown


def test_how_much_more_is_bought_can_be_said(client: TestClient, known: str) -> None:
    shown = client.get(f"/cars/tern/hoses/list?line={COUPLER}&line={INLET}&allowance=12,5").text
    assert "length with 12.5 % to cut off" in seen(shown)
    assert "230 mm" in seen(shown)


def test_an_allowance_that_is_no_number_is_refused_and_kept(client: TestClient, known: str) -> None:
    answer = client.get(f"/cars/tern/hoses/list?line={COUPLER}&allowance=plenty")
    assert answer.status_code == 422
    assert 'value="plenty"' in answer.text
    assert "Write a number, such as 5 or 5.5." in seen(answer.text)
    assert "100 mm" in seen(answer.text)  # what there is to say goes on being said


def test_with_nothing_ticked_the_list_is_for_what_is_due_now(client: TestClient, known: str) -> None:
    shown = seen(client.get("/cars/tern/hoses/list").text)
    assert "1 line to replace now" in shown
    assert "Measure first: Gauge hose, manifold to gauge" in shown
    assert "push-on barb 2" in shown


def test_a_line_that_is_not_on_the_car_is_not_bought_for(client: TestClient, known: str) -> None:
    assert "None of these lines is on the car." in seen(client.get("/cars/tern/hoses/list?line=nothing").text)


def test_the_table_has_every_line_and_ends_its_rows_as_the_standard_says(client: TestClient, known: str) -> None:
    answer = client.get("/cars/tern/hoses.csv")
    assert answer.headers["content-type"] == "text/csv; charset=utf-8; header=present"
    assert answer.headers["content-disposition"] == 'attachment; filename="hoses.csv"'
    assert answer.text.count("\r\n") == answer.text.count("\n") == 4  # RFC 4180: CR LF
    rows = _table(client)
    assert [row["line"] for row in rows] == [
        "Throttle coupler",
        "Gauge hose, manifold to gauge",
        "Throttle to manifold",
    ]
    assert (rows[1]["replace"], rows[0]["fitted"], rows[0]["bore mm"]) == ("now", "2024-03-01", "63")


def test_nothing_in_the_table_is_run_by_a_spreadsheet(client: TestClient, enter: Enter, known: str) -> None:
    enter("line", GAUGE, name='@SUM(A1), "quoted"\nand on')
    rows = _table(client)
    assert rows[0]["part"] == "'=2+2 mm coupler"
    assert rows[1]["line"] == '\'@SUM(A1), "quoted"\nand on'


@pytest.mark.parametrize("text", ["=1", "+1", "-1", "@a", "\t=1", "\r1", "  =1"])
def test_what_a_spreadsheet_would_run_is_text(text: str) -> None:
    assert cell(text) == f"'{text}"


@pytest.mark.parametrize(("value", "written"), [(-1.5, "-1.5"), (None, ""), (True, "yes"), ("Hose", "Hose"), ("", "")])
def test_what_is_harmless_stays_as_it_is(value: object, written: str) -> None:
    assert cell(value) == written


@pytest.mark.parametrize("page", ["hoses", "hoses/list", "hoses.csv", "compare"])
def test_a_car_that_is_not_there_is_404(client: TestClient, page: str) -> None:
    assert client.get(f"/cars/nothing/{page}").status_code == 404


def test_a_car_without_lines_says_how_to_begin(client: TestClient, enter: Enter) -> None:
    enter("car", "bare", name="Bare", layout="direct-signal")
    assert "No line is on this car." in seen(client.get("/cars/bare/hoses").text)
    assert "No line is to be replaced now." in seen(client.get("/cars/bare/hoses/list").text)
