"""Candidates side by side."""

from collections.abc import Callable
from contextlib import AbstractContextManager

import pytest
from starlette.testclient import TestClient

from app.records.garage import Garage
from tests.conftest import Count, Enter
from tests.pages.seen import seen

AT = "/cars/tern/compare?at=tern.coupler"


@pytest.fixture
def two(enter: Enter, tern: str) -> str:
    """Two candidates for the throttle coupler, one of them for stage 3, which aims for 200 kW."""
    enter("line", "tern.coupler", length_mm=90.0)
    enter("stage", "s", car=tern, step=3, name="More boost", power_kw=200.0)
    hose = {"car": tern, "line": "tern.coupler", "kind": "hose", "material": "silicone", "wall_mm": 5.0}
    enter("part", "a", **hose, name="Plain coupler", bore_mm=63.0, length_mm=120.0, price=24.5, currency="eur")
    enter("part", "b", **hose, name="Big coupler", bore_mm=70.0, length_mm=90.0, stage="s", state="here")
    return tern


def _row(page: str, name: str) -> list[str]:
    """The cells of one row of the table."""
    row = page.partition(f'<th scope="row">{name}')[2].partition("</tr>")[0]
    return [seen(f"<p>{cell}") for cell in row.split("<td>")[1:]]


def test_they_stand_beside_each_other_and_beside_what_is_on(client: TestClient, two: str) -> None:
    page = client.get(AT).text
    assert _row(page, "Bore") == ["63", "70", "63"]
    assert _row(page, "Fits") == ["–", "other bore", "cut"]
    assert _row(page, "Price") == ["–", "–", "24.50 EUR"]
    assert _row(page, "Arrives") == ["–", "is here", "not ordered"]


def test_what_the_plan_will_throw_away_says_by_what_and_when(client: TestClient, two: str) -> None:
    page = client.get(AT).text
    assert _row(page, "Plan") == ["–", "stays", "to stage 3"]
    assert "For now only: Big coupler replaces it in stage 3, More boost." in seen(page)


def test_the_power_of_the_plan_gives_the_air(client: TestClient, two: str) -> None:
    page = client.get(AT).text
    # 200 kW x 310 g/kWh / 3600 x 12.5 of air to one of fuel
    assert "215 g/s of air for 200 kW, 200 kPa absolute, 50 °C" in seen(page)
    assert "Stage 3 of the plan, More boost, says 200." in seen(page)
    assert _row(page, "Mach") == ["0.09", "0.07", "0.09"]
    assert "Too small to feel: the straight runs differ by" in seen(page)


def test_a_power_typed_comes_before_the_plan_s(client: TestClient, two: str) -> None:
    page = client.get(f"{AT}&power_kw=100&pressure_kpa=150,5").text
    assert "108 g/s of air for 100 kW" in seen(page)
    assert 'value="150.5"' in page


def test_the_car_s_own_boost_is_taken_where_it_is_known(client: TestClient, enter: Enter, two: str) -> None:
    about = {"car": two, "what": "peak_boost", "condition": "warm", "centre": 180.0, "spread": 5.0, "unit": "kPa"}
    assert client.get(AT).text.count("this car's own peak boost") == 0
    enter("baseline", "tern.peak_boost.warm", **about, basis="absolute")
    page = client.get(AT).text
    assert "180 kPa is this car's own peak boost." in seen(page)
    assert "180 kPa absolute" in seen(page)


def test_what_is_wrong_is_said_at_its_box_and_the_rest_is_reckoned(client: TestClient, two: str) -> None:
    answer = client.get(f"{AT}&power_kw=lots&air_fuel=12")
    assert answer.status_code == 422
    assert 'value="lots"' in answer.text
    assert "Write a number, such as 5 or 5.5." in seen(answer.text)
    assert _row(answer.text, "Bore") == ["63", "70", "63"]


def test_a_hose_far_too_narrow_is_felt_or_passes_nothing(client: TestClient, enter: Enter, two: str) -> None:
    enter("part", "b", bore_mm=30.0)
    assert "enough to feel" in seen(client.get(AT).text)
    enter("part", "b", bore_mm=12.0)
    assert "215 g/s is more than a 12 mm pipe can pass." in seen(client.get(AT).text)


def test_without_a_power_the_page_asks_for_one(client: TestClient, enter: Enter, two: str) -> None:
    enter("stage", "s", power_kw=None)
    page = client.get(AT).text
    assert "what power you aim for" in seen(page)
    assert _row(page, "Mach") == []


def test_a_soft_inlet_hose_says_when_suction_flattens_it(client: TestClient, enter: Enter, two: str) -> None:
    page = client.get(f"{AT}&air=intake&suction_kpa=4").text
    # Roark, Table 35 case 19a: E 5 MPa, nu 0.49, wall 5, mean radius 34: a quarter of 5000/(1-0.49²) x (5/34)³
    assert _row(page, "Flattens at") == ["–", "3.9", "5.2"]
    assert _row(page, "Margin") == ["–", "1.0", "1.3"]
    assert "See that it has plies or a wire inside." in seen(page)
    assert "upper bound" in seen(page)
    assert _row(client.get(AT).text, "Margin") == []


def test_other_air_brings_its_own_pressure(client: TestClient, two: str) -> None:
    page = client.get(f"{AT}&was=charge&air=intake&pressure_kpa=200&air_c=50").text
    assert "98 kPa absolute, 20 °C" in seen(page)
    kept = client.get(f"{AT}&was=intake&air=intake&pressure_kpa=90&air_c=30").text
    assert "90 kPa absolute, 30 °C" in seen(kept)


def test_a_signal_line_is_not_reckoned_as_a_pipe(client: TestClient, enter: Enter, two: str) -> None:
    for key in ("g1", "g2"):
        enter("part", key, car=two, line="tern.gauge_hose", kind="hose", name=key, bore_mm=4.0)
    page = client.get("/cars/tern/compare?at=tern.gauge_hose").text
    assert _row(page, "Mach") == []
    assert _row(page, "Bore") == ["4", "4", "4"]


def test_a_clamp_is_no_choice_against_a_hose(client: TestClient, enter: Enter, two: str) -> None:
    enter("part", "c", car=two, line="tern.coupler", kind="clamp", name="T-bolt clamp", state="here")
    assert "T-bolt clamp" not in seen(client.get(AT).text)
    assert "T-bolt clamp" in seen(client.get(f"{AT}&kind=clamp").text)


def test_a_free_position_has_candidates_of_its_own(client: TestClient, enter: Enter, two: str) -> None:
    for key in ("d1", "d2"):
        enter("part", key, car=two, position="front left damper", name=f"Damper {key}", price=200, currency="EUR")
    page = client.get("/cars/tern/compare?at=front+left+damper").text
    assert _row(page, "Price") == ["200.00 EUR", "200.00 EUR"]
    assert "/cars/tern/parts/new?position=front%20left%20damper" in page


def test_of_many_the_chosen_stand_side_by_side(client: TestClient, enter: Enter, two: str) -> None:
    for key in "cdefg":
        enter("part", key, car=two, line="tern.coupler", kind="hose", name=f"Hose {key}", bore_mm=60.0)
    assert len(_row(client.get(AT).text, "Bore")) == 6  # five, and what is on now
    chosen = client.get(f"{AT}&part=g&part=a").text
    assert _row(chosen, "Bore") == ["63", "63", "60"]


def test_a_place_for_which_nothing_waits_says_so(client: TestClient, tern: str) -> None:
    page = client.get(AT).text
    assert "Nothing is wanted, ordered, here or on the shelf for this place." in seen(page)
    assert "/cars/tern/parts/new?line=tern.coupler" in page
    assert "No part waits for a place on this car." in seen(client.get("/cars/tern/compare").text)


def test_the_places_with_candidates_are_listed(client: TestClient, two: str) -> None:
    page = client.get("/cars/tern/compare").text
    assert 'href="/cars/tern/compare?at=tern.coupler&amp;kind=hose"' in page
    assert "Throttle coupler" in seen(page)


def test_as_many_questions_for_many_candidates_as_for_two(
    client: TestClient,
    garage: Garage,
    enter: Enter,
    two: str,
    count_queries: Callable[[Garage], AbstractContextManager[Count]],
) -> None:
    with count_queries(garage) as few:
        assert client.get(AT).status_code == 200
    for number in range(20):
        enter("part", f"p{number}", car=two, line="tern.coupler", kind="hose", name="More", bore_mm=60.0)
    with count_queries(garage) as many:
        assert client.get(AT).status_code == 200
    assert many.total == few.total
