"""What may only be chosen is mended by choosing, in the words a person reads."""

import os
from pathlib import Path

from playwright.sync_api import Browser, expect

from app.records.garage import Garage
from tests.browser.conftest import SCREEN, Scheme, let_in
from tests.browser.pocket import keep, put_away, rest, send, told, waiting


def test_a_choice_that_was_refused_is_made_again_from_its_words(
    browser: Browser, garage: Garage, address: str, tern: str
) -> None:
    context = browser.new_context(viewport=SCREEN, service_workers="block")
    let_in(context, garage, address)
    page = rest(context, address)
    line = f"{tern}.coupler"
    job = told("job", "job1", car=tern, title="Clutch", opened_at="@now")
    keep(page, job, told("touch", f"job1.{line}", job="job1", line=line, how="leaned_on", ends="from", at="@now"))
    keep(page, told("loose_end", f"job1.{line}.to", job="job1", joint=f"{line}.to", touch=f"job1.{line}"))
    send(page)
    page.goto(f"{address}/waiting")
    row = page.locator("#list details").first
    row.locator("summary").click()
    expect(row.locator(".wrong").first).to_contain_text("Choose one of these: reached past")
    how = row.get_by_label("How far", exact=False)
    assert how.locator("option").all_inner_texts() == [
        "Leaned_on",
        "Reached past",
        "Clamp moved",
        "Disconnected",
        "Replaced",
    ]
    if folder := os.environ.get("LOOK"):
        schemes: tuple[Scheme, ...] = ("light", "dark")
        for scheme in schemes:
            page.emulate_media(color_scheme=scheme)
            page.screenshot(path=str(Path(folder) / f"waiting-{scheme}.png"), full_page=True)
    how.select_option("reached_past")
    row.get_by_role("button", name="Send again").click()
    expect(page.locator("#list details")).to_have_count(1)
    (left,) = waiting(page)
    assert left["kind"] == "loose_end"
    with garage.read() as db:
        assert db.exec_driver_sql("SELECT how, ends FROM touch").one() == ("reached_past", "from")
    put_away(context)
