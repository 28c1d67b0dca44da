"""Labels: the sheet, its codes, and that each leads to this garage's own page."""

import re
from collections.abc import Iterator

import pytest
import segno
from starlette.testclient import TestClient

from app.main import create_app
from app.phone import code
from app.phone.cookie import PLAIN_COOKIE
from app.records.garage import Garage
from tests.conftest import Enter, paired
from tests.seen import seen

ORIGIN = "https://witnessmark-bay.local:8443"


@pytest.fixture
def reached(garage: Garage) -> Iterator[TestClient]:
    """A garage that is reached by its permanent name."""
    here = ("127.0.0.1", 50_000)
    with TestClient(create_app(garage, ORIGIN), "http://localhost", client=here, follow_redirects=False) as opened:
        opened.cookies.set(PLAIN_COOKIE, paired(garage, "bench laptop"))
        yield opened


def test_a_label_says_its_name_and_number_and_bears_the_permanent_address(reached: TestClient, tern: str) -> None:
    page = reached.get("/labels?for=line/tern.coupler&for=component/tern.throttle").text
    text = seen(page)
    assert "1 · Throttle coupler" in text
    assert "Silicone, 63 mm" in text
    assert "2 labels" in text
    assert f"Code for {ORIGIN}/components/tern.throttle" in page
    picture = reached.get("/labels/code.svg?for=line/tern.coupler")
    assert picture.headers["content-type"] == "image/svg+xml"
    assert picture.content == code.svg_file(f"{ORIGIN}/lines/tern.coupler")


def test_the_picture_of_a_code_is_the_code_itself() -> None:
    """Drawn again from the picture's own path, module for module: dark ones run from left to right."""
    text = f"{ORIGIN}/lines/tern.coupler"
    path = re.findall(r'd="([^"]+)"', code.svg_file(text).decode())[-1]
    dark, x, y = set(), 0.0, 0.0
    for command, numbers in re.findall(r"([Mmh])([-\d. ]+)", path):
        told = [float(n) for n in numbers.split()]
        if command == "h":
            dark |= {(int(x + n), int(y)) for n in range(int(told[0]))}
            x += told[0]
        else:
            x, y = (told[0], told[1]) if command == "M" else (x + told[0], y + told[1])
    rows = segno.make(text, error="m", micro=False).matrix_iter(border=4)
    assert dark == {(x, y) for y, row in enumerate(rows) for x, module in enumerate(row) if module}


def test_what_is_not_in_the_record_gets_no_label(client: TestClient, tern: str, enter: Enter) -> None:
    enter("line", "tern.inlet", void_reason="Never there")
    for address in ("/labels", "/labels?for=line/none", "/labels?for=job/x", "/labels?for=line/tern.inlet"):
        assert client.get(address).status_code == 404, address
    assert client.get("/labels/code.svg?for=job/x").status_code == 404
    assert client.get("/labels/code.svg?for=line/../../x").status_code == 404


def test_a_shelf_box_is_labelled_too(client: TestClient, tern: str, enter: Enter) -> None:
    enter("part", "elbow", car=tern, name="Elbow ninety", kind="hose", state="shelf", bore_mm=63, material="silicone")
    enter("part", "far", car=tern, name="Not bought yet", kind="hose", state="wanted")
    chosen = seen(client.get(f"/cars/{tern}/labels").text)
    assert "Elbow ninety On the shelf, silicone, 63 mm" in chosen
    assert "Not bought yet" not in chosen
    assert "On the shelf, silicone, 63 mm" in seen(client.get("/labels?for=part/elbow").text)


def test_a_sheet_begun_before_is_gone_on_with(client: TestClient, tern: str) -> None:
    page = client.get("/labels?for=line/tern.coupler&start=4").text
    assert page.count('class="label free"') == 3
    assert client.get("/labels?for=line/tern.coupler&start=99").text.count('class="label free"') == 23
    assert client.get("/labels?for=line/tern.coupler&start=x").text.count('class="label free"') == 0


def test_a_garage_nobody_else_can_reach_says_so_before_paper_is_wasted(
    client: TestClient, reached: TestClient, tern: str
) -> None:
    address = "/labels?for=line/tern.coupler"
    assert "served to this computer alone" in seen(client.get(address).text)
    assert "served to this computer alone" not in seen(reached.get(address).text)


def test_a_line_and_a_component_offer_their_label(client: TestClient, tern: str) -> None:
    assert 'href="/labels?for=line/tern.coupler"' in client.get("/lines/tern.coupler").text
    assert 'href="/labels?for=component/tern.throttle"' in client.get("/components/tern.throttle").text


def test_the_scanner_says_what_to_do_without_one_and_may_use_the_camera_here_alone(client: TestClient) -> None:
    answer = client.get("/scan")
    assert "own camera app" in seen(answer.text)
    assert "camera=(self)" in answer.headers["permissions-policy"]
