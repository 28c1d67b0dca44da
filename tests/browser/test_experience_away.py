"""What a fitter knows better, said where nothing answers: it shows on the page as the garage will say it."""

from collections.abc import Iterator

import pytest
from playwright.sync_api import Browser, Page, expect

from tests.browser.away import Away
from tests.browser.conftest import SCREEN
from tests.browser.pocket import put_away

PAGE, TOOLS = "/cars/tern/experience", "/tools"
SUSPECT, GRADE = "/cars/tern/own-suspects/new", "/cars/tern/overrules/new"
LESSON = "Hardly any pull since the clutch"


@pytest.fixture
def away(browser: Browser, served_demo: str) -> Iterator[Away]:
    context = browser.new_context(
        viewport=SCREEN, is_mobile=True, has_touch=True, service_workers="block", reduced_motion="reduce"
    )
    context.set_default_timeout(10_000)
    opened = Away(browser, served_demo, context)
    yield opened
    put_away(context)
    assert opened.troubles == []


def suspect(away: Away, label: str) -> None:
    page = away.pages[SUSPECT]
    page.get_by_label("What it is").fill(label)
    page.get_by_label("It behaves like").select_option("charge")
    page.get_by_text("Twice as likely", exact=True).tap()
    away.tap(SUSPECT, "Add it")


def grade(page: Page, how_often: str, note: str) -> None:
    page.get_by_text("Needle at idle", exact=True).tap()
    form = page.locator("#sign-idle_needle form")
    form.get_by_label("With this at fault").select_option("gauge")
    form.get_by_text("Wanders slowly", exact=True).tap()
    form.get_by_text(how_often, exact=True).tap()
    form.get_by_label("How you know").fill(note)
    form.get_by_role("button", name="Overrule it").tap()


def test_a_tool_is_said_to_be_there_or_not(away: Away) -> None:
    away.open(TOOLS, PAGE)
    away.leave()
    page = away.pages[TOOLS]
    machine = page.get_by_role("group", name="Smoke machine")
    expect(machine.get_by_role("button", name="Not there")).to_have_attribute("aria-pressed", "true")
    machine.get_by_role("button", name="There", exact=True).tap()
    expect(machine.get_by_role("button", name="There", exact=True)).to_have_attribute("aria-pressed", "true")
    expect(machine.get_by_role("button", name="Not there")).to_have_attribute("aria-pressed", "false")
    away.agrees(away.shows(TOOLS))
    page.reload()
    expect(machine.get_by_role("button", name="There", exact=True)).to_have_attribute("aria-pressed", "true")


def test_a_suspect_is_added_and_a_lesson_left_out(away: Away) -> None:
    away.open(PAGE, SUSPECT)
    away.leave()
    suspect(away, "Weld seam at the end tank")
    away.tap(PAGE, f"Does not teach {LESSON}")
    shown = away.shows(PAGE)
    assert "Weld seam at the end tank" in shown[PAGE]
    assert "Behaves like: Charge pipe" in shown[PAGE]
    assert "Left out: it teaches nothing" in shown[PAGE]
    away.agrees(shown)


def test_a_suspect_added_away_is_struck_out_away(away: Away) -> None:
    away.open(PAGE, SUSPECT)
    away.leave()
    suspect(away, "Weld seam")
    away.shows(PAGE)
    away.tap(PAGE, "Strike out Weld seam")
    shown = away.shows(PAGE)
    assert "Weld seam" in shown[PAGE][shown[PAGE].index("Struck out") :]
    away.agrees(shown)


def test_a_grade_is_overruled(away: Away) -> None:
    away.open(PAGE, GRADE)
    away.leave()
    grade(away.pages[GRADE], "Almost never", "The dial is damped")
    expect(away.pages[PAGE].locator("#waiting b")).not_to_have_text("")
    shown = away.shows(PAGE)
    assert "The needle wanders at idle: almost never" in shown[PAGE]
    away.agrees(shown)


def test_what_is_missing_is_said_at_its_box_and_nothing_is_kept(away: Away) -> None:
    away.open(PAGE, GRADE)
    away.leave()
    grade(away.pages[GRADE], "Often", "")
    wrong = away.pages[GRADE].locator("#sign-idle_needle [aria-invalid=true]")
    expect(wrong).to_have_attribute("name", "note")
    expect(away.pages[GRADE].locator("#waiting")).to_be_hidden()
