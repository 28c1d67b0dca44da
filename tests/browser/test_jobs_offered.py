"""Which jobs a form offers to do something in, where nothing answers: those that are open on this phone."""

from collections.abc import Iterator

import pytest
from playwright.sync_api import Browser, Page, expect

from tests.browser.away import Away
from tests.browser.conftest import SCREEN
from tests.browser.pocket import keep, lay, put_away, told, waiting

FIT, REPLACE, PART = "/parts/tern.coupler-63/fit", "/lines/tern.throttle_coupler/replace", "/parts/tern.coupler-63"


@pytest.fixture
def away(browser: Browser, served_demo: str) -> Iterator[Away]:
    context = browser.new_context(viewport=SCREEN, has_touch=True, service_workers="block", reduced_motion="reduce")
    context.set_default_timeout(15_000)
    opened = Away(browser, served_demo, context)
    yield opened
    put_away(context)
    assert opened.troubles == []


def laid(away: Away, address: str) -> Page:
    page = away.pages[address]
    page.bring_to_front()
    lay(page)
    return page


def offered(page: Page) -> list[str]:
    """What is there to choose from, as a person sees it, without what opens a new job or means none."""
    found: list[str] = page.evaluate("""() => [...document.querySelectorAll("[name=job][data-old], [name=job] option")]
      .filter(one => !one.hidden && one.value).map(one => (one.label || one.closest("label").innerText).trim())""")
    return found


def test_a_job_closed_on_the_phone_is_not_offered_to_do_something_in(away: Away) -> None:
    away.open(FIT, REPLACE)
    before = {address: offered(away.pages[address]) for address in (FIT, REPLACE)}
    assert before[FIT] == before[REPLACE] != []
    page = away.pages[FIT]
    running = page.locator("[name=job][data-old]").first.get_attribute("value")
    away.leave()
    keep(page, told("job", str(running), closed_at="@now"))
    assert offered(laid(away, REPLACE)) == offered(laid(away, FIT)) == before[FIT][1:]
    page.get_by_role("button", name="It is fitted").tap()
    expect(page.get_by_text("Choose the job this is done in, or open one.")).to_be_visible()
    assert len(waiting(page)) == 1
    keep(page, told("job", str(running), closed_at=""))
    assert offered(laid(away, REPLACE)) == offered(laid(away, FIT)) == before[FIT]


def test_a_job_opened_on_the_phone_is_offered_until_it_is_closed(away: Away) -> None:
    away.open(FIT, REPLACE, PART)
    before = offered(away.pages[FIT])
    away.leave()
    new = {"car": "tern", "opened_at": "@now"}
    page = away.pages[FIT]
    keep(page, told("job", "coupler", title="Coupler in the lay-by", **new))
    keep(page, told("job", "done", title="Done already", **new), told("job", "done", closed_at="@now"))
    for address in (FIT, REPLACE):
        assert sorted(offered(laid(away, address))) == sorted([*before, "Coupler in the lay-by"])
    laid(away, FIT).locator("label", has_text="Coupler in the lay-by").tap()
    away.tap(FIT, "It is fitted")
    came = away.come_back([PART])[PART]
    assert any("In the job Coupler in the lay-by" in one for one in came)
