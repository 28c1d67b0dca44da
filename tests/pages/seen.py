"""What a page shows: its text without what is hidden, and without what only waits to be shown."""

from html.parser import HTMLParser

_NEVER_CLOSED = {"input", "meta", "link", "br", "img", "hr", "path", "circle", "rect", "use", "line"}


class _Seen(HTMLParser):
    def __init__(self) -> None:
        super().__init__()
        self.text: list[str] = []
        self._hidden = 0

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        if tag in _NEVER_CLOSED:
            return
        if self._hidden or tag in {"template", "script"} or "hidden" in dict(attrs):
            self._hidden += 1

    def handle_startendtag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        """Nothing in it."""

    def handle_endtag(self, tag: str) -> None:
        if self._hidden and tag not in _NEVER_CLOSED:
            self._hidden -= 1

    def handle_data(self, data: str) -> None:
        if not self._hidden:
            self.text.append(data)


def seen(page: str) -> str:
    """The text of a page as a browser without scripts shows it, spaces run together."""
    reader = _Seen()
    reader.feed(page)
    return " ".join("".join(reader.text).split())
