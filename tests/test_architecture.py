"""The house rules of DEVELOPERS.md, held by looking at the files themselves."""

import ast
import hashlib
import re
import sys
from collections.abc import Iterator
from pathlib import Path

import pytest

ROOT = Path(__file__).parent.parent
APP = ROOT / "app"
MODULES = sorted(APP.rglob("*.py"))
TEMPLATES = sorted((ROOT / "templates").rglob("*.html"))

PURE = ("workings", "airpath", "triage", "traces", "plan", "paper")
#: Which of our own packages each may import. Arrows point one way.
MAY_IMPORT = {
    "workings": {"workings"},
    "airpath": {"airpath", "workings"},
    "triage": {"triage", "airpath", "workings"},
    "traces": {"traces", "airpath", "workings"},
    "plan": {"plan"},
    "paper": {"paper"},
    "photos": {"photos"},
    "records": {"records", "photos", "settings", *PURE},
    "pages": {"pages", "phone", "photos", "records", "settings", *PURE},
    "phone": {"phone", "pages", "records", "settings", *PURE},
}
#: What a pure package may use beside the standard library: a log is a million figures.
MAY_USE = {"traces": {"numpy"}}
WEB = {"fastapi", "starlette", "uvicorn", "jinja2"}

#: A function longer than 40 lines, and why splitting it would hurt the reader.
LONG_FUNCTIONS = {
    "app/triage/knowledge/": "a table: one row a role, each with its reason",
    "app/triage/model.py": "the one calculation, read from top to bottom as its formula is",
}


def named(paths: list[Path]) -> list[str]:
    return [path.relative_to(ROOT).as_posix() for path in paths]


def package(path: Path) -> str:
    return path.relative_to(APP).parts[0].removesuffix(".py")


def imported(path: Path) -> Iterator[str]:
    """The modules a file imports, at the top or further down."""
    for node in ast.walk(ast.parse(path.read_text(encoding="utf-8"))):
        if isinstance(node, ast.Import):
            yield from (name.name for name in node.names)
        elif isinstance(node, ast.ImportFrom):
            assert node.level == 0, f"{path} imports from a dot: say which module"
            # `from app import x` names the package x as much as `import app.x` does.
            yield from (f"{node.module}.{name.name}" for name in node.names)


@pytest.mark.parametrize(
    "path", [p for p in MODULES if package(p) in MAY_IMPORT], ids=lambda path: path.relative_to(ROOT).as_posix()
)
def test_arrows_point_one_way(path: Path) -> None:
    ours = {name.split(".")[1] for name in imported(path) if name.startswith("app.")} - {"__version__"}
    assert ours <= MAY_IMPORT[package(path)]


@pytest.mark.parametrize(
    "path", [p for p in MODULES if package(p) in PURE], ids=lambda path: path.relative_to(ROOT).as_posix()
)
def test_a_pure_package_imports_only_the_standard_library(path: Path) -> None:
    others = {name.split(".")[0] for name in imported(path)} - {"app", *MAY_USE.get(package(path), ())}
    assert others <= sys.stdlib_module_names
    assert not others & {"sqlite3", "socket", "http", "urllib"}


def test_the_record_knows_nothing_of_the_web() -> None:
    met = {path: {n.split(".")[0] for n in imported(path)} & WEB for path in MODULES if package(path) == "records"}
    assert {path: web for path, web in met.items() if web} == {}


_SQL = re.compile(
    r"\b(SELECT\s|INSERT\s+(OR \w+\s+)?INTO\s|UPDATE\s+\w+\s+SET\s|DELETE\s+FROM\s|PRAGMA\s|CREATE\s+TABLE)"
)


def test_only_the_records_package_speaks_sql() -> None:
    spoken = [
        f"{path.relative_to(ROOT)}:{node.lineno}"
        for path in MODULES
        if package(path) != "records"
        for node in ast.walk(ast.parse(path.read_text(encoding="utf-8")))
        if (isinstance(node, ast.Constant) and isinstance(node.value, str) and _SQL.search(node.value))
        or (isinstance(node, ast.Attribute) and node.attr in {"exec_driver_sql", "executemany"})
    ]
    assert spoken == []


def test_no_file_is_longer_than_300_lines() -> None:
    lengths = {path: len(path.read_text(encoding="utf-8").splitlines()) for path in MODULES}
    assert {path: length for path, length in lengths.items() if length > 300} == {}


def test_no_function_is_longer_than_40_lines() -> None:
    long = [
        f"{name}:{node.lineno} {node.name}"
        for path, name in zip(MODULES, named(MODULES), strict=True)
        if not name.startswith(tuple(LONG_FUNCTIONS))
        for node in ast.walk(ast.parse(path.read_text(encoding="utf-8")))
        if isinstance(node, ast.FunctionDef | ast.AsyncFunctionDef)
        and (node.end_lineno or node.lineno) - node.lineno >= 40
    ]
    assert long == []


#: What the Content-Security-Policy would stop: better found here than on a phone.
_INLINE = {
    "a script in the page": re.compile(r"<script(?![^>]*\b(src=|type=\"application/json\"))", re.IGNORECASE),
    "a style in the page": re.compile(r"<style|\sstyle\s*=", re.IGNORECASE),
    "a handler in the page": re.compile(r"\son[a-z]+\s*=\s*[\"'{]|hx-on|javascript:", re.IGNORECASE),
    "words for eval": re.compile(r"js:|hx-vars|hx-trigger=\"[^\"]*\[", re.IGNORECASE),
    "another site's file": re.compile(r"(src|href|action)=\"(https?:)?//", re.IGNORECASE),
}


@pytest.mark.parametrize("path", TEMPLATES, ids=lambda path: path.relative_to(ROOT).as_posix())
def test_a_template_holds_no_script_no_style_and_no_handler(path: Path) -> None:
    text = path.read_text(encoding="utf-8")
    assert [what for what, sign in _INLINE.items() if sign.search(text)] == []


def test_nothing_we_serve_fetches_from_elsewhere() -> None:
    ours = [p for p in (ROOT / "static").rglob("*") if p.suffix in {".css", ".js"} and "vendor" not in p.parts]
    fetched = re.compile(r"@import|url\(\s*['\"]?(https?:)?//|['\"]https?://(?!www\.w3\.org/2000/svg)", re.IGNORECASE)
    assert [p.name for p in ours if fetched.search(p.read_text(encoding="utf-8"))] == []


def test_night_changes_colours_and_nothing_else() -> None:
    """Why a browser test takes its steps by day alone: `light-dark()` is all that tells the two apart.

    Two charts ask as well, to be drawn anew; their tests run in both.
    """
    ours = [p for p in (ROOT / "static").rglob("*") if p.suffix in {".css", ".js"} and "vendor" not in p.parts]
    texts = {path.name: path.read_text(encoding="utf-8") for path in [*ours, *TEMPLATES]}
    asks = {name for name, text in texts.items() if "prefers-color-scheme" in re.sub("<meta[^>]*>", "", text)}
    assert asks == {"log-chart.js", "log-overlay.js"}


def test_our_scripts_write_text_as_text() -> None:
    """What was typed could otherwise become markup, and be run."""
    written = re.compile(r"\b(innerHTML|outerHTML|insertAdjacentHTML|document\.write|setHTMLUnsafe|eval|Function)\b")
    scripts = sorted((ROOT / "static" / "bay").glob("*.js"))
    assert [path.name for path in scripts if written.search(path.read_text(encoding="utf-8"))] == []


def test_every_file_made_elsewhere_is_listed_with_its_checksum() -> None:
    guide = (ROOT / "DEVELOPERS.md").read_text(encoding="utf-8")
    listed = dict(re.findall(r"^\| `([^`]+)` \|.*\| `([0-9a-f]{64})` \|$", guide, re.MULTILINE))
    folders = (ROOT / "static/vendor", ROOT / "static/fonts", ROOT / "tests/vendor")
    lying = {p.relative_to(ROOT).as_posix(): p for f in folders for p in f.iterdir() if p.suffix != ".txt"}
    assert listed == {name: hashlib.sha256(path.read_bytes()).hexdigest() for name, path in lying.items()}
