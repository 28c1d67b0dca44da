"""What a person sees of a page: its text without scripts, templates and whatever is hidden, a space between words."""

from html.parser import HTMLParser

_UNSEEN = {"script", "style", "template", "head", "noscript"}
_EMPTY = {"input", "meta", "link", "br", "hr", "img"}
_OWN_LINE = {
    "p",
    "div",
    "h1",
    "h2",
    "h3",
    "strong",
    "span",
    "small",
    "li",
    "dt",
    "dd",
    "a",
    "button",
    "label",
    "legend",
}


class _Reader(HTMLParser):
    def __init__(self) -> None:
        super().__init__()
        self.open: list[tuple[str, bool]] = []
        self.said: list[str] = []

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        if tag in _OWN_LINE:
            self.said.append(" ")
        if tag not in _EMPTY:
            self.open.append((tag, tag in _UNSEEN or "hidden" in dict(attrs)))

    def handle_endtag(self, tag: str) -> None:
        while self.open and tag not in _EMPTY:
            if self.open.pop()[0] == tag:
                break
        if tag in _OWN_LINE:
            self.said.append(" ")

    def handle_data(self, data: str) -> None:
        if not any(unseen for _, unseen in self.open):
            self.said.append(data)


def seen(page: str) -> str:
    """The text of a page as it stands before any script has run."""
    reader = _Reader()
    reader.feed(page)
    return " ".join("".join(reader.said).split())
