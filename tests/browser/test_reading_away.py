"""Entered where nothing answers: what the phone shows of it is what the garage's own pages say once all is sent."""

from collections.abc import Iterator

import pytest
from playwright.sync_api import Browser

from app.airpath.readings import READINGS
from tests.browser.away import Away
from tests.browser.conftest import SCREEN
from tests.browser.pocket import keep, put_away, told

CAR = "/cars/tern"
LISTS = (CAR, f"{CAR}/readings", f"{CAR}/readings/idle_vacuum?condition=warm")
FIGURES = {
    "idle_vacuum": "14,25",
    "first_start_vacuum": "15",
    "peak_boost": "1.125",
    "steady_boost": "0,9",
    "vacuum_recovery": "0.4",
    "fuel_trim_idle": "-3,5",
    "fuel_trim_load": "2",
    "airflow_idle": "4.05",
    "free": "98",
}


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


def form(kind: str) -> str:
    return f"{CAR}/readings/new/{kind}"


def test_a_reading_of_every_kind_stands_in_the_lists_as_it_will(away: Away) -> None:
    assert FIGURES.keys() == {kind.value for kind in READINGS}
    away.open(*LISTS, *map(form, FIGURES))
    before = away.shows(*LISTS)
    away.leave()
    for kind, figure in FIGURES.items():
        page = away.pages[form(kind)]
        page.get_by_label("Figure").fill(figure)
        if kind == "free":
            page.get_by_label("What was read").fill("Oil temperature")
            page.get_by_label("Unit", exact=True).fill("°C")
        page.get_by_text("Yes" if kind.startswith("fuel") else "No", exact=True).tap()
        away.tap(form(kind), "Keep the reading")
    shown = away.shows(*LISTS)
    for figure in ("14.2", "1.12", "\u22123.5", "Oil temperature", "98"):
        assert any(figure in line for line in shown[CAR]), figure
    assert any("outside" in line for line in shown[LISTS[2]])
    assert shown != before
    away.agrees(shown)


def test_what_is_usual_changes_with_a_mark_and_a_statement(away: Away) -> None:
    usual = f"{CAR}/baselines/idle_vacuum/warm"
    away.open(*LISTS, usual)
    away.leave()
    before = away.shows(*LISTS)
    button = away.pages[LISTS[2]].get_by_role("button", name="Mark healthy").first
    away.tap(LISTS[2], button.get_attribute("aria-label") or "")
    marked = away.shows(*LISTS)
    assert marked[LISTS[2]] != before[LISTS[2]]
    away.agrees(marked)
    away.leave()
    page = away.pages[usual]
    page.get_by_label("Usually").fill("14,5")
    page.get_by_label("Give or take").fill("0.5")
    away.tap(usual, "This is usual")
    stated = away.shows(*LISTS)
    assert marked[CAR] != stated[CAR]
    assert any("usually 14.5 ± 0.5 inHg" in line for line in stated[CAR])
    page.get_by_text("As you stated it. This counts.").wait_for()
    away.agrees(stated)


def test_a_reading_beside_one_struck_out_and_one_of_another_height(away: Away) -> None:
    away.open(*LISTS, form("idle_vacuum"))
    latest = away.pages[LISTS[2]].locator("[data-past-of] > [data-record]").first.get_attribute("data-record") or ""
    away.leave()
    keep(away.pages[CAR], told("reading", latest.removeprefix("reading/"), void_reason="Wrong hose"))
    page = away.pages[form("idle_vacuum")]
    page.get_by_label("Figure").fill("16")
    page.get_by_label("Height above the sea").fill("1524")
    away.tap(form("idle_vacuum"), "Keep the reading")
    shown = away.shows(*LISTS)
    away.agrees(shown)
