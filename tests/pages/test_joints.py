from starlette.testclient import TestClient

from app.records.garage import Garage
from tests.conftest import Enter

FORM = {
    "hold": "t_bolt",
    "hard_to_reach": "yes",
    "torque_value": "5,5",
    "torque_tolerance": "0.5",
    "torque_unit": "N.m",
    "torque_source": "Maker's data sheet",
    "note": "",
}


def _joint(garage: Garage) -> tuple[object, ...]:
    with garage.read() as db:
        return tuple(
            db.exec_driver_sql(
                "SELECT hold, hard_to_reach, torque_value, torque_unit, torque_source FROM joint WHERE id = ?",
                ("tern.coupler.to",),
            ).one()
        )


def test_a_joint_keeps_what_holds_it_and_the_torque_with_its_source(
    client: TestClient, garage: Garage, tern: str
) -> None:
    answer = client.post("/joints/tern.coupler.to/edit", data=FORM)
    assert (answer.status_code, answer.headers["location"]) == (303, "/lines/tern.coupler")
    assert _joint(garage) == ("t_bolt", 1, 5.5, "N.m", "Maker's data sheet")


def test_a_torque_without_its_source_is_not_taken(client: TestClient, garage: Garage, tern: str) -> None:
    answer = client.post("/joints/tern.coupler.to/edit", data=FORM | {"torque_source": " "})
    assert answer.status_code == 422
    assert "the maker of the part comes first" in answer.text
    assert 'name="torque_value" value="5,5"' in answer.text
    assert _joint(garage)[2] is None


def test_a_tolerance_without_a_torque_is_asked_about(client: TestClient, tern: str) -> None:
    answer = client.post("/joints/tern.coupler.to/edit", data=FORM | {"torque_value": ""})
    assert answer.status_code == 422
    assert "Write the torque this belongs to, or clear it." in answer.text


def test_a_unit_chosen_for_no_torque_enters_nothing(
    client: TestClient, garage: Garage, enter: Enter, tern: str
) -> None:
    blank = FORM | dict.fromkeys(("torque_value", "torque_tolerance", "torque_source"), "")
    client.post("/joints/tern.coupler.to/edit", data=blank)
    assert _joint(garage) == ("t_bolt", 1, None, None, None)
    with garage.read() as db:
        fields = db.exec_driver_sql("SELECT fields FROM entry ORDER BY seq DESC LIMIT 1").scalar()
    assert fields == '{"hard_to_reach":true}'


def test_a_torque_is_taken_away_whole(client: TestClient, garage: Garage, tern: str) -> None:
    client.post("/joints/tern.coupler.to/edit", data=FORM)
    blank = FORM | dict.fromkeys(("torque_value", "torque_tolerance", "torque_source"), "")
    client.post("/joints/tern.coupler.to/edit", data=blank)
    assert _joint(garage) == ("t_bolt", 1, None, None, None)


def test_an_unknown_joint_is_said_to_be_unknown(client: TestClient, tern: str) -> None:
    assert client.get("/joints/none/edit").status_code == 404
