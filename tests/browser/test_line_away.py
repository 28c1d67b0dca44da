"""A car's lines, joints and components are edited where nothing answers, and stand so once it does."""

from collections.abc import Iterator

import pytest
from playwright.sync_api import Browser, Page

from tests.browser.away import Away, said
from tests.browser.conftest import SCREEN
from tests.browser.pocket import put_away

LINE = "/lines/tern.boost_source"
REPLACE, EDIT, RETIRE = f"{LINE}/replace", f"{LINE}/edit", f"{LINE}/retire"
JOINT = "/joints/tern.boost_source.from/edit"
NEW_LINE, NEW_COMPONENT = "/cars/tern/lines/new", "/cars/tern/components/new"


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


def facts(page: Page) -> list[str]:
    """A line's facts and its two ends; what was done to it is told by the garage alone."""
    lines = said(page)
    whole = lines[: lines.index("Its two ends") + 6]
    return [line for line in whole if not line.startswith(("Last touched", "On it since"))]


def test_a_line_is_replaced_in_a_job_with_another_clamp(away: Away) -> None:
    away.open(LINE, REPLACE)
    away.leave()
    page = away.pages[REPLACE]
    page.get_by_label("Made of").select_option(label="silicone")
    page.get_by_label("Part if known", exact=True).fill("Silicone hose, 5 mm")
    page.locator("[name=from_hold]").select_option(label="worm-drive clamp")
    page.get_by_label("Replaced in").select_option(label="Throttle coupler and breather")
    away.tap(REPLACE, "It is replaced")
    shown = away.shows(LINE)[LINE]
    for line in ("silicone", "replaced, Silicone hose, 5 mm", "worm-drive clamp"):
        assert any(line in one for one in shown), line
    came = away.come_back([LINE])[LINE]
    assert "replaced today" in came
    assert any("On: Silicone hose, 5 mm" in one for one in came)
    assert [one for one in shown if one in came and "silicone" in one] != []


def test_an_edit_sends_only_what_was_typed(away: Away) -> None:
    away.open(LINE, EDIT)
    away.leave()
    away.pages[EDIT].get_by_label("Bore").fill("6,5")
    away.tap(EDIT, "Keep")
    shown = facts(away.pages[LINE]) if away.shows(LINE) else []
    assert "6.5 mm" in shown
    away.come_back([LINE])
    entries = away.pages[LINE]
    entries.goto(away.garage + "/records/line/tern.boost_source/history")
    newest = entries.locator("ol.told > li").first.inner_text().splitlines()
    newest = [line for line in newest if line]
    assert [line for line in newest if ":" in line and "bore" in line.lower()] == newest[1:]


def test_a_line_comes_off_for_good_and_back(away: Away) -> None:
    away.open(LINE, RETIRE)
    away.leave()
    away.pages[RETIRE].get_by_label("Why").fill("Capped at both ends")
    away.tap(RETIRE, "Retire it")
    assert "Retired today. Capped at both ends" in away.shows(LINE)[LINE]
    away.tap(LINE, "Bring it back")
    assert "Capped at both ends" not in " ".join(away.shows(LINE)[LINE])
    assert "Retired" not in " ".join(away.come_back([LINE])[LINE])


def test_a_joints_torque_needs_its_source(away: Away) -> None:
    away.open(LINE, JOINT)
    away.leave()
    page = away.pages[JOINT]
    page.get_by_label("Torque", exact=False).first.fill("3")
    page.get_by_role("button", name="Keep").tap()
    page.get_by_text("Say where the figure is from").wait_for()
    page.get_by_label("Where the figure is from").fill("Clamp maker's sheet")
    away.tap(JOINT, "Keep")
    assert "3.0 N·m, Clamp maker's sheet" in away.come_back([LINE])[LINE]


def test_a_component_and_a_line_are_added(away: Away) -> None:
    away.open("/cars/tern/air-path", NEW_LINE, NEW_COMPONENT)
    away.leave()
    page = away.pages[NEW_COMPONENT]
    page.get_by_label("What you call it").fill("Second catch can")
    page.get_by_label("What it is").select_option(label="Catch can")
    away.tap(NEW_COMPONENT, "Add the component")
    page = away.pages[NEW_LINE]
    page.get_by_label("What you call it").fill("Can to filter")
    page.get_by_label("What it does").select_option(index=1)
    page.locator("[name=from_component]").select_option(index=1)
    page.locator("[name=to_component]").select_option(index=2)
    page.locator("[name=to_hold]").select_option(label="worm-drive clamp")
    away.tap(NEW_LINE, "Add the line")
    path = away.come_back(["/cars/tern/air-path"])["/cars/tern/air-path"]
    assert "Second catch can" in path
    assert "Can to filter" in path
