"""Parts and the plan by touch, where the garage answers and where it does not."""

import re
from collections.abc import Iterator

import pytest
from playwright.sync_api import Browser, Page, expect

from tests.browser.away import Away
from tests.browser.conftest import SCREEN, Axe, Phone
from tests.browser.pocket import put_away

LIST, NEW, HOSE = "/cars/tern/parts", "/cars/tern/parts/new", "/parts/tern.actuator-hose"
COUPLER = "/parts/tern.coupler-63"
FIT, LINE = f"{COUPLER}/fit", "/lines/tern.throttle_coupler"
DAMPER = "/parts/tern.damper-sport"


@pytest.fixture
def away(browser: Browser, served_demo: str) -> Iterator[Away]:
    context = browser.new_context(
        viewport=SCREEN, is_mobile=True, has_touch=True, service_workers="block", reduced_motion="reduce"
    )
    context.set_default_timeout(30_000)
    opened = Away(browser, served_demo, context)
    yield opened
    put_away(context)
    assert opened.troubles == []


def test_a_part_is_written_down_and_another_comes_with_nothing_answering(away: Away) -> None:
    away.open(LIST, NEW, HOSE)
    away.leave()
    page = away.pages[NEW]
    page.get_by_label("What it is").fill("Boost tap")
    page.get_by_text("here", exact=True).tap()
    page.get_by_label("Another place").fill("Beside the actuator")
    away.tap(NEW, "Keep")
    away.tap(HOSE, "It came")
    shown = away.shows(LIST, HOSE)
    assert "It is here since today." in shown[HOSE]
    here = shown[LIST].index("Here")
    assert "Boost tap" in shown[LIST][here:]
    assert "Actuator hose, silicone 5 mm" in shown[LIST][here:]
    assert shown[LIST].count("Actuator hose, silicone 5 mm") == 1
    came = away.come_back([LIST, HOSE])
    assert "It is here since today." in came[HOSE]
    assert set(shown[LIST]) == set(came[LIST])


def test_a_hose_is_fitted_in_a_job_with_nothing_answering(away: Away) -> None:
    away.open(FIT, COUPLER, LINE)
    away.leave()
    page = away.pages[FIT]
    page.get_by_text("Open a job for it").tap()
    page.get_by_label("What the new job is called").fill("Coupler at last")
    page.get_by_text("To the shelf", exact=True).tap()
    page.get_by_label("What came off").fill("Rubber coupler, second one")
    away.tap(FIT, "It is fitted")
    shown = away.shows(COUPLER, LINE)
    assert "It is fitted since today, at 184 020 km." in [one.replace("\u202f", " ") for one in shown[COUPLER]]
    assert "replaced, Silicone coupler, 63 mm" in shown[LINE]
    came = away.come_back([COUPLER, LINE, LIST])
    assert any("In the job Coupler at last" in one for one in came[COUPLER])
    assert "replaced, Silicone coupler, 63 mm" in came[LINE]
    assert came[LIST].index("On the shelf") < came[LIST].index("Rubber coupler, second one")


def test_needs_are_ticked_off_added_and_taken_out_with_nothing_answering(away: Away) -> None:
    away.open(DAMPER, LIST)
    away.leave()
    page = away.tap(DAMPER, "A day booked on the alignment bench: it is met")
    expect(page.get_by_text("Met", exact=True)).to_be_visible()
    page.get_by_text("One more thing it needs").tap()
    page.get_by_label("A tool", exact=True).select_option(label="a smoke machine")
    away.tap(DAMPER, "A tool: add it")
    came = away.come_back([DAMPER])[DAMPER]
    assert "Met" in came
    assert "A smoke machine" in came


def test_a_cycle_is_refused_on_the_phone_with_the_way_round_named(phone: Phone, served_demo: str) -> None:
    page = phone.page
    page.goto(f"{served_demo}/parts/tern.cooler")
    page.get_by_text("One more thing it needs").tap()
    page.get_by_label("Fitted first", exact=True).select_option(label="Tune for the cooler air")
    page.get_by_role("button", name="Fitted first: add it").tap()
    said = "Front-mounted intercooler needs Tune for the cooler air, which needs Hot charge pipe, 60 mm, which needs"
    expect(page.locator(".wrong").filter(has_text=said)).to_be_visible()
    expect(page.locator("#waiting")).to_be_hidden()


def test_a_box_of_the_graph_opens_its_part(phone: Phone, served_demo: str) -> None:
    phone.page.goto(f"{served_demo}/cars/tern/plan")
    box = phone.page.get_by_role("link", name=re.compile("^Front-mounted intercooler"))
    size = box.locator(".box").bounding_box()
    assert size
    assert size["height"] >= 64
    box.tap()
    expect(phone.page).to_have_url(re.compile("/parts/tern.cooler$"))
    phone.page.wait_for_load_state("networkidle")


def test_of_a_specification_only_what_makes_sense_is_asked(phone: Phone, served_demo: str) -> None:
    page = phone.page
    page.goto(f"{served_demo}{NEW}")
    for kind, there, not_there in (
        ("hose or pipe", "Bore", "Thread"),
        ("fastener", "Thread", "Bore"),
        ("clamp", "Smallest diameter", "Plies"),
    ):
        page.get_by_text(kind, exact=True).tap()
        expect(page.get_by_label(there)).to_be_visible()
        expect(page.get_by_label(not_there)).to_be_hidden()


@pytest.mark.parametrize(
    "path", ["/cars/tern/plan", LIST, NEW, HOSE, "/parts/tern.tune", FIT, f"{DAMPER}/fit", "/cars/tern/money"]
)
def test_the_pages_are_accessible_and_fit_the_screen(phone: Phone, served_demo: str, axe: Axe, path: str) -> None:
    page: Page = phone.page
    page.goto(served_demo + path)
    for one in page.locator("details").all():
        one.evaluate("it => it.open = true")
    assert axe(page) == []
    assert page.evaluate("document.documentElement.scrollWidth") <= SCREEN["width"]
