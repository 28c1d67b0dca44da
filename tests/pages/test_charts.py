import re
from datetime import UTC, datetime, timedelta

import pytest
from starlette.testclient import TestClient

from app.airpath.words import Layout
from app.pages.charts import on_paper
from app.records.fields import moment_text
from tests.conftest import Enter
from tests.seen import seen


def ago(days: float) -> str:
    return moment_text(datetime.now(UTC) - timedelta(days=days))


def off(enter: Enter, line: str, days: float) -> None:
    job = f"job-{line}"
    enter("job", job, car="tern", title="Gauge", opened_at=ago(days))
    enter("touch", f"{job}.{line}", job=job, line=line, how="disconnected", at=ago(days))


def drawing(page: str) -> str:
    found = re.search(r'<svg class="chart".*?</svg>', page, re.DOTALL)
    assert found
    return found[0]


def words_of(svg: str) -> str:
    return " ".join(re.sub(r"<[^>]+>", "", each) for each in re.findall(r"<text.*?</text>", svg, re.DOTALL))


def test_the_page_says_which_car_which_day_and_what_it_counted(client: TestClient, enter: Enter, tern: str) -> None:
    page = client.get(f"/cars/{tern}/chart")
    assert page.status_code == 200
    today = on_paper(datetime.now(UTC).astimezone().date())
    assert f"Tern · {today}" in seen(page.text)
    assert "Counts no touch, 0 closed tickets." in seen(page.text)

    off(enter, "tern.gauge_hose", 12)
    off(enter, "tern.coupler", 3)
    enter("ticket", "old", car=tern, what="Boost wandered", noticed_at=ago(30))
    enter("ticket", "old", found_at=ago(29), found_line="tern.coupler", found_wrong="split")
    enter("ticket", "old", repaired_at=ago(28), repaired_how="for_good")
    enter("ticket", "old", proved_at=ago(27), proof_reason="Driven for a week")
    since = on_paper((datetime.now(UTC) - timedelta(days=12)).astimezone().date())
    assert f"Counts 2 touches since {since}, 1 closed ticket." in seen(client.get(f"/cars/{tern}/chart").text)


def test_a_touch_an_hour_ago_counts_already(client: TestClient, enter: Enter, tern: str) -> None:
    before = drawing(client.get(f"/cars/{tern}/chart").text)
    off(enter, "tern.gauge_hose", 1 / 24)
    after = client.get(f"/cars/{tern}/chart").text
    assert "Counts 1 touch since" in seen(after)
    assert drawing(after) != before


def test_the_same_case_gives_the_same_drawing(client: TestClient, enter: Enter, tern: str) -> None:
    off(enter, "tern.gauge_hose", 2)
    first = drawing(client.get(f"/cars/{tern}/chart").text)
    read = {"what": "idle_vacuum", "condition": "warm", "value": 19.5, "unit": "inHg", "basis": "vacuum"}
    enter("reading", "r1", car=tern, taken_at=ago(0.01), **read)
    assert drawing(client.get(f"/cars/{tern}/chart").text) == first


@pytest.mark.parametrize("layout", Layout)
def test_every_layout_has_its_chart_without_any_history(client: TestClient, layout: Layout) -> None:
    page = client.get(f"/layouts/{layout}/chart")
    assert page.status_code == 200
    assert "nothing touched, nothing learned" in seen(page.text)


def test_no_layout_of_another_name_has_one(client: TestClient) -> None:
    answer = client.get("/layouts/steam/chart")
    assert answer.status_code == 404
    assert "There is no such layout." in seen(answer.text)
    assert client.get("/cars/nobody/chart").status_code == 404


def test_the_list_says_what_the_drawing_says(client: TestClient) -> None:
    page = client.get("/layouts/stored-vacuum/chart").text
    drawn, told = words_of(drawing(page)), seen(page)
    rows = re.findall(r'<span class="num">([^<]+)</span>\s*<div class="grow"><strong>([^<]+)</strong>', page)
    assert len(rows) > 10
    squeezed = " ".join(drawn.replace("\N{NO-BREAK SPACE}", " ").split())
    for share, label in rows:
        assert f"{label} {share}" in squeezed
    for name, share in re.findall(r"([^·<>\n]+) <b>([^<]+)</b>", page):
        assert f"{name.strip()} {share}" in squeezed, name
    boxes = re.findall(r'<circle class="disc"[^>]*/><text class="number"[^>]*>(\d+)</text>', drawing(page))
    assert boxes == re.findall(r'<li class="plate" id="q(\d+)">', page)
    assert "Mind" in told


def test_every_go_on_leads_to_a_box_of_the_list(client: TestClient) -> None:
    for layout in Layout:
        page = client.get(f"/layouts/{layout}/chart").text
        onward = re.findall(r'href="#(q\d+)"', page)
        assert onward
        assert [to for to in onward if f'id="{to}"' not in page] == []


def test_every_caution_is_spelled_out_and_pointed_at_by_its_letter(client: TestClient) -> None:
    page = client.get("/layouts/turbo-diesel/chart").text
    cautions = re.search(r'<ol class="cautions">(.*?)</ol>', page, re.DOTALL)
    assert cautions
    listed = [chr(ord("A") + n) for n in range(cautions[1].count("<li>"))]
    pointed = set(re.findall(r"mind[ \N{NO-BREAK SPACE}]([A-Z])\b", words_of(drawing(page))))
    assert sorted(pointed) == listed


def test_the_page_holds_no_style_of_its_own(client: TestClient, tern: str) -> None:
    page = client.get(f"/cars/{tern}/chart").text
    assert not re.search(r"\sstyle\s*=|<style|\son\w+\s*=", page)


def test_the_car_leads_to_its_chart_and_that_to_the_layout_s(client: TestClient, tern: str) -> None:
    assert f'href="/cars/{tern}/chart"' in client.get(f"/cars/{tern}").text
    assert 'href="/layouts/direct-signal/chart"' in client.get(f"/cars/{tern}/chart").text


def test_a_car_with_nothing_on_it_yet_has_a_chart_too(client: TestClient, enter: Enter) -> None:
    enter("car", "bare", name="Bare", layout="direct-signal")
    page = client.get("/cars/bare/chart")
    assert page.status_code == 200
    assert "Something else" in page.text
