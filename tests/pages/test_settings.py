from starlette.testclient import TestClient

from app.records.garage import Garage


def test_gloves_make_targets_larger_for_a_year(client: TestClient) -> None:
    answer = client.post("/settings", data={"gloves": "on"})
    assert answer.status_code == 303
    kept = [one for one in answer.headers.get_list("set-cookie") if one.startswith("gloves=on")]
    assert "Max-Age=31536000" in kept[0]
    assert '<body class="gloves">' in client.get("/settings").text
    client.post("/settings", data={"gloves": "off"})
    assert "<body>" in client.get("/settings").text


def test_anything_else_than_on_is_off(client: TestClient) -> None:
    client.post("/settings", data={"gloves": "<b>"})
    assert "<body>" in client.get("/settings").text


def test_the_data_folder_is_shown(client: TestClient, garage: Garage) -> None:
    assert str(garage.settings.data) in client.get("/settings").text
