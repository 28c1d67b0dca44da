import re
from pathlib import Path

import pytest
from starlette.testclient import TestClient

from app.pages import release, worker


def test_the_worker_is_asked_for_anew_each_time(client: TestClient) -> None:
    answer = client.get("/sw.js")
    assert answer.status_code == 200
    assert answer.headers["content-type"].startswith("text/javascript")
    assert answer.headers["cache-control"] == "no-cache"
    assert f'const RELEASE = "{release.release()}";' in answer.text


def test_everything_the_worker_keeps_is_there(client: TestClient) -> None:
    addresses = worker.shell_addresses()
    assert {"/start", "/away", "/waiting"} <= set(addresses)
    assert {address: client.get(address).status_code for address in addresses} == dict.fromkeys(addresses, 200)


def test_the_worker_keeps_every_file_a_page_asks_for(client: TestClient) -> None:
    asked = set()
    for path in worker.PAGES:
        asked |= set(re.findall(r'<(?:script|link)[^>]*(?:src|href)="(/static/[^"]+)"', client.get(path).text))
    home_screen = {address for address in asked if "/icons/" in address}  # the system keeps those
    assert asked - home_screen <= set(worker.shell_addresses())


def test_the_worker_finds_where_a_page_says_that_it_is_kept(client: TestClient) -> None:
    (place,) = re.findall(r"html\.replace\('(id=\"kept\".+)', strip\)", worker.script())
    assert client.get("/cars").text.count(place) == 1


def test_no_part_of_the_worker_says_import_or_export() -> None:
    assert not re.search(r"^\s*(import|export)\b", worker.script(), re.MULTILINE)


def test_a_part_that_imports_another_is_turned_down(tmp_path: Path) -> None:
    part = tmp_path / "worker-wrong.js"
    part.write_text('import { day } from "./words.js";\n', encoding="utf-8")
    with pytest.raises(ValueError, match=r"worker-wrong\.js imports another file"):
        worker._part(part)


def test_the_phones_modules_bear_one_mark_and_are_kept_for_good(client: TestClient) -> None:
    scripts = re.findall(r'src="(/static/bay/[^"]+)"', client.get("/cars").text)
    folders = {address.rsplit("/", 1)[0] for address in scripts}
    assert folders == {f"/static/bay/{release.bay_mark()}"}
    assert "immutable" in client.get(scripts[0]).headers["cache-control"]


def test_a_module_asked_for_by_an_old_mark_is_given_but_not_for_good(client: TestClient) -> None:
    answer = client.get("/static/bay/000000000000/bay.js")
    assert answer.status_code == 200
    assert answer.headers["cache-control"] == "no-cache"


def test_pages_travel_compressed(client: TestClient) -> None:
    answer = client.get("/cars", headers={"accept-encoding": "gzip"})
    assert answer.headers["content-encoding"] == "gzip"
    assert "Accept-Encoding" in answer.headers["vary"]
    letters = client.get("/static/fonts/barlow-semi-condensed-latin-400-normal.woff2")
    assert "content-encoding" not in letters.headers  # they are compressed already


def test_a_cache_is_told_that_an_answer_hangs_on_how_it_may_be_sent(client: TestClient) -> None:
    for way, packed in (("gzip", True), ("identity", False), ("br", False)):
        answer = client.get("/cars", headers={"accept-encoding": way})
        assert ("content-encoding" in answer.headers) is packed
        assert answer.headers["vary"] == "Accept-Encoding"
