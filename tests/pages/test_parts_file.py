import csv
import io
from collections.abc import Callable
from contextlib import AbstractContextManager

from starlette.testclient import TestClient

from app.paper.csv import read_back
from app.records.garage import Garage
from tests.conftest import Count, Enter

Counting = Callable[[Garage], AbstractContextManager[Count]]
FILE = "/cars/tern/parts.csv"


def test_every_part_is_a_line_with_its_figures(client: TestClient, enter: Enter, tern: str) -> None:
    enter("part", "p1", car=tern, name='Hose, 4" bend', kind="hose", line="tern.coupler", bore_mm="63,5", plies=4,
          price="24,90", currency="eur", state="fitted")  # fmt: skip
    enter("part", "p2", car=tern, name="=cmd|' /C calc'!A0", position="front left damper", note="line one\nline two")
    enter("part", "p3", car=tern, name="Struck out", void_reason="twice")
    answer = client.get(FILE)
    assert answer.headers["content-type"] == "text/csv; charset=utf-8; header=present"
    first, second = read_back(answer.text)
    assert (first["name"], first["position"], first["bore_mm"]) == ('Hose, 4" bend', "Throttle coupler", "63.5")
    assert (first["price"], first["currency"], first["plies"]) == ("24.9", "EUR", "4")
    assert second["name"] == "=cmd|' /C calc'!A0"
    assert (second["position"], second["note"]) == ("front left damper", "line one\nline two")
    rows = list(csv.reader(io.StringIO(answer.text, newline="")))
    assert rows[2][0].startswith("'=")


def test_the_file_takes_as_many_queries_for_many_parts_as_for_none(
    garage: Garage, client: TestClient, enter: Enter, tern: str, count_queries: Counting
) -> None:
    totals = []
    for n in (0, 9):
        for part in range(n):
            enter("part", f"p{part}", car=tern, name=f"Part {part}")
        with count_queries(garage) as count:
            assert client.get(FILE).text.count("\r\n") == n + 1
        totals.append(count.total)
    assert totals[0] == totals[1]


def test_a_car_that_is_not_there_is_said_plainly(client: TestClient) -> None:
    assert client.get("/cars/none/parts.csv").status_code == 404
