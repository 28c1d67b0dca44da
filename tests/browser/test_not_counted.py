"""What only the garage works out says how much of this phone's is not in it yet, and no more once it has been sent."""

from collections.abc import Iterator

import pytest
from playwright.sync_api import Browser, Page, expect

from app.records.garage import Garage
from tests.browser.conftest import SCREEN, let_in, running
from tests.browser.pocket import AWAY, keep, lay, put_away, rest, send, told, weather_before
from tests.conftest import Enter
from tests.torture.proxy import FAIR, Proxy


@pytest.fixture
def phone(browser: Browser, garage: Garage, tern: str, enter: Enter) -> Iterator[tuple[Page, str, Proxy]]:
    """A phone that sees the garage's pages, and whose entries get no further."""
    enter("car", "other", name="Other", layout="direct-signal")
    enter("job", "j1", car=tern, title="Boost leak", opened_at="2026-04-18T10:40")
    enter("job", "j2", car="other", title="Oil", opened_at="2026-04-18T10:40")
    read = {"what": "idle_vacuum", "condition": "warm", "value": 19, "unit": "inHg", "basis": "vacuum"}
    enter("reading", "r1", car=tern, taken_at="2026-04-18T10:40", **read)
    with running(garage) as served, weather_before(served) as (proxy, address):
        context = browser.new_context(viewport=SCREEN, service_workers="block")
        let_in(context, garage, address)
        page = rest(context, address)
        proxy.weather = AWAY
        yield page, address, proxy
        put_away(context)


def notes(page: Page, address: str) -> list[str]:
    page.goto(address)
    lay(page)
    return [" ".join(one.split()) for one in page.locator("[data-not-counted]:visible").all_inner_texts()]


@pytest.mark.parametrize(
    ("path", "how_many"),
    [
        ("/cars", ["2 entries", "1 entry"]),
        ("/cars/tern/air-path", ["3 entries"]),
        ("/cars/other/air-path", ["1 entry"]),
        ("/cars/tern/build-sheet", ["1 entry"]),
        ("/cars/other/build-sheet", []),
        ("/readings/r1", ["1 entry"]),
    ],
)
def test_a_page_says_what_is_not_in_it_yet(phone: tuple[Page, str, Proxy], path: str, how_many: list[str]) -> None:
    page, address, proxy = phone
    job = {"how": "reached_past", "at": "@now"}
    keep(
        page,
        told("touch", "j1.tern.inlet", job="j1", line="tern.inlet", **job),
        told("touch", "j2.x", job="j2", line="tern.coupler", **job),
        told("line", "tern.inlet", car="tern", bore_mm="6"),
        told("check", "c1", car="tern", what="Clamps", done_at="@now"),
        told("baseline", "tern.idle_vacuum.warm", car="tern", what="idle_vacuum", condition="warm", centre="19",
             spread="1", unit="inHg", basis="vacuum"),
    )  # fmt: skip
    lay(page)
    # A list of cars has a line for each that has any, by name.
    expected = [f"Not yet counted in this: {n} of this phone" for n in sorted(how_many)]
    assert sorted(one.removesuffix(". Look") for one in notes(page, address + path)) == expected
    proxy.weather = FAIR
    send(page)
    assert notes(page, address + path) == []
    expect(page.locator("#waiting")).to_be_hidden()
