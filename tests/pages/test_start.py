from starlette.testclient import TestClient


def test_the_home_screen_starts_where_the_last_car_is_found(client: TestClient) -> None:
    manifest = client.get("/manifest.webmanifest").json()
    assert manifest["start_url"] == "/start"
    assert manifest["display"] == "standalone"
    assert client.get(manifest["start_url"]).status_code == 200


def test_the_icons_are_as_large_as_they_say(client: TestClient) -> None:
    icons = client.get("/manifest.webmanifest").json()["icons"]
    assert {icon["purpose"] for icon in icons} == {"any", "maskable"}
    for icon in icons:
        answer = client.get(icon["src"])
        assert answer.headers["content-type"] == "image/png"
        # Width and height stand at byte 16 of a PNG (ISO/IEC 15948, 11.2.2 IHDR).
        size = (int.from_bytes(answer.content[16:20]), int.from_bytes(answer.content[20:24]))
        assert f"{size[0]}x{size[1]}" == icon["sizes"]


def test_a_page_names_its_icon_and_its_manifest(client: TestClient) -> None:
    text = client.get("/cars").text
    assert 'rel="manifest" href="/manifest.webmanifest"' in text
    assert 'rel="apple-touch-icon"' in text


def test_the_page_for_when_nothing_answers_leads_on_without_the_garage(client: TestClient) -> None:
    text = client.get("/away").text
    assert "The garage does not answer" in text
    assert "kept on this phone and sent once the garage answers" in text
