"""What the contributor's guide says of tests is true: each one it names exists."""

import re
from pathlib import Path

ROOT = Path(__file__).parent.parent
GUIDE = (ROOT / "DEVELOPERS.md").read_text(encoding="utf-8")
TESTS = {path: path.read_text(encoding="utf-8") for path in (ROOT / "tests").rglob("test_*.py")}


def file_named(name: str) -> Path:
    return ROOT / name if name.startswith("tests/") else ROOT / "tests" / "phone" / name


def test_every_test_file_it_names_exists() -> None:
    named = set(re.findall(r"[\w/]*test_\w+\.py", GUIDE))
    assert len(named) > 20
    assert {name for name in named if file_named(name) not in TESTS} == set()


def test_every_test_it_names_exists_in_its_file() -> None:
    named = set(re.findall(r"([\w/]*test_\w+\.py)::(test_\w+)", GUIDE))
    assert len(named) > 50
    assert {f"{file}::{test}" for file, test in named if f"def {test}(" not in TESTS[file_named(file)]} == set()


def test_every_test_it_names_without_a_file_exists_somewhere() -> None:
    everything = "".join(TESTS.values())
    named = set(re.findall(r"`(test_\w+)`", GUIDE))
    assert {test for test in named if f"def {test}(" not in everything} == set()


def test_every_row_of_the_security_table_says_how_it_stands() -> None:
    _, _, security = GUIDE.partition("## OWASP ASVS")
    rows = re.findall(r"^\| (\d[^|]+)\| ([^|]+)\| ([^|]+)\| ([^|]+)\| (.+) \|$", security, re.MULTILINE)
    assert len(rows) > 100
    assert {state.strip() for *_, state, _ in rows} <= {"met", "part", "not met", "open", "n/a"}
    assert [first for first, *_, why in rows if not why.strip()] == []
