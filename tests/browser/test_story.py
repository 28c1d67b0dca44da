"""One car's story by touch: built from its layout, worked on, gone bad, hunted down, repaired, proved, and not."""

import re
from datetime import datetime, timedelta

from playwright.sync_api import Browser, Page, expect

from app.records.garage import Garage
from tests.browser.conftest import DAY_AND_NIGHT, Axe, Phone, in_hand, pair, running
from tests.browser.hand import choose, expect_wrong, heading, number_of, tap, tap_number, tap_row, tap_within, write

ACTUATOR = "Boost solenoid actuator hose, solenoid to actuator"
COUPLER = "Intercooler to throttle coupler"
GAUGE = "Gauge hose, manifold tee to gauge"


def ago(**since: float) -> str:
    """A moment as a phone's own picker fills it in."""
    return (datetime.now() - timedelta(**since)).strftime("%Y-%m-%dT%H:%M")  # noqa: DTZ005  the phone's own clock


@DAY_AND_NIGHT
def test_from_a_layout_to_a_fault_proved_fixed_and_back(phone: Phone, address: str, garage: Garage, axe: Axe) -> None:
    page = phone.page
    pair(page, garage, address)
    page.goto(address)
    add_the_car(page)
    find_the_gauge_hose(page)
    match_the_real_car(page)
    do_a_job(page)
    close_it_only_with_a_reason(page)
    finish_it(page)
    learn_what_is_usual(page)
    report_what_is_not(page)
    hunt(page)
    see_what_was_touched(page)
    find_it(page, axe)
    repair_and_prove_it(page, axe)
    reopen_it(page)
    stand_in_front_of_the_car(page)


def add_the_car(page: Page) -> None:
    tap(page, "Add a car")
    write(page, "What you call it", "Plover")
    write(page, "Height of the garage above the sea", "140")
    page.get_by_text("Petrol turbo, stored vacuum").tap()
    tap(page, "Add the car")
    heading(page, "Plover")


def find_the_gauge_hose(page: Page) -> None:
    tap_row(page, "Air path")
    number = number_of(page, GAUGE)
    tap_number(page, number)
    heading(page, GAUGE)
    tap(page, "Air path")
    tap_row(page, "Gauge hose", "to Gauge")
    heading(page, GAUGE)
    tap_row(page, "threaded union")
    page.get_by_label("What holds it").select_option("stepless ear clamp")
    tap(page, "Keep")
    heading(page, GAUGE)
    expect(page.locator("a.row").filter(has_text="stepless ear clamp")).to_be_visible()
    tap(page, "Air path")


def match_the_real_car(page: Page) -> None:
    tap_number(page, number_of(page, ACTUATOR))
    tap(page, "Edit")
    page.get_by_label("Made of").select_option("hard plastic")
    write(page, "Fitted on", ago(days=11 * 365)[:10])
    tap(page, "Keep")
    tap(page, "Air path")
    tap_number(page, number_of(page, COUPLER))
    tap_row(page, "Throttle", "T-bolt")
    write(page, "Torque", "5")
    write(page, "More or less", "0.5")
    write(page, "Where the figure is from", "Data sheet of the clamp")
    tap(page, "Keep")
    expect(page.get_by_text("5.0 N·m ± 0.5")).to_be_visible()
    tap(page, "Air path")
    tap(page, "Plover")


def do_a_job(page: Page) -> None:
    tap(page, "Open a job")
    write(page, "What you are going to do", "Throttle cleaned")
    choose(page, "Is the engine cold?", "Cold")
    write(page, "Odometer", "184000")
    write(page, "Air temperature", "6")
    page.get_by_label("Begun").fill(ago(days=2))
    tap(page, "Open the job")
    heading(page, "Throttle cleaned")
    page.wait_for_load_state()
    page.locator("summary", has_text="by name").tap()
    actuator, coupler = number_of(page, ACTUATOR), number_of(page, COUPLER)
    page.locator("summary", has_text="by name").tap()

    sheet = page.locator("details.sheet[open]")
    tap_number(page, actuator)
    expect(sheet.get_by_role("heading")).to_have_text(ACTUATOR)
    tap(page, "Reached past")
    expect(page.locator("[data-list=leaned] .row:visible")).to_have_text(re.compile(f"{ACTUATOR}.*Look at it before"))
    sheet.locator("summary").tap()
    tap_number(page, coupler)
    expect(sheet.get_by_role("heading")).to_have_text(COUPLER)
    tap(page, "Off at both ends")
    expect(page.locator("[data-list=loose_end] .end.off:visible")).to_have_count(2)
    expect(page.locator("#loose-ends")).to_have_text("Loose ends 2 of 2 to go")
    sheet.locator("summary").tap()
    check(page, "at the throttle")
    done = page.locator("[data-list=loose_end] .end.done")
    expect(done).to_contain_text("at the throttle")
    expect(done).to_contain_text("5\N{NO-BREAK SPACE}N·m, seated, mark drawn")


def check(page: Page, end: str) -> None:
    """One joint: back on, brought to its torque, looked at and marked."""
    tap_row(page, COUPLER, end)
    write(page, "Torque reached", "5.0")
    choose(page, "Is the clamp seated?", "Seated")
    choose(page, "Witness mark", "Drawn now")
    tap(page, "Keep the check")
    heading(page, "Throttle cleaned")


def close_it_only_with_a_reason(page: Page) -> None:
    tap(page, "Close the job")
    tap_within(page, "details[id^=closing]", "Close the job")
    expect_wrong(page, "carried_reason", "Joints not back on and checked: 1.")
    write(page, "Why they are carried over", "Clamp on order")
    tap_within(page, "details[id^=closing]", "Close the job")
    expect(page.locator(".top")).to_contain_text("1 not back on and checked: Clamp on order")
    tap(page, "Plover")
    expect(page.get_by_role("heading", name="Not fit to run")).to_be_visible()
    expect(page.locator("#fit")).to_contain_text("1 loose end")


def finish_it(page: Page) -> None:
    tap_row(page, "1 loose end")
    heading(page, "Throttle cleaned")
    page.wait_for_load_state()
    check(page, "at the diverter take-off")
    expect(page.locator("#loose-ends")).to_have_text("Loose ends 0 of 2 to go")
    tap(page, "Plover")
    expect(page.get_by_role("heading", name="Not fit to run")).to_be_hidden()


def take(page: Page, kind: str, figure: str, *, right: str, when: str) -> None:
    tap(page, "Take a reading")
    tap(page, kind)
    write(page, "Figure", figure)
    choose(page, "Was the car running right?", right)
    page.get_by_label("When").fill(when)
    tap(page, "Keep the reading")
    page.wait_for_url(re.compile("/readings/(?!new)"))
    heading(page, kind)


def learn_what_is_usual(page: Page) -> None:
    for number, figure in enumerate(("1.06", "1.05", "1.07")):
        take(page, "Boost at steady full throttle", figure, right="Yes", when=ago(days=20 - number))
        tap(page, "Plover")
    take(page, "Boost at steady full throttle", "0.92", right="No", when=ago(minutes=2))
    expect(page.locator(".shown")).to_contain_text("0.14 below your usual 1.06")
    expect(page.locator(".shown")).to_contain_text("Outside what is usual for this car.")


def report_what_is_not(page: Page) -> None:
    tap(page, "Report a fault")
    write(page, "What is not as it was", "Boost wanders at full throttle")
    write(page, "Odometer then", "184085")
    tap(page, "Report it")
    heading(page, "Boost wanders at full throttle")
    expect(page.locator("#sign-boost_level summary")).to_contain_text("A little low")


def answer(page: Page, sign: str, outcome: str) -> None:
    row = page.locator(f"#sign-{sign}")
    row.locator("summary").tap()
    row.get_by_role("button", name=outcome, exact=True).tap()
    expect(row.locator("summary")).to_contain_text(outcome)


def hunt(page: Page) -> None:
    page.wait_for_load_state()
    suspects = page.locator("[data-list=suspect] > .row")
    before = suspects.first.locator(".odds .num").inner_text()
    answer(page, "boost_stability", "Wanders or surges")
    answer(page, "hiss", "None")
    expect(suspects.first.locator("strong")).to_have_text(ACTUATOR)
    expect(suspects.first.locator(".odds .num")).not_to_have_text(before)
    expect(suspects.first.locator(".why")).to_contain_text("leaned on 2 days before, 85 km ago, at 6 °C, hard plastic")
    suspects.first.locator("strong a").tap()
    expect(page.locator(".top p")).to_contain_text("Boost control")
    tap(page, "Ticket")


def see_what_was_touched(page: Page) -> None:
    tap(page, "What was touched")
    leaned = page.locator("[data-list=touch] .row").filter(has_text=ACTUATOR)
    expect(leaned).to_contain_text("Reached past, hard plastic, at 6 °C")
    expect(leaned).to_contain_text("2 days before, 85 km · not checked")
    expect(leaned).to_contain_text("Job: Throttle cleaned")
    expect(page.locator("[data-list=touch] .row").filter(has_text=COUPLER)).to_contain_text("both joints")
    tap(page, "Ticket")


def find_it(page: Page, axe: Axe) -> None:
    page.wait_for_load_state()
    first = page.locator("[data-list=check_next] details").first
    expect(first).to_contain_text(ACTUATOR)
    first.locator("summary").tap()
    first.get_by_role("button", name="Fault here").tap()
    expect(page.get_by_role("heading", name="Checked")).to_be_visible()
    tap(page, "Found it")
    tap_within(page, "#found", "Found it")
    expect_wrong(page, "found", "This is needed.")
    page.get_by_label("Which it was").select_option(label=ACTUATOR)
    write(page, "What was wrong with it", "Split at the barb")
    assert axe(page) == []
    tap_within(page, "#found", "Found it")
    expect_stands(page, "Found")
    assert axe(page) == []


def expect_stands(page: Page, step: str) -> None:
    """The pipe is closed up to this step, and no further."""
    expect(page.locator(".steps li.done").last).to_contain_text(step)


def repair_and_prove_it(page: Page, axe: Axe) -> None:
    tap(page, "Repaired")
    page.locator("summary", has_text="For now: a stopgap").tap()
    write(page, "What holds it for now", "Cut back and a cable tie")
    tap(page, "Held by this for now")
    expect_wrong(page, "limit_distance", "Give it a limit")
    assert axe(page) == []
    write(page, "Distance", "300")
    write(page, "What it must stand", "1.5 bar of boost")
    tap(page, "Held by this for now")
    expect_stands(page, "Repaired")
    tap(page, "Prove it")
    page.locator("#proved summary", has_text="Boost at steady full throttle").tap()
    write(page, "What it reads now", "0.80")
    tap_within(page, "details[name=proof]", "Proved fixed")
    expect(page.get_by_role("alert").filter(has_text="is not back in the usual 1.06")).to_be_visible()
    assert axe(page) == []
    write(page, "What it reads now", "1.06")
    tap_within(page, "details[name=proof]", "Proved fixed")
    expect_stands(page, "Proved")
    expect(page.locator("[data-list=ends]")).to_contain_text("Proved by boost at steady full throttle")
    assert axe(page) == []


def reopen_it(page: Page) -> None:
    tap(page, "Reopen")
    tap_within(page, "#reopen", "Go on looking")
    expect_wrong(page, "reopened_reason", "This is needed.")
    write(page, "What shows it", "It wandered again on the way home")
    tap_within(page, "#reopen", "Go on looking")
    expect(page.locator("main")).to_contain_text("It wandered again on the way home")
    expect_stands(page, "Noticed")


def stand_in_front_of_the_car(page: Page) -> None:
    tap(page, "Plover")
    main = page.locator("main")
    expect(main).to_contain_text("Boost wanders at full throttle", use_inner_text=True)
    stopgap = page.locator("main a.row:visible", has_text="Cut back and a cable tie").first
    expect(stopgap).to_contain_text("0 of 300\N{NO-BREAK SPACE}km used", use_inner_text=True)
    expect(page.locator("[data-list=reading]")).to_contain_text("1.06")


def test_without_scripts_the_same_taps_do_the_same(browser: Browser, garage: Garage) -> None:
    with running(garage) as address, in_hand(browser, "light", scripts=False) as phone:
        page = phone.page
        pair(page, garage, address)
        page.goto(address)
        add_the_car(page)
        tap(page, "Open a job")
        write(page, "What you are going to do", "Throttle cleaned")
        page.get_by_label("Begun").fill(ago(days=2))
        tap(page, "Open the job")
        tap_row_of_drawing(page, COUPLER)
        heading(page, "Throttle cleaned")
        tap(page, "Off at the throttle")
        expect(page.locator("[data-list=loose_end] .end.off:visible")).to_have_count(1)
        tap(page, "Close the job")
        tap(page, "Close the job")
        expect_wrong(page, "carried_reason", "Joints not back on and checked: 1.")
        tap(page, "The job")
        check(page, "at the throttle")
        tap(page, "Close the job")
        tap(page, "Close the job")
        expect(page.locator(".top")).to_contain_text("Closed")
        tap(page, "Plover")
        tap(page, "Report a fault")
        write(page, "What is not as it was", "Hisses")
        tap(page, "Report it")
        answer(page, "hiss", "Under boost")
        expect(page.locator("[data-list=suspect] .row").first).to_contain_text(COUPLER)


def tap_row_of_drawing(page: Page, line: str) -> None:
    page.locator("summary", has_text="by name").tap()
    tap(page, "Show them")
    tap_row(page, line)
