"""The pages a phone meets before it is in: anyone can use them, by day and by night."""

import threading
from collections.abc import Iterator
from datetime import UTC, datetime
from ipaddress import ip_address
from pathlib import Path

import pytest
import uvicorn

from app import serving
from app.phone.authority import Authority
from app.phone.helper_page import HelperPage
from app.phone.names import Place
from app.phone.pairing import new_link
from app.records.garage import Garage
from app.settings import THIS_MACHINE
from tests.browser.conftest import Axe, Phone, running
from tests.conftest import paired


@pytest.fixture
def helper(tmp_path: Path) -> Iterator[str]:
    """The address of the helper page, as a phone meets it."""
    authority = Authority.open(tmp_path / "lan", datetime.now(UTC))
    page = HelperPage(authority, Place("witnessmark-7k3f.local", 8443, 8444), [ip_address("192.168.1.20")])
    listening = serving.listen(THIS_MACHINE, 0)
    server = uvicorn.Server(uvicorn.Config(page, log_config=None, lifespan="off"))
    thread = threading.Thread(target=server.run, kwargs={"sockets": [listening]})
    thread.start()
    yield serving.address(listening).rstrip("/")
    server.should_exit = True
    thread.join()
    listening.close()


def test_a_phone_finds_its_way_through_the_helper_page(phone: Phone, helper: str, axe: Axe) -> None:
    phone.page.goto(helper)
    assert axe(phone.page) == []
    for summary in phone.page.locator("summary").all():
        summary.tap()
    assert phone.page.get_by_text("Certificate Trust Settings").is_visible()
    assert axe(phone.page) == []


def test_a_phone_without_a_link_is_told_how_to_get_one_and_one_with_it_comes_in(
    phone: Phone, garage: Garage, axe: Axe
) -> None:
    with running(garage) as address:
        phone.page.goto(f"{address}/pair")
        assert phone.page.get_by_text("witnessmark link").is_visible()
        assert axe(phone.page) == []
        link = new_link(garage, address)
        phone.page.goto(link)
        assert axe(phone.page) == []
        phone.page.get_by_label("What to call it").fill("Bay phone")
        phone.page.get_by_role("button", name="Pair this device").tap()
        phone.page.get_by_role("link", name="Add a car").wait_for()


def test_devices_are_found_from_the_settings_named_added_removed_and_put_back(
    phone: Phone, garage: Garage, served: str, axe: Axe
) -> None:
    page = phone.page
    paired(garage, "Old tablet")
    page.goto(f"{served}/settings")
    page.get_by_role("link", name="Devices").tap()
    page.get_by_text("(this device)").tap()
    assert axe(page) == []
    page.get_by_role("button", name="Add a device").tap()
    page.get_by_role("img", name="A code that holds the link below").wait_for()
    assert axe(page) == []
    page.get_by_role("link", name="Devices").tap()
    page.get_by_text("Old tablet", exact=True).tap()
    page.get_by_role("button", name="Remove Old tablet").tap()
    page.get_by_role("heading", name="Removed").wait_for()
    assert axe(page) == []
    page.get_by_role("button", name="Undo: put Old tablet back").tap()
    page.get_by_role("heading", name="Removed").wait_for(state="detached")
