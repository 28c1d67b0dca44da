import pytest
from starlette.testclient import TestClient

from app.records.garage import Garage
from app.records.musts import START, musts
from tests.conftest import Enter
from tests.seen import seen

LIST = "/cars/tern/musts"


def _now_on_it(garage: Garage) -> list[str]:
    with garage.read() as db:
        return [one.what for one in musts(db, "tern") if not one.void_reason]


def test_the_usual_ones_are_added_with_one_tap_and_only_once(client: TestClient, garage: Garage, tern: str) -> None:
    assert "common practice, no source" in seen(client.get(LIST).text)
    for _ in range(2):
        assert client.post(f"{LIST}/start", data={}).status_code == 303
    assert _now_on_it(garage) == list(START.values())
    assert "The usual ones" not in seen(client.get(LIST).text)


def test_one_of_the_usual_ones_can_be_added_alone(client: TestClient, garage: Garage, tern: str) -> None:
    client.post(f"{LIST}/start", data={"key": "tyres"})
    assert _now_on_it(garage) == [START["tyres"]]
    usual = seen(client.get(LIST).text).partition("The usual ones")[2]
    assert START["tyres"] not in usual
    assert START["seat"] in usual


def test_one_of_one_s_own_is_added_changed_and_struck_out(client: TestClient, garage: Garage, tern: str) -> None:
    told = {"record": "m1", "what": "Extinguisher fixed", "before": "sprint"}
    assert client.post(LIST, data=told).status_code == 303
    client.post(f"{LIST}/m1", data={"what": "Extinguisher fixed and in date", "before": "any"})
    assert _now_on_it(garage) == ["Extinguisher fixed and in date"]
    client.post(f"{LIST}/m1/off", data={})
    assert _now_on_it(garage) == []
    assert "Extinguisher" in seen(client.get(LIST).text).partition("Struck out")[2]
    client.post(f"{LIST}/m1/on", data={})
    assert _now_on_it(garage) == ["Extinguisher fixed and in date"]


@pytest.mark.parametrize(
    ("wrong", "says"), [({"what": ""}, "This is needed."), ({"before": "parade"}, "Choose one of these")]
)
def test_refused_input_keeps_what_was_typed(client: TestClient, tern: str, wrong: dict[str, str], says: str) -> None:
    answer = client.post(LIST, data={"record": "m1", "what": "Helmet in date", "before": "any"} | wrong)
    assert answer.status_code == 422
    assert says in answer.text


def test_another_car_s_list_is_left_alone(client: TestClient, enter: Enter, tern: str) -> None:
    enter("car", "other", name="Other", layout="direct-signal")
    enter("must", "m9", car="other", before="any", what="Theirs")
    assert client.post(f"{LIST}/m9/off", data={}).status_code == 404
    assert "Theirs" not in client.get(LIST).text
