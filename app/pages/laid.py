"""A page's bindings, written once: what the phone's script will read, and what comes of it as the record stands.

The script lays entries that wait on the phone over a page by the same attributes (static/bay/lay.js, shape.js,
holds.js). Written here with their present outcome, they say the same with and without it.
"""

from collections.abc import Mapping
from dataclasses import dataclass, field, replace

from markupsafe import Markup

from app.pages.words import FILTERS, plain
from app.records.entry import Value
from app.records.known import Known

_NOTHING: Mapping[str, Value] = {}


@dataclass(frozen=True, slots=True)
class Laid:
    """What a page knows: records by "kind/id", labels by name, and the classes of the elements it shows, by id.

    `about` is the record that "." stands for. `still`: the phone knows less of it than is written here, so that it is
    left as it is.
    """

    known: Known
    labels: Mapping[str, Mapping[str, str]] = field(default_factory=dict)
    elements: Mapping[str, frozenset[str]] = field(default_factory=dict)
    about: str = ""
    still: bool = False

    def of(self, ref: str) -> "Laid":
        """The same, in a part of the page that is about `ref`."""
        return replace(self, about=ref)

    def holds(self, conditions: str) -> bool:
        """Whether every condition holds: "touch/j.l how = replaced|disconnected & ! . void_reason"."""
        return all(self._holds(one) for one in conditions.split(" & "))

    def show(self, conditions: str) -> Markup:
        """Attributes of an element that is shown while the conditions hold."""
        hidden = Markup("") if self.holds(conditions) else Markup(" hidden")
        return hidden if self.still else Markup(' data-if="{}"{}').format(conditions, hidden)

    def look(self, always: str, rules: str) -> Markup:
        """The class attribute of an element: `always`, and of `rules` ("on if ...; done if ...") what holds."""
        pairs = (rule.split(" if ", 1) for rule in rules.split("; "))
        names = [always, *(name for name, conditions in pairs if self.holds(conditions))]
        return Markup(' class="{}" data-class="{}"').format(" ".join(filter(None, names)), rules)

    def like(self, *ids: str) -> Markup:
        """Attributes of an element that looks like others: `data-is` says which of their rules hold."""
        names = [name for one in ids for name in sorted(self.elements.get(one, ()))]
        now = Markup(' data-is="{}"').format(" ".join(names)) if names else ""
        return Markup(' data-like="{}"{}').format(" ".join(ids), now)

    def press(self, conditions: str) -> Markup:
        """Attributes of a button that counts as pressed while the conditions hold."""
        pressed = "true" if self.holds(conditions) else "false"
        return Markup(' data-pressed="{}" aria-pressed="{}"').format(conditions, pressed)

    def says(self, text: str, label: str = "") -> Markup:
        """An element that says a field ("job/j opened_at moment"), or its word in the page's labels."""
        if self.still:
            return Markup("<bdi>{}</bdi>").format(self.said(text, label))
        named = Markup(' data-label="{}"').format(label) if label else ""
        return Markup('<bdi data-text="{}"{}>{}</bdi>').format(text, named, self.said(text, label))

    def said(self, text: str, label: str = "") -> str:
        """What that element says now."""
        ref, name, *how = text.split(" ")
        value = self._fields(ref).get(name)
        if value is None or value == "":
            return ""
        if label:
            return self.labels.get(label, {}).get(plain(value), plain(value))
        return str(FILTERS[how[0]](value, *how[1:])) if how else plain(value)

    def _fields(self, ref: str) -> Mapping[str, Value]:
        return self.known.get(self.about if ref == "." else ref, _NOTHING)

    def _holds(self, condition: str) -> bool:
        negated = condition.startswith("! ")
        ref, name, *compared = condition.removeprefix("! ").split(" ", 3)
        if ref.startswith("#"):
            classes = self.elements.get(ref[1:])
            found = classes is not None and (name == "shown" or name in classes)
        else:
            found = _compared(plain(self._fields(ref).get(name)), *compared)
        return found is not negated


def _compared(value: str, operator: str = "", wanted: str = "") -> bool:
    if operator == "=":
        return value in wanted.split("|")
    if operator == "<>":
        return value not in wanted.split("|")
    return value != "" and (operator == "" or _is_less(value, wanted) is (operator == "<"))


def _is_less(value: str, wanted: str) -> bool:
    try:
        return float(value) < float(wanted)
    except ValueError:
        return value < wanted  # days and moments
