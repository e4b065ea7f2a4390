"""Pages of a package: nothing runs in them, and nothing leads out of them."""

import re
from collections.abc import Iterator, Sequence
from html.parser import HTMLParser

_LARGEST = 40_000_000
_TAGS = frozenset({
    "html", "head", "meta", "title", "style", "body", "header", "main", "footer", "section", "div",
    "h1", "h2", "h3", "p", "ul", "ol", "li", "dl", "dt", "dd", "table", "thead", "tbody", "tr",
    "th", "td", "figure", "figcaption", "span", "strong", "code", "pre", "br", "label", "input",
    "svg", "g", "defs", "desc", "path", "rect", "circle", "polygon", "text", "tspan", "pattern",
})  # fmt: skip
_NEVER = re.compile(r"^on|^(href|src|srcset|action|formaction|data|ping|background)$|:href$")
_LEADS_OUT = re.compile(r"url\((?!#hatched\))|@import|expression\(|javascript:", re.IGNORECASE)


class _Reader(HTMLParser):
    """Gather what boardgen writes into no page."""

    def __init__(self) -> None:
        super().__init__()
        self.faults: dict[str, None] = {}
        self._style = False

    def handle_starttag(self, tag: str, attrs: Sequence[tuple[str, str | None]]) -> None:
        self._style = tag == "style"
        if tag not in _TAGS:
            self.faults[f"holds a {tag}, which boardgen writes nowhere"] = None
        for key, value in attrs:
            if _NEVER.search(key) or _LEADS_OUT.search(value or ""):
                self.faults[f"holds {key} of a {tag} as boardgen never writes it"] = None
            if tag == "meta" and key == "http-equiv":
                self.faults["holds a meta that boardgen never writes"] = None

    def handle_data(self, data: str) -> None:
        if self._style and _LEADS_OUT.search(data):
            self.faults["its style leads out of the page"] = None
        self._style = False


def web_page_faults(content: bytes) -> Iterator[str]:
    """Hold a page: tags that boardgen writes, no script, no handler, no address."""
    if len(content) > _LARGEST:
        yield "is larger than boardgen writes"
        return
    reader = _Reader()
    reader.feed(content.decode("utf-8", "replace"))
    reader.close()
    yield from reader.faults
