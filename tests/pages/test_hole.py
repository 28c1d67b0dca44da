"""How big the hole is, as a page without scripts: each figure against what it is derived from."""

from collections.abc import Callable
from contextlib import AbstractContextManager

import pytest
from starlette.testclient import TestClient

from app.pages.hole_boxes import half_a_digit
from app.pages.hole_words import BOXES, WAYS
from app.records.car_figures import figures_of
from app.records.garage import Garage
from app.records.signs import signs_of
from tests.conftest import Count, Enter
from tests.seen import seen

HOLE, FIGURES = "/cars/tern/hole", "/cars/tern/figures"
AT = "2026-04-18T10:40:00.000Z"
NIGHT = {"way": "hold", "volume": "2.00", "before": "20.0", "after": "15.0", "unit": "inHg", "basis": "vacuum"}
NIGHT |= {"took": "8.00", "took_unit": "h", "start": "20.0", "end": "20.0", "air": "101.325"}
TRIMS = {
    "way": "trims",
    "airflow": "3.00",
    "airflow_unit": "g/s",
    "short": "12",
    "long": "10",
    "trim": "0",
    "temp": "25",
}
TRIMS |= {"air": "101.325", "unit": "kPa", "basis": "absolute", "now": "35"}


def said(client: TestClient, **asked: str) -> str:
    return seen(client.get(HOLE, params=asked).text)


def test_trims_and_airflow_give_a_flow_and_a_hole_with_what_they_may_be(client: TestClient, tern: str) -> None:
    # 3.00 g/s at +12 % and +10 %: 0.66 (sum) to 0.696 g/s (factors), 2.41 to 2.475 mm (balance of masses; NACA 1135).
    found = said(client, **TRIMS)
    assert "2.48 mm (" in found
    assert "0.70 g/s (" in found
    assert "not a large hose" in found


def test_a_reservoir_over_night_is_a_pinhole_or_a_tired_check_valve(client: TestClient, tern: str) -> None:
    # Pressure-change method: 0.649 sccm at 0 °C are 0.70 ml/min at 20 °C; 11.04 µm at C 0.61.
    found = said(client, **NIGHT)
    for part in (
        "0.011 mm (",
        "0.70 ml/min (",
        "a tired check valve, not a hose that is off",
        "Narrower than every line",
    ):
        assert part in found


def test_a_volume_that_cools_is_told_to_look_like_a_leak(client: TestClient, tern: str) -> None:
    # Ideal gas: a sealed 201.325 kPa loses 18.69 kPa from 50 to 20 °C.
    cools = NIGHT | {"volume": "10.0", "before": "201.3", "after": "182.6", "unit": "kPa", "basis": "absolute"}
    both = said(client, **cools | {"took": "2.0", "start": "50.0", "end": "20.0"})
    assert "18.7 kPa would come from the temperature alone" in both
    assert "No leak that these figures could show" in both
    neither = said(client, **cools | {"start": "", "end": ""})
    assert "Nobody read both temperatures" in neither
    assert "change of temperature 0 ± 30 °C" in neither


@pytest.mark.parametrize(
    ("facts", "way", "says"),
    [
        ({"has_airflow_meter": "no"}, "trims", "counts the air that leaks in as well: its trims tell of no size"),
        ({"fuel": "diesel"}, "trims", "not trimmed at idle"),
        ({"throttle_vacuum": "no"}, "vacuum", "Without a throttle"),
        ({"turbocharged": "no"}, "boost", "Without a turbocharger"),
    ],
)
def test_what_a_car_can_t_tell_is_said_plainly(  # noqa: PLR0917
    client: TestClient, enter: Enter, tern: str, facts: dict[str, str], way: str, says: str
) -> None:
    enter("car", tern, **facts)
    found = said(client, way=way, **dict.fromkeys(BOXES[way], "10"))
    assert says in found
    assert "Put it on the ticket" not in found


@pytest.mark.parametrize(
    ("asked", "says"),
    [
        (
            {"way": "vacuum", "now": "15", "usual": "19", "unit": "inHg", "basis": "vacuum", "rpm": "850"},
            "displacement",
        ),
        (
            {"way": "boost", "reached": "0.8", "target": "1.0", "unit": "bar", "basis": "gauge", "rpm": "4000"},
            "displacement",
        ),
        (NIGHT | {"volume": ""}, "It takes the volume"),
        (NIGHT | {"after": "0"}, "It had come to the pressure of the air around"),
        (TRIMS | {"short": "1", "long": "0", "trim": "", "airflow": "12.0"}, "Nothing, or a hole of up to"),
        (TRIMS | {"short": "-9", "long": "-4"}, "They point the other way, away from a leak."),
    ],
)
def test_what_the_figures_can_t_tell_is_said_plainly(
    client: TestClient, tern: str, asked: dict[str, str], says: str
) -> None:
    assert says in said(client, **asked)


def test_each_way_says_what_it_takes(client: TestClient, tern: str) -> None:
    page = client.get(HOLE).text
    for way, takes in (("trims", "both trims"), ("hold", "the volume"), ("boost", "its target"), ("vacuum", "speed")):
        form = page.split(f'data-hole="{way}"')[1].split("</form>")[0]
        assert takes in form.split("It takes")[1]


def test_figures_that_point_away_from_a_leak_name_no_hole(client: TestClient, tern: str) -> None:
    assert "narrower than 0" not in said(client, **TRIMS | {"short": "-9", "long": "-4"})


@pytest.mark.parametrize(
    ("asked", "says"),
    [
        ({"airflow": "lots"}, "Write a number"),
        ({"airflow": "0"}, "Write a figure from 0.01 to 2 000"),
        ({"short": "90"}, "Write a figure from −60 to 60"),
        ({"air": "30"}, "Write a figure from 45 to 112"),
        ({"now": "120", "basis": "vacuum"}, "No such pressure is here"),
    ],
)
def test_what_can_t_be_is_said_beside_its_box(client: TestClient, tern: str, asked: dict[str, str], says: str) -> None:
    assert says in said(client, **TRIMS | asked).replace("\N{NO-BREAK SPACE}", " ")


@pytest.mark.parametrize(
    ("written", "half"), [("19.5", 0.05), ("20", 0.5), ("19,50", 0.005), ("1e3", 500.0), ("-3", 0.5)]
)
def test_a_figure_was_read_to_half_its_last_digit(written: str, half: float) -> None:
    assert half_a_digit(written) == pytest.approx(half)


def test_a_reading_with_the_air_conditioning_on_is_not_held_against_the_healthy_one_without(
    client: TestClient, enter: Enter, tern: str
) -> None:
    """It costs some 3 inHg and is no fault: common practice, no source."""
    read = {"car": tern, "what": "idle_vacuum", "unit": "inHg", "basis": "vacuum", "altitude_m": 0}
    enter("reading", "r1", value=19.0, condition="warm", taken_at="2026-04-18T10:00:00Z", **read)
    enter("reading", "r2", value=16.0, condition="warm_air_conditioning", taken_at="2026-04-18T10:05:00Z", **read)
    assert 'id="vacuum-now" name="now" value="19"' in client.get(HOLE).text


def test_the_boxes_hold_what_the_record_has(client: TestClient, enter: Enter, tern: str) -> None:
    idle = {"car": tern, "what": "idle_vacuum", "condition": "warm", "unit": "inHg", "basis": "vacuum"}
    enter("baseline", f"{tern}.idle_vacuum.warm", centre=19.5, spread=0.6, **idle)
    enter("reading", "r1", value=15.5, taken_at=AT, **idle)
    enter("reading", "r2", car=tern, what="airflow_idle", condition="warm", value=3.1, unit="g/s", taken_at=AT)
    enter("reading", "r3", car=tern, what="fuel_trim_idle", condition="warm", value=18, unit="%", taken_at=AT)
    enter("car_figures", tern, car=tern, displacement_l=1.998, reservoir_l=1.5, ve_idle=80)
    page = client.get(HOLE).text
    for name, value in (("airflow", "3.1"), ("long", "18"), ("short", "0")):
        assert f'id="trims-{name}" name="{name}" value="{value}"' in page
    for name, value in (("now", "15.5"), ("usual", "19.5"), ("litres", "1.998"), ("ve", "80")):
        assert f'id="vacuum-{name}" name="{name}" value="{value}"' in page
    assert 'id="hold-volume" name="volume" value="1.5"' in page
    assert "g/s (" in seen(page)


@pytest.mark.parametrize("odd", ["", " ", "nan", "inf", "1e999", "٣", "\x00", "<b>", "x" * 500, "-0", "1_0"])
def test_nothing_odd_makes_it_fail(client: TestClient, tern: str, odd: str) -> None:
    for way in (*WAYS, odd):
        asked = {"way": way} | dict.fromkeys({name for names in BOXES.values() for name in names}, odd)
        assert client.get(HOLE, params=asked).status_code == 200
    assert client.get("/cars/none/hole").status_code == 404


def test_the_figures_are_kept_changed_and_refused_beside_their_box(
    client: TestClient, garage: Garage, tern: str
) -> None:
    sent = {"displacement_l": "1,998", "cylinders": "4", "reservoir_l": "1.5", "charge_side_l": "", "note": ""}
    assert client.post(FIGURES, data=sent).headers["location"] == HOLE
    with garage.read() as db:
        kept = figures_of(db, tern)
    assert (kept.displacement_l, kept.cylinders, kept.reservoir_l, kept.charge_side_l) == (1.998, 4, 1.5, None)
    wrong = client.post(FIGURES, data=sent | {"displacement_l": "1998"})
    assert wrong.status_code == 422
    assert 'value="1998"' in wrong.text
    cylinder = client.post(FIGURES, data=sent | {"displacement_l": "19", "cylinders": "4"})
    assert "1998 cc are 2.0" in seen(cylinder.text)
    assert client.post(FIGURES, data=sent | {"cylinders": "4"}).status_code == 303


def test_figures_struck_out_count_no_more_and_come_back_with_the_next(
    client: TestClient, garage: Garage, tern: str
) -> None:
    client.post(FIGURES, data={"reservoir_l": "1.5"})
    client.post("/records/car_figures/tern/void", data={"void_reason": "Of another car"})
    with garage.read() as db:
        assert figures_of(db, tern).reservoir_l is None
    client.post(FIGURES, data={"reservoir_l": "2"})
    with garage.read() as db:
        assert figures_of(db, tern).reservoir_l == 2


def test_one_tap_puts_the_size_on_an_open_ticket_where_it_is_shown(
    client: TestClient, garage: Garage, enter: Enter, tern: str
) -> None:
    enter("ticket", "t1", car=tern, what="Whistles", noticed_at=AT)
    assert "How big is the hole?" in seen(client.get("/tickets/t1").text)
    assert "Put it on the ticket: Whistles" in said(client, **NIGHT)
    page = client.get(HOLE, params=NIGHT).text
    assert 'name="outcome" value="pinhole"' in page
    answer = client.post("/tickets/t1/signs?at=list", data={"sign": "leak_size", "outcome": "pinhole"})
    assert answer.headers["location"] == "/tickets/t1#sign-leak_size"
    with garage.read() as db:
        assert [(one.sign, one.outcome) for one in signs_of(db, ["t1"])] == [("leak_size", "pinhole")]
    ticket = client.get("/tickets/t1").text
    assert 'id="sign-leak_size" href="/cars/tern/hole"' in ticket
    assert "How big is the hole? A pinhole" in seen(ticket)


def test_the_ways_in_lead_there(client: TestClient, tern: str) -> None:
    for page in ("/cars/tern", "/workings", "/cars/tern/tickets/blank"):
        assert f'href="{HOLE}"' in client.get(page).text, page
    assert f'href="{FIGURES}"' in client.get(HOLE).text


def test_more_lines_and_tickets_ask_the_record_no_oftener(
    client: TestClient,
    garage: Garage,
    enter: Enter,
    tern: str,
    count_queries: Callable[[Garage], AbstractContextManager[Count]],
) -> None:
    def asked() -> int:
        with count_queries(garage) as count:
            client.get(HOLE, params=NIGHT)
        return count.total

    few = asked()
    for number in range(5):
        enter("ticket", f"t{number}", car=tern, what="Whistles", noticed_at=AT)
        ends = {"from_component": f"{tern}.manifold", "to_component": f"{tern}.gauge"}
        enter("line", f"{tern}.more{number}", car=tern, name=f"Line {number}", role="gauge", bore_mm=3, **ends)
    assert asked() == few


def test_figures_nobody_gave_have_no_history_to_lead_to(client: TestClient, enter: Enter, tern: str) -> None:
    assert "/history" not in client.get(f"/cars/{tern}/figures").text
    enter("car_figures", tern, car=tern, displacement_l=1.9)
    assert f"/records/car_figures/{tern}/history" in client.get(f"/cars/{tern}/figures").text
