"""The phone's scripts in one file: a page kept on the phone then asks its worker for one of them and not for forty.

In it each stays a function of its own, run when it is first asked for, so that none sees another's names. Under its own
address a script only fetches its exports out of that file: whoever imports it has the same one as everybody else.
Only the few forms of `import` and `export` that static/bay uses are understood. Comments stay behind: they would be a
third of what a phone fetches.
"""

import re
from functools import cache

from app.pages.release import BAY
from app.settings import shipped

#: What the file is called, among the scripts it is made of.
ALL = "all.js"

#: These run by themselves: one before anything is painted, one leads away from its page at once, and the others are of
#: no use to most pages; what works something out or times a hold test is taken along with a car.
_APART = ("first.js", "start.js", "worker", "scan.js", "print.js", "hole", "hold-", "log-", "workings")
_IMPORT = re.compile(r'^import \{([^}]*)\} from "\./([\w-]+\.js)";$', re.MULTILINE)
_LATER = re.compile(r'\bimport\("\./([\w-]+\.js)"\)')
_EXPORT = re.compile(r"^export ((?:async )?function|const|class) (\w+)", re.MULTILINE)
_EXPORTS_LATER = re.compile(r"^export \{ ([\w, ]+) \};\n", re.MULTILINE)
_COMMENT = re.compile(r"^ *(?://.*|/\*\*[\s\S]*?\*/)\n", re.MULTILINE)
#: What would not run inside a function: another import or export, and waiting for something at once.
_OTHER = re.compile(r"^(?:import|export)\b.*|^.*\bimport\(.*|^(?!//|.*\basync\b|[ }]).*\bawait\b.*", re.MULTILINE)

_BEGIN = """// Made of the scripts in static/bay, each under its own name.
const parts = {};
const run = {};

/** What the script of this name exports; it is run when it is first asked for. */
export function partNamed(name) {
  run[name] ??= parts[name]();
  return run[name];
}
"""


@cache
def served_instead(name: str) -> str | None:
    """What is served for a script's own text; None for one that stands by itself, or is none of ours."""
    if name == ALL:
        return _BEGIN + "".join(part(one, _text(one)) for one in _names())
    if name not in _names():
        return None
    exported = ", ".join(_exports(_text(name)))
    fetched = f"export const {{ {exported} }} = " if exported else ""
    return f'import {{ partNamed }} from "./{ALL}";\n{fetched}partNamed("{name}");\n'


def part(name: str, text: str) -> str:
    """A script as a function that answers what it exports.

    Raises ValueError for an import or export of another form, or for waiting outside a function.
    """
    exported = ", ".join(_exports(text))
    text = without_comments(text)
    text = _IMPORT.sub(lambda found: f'const {{{found[1].replace(" as ", ": ")}}} = partNamed("{found[2]}");', text)
    text = _LATER.sub(r'Promise.resolve(partNamed("\1"))', text)
    text = _EXPORT.sub(r"\1 \2", _EXPORTS_LATER.sub("", text))
    if other := _OTHER.search(text):
        raise ValueError(f"{name} can't be put into one script with the others: {other[0]}")
    return f'\nparts["{name}"] = () => {{\n{text}return {{ {exported} }};\n}};\n'


def without_comments(text: str) -> str:
    """A script without the comments that have lines to themselves, and without empty lines."""
    return re.sub(r"\n{2,}", "\n", _COMMENT.sub("", text)).lstrip("\n")


def _exports(text: str) -> list[str]:
    return [name for _, name in _EXPORT.findall(text)] + [
        name for names in _EXPORTS_LATER.findall(text) for name in names.split(", ")
    ]


@cache
def _names() -> tuple[str, ...]:
    return tuple(sorted(p.name for p in (shipped("static") / BAY).glob("*.js") if not p.name.startswith(_APART)))


def _text(name: str) -> str:
    return (shipped("static") / BAY / name).read_text(encoding="utf-8")
