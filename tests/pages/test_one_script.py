import re

import pytest
from starlette.testclient import TestClient

from app.pages.one_script import part, served_instead, without_comments
from app.pages.release import bay_mark
from app.pages.shell import asset
from app.settings import shipped


def test_every_script_of_the_pages_is_in_the_one_file() -> None:
    apart = ("worker", "log-", "hold-", "hole", "workings")
    names = {path.name for path in (shipped("static") / "bay").glob("*.js") if not path.name.startswith(apart)}
    assert set(re.findall(r'^parts\["(.+)"\]', str(served_instead("all.js")), re.MULTILINE)) == names - {
        "first.js",
        "start.js",
        "scan.js",
        "print.js",
    }


def test_under_its_own_address_a_script_only_fetches_itself_out_of_that_file(client: TestClient) -> None:
    answer = client.get(asset("bay/holds.js"))
    assert answer.headers["content-type"].startswith("text/javascript")
    assert answer.headers["cache-control"].endswith("immutable")
    assert answer.text == (
        'import { partNamed } from "./all.js";\nexport const { plain, holdFor } = partNamed("holds.js");\n'
    )


def test_the_script_that_runs_before_anything_is_painted_is_served_as_it_is(client: TestClient) -> None:
    written = (shipped("static") / "bay" / "first.js").read_text(encoding="utf-8")
    assert client.get(f"/static/bay/{bay_mark()}/first.js").text == written


def test_a_page_fetches_the_one_file_before_it_knows_that_it_needs_it(client: TestClient) -> None:
    assert f'<link rel="modulepreload" href="{asset("bay/all.js")}">' in client.get("/settings").text


def test_what_a_script_imports_and_exports_stays_the_same() -> None:
    written = (
        'import { a, b as c } from "./one.js";\nexport const d = 1;\nexport async function e() {\n'
        '  const { f } = await import("./two.js");\n}\nexport { a, c };\n'
    )
    assert part("mine.js", written) == (
        '\nparts["mine.js"] = () => {\nconst { a, b: c } = partNamed("one.js");\nconst d = 1;\nasync function e() {\n'
        '  const { f } = await Promise.resolve(partNamed("two.js"));\n}\nreturn { d, e, a, c };\n};\n'
    )


def test_comments_stay_behind_and_nothing_else() -> None:
    written = "// One.\n\n/** Two,\n * on two lines. */\nconst a = 1; // stays\n  // Three.\n  b(`\n /* four */`);\n"
    assert without_comments(written) == "const a = 1; // stays\n  b(`\n /* four */`);\n"


@pytest.mark.parametrize(
    "line",
    [
        'import "./side-effect.js";',
        'import * as all from "./one.js";',
        "export default 1;",
        "export let changes = 1;",
        'const one = await import("./one.js");',
        "  const one = import(name);",
        "await ready();",
    ],
)
def test_what_would_not_run_inside_a_function_is_turned_down(line: str) -> None:
    with pytest.raises(ValueError, match=r"^mine\.js can't be put into one script"):
        part("mine.js", f"{line}\n")
