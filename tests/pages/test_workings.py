"""The workings as pages without scripts: each figure against a published one, with the source beside it."""

import pytest
from starlette.testclient import TestClient

from app.pages.workings import WORKINGS
from tests.conftest import Enter
from tests.pages.seen import seen


def _says(client: TestClient, name: str, **asked: str) -> str:
    return seen(client.get(f"/workings/{name}", params=asked).text)


def test_the_list_leads_to_each_and_each_says_where_its_formula_is_from(client: TestClient) -> None:
    listed = client.get("/workings").text
    for name in WORKINGS:
        assert f'href="/workings/{name}"' in listed
        page = client.get(f"/workings/{name}").text
        for part in ("<svg", "How it is worked out", 'class="plate caution"', 'method="get"'):
            assert part in page
    assert client.get("/workings/none").status_code == 404


@pytest.mark.parametrize(
    ("asked", "setting"),
    [
        # A tool maker's worked example: 12 in wrench, 6 in extension, 30 lbf·ft, set 20.
        ({"torque": "30", "unit": "lbf.ft", "lever": "12", "extension": "6"}, "20.0 lbf·ft"),
        # The balance of moments: 450 mm, 75 mm, 100 N·m.
        ({"torque": "100", "lever": "450", "extension": "75"}, "85.7 N·m"),
        ({"torque": "100", "lever": "450", "extension": "75", "angle": "45"}, "89.5 N·m"),
        ({"torque": "100", "lever": "450", "extension": "75", "angle": "90"}, "100.0 N·m"),
        ({"torque": "100", "lever": "450", "extension": "75", "angle": "180"}, "120.0 N·m"),
    ],
)
def test_an_extension_says_what_to_set(client: TestClient, asked: dict[str, str], setting: str) -> None:
    assert f"Set the wrench to{setting}" in _says(client, "extension", **asked).replace("to ", "to")


def test_a_wrench_of_the_garage_brings_its_lever_and_says_what_it_can_t_set(client: TestClient, enter: Enter) -> None:
    enter("wrench", "small", name="The small one", smallest=10, largest=60, unit="N.m", lever_mm=450)
    found = _says(client, "extension", torque="100", extension="75", wrench="small")
    assert "85.7 N·m" in found
    assert "Beyond what The small one sets: 10 to 60 N·m. Use another wrench." in found
    assert "Beyond" not in _says(client, "extension", torque="50", extension="75", wrench="small")


def test_a_bolt_says_what_it_bears_and_what_a_torque_does_to_it(client: TestClient) -> None:
    # EN ISO 898-1:2013 (58.0 mm², 33 700 N as printed), T = K d F: 75 % of proof at 50.46 N·m dry.
    found = _says(client, "bolt", thread="M10", strength="8.8", torque="50.46", unit="N.m")
    for figure in ("58.0 mm²", "33.6 kN", "25.2 kN, 75% of its proof load", "33.6 kN, 100% of its proof load"):
        assert figure in found
    assert "Past the proof load oiled" in found
    assert "Past the proof load, dry or oiled" in _says(client, "bolt", thread="M10", strength="8.8", torque="90")
    assert "50.5 N·m dry, 37.8 N·m oiled" in found
    assert "Past" not in _says(client, "bolt", thread="M10", strength="8.8", torque="30", unit="N.m")


def test_a_torque_stands_in_every_unit(client: TestClient) -> None:
    # NIST SP 811 (2008), Appendix B.8.
    found = _says(client, "torque-units", torque="100", unit="N.m")
    for figure in ("100.0 N·m", "73.8 lbf·ft", "885.1 lbf·in", "10.2 kgf·m"):
        assert figure in found


def test_a_clamp_says_what_is_printed_for_a_new_hose_and_one_clamped_before(client: TestClient) -> None:
    # Two makers' service tables.
    assert "4.5 ± 0.5 N·m (40 ± 4 lbf·in): 13.5 mm band" in _says(client, "hose-clamp", band="13,5", hose="new")
    reused = _says(client, "hose-clamp", band="12", hose="reused")
    assert "3.0 ± 0.5 N·m (27 ± 4 lbf·in): 12 mm band, an engine maker's workshop manual" in reused
    assert "The maker of the clamp has the word" in _says(client, "hose-clamp", band="10", hose="new")


def test_a_weather_reports_figure_becomes_the_airs_own(client: TestClient) -> None:
    # 102.0 kPa reported a mile up is 84.0043 kPa: the altimeter setting of the ICAO, from memory.
    found = _says(client, "air", pressure="102.0", unit="kPa", height="1609.344")
    for figure in ("84.0 kPa", "83.4 kPa", "18.0 kPa"):
        assert figure in found
    # U.S. Standard Atmosphere 1976: 843.1 mbar at 1524 m.
    own = _says(client, "air", pressure="840", unit="mbar", height="1524")
    assert "it is the air's own already" in own
    assert "843 mbar" in own


@pytest.mark.parametrize(
    ("name", "asked", "says"),
    [
        ("extension", {"torque": "tight"}, "Write a number, such as 5 or 5.5."),
        ("extension", {"torque": "0"}, "This has to be above zero."),
        (
            "extension",
            {"torque": "5", "lever": "100", "extension": "100", "angle": "180"},
            "turns the fastener the wrong way",
        ),
        ("extension", {"angle": "181"}, "stands at 0 to 180 degrees"),
        ("bolt", {"thread": "UNF", "strength": "8.8"}, "Write a metric thread"),
        ("bolt", {"thread": "M7", "strength": "8.8"}, "Write the pitch of M7"),
        ("torque-units", {"torque": "1e300"}, "Nobody means a figure as large as this."),
        ("hose-clamp", {"band": "-3"}, "This has to be above zero."),
        ("air", {"pressure": "1013", "unit": "kPa", "height": "50"}, "The air is never at that"),
        ("air", {"pressure": "1013", "height": "9000"}, "No road runs as high"),
    ],
)
def test_what_can_t_be_is_said_beside_its_box(client: TestClient, name: str, asked: dict[str, str], says: str) -> None:
    assert says in _says(client, name, **asked)


@pytest.mark.parametrize("odd", ["", " ", "nan", "inf", "1e999", "٣", "\x00", "<b>", "x" * 500, "M1x1x1", "-0"])
def test_nothing_odd_makes_one_fail(client: TestClient, odd: str) -> None:
    for name in WORKINGS:
        boxes = (
            "torque",
            "unit",
            "wrench",
            "lever",
            "extension",
            "angle",
            "thread",
            "strength",
            "band",
            "hose",
            "pressure",
            "height",
            "back",
        )
        assert client.get(f"/workings/{name}", params=dict.fromkeys(boxes, odd)).status_code == 200


@pytest.mark.parametrize(
    ("back", "to"),
    [
        ("/jobs/j1/loose-ends/tern.coupler.to", "/jobs/j1/loose-ends/tern.coupler.to"),
        ("/rechecks/r1", "/rechecks/r1"),
        ("//elsewhere.example/jobs/j1", "/workings"),
        ("https://elsewhere.example", "/workings"),
        ("/jobs//elsewhere.example", "/workings"),
        ("javascript:alert(1)", "/workings"),
        ("/settings", "/workings"),
    ],
)
def test_it_leads_back_to_the_check_it_was_needed_in_and_nowhere_else(client: TestClient, back: str, to: str) -> None:
    assert f'<a href="{to}">Back</a>' in client.get("/workings/extension", params={"back": back}).text
