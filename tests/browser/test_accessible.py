"""Every page of the demo garage, as anyone may meet it: gloved, by night, by keyboard, on a narrow screen."""

import html
import re

import httpx2
import pytest
from playwright.sync_api import Browser, expect

from tests.browser.conftest import Axe, in_hand
from tests.browser.eyes import trouble_on
from tests.browser.hand import heading, tap, tap_row, write
from tests.once import once_in_a_run

#: The pages a gloved hand is on most.
MAIN = ("/cars", "/cars/tern", "/cars/tern/air-path", "/cars/tern/jobs/new", "/cars/tern/readings/new/idle_vacuum")
#: Forms that come back: the address, what is typed where, and the button.
REFUSED: tuple[tuple[str, dict[str, str], str], ...] = (
    ("/cars/new", {}, "Add the car"),
    ("/cars/tern/edit", {"What you call it": ""}, "Keep"),
    ("/cars/tern/jobs/new", {"Odometer": "far"}, "Open the job"),
    ("/cars/tern/tickets/new", {}, "Report it"),
    ("/cars/tern/readings/new/peak_boost", {"Figure": "200"}, "Keep the reading"),
    ("/cars/tern/readings/new/fuel_trim_idle", {"Figure": "lean"}, "Keep the reading"),
    ("/cars/tern/baselines/idle_vacuum/warm", {}, "This is usual"),
    ("/cars/tern/lines/new", {}, "Add the line"),
    ("/cars/tern/components/new", {}, "Add the component"),
    ("/cars/tern/stopgaps/new", {}, "Keep the stopgap"),
    ("/cars/tern/rechecks/new", {}, "Set it"),
    ("/cars/tern/events/new", {}, "Plan it"),
    ("/cars/tern/own-suspects/new", {}, "Add it"),
    ("/cars/tern/drives/new", {"Odometer now": "12"}, "Keep"),
    ("/lines/tern.gauge_hose/edit", {"What you call it": ""}, "Keep"),
    ("/lines/tern.gauge_hose/replace", {"Bore": "wide"}, "It is replaced"),
    ("/lines/tern.gauge_hose/retire", {}, "Retire it"),
    ("/joints/tern.gauge_hose.to/edit", {"Torque": "5"}, "Keep"),
    ("/records/line/tern.gauge_hose/history", {}, "Strike it out"),
)
_OWN = re.compile(
    r"^/(cars|jobs|tickets|lines|components|readings|stopgaps|findings|rechecks|joints|events|own-suspects|"
    r"parts|fasteners|wrenches|photos|logs|hold-tests)/(?!new)[^/]+"
)
_WITHIN = re.compile(r"/(suspects|touch|loose-ends|baselines|stages|records/\w+)/(?!new)[^/]+")


def sort_of(path: str) -> str:
    """What is common to the addresses of one sort of page."""
    sort = _WITHIN.sub(r"/\1/.", _OWN.sub(r"/\1/.", path))
    return re.sub(r"^/cars/\./readings/(?!new)[^/]+$", "/cars/./readings/kind", sort)


_LINK = re.compile(r'<a\b(?![^>]*\bdownload)[^>]*\bhref="(/[^"#{]*)["#]')


@pytest.fixture(scope="module")
def one_page_of_each_sort(demo_address: str, tmp_path_factory: pytest.TempPathFactory) -> list[str]:
    """The addresses of one page of each sort, in the order met; every demo garage of a run is a copy of the same."""
    noted = once_in_a_run(
        tmp_path_factory, "sorts-of-page", lambda file: file.write_text("\n".join(_met(demo_address)), encoding="utf-8")
    )
    return noted.read_text(encoding="utf-8").split("\n")


def _met(demo_address: str) -> list[str]:
    """Follow every link from the cars."""
    met: dict[str, str] = {}
    to_see = ["/cars/tern", "/cars"]
    with httpx2.Client(base_url=demo_address, follow_redirects=True, timeout=60) as client:
        for path in to_see:
            sort = sort_of(path.split("?")[0])
            if sort in met:
                continue
            met[sort] = path
            answer = client.get(path)
            assert answer.status_code == 200, path
            to_see += [html.unescape(link) for link in _LINK.findall(answer.text)]
    assert len(met) > 60  # some eighty: fewer, and the links are no longer found
    return list(met.values())


@pytest.mark.parametrize("third", range(3))
def test_every_page_is_open_to_everyone_by_day_and_by_night(
    browser: Browser, demo_address: str, one_page_of_each_sort: list[str], axe: Axe, third: int
) -> None:
    """In three parts, so that they can be looked through side by side."""
    trouble: list[str] = []
    with in_hand(browser, "light") as phone:
        for path in one_page_of_each_sort[third::3]:
            phone.page.goto(f"{demo_address}{path}")
            found = trouble_on(phone.page, axe)
            trouble += [f"{path}: {one}" for one in found]
    assert trouble == []


def test_gloves_make_what_is_tapped_most_twice_as_large(browser: Browser, demo_address: str, axe: Axe) -> None:
    with in_hand(browser, "light") as phone:
        page = phone.page
        page.goto(f"{demo_address}/settings")
        page.get_by_text("On", exact=True).tap()
        tap(page, "Keep")
        expect(page.locator("body")).to_have_class("gloves")
        for path in MAIN:
            page.goto(f"{demo_address}{path}")
            assert trouble_on(page, axe) == [], path
            heights = page.locator(".button:visible").evaluate_all(
                "all => all.map(b => b.getBoundingClientRect().height)"
            )
            assert min(heights) >= 126, path


def test_a_form_that_comes_back_is_as_open_as_it_was(browser: Browser, demo_address: str, axe: Axe) -> None:
    trouble: list[str] = []
    with in_hand(browser, "light") as phone:
        for path, typed, button in REFUSED:
            phone.page.goto(f"{demo_address}{path}")
            for label, text in typed.items():
                write(phone.page, label, text)
            tap(phone.page, button)
            wrong = "[aria-invalid=true], [aria-invalid=true] input, [name=sure]"
            expect(phone.page.locator("*:focus").and_(phone.page.locator(wrong))).to_be_in_viewport()
            for label, text in typed.items():
                expect(phone.page.get_by_label(label).first).to_have_value(text)
            trouble += [f"{path}: {one}" for one in trouble_on(phone.page, axe)]
    assert trouble == []


def test_the_drawing_is_walked_by_keyboard_and_shows_where_one_is(browser: Browser, demo_address: str) -> None:
    with in_hand(browser, "light") as phone:
        page = phone.page
        page.goto(f"{demo_address}/cars/tern/air-path")
        for _ in ("find", "back", "the first line"):
            page.keyboard.press("Tab")
        first = page.locator("a.tap:focus")
        expect(first).to_have_attribute("aria-label", re.compile("Cold air duct, inlet to air filter"))
        glow = page.locator("a.tap:focus .glow")
        assert glow.evaluate("one => getComputedStyle(one).stroke") == "rgb(11, 74, 143)"
        page.keyboard.press("Tab")
        expect(page.locator("a.tap:focus")).to_have_attribute("aria-label", re.compile("Air filter to airflow meter"))
        page.keyboard.press("Enter")
        heading(page, "Air filter to airflow meter pipe")


def test_a_tap_on_the_drawing_moves_the_reader_to_what_opened(browser: Browser, demo_address: str) -> None:
    with in_hand(browser, "light") as phone:
        page = phone.page
        page.goto(f"{demo_address}/cars/tern")
        tap_row(page, "Throttle coupler and breather")
        heading(page, "Throttle coupler and breather")
        page.wait_for_load_state()  # before it is loaded, a link still opens a page of its own
        page.locator("a.tap").first.focus()
        page.keyboard.press("Enter")
        expect(page.locator("details.sheet[open] summary")).to_be_focused()
        expect(page.locator("details.sheet[open] h2")).to_have_text("Cold air duct, inlet to air filter")
