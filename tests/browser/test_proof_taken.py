"""A reading taken since the repair proves a ticket on its own page, with a garage and without one, sent or waiting."""

from collections.abc import Iterator

import pytest
from playwright.sync_api import Browser, Locator, Page, expect

from app.records.garage import Garage
from tests.browser.conftest import SCREEN, let_in, running
from tests.browser.pocket import AWAY, keep, lay, put_away, rest, run, send, told, waiting, weather_before
from tests.conftest import Enter
from tests.torture.proxy import FAIR, Proxy

IDLE = {"what": "idle_vacuum", "condition": "warm", "unit": "inHg", "basis": "vacuum"}


@pytest.fixture(params=["away", "at the garage"])
def phone(
    browser: Browser, garage: Garage, tern: str, enter: Enter, request: pytest.FixtureRequest
) -> Iterator[tuple[Page, str, Proxy]]:
    enter("baseline", f"{tern}.idle_vacuum.warm", car=tern, centre=19.5, spread=0.6, **IDLE)
    enter("ticket", "t1", car=tern, what="Boost wanders", noticed_at="2026-04-18T10:40")
    enter("reading", "early", car=tern, value=19.4, taken_at="2026-04-19T09:00", **IDLE)
    enter("ticket", "t1", found_at="2026-04-19T10:00", found_line="tern.inlet", found_wrong="Split")
    enter("ticket", "t1", repaired_at="2026-04-19T11:00", repaired_how="for_good")
    with running(garage) as served, weather_before(served) as (proxy, address):
        context = browser.new_context(viewport=SCREEN, service_workers="block", has_touch=True)
        let_in(context, garage, address)
        page = rest(context, address)
        proxy.weather = AWAY if request.param == "away" else FAIR
        yield page, address, proxy
        put_away(context)


def proving(page: Page, address: str) -> Locator:
    """The ticket's page with the ways to prove it unfolded; what is said of a reading taken since."""
    page.goto(f"{address}/tickets/t1")
    run(page, "await bay('bay.js');")
    page.locator("#proved summary").first.tap()
    expect(page.locator("#proved [data-form] details")).not_to_have_count(0)
    page.locator("#proved [data-form] summary").first.tap()
    lay(page)
    return page.locator("#proved form:has([name=proof_reading][data-value])").first


def stands(garage: Garage) -> tuple[object, ...]:
    with garage.read() as db:
        return tuple(db.exec_driver_sql("SELECT stands, proof_reading FROM ticket").one())


def prove(page: Page, form: Locator, proxy: Proxy) -> None:
    form.get_by_role("button", name="Proved by this one").tap()
    expect(page.locator("#proved")).to_be_hidden()
    proxy.weather = FAIR
    send(page)
    assert waiting(page) == []


def test_one_from_before_the_repair_proves_nothing(phone: tuple[Page, str, Proxy]) -> None:
    page, address, _ = phone
    expect(proving(page, address)).to_be_hidden()


def test_one_the_garage_has_proves_it(phone: tuple[Page, str, Proxy], garage: Garage, enter: Enter) -> None:
    page, address, proxy = phone
    enter("reading", "r1", car="tern", value=19.4, taken_at="2026-04-19T12:00", **IDLE)
    form = proving(page, address)
    expect(form).to_contain_text("Taken since: 19.4 inHg, 19 Apr 2026 12:00", use_inner_text=True)
    prove(page, form, proxy)
    assert stands(garage) == ("proved", "r1")


def test_the_latest_counts_though_it_still_waits_and_is_asked_about_if_it_is_not_back(
    phone: tuple[Page, str, Proxy], garage: Garage, enter: Enter
) -> None:
    page, address, proxy = phone
    enter("reading", "r1", car="tern", value=19.4, taken_at="2026-04-19T12:00", **IDLE)
    keep(page, told("reading", "r2", car="tern", value="17,5", taken_at="@now", **IDLE))
    form = proving(page, address)
    expect(form).to_contain_text("Taken since: 17.5 inHg, today", use_inner_text=True)
    form.get_by_role("button", name="Proved by this one").tap()
    question = form.get_by_label("inHg is not back in the usual 19.5 ± 0.6 inHg. Is it fixed all the same?")
    question.check()
    prove(page, form, proxy)
    assert stands(garage) == ("proved", "r2")


def test_of_another_scale_it_is_the_person_who_says_whether_it_is_back(phone: tuple[Page, str, Proxy]) -> None:
    page, address, _ = phone
    bar = IDLE | {"unit": "bar"}
    keep(page, told("reading", "r2", car="tern", value="0,65", taken_at="@now", **bar))
    form = proving(page, address)
    form.get_by_role("button", name="Proved by this one").tap()
    expect(form.get_by_label("bar is on another scale than the usual 19.5 ± 0.6 inHg.")).to_be_visible()
