"""A suspect of one's own, added where nothing answers, joins the ranking at once, as the garage will rank it."""

import pytest
from playwright.sync_api import Browser, Page, expect

from app.records.cars import car
from app.records.garage import Garage
from app.records.suspects import ranking
from app.records.tickets import ticket
from tests.browser.bay import Bay, take_along
from tests.browser.conftest import SCREEN, let_in
from tests.browser.pocket import keep, put_away, run, send, told, waiting
from tests.conftest import Enter
from tests.pages.test_tickets import ago

#: Every suspect with its chance, its reasons and what they weigh, as the page's own modules have it.
RANK = """
const [{ modelOfPage, withOwn }, { know }] = [await bay("model.js"), await bay("known.js")];
const [{ seenOn }, { rank }] = [await bay("seen.js"), await bay("rank.js")];
const known = await know();
const model = withOwn(await modelOfPage(), known);
const { suspects } = rank(model, seenOn("t1", model, known));
return suspects.map((one) => [model.candidates[one.place].id, one.chance, one.why().map(({ reason }) => reason)]);
"""
KINDS = {"weld": ("charge", "twice"), "seam": ("charge_small", "usual"), "pump": ("brake_servo", "half")}


def ranked(page: Page) -> dict[str, tuple[float, set[str]]]:
    return {one: (chance, set(why)) for one, chance, why in run(page, RANK)}


def test_it_joins_the_ranking_at_once_and_the_garage_agrees_once_it_is_sent(
    browser: Browser, garage: Garage, tern: str, enter: Enter
) -> None:
    enter("job", "coupler", car=tern, title="Coupler", opened_at=ago(4), air_temp_c=6)
    enter("touch", f"coupler.{tern}.coupler", job="coupler", line=f"{tern}.coupler", how="disconnected", at=ago(4))
    enter("ticket", "t1", car=tern, what="Boost wanders", noticed_at=ago(1))
    enter("sign", "t1.boost_stability", ticket="t1", sign="boost_stability", outcome="erratic", noted_at=ago(1))
    enter("own_suspect", "old", car=tern, label="Old clamp", behaves_like="charge", likely="usual")
    bay = Bay(garage)
    context = browser.new_context(viewport=SCREEN, is_mobile=True, has_touch=True, reduced_motion="reduce")
    let_in(context, garage, bay.address)
    page = context.new_page()
    take_along(page, bay)
    bay.stop()
    page.goto(f"{bay.address}/tickets/t1")
    before = ranked(page)
    for record, (like, likely) in KINDS.items():
        about = {"car": tern, "label": record.capitalize(), "behaves_like": like, "likely": likely}
        keep(page, told("own_suspect", record, **about))
    keep(page, told("own_suspect", "gone", car=tern, label="Gone", behaves_like="charge", likely="usual"))
    keep(page, told("own_suspect", "gone", void_reason="Suspected no longer"))
    page.reload()
    expect(page.locator("#suspects")).to_contain_text("Weld")
    shown = ranked(page)
    assert shown.keys() == before.keys() | KINDS.keys()
    bay.start()
    send(page)
    assert waiting(page) == []
    with garage.read() as db:
        of, fault = car(db, tern), ticket(db, "t1")
        assert of
        assert fault
        found = ranking(db, of, fault).suspects
    assert {one.id for one in found} == shown.keys()
    for one in found:
        chance, why = shown[one.id]
        assert chance == pytest.approx(one.probability, abs=1e-9), one.id
        assert why == {factor.reason for factor in one.why}, one.id
    page.reload()
    expect(page.locator("#suspects")).to_contain_text("Weld")
    assert {one: chance for one, (chance, _) in ranked(page).items()} == pytest.approx(
        {one: chance for one, (chance, _) in shown.items()}, abs=1e-9
    )
    put_away(context)
    bay.stop()
