from collections.abc import Callable
from contextlib import AbstractContextManager

from starlette.testclient import TestClient

from app.records.experience import tools_there
from app.records.garage import Garage
from app.triage.at_hand import TOOLS
from app.triage.signs import Need
from tests.conftest import Count, Enter
from tests.seen import seen

OWNED = 'name="owned" value="{0}" data-pressed=". owned = {0} &amp; ! . void_reason" aria-pressed="true"'


def said(client: TestClient, answer: str) -> int:
    return client.get("/tools").text.replace("&amp;", "&").count(OWNED.format(answer).replace("&amp;", "&"))


def test_every_tool_a_check_may_need_is_asked_about(client: TestClient) -> None:
    page = client.get("/tools").text
    assert all(f'value="{tool}"' in page for tool in TOOLS)
    assert (said(client, "yes"), said(client, "no")) == (0, 0)


def test_one_tap_says_whether_it_is_there(client: TestClient, garage: Garage) -> None:
    for owned in ("no", "yes", "no"):
        answer = client.post("/tools", data={"tool": "smoke_machine", "owned": owned})
        assert (answer.status_code, answer.headers["location"]) == (303, "/tools")
        assert (said(client, "yes"), said(client, "no")) == ((1, 0) if owned == "yes" else (0, 1))
    with garage.read() as db:
        assert tools_there(db) == TOOLS - {Need.SMOKE_MACHINE}


def test_what_is_no_tool_is_refused(client: TestClient) -> None:
    answer = client.post("/tools", data={"tool": "chainsaw", "owned": "yes"})
    assert answer.status_code == 422
    assert "Choose one of these" in answer.text
    assert "There is no such tool." in client.post("/tools", data={"tool": "engine_cold", "owned": "yes"}).text


def test_a_tool_struck_out_counts_as_never_said_until_it_is_said_again(client: TestClient, enter: Enter) -> None:
    enter("tool", "smoke_machine", tool="smoke_machine", owned="no", void_reason="A slip")
    assert (said(client, "yes"), said(client, "no")) == (0, 0)
    client.post("/tools", data={"tool": "smoke_machine", "owned": "yes"})
    assert (said(client, "yes"), said(client, "no")) == (1, 0)


def test_the_page_is_led_to_from_the_settings_and_from_a_tickets_checks(
    client: TestClient, enter: Enter, tern: str
) -> None:
    enter("ticket", "t1", car=tern, what="Hiss", noticed_at="2026-04-20T10:00:00Z")
    for path in ("/settings", "/tickets/t1"):
        assert 'href="/tools"' in client.get(path).text


def test_its_history_leads_back_to_it(client: TestClient, enter: Enter) -> None:
    enter("tool", "smoke_machine", tool="smoke_machine", owned="no")
    page = client.get("/records/tool/smoke_machine/history").text
    assert 'href="/tools"' in page
    assert "smoke machine" in seen(page)


def test_more_tools_add_no_query(
    client: TestClient, garage: Garage, enter: Enter, count_queries: Callable[[Garage], AbstractContextManager[Count]]
) -> None:
    with count_queries(garage) as before:
        client.get("/tools")
    for tool in sorted(TOOLS):
        enter("tool", tool, tool=tool, owned="yes")
    with count_queries(garage) as after:
        client.get("/tools")
    assert after.total == before.total
