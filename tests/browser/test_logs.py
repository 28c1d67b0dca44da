"""A log by touch: a file is chosen, its columns confirmed, and what it holds is seen; what is no log is refused."""

from pathlib import Path

import pytest
from playwright.sync_api import Browser, Page, expect

from app.records import demo_log
from app.records.garage import Garage
from tests.browser.conftest import Axe, Phone, in_hand, let_in
from tests.browser.eyes import trouble_on
from tests.browser.hand import heading, tap, tap_row, write

LOGS = "/cars/tern/logs"
TEXT = "Time;Engine speed (rpm);MAP (kPa)\n" + "".join(
    f"{n / 10:.1f};{800 + n};35\n".replace(".", ",") for n in range(60)
)


def _choose(page: Page, folder: Path, name: str, content: str | bytes) -> None:
    file = folder / name
    file.write_bytes(content.encode() if isinstance(content, str) else content)
    page.get_by_label("The logger’s file").set_input_files(file)
    tap(page, "Take it in")


def _take_in(page: Page, address: str, folder: Path) -> None:
    page.goto(f"{address}/cars/tern")
    tap_row(page, "Logs", "as a logger wrote them")
    heading(page, "Logs")
    _choose(page, folder, "uphill.csv", TEXT)
    heading(page, "What are its columns?")
    expect(page.get_by_label("Engine speed (rpm)")).to_have_value("engine_speed|rpm")
    page.get_by_label("MAP (kPa)").select_option("barometer|kPa")
    write(page, "What you call the logger", "The little logger")
    tap(page, "Read it so")
    heading(page, "uphill.csv")
    expect(page.locator("main")).to_contain_text("800 to 859 rpm")
    expect(page.locator("main")).to_contain_text("Barometer")


def test_a_file_is_chosen_its_columns_confirmed_and_its_channels_seen(
    phone: Phone, served: str, tern: str, tmp_path: Path
) -> None:
    _take_in(phone.page, served, tmp_path)
    tap(phone.page, "Logs")
    _choose(phone.page, tmp_path, "downhill.csv", TEXT.replace(";35", ";36"))
    heading(phone.page, "downhill.csv")  # its logger is known by now


def test_without_scripts_it_is_the_same(
    browser: Browser, garage: Garage, address: str, tern: str, tmp_path: Path
) -> None:
    with in_hand(browser, "light", scripts=False) as phone:
        let_in(phone.page.context, garage, address)
        _take_in(phone.page, address, tmp_path)


def test_what_is_no_log_is_refused_in_plain_words_and_another_can_be_chosen(
    phone: Phone, served: str, tern: str, tmp_path: Path
) -> None:
    page = phone.page
    page.goto(served + LOGS)
    _choose(page, tmp_path, "sheet.csv", b"PK\x03\x04" + b"\0" * 200)
    expect(page.get_by_role("alert")).to_have_text(
        "This is a spreadsheet's or an archive's own file. Save the table as CSV, and choose that."
    )
    phone.troubles.clear()  # the console tells of the answer 422
    _choose(page, tmp_path, "uphill.csv", TEXT)
    heading(page, "What are its columns?")


def test_a_file_beyond_the_limit_is_refused_on_the_phone_and_not_sent(
    phone: Phone, served: str, tern: str, tmp_path: Path
) -> None:
    page = phone.page
    page.goto(served + LOGS)
    page.locator("#upload").evaluate("form => { form.dataset.most = '100'; }")
    sent: list[str] = []
    page.on("request", lambda request: sent.append(request.method))
    _choose(page, tmp_path, "uphill.csv", TEXT)
    expect(page.get_by_role("alert")).to_contain_text("This file is larger than 100 MB")
    assert "POST" not in sent


@pytest.mark.parametrize(
    ("path", "name"),
    [
        (LOGS, "Logs"),
        ("/logs/tern.drive-2", "Same road again.csv"),
        ("/logs/tern.drive-2/columns", "What are its columns?"),
        ("/loggers", "Loggers"),
    ],
)
def test_the_pages_stand_in_nobody_s_way(phone: Phone, demo_address: str, axe: Axe, path: str, name: str) -> None:
    phone.page.goto(demo_address + path)
    heading(phone.page, name)
    assert trouble_on(phone.page, axe) == []
    assert demo_log.CAR == "tern"
