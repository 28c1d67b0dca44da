import pytest
from starlette.testclient import TestClient

from tests.conftest import Enter
from tests.seen import seen

PATH = "/cars/tern/baselines/idle_vacuum/warm"
FORM = {"centre": "19,5", "spread": "0.6", "unit": "inHg", "basis": "vacuum", "altitude_m": "", "note": ""}


@pytest.fixture
def healthy(enter: Enter, tern: str) -> str:
    for n, value in enumerate((18.0, 18.2, 18.1), 1):
        enter("reading", f"r{n}", car=tern, what="idle_vacuum", condition="warm", value=value, unit="inHg",
              basis="vacuum", taken_at=f"2026-01-0{n}T10:00:00.000Z", healthy=True)  # fmt: skip
    return tern


def test_what_is_learned_says_from_how_many_readings(client: TestClient, healthy: str) -> None:
    shown = seen(client.get(PATH).text)
    assert "18.1 ± 0." in shown
    assert "Learned from 3 readings marked healthy. This counts." in shown


def test_what_is_stated_counts_and_what_is_learned_stays_in_sight(client: TestClient, healthy: str) -> None:
    assert client.post(PATH, data=FORM).headers["location"] == PATH
    shown = seen(client.get(PATH).text)
    assert "19.5 ± 0.6 inHg" in shown
    assert "As you stated it. This counts." in shown
    assert "Does not count while yours is stated." in shown


def test_going_back_to_what_is_learned_and_stating_it_again(client: TestClient, healthy: str) -> None:
    client.post(PATH, data=FORM)
    assert client.post(PATH + "/learned", data={}).status_code == 303
    assert "Learned from 3 readings marked healthy. This counts." in seen(client.get(PATH).text)
    client.post(PATH, data=FORM)
    assert "As you stated it. This counts." in seen(client.get(PATH).text)


def test_nothing_yet_says_what_to_do(client: TestClient, tern: str) -> None:
    assert "Mark the readings of a car that runs right, or state it below." in seen(client.get(PATH).text)


@pytest.mark.parametrize(
    ("wrong", "says"),
    [
        ({"centre": ""}, "This is needed."),
        ({"centre": "200", "unit": "psi"}, "A vacuum of 200 psi is deeper than"),
        ({"centre": "-3"}, "below zero"),
        ({"spread": "0"}, "It has to be more than 0."),
        ({"spread": "600"}, "Give or take 600 inHg can&#39;t be right for idle vacuum. Look at the figure."),
        ({"unit": "g/s"}, "g/s does not measure pressure."),
        ({"basis": ""}, "Say whether the gauge shows"),
    ],
)
def test_a_baseline_that_makes_no_sense_is_refused_at_its_field(
    client: TestClient, tern: str, wrong: dict[str, str], says: str
) -> None:
    answer = client.post(PATH, data=FORM | {"note": "from the old owner"} | wrong)
    assert answer.status_code == 422
    assert says in answer.text
    assert "from the old owner" in answer.text


def test_a_wide_give_or_take_reaches_past_a_perfect_vacuum_without_harm(client: TestClient, tern: str) -> None:
    assert client.post(PATH, data=FORM | {"centre": "28", "spread": "5"}).status_code == 303
    assert "28 ± 5 inHg" in seen(client.get(PATH).text)
