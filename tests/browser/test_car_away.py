"""A car's page while nothing answers: all that is entered elsewhere shows on it as the garage will say it."""

from collections.abc import Iterator

import pytest
from playwright.sync_api import Browser

from app.pages.words import today
from tests.browser.away import Away
from tests.browser.conftest import SCREEN
from tests.browser.pocket import keep, put_away, run, told

CAR = "/cars/tern"
PUT_ON, DRIVE = f"{CAR}/stopgaps/new", f"{CAR}/drives/new"
STOPGAPS, EVENTS, PLAN = f"{CAR}/stopgaps", f"{CAR}/events", f"{CAR}/events/new"
JOBS = f"{CAR}/jobs"
LINE = "tern.boost_source"


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


def drive(away: Away, reads: str, cycles: str) -> None:
    page = away.pages[DRIVE]
    page.get_by_label("Odometer now").fill(reads)
    page.get_by_label("Heat cycles since").fill(cycles)
    away.tap(DRIVE, "Keep")


def test_a_stopgap_is_put_on_driven_past_its_limit_and_ended(away: Away) -> None:
    away.open(CAR, STOPGAPS, PUT_ON, DRIVE)
    away.leave()
    page = away.pages[PUT_ON]
    page.get_by_label("Line").select_option(LINE)
    page.get_by_label("What was used").fill("Tape and a barb\nfrom the drawer")
    page.get_by_label("Distance").fill("120")
    page.get_by_label("Days").fill("1")
    page.get_by_label("Part if known", exact=True).fill("Moulded hose")
    away.tap(PUT_ON, "Keep the stopgap")
    fresh = away.shows(CAR, STOPGAPS)
    assert "0 of 120 km used" in fresh[CAR]
    drive(away, "184 150", "2")
    shown = away.shows(CAR, STOPGAPS)
    assert "1.9 turbo estate · 184 150 km" in shown[CAR]
    assert "130 of 120 km used" in shown[CAR]
    assert any("past its limit" in line for line in shown[CAR])
    away.agrees(shown)


def test_a_stopgap_of_the_garage_is_ended_and_its_part_ordered(away: Away) -> None:
    with_part = "/stopgaps/tern.breather-tee-stopgap"
    away.open(CAR, STOPGAPS, with_part)
    away.leave()
    page = away.pages[with_part]
    page.get_by_text("The part and its order").tap()
    page.get_by_label("Expected on").fill(str(today()))
    away.tap(with_part, "Keep")
    ordered = away.shows(CAR, STOPGAPS, with_part)
    assert any(line.endswith("ordered, due today") for line in ordered[CAR])
    page.get_by_text("The permanent part", exact=True).tap()
    page.get_by_label("In a few words").fill("Tee came by post")
    page.get_by_role("button", name="End the stopgap").tap()
    page.get_by_text("Ended today.").wait_for()
    shown = away.shows(CAR, STOPGAPS, with_part)
    assert "Breather hose, crankcase to check valve, stopgap" not in shown[CAR]
    assert "Tee came by post" in shown[STOPGAPS]
    away.agrees(shown)


def test_an_event_is_planned_called_off_and_put_back(away: Away) -> None:
    away.open(CAR, EVENTS, PLAN)
    away.leave()
    page = away.pages[PLAN]
    page.get_by_label("What it is").fill("Drive home")
    page.get_by_text("drive home", exact=True).tap()
    page.get_by_label("Day", exact=True).fill(str(today()))
    away.tap(PLAN, "Plan it")
    assert "Drive home, today" in away.shows(CAR)[CAR]
    listed = away.pages[EVENTS]
    listed.bring_to_front()
    listed.get_by_role("button", name="Call off Drive home").tap()
    listed.get_by_role("button", name="Put back Drive home").tap()
    listed.get_by_role("button", name="Call off Drive home").tap()
    listed.get_by_role("button", name="Put back Drive home").wait_for()
    away.agrees(away.shows(CAR, EVENTS))


def test_a_job_with_its_loose_ends_stands_on_the_cars_page(away: Away) -> None:
    away.open(CAR, JOBS)
    away.leave()
    page = away.pages[CAR]
    job = {"car": "tern", "title": "Boost hose", "opened_at": "@now", "odometer": "184 060"}
    keep(page, told("job", "j1", **job))
    have = run(page, "return Object.keys(JSON.parse(document.getElementById('known').textContent))")
    lines = [ref.removeprefix("line/") for ref in have if ref.startswith("line/")][:5]
    for line in lines:
        keep(page, told("touch", f"j1.{line}", job="j1", line=line, how="disconnected", ends="both", at="@now"))
    keep(page, told("touch", f"j1.{lines[0]}", how="reached_past"), told("touch", f"j1.{lines[1]}", ends="from"))
    joint = f"{lines[1]}.from"
    keep(page, told("loose_end", f"j1.{joint}", job="j1", joint=joint, back_on_at="@now"))
    half = away.shows(CAR)[CAR]
    assert "7 loose ends, 6 still off" in half
    assert "5 touched, 1 back on, 0 checked" in half
    keep(page, told("check", f"j1.{joint}", car="tern", job="j1", joint=joint, done_at="@now", seated="yes"))
    keep(page, told("finding", "f1", car="tern", job="j1", line=lines[2], what="Rubbed", weight="act", seen_at="@now"))
    keep(
        page,
        told("recheck", "r1", car="tern", what="Clamps again", since_at="@now", after_days="1", after_heat_cycles="1"),
    )
    keep(page, told("drive", "d1", car="tern", at="@now", odometer="184 090", heat_cycles="1"))
    keep(page, told("ticket", "t1", car="tern", what="Hiss", noticed_at="@now", found_at="@now", found_line=lines[3]))
    shown = away.shows(CAR, JOBS)
    assert "6 loose ends, 6 still off" in shown[CAR]
    away.agrees(shown)


def test_a_job_closed_with_something_carried_over_and_one_closed_well(away: Away) -> None:
    away.open(CAR, JOBS)
    away.leave()
    page = away.pages[CAR]
    jobs = run(page, "return Object.keys(JSON.parse(document.getElementById('known').textContent))")
    open_job = next(ref.removeprefix("job/") for ref in jobs if ref.startswith("job/"))
    keep(page, told("job", open_job, closed_at="@now", carried_reason="No clamp in the house"))
    keep(page, told("job", "j2", car="tern", title="Wash", opened_at="@now"))
    keep(page, told("job", "j2", closed_at="@now"))
    shown = away.shows(CAR, JOBS)
    assert "Carried over: No clamp in the house" in shown[CAR]
    away.agrees(shown)
