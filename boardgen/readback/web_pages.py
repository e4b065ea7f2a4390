"""Pages of a package: nothing runs in them, and nothing leads out of them.

A browser mends what is no sound HTML, each construct in its own way, and what it makes of it may
run. So nothing is mended here: every "<" has to begin a tag that boardgen writes, as it writes it.
"""

import re
from collections.abc import Iterator

_LARGEST = 40_000_000
_TAGS = frozenset({
    "html", "head", "meta", "title", "style", "body", "header", "main", "footer", "section", "div",
    "h1", "h2", "h3", "p", "ul", "ol", "li", "dl", "dt", "dd", "table", "thead", "tbody", "tr",
    "th", "td", "figure", "figcaption", "span", "strong", "code", "pre", "br", "label", "input",
    "svg", "g", "defs", "desc", "path", "rect", "circle", "polygon", "text", "tspan", "pattern",
})  # fmt: skip
_KEYS = frozenset({
    "lang", "charset", "name", "content", "class", "id", "type", "checked", "tabindex", "style",
    "xmlns", "width", "height", "viewBox", "x", "y", "d", "fill", "fill-rule", "fill-opacity",
    "stroke", "stroke-width", "stroke-linecap", "stroke-dasharray", "points", "cx", "cy", "r",
    "patternUnits", "font-size", "font-family", "text-anchor", "dominant-baseline", "dy",
    "transform",
})  # fmt: skip
_HEAD = "<!DOCTYPE html>"
_TAG = re.compile(r"""<(/?)([A-Za-z][A-Za-z0-9]*)((?:\s+[A-Za-z:-]+(?:="[^"<>]*")?)*)\s*/?>""")
_KEY = re.compile(r"""([A-Za-z:-]+)(?:="([^"<>]*)")?""")
_LEADS_OUT = re.compile(
    r"\\|@(?!page\b|media\b)|//|url\((?!#hatched\))|image|expression|script:", re.IGNORECASE
)
_STYLE = re.compile(r"<style>(.*?)</style>", re.DOTALL)


def web_page_faults(content: bytes) -> Iterator[str]:
    """Hold a page: tags and keys that boardgen writes, one style, no script, no address."""
    text = content.decode("utf-8", "replace")
    if len(content) > _LARGEST or not text.startswith(_HEAD):
        yield "is larger, or of another kind, than boardgen writes"
        return
    head, body = text[len(_HEAD) :].partition("<body>")[::2]
    yield from dict.fromkeys(_head_faults(head))
    rest = _STYLE.sub("", head, count=1) + "<body>" + body
    yield from dict.fromkeys(_tag_faults(rest))


def _head_faults(head: str) -> Iterator[str]:
    """Hold the one style of a page; pictures bring none of their own."""
    styles = _STYLE.findall(head)
    if len(styles) != 1:
        yield "has not one style, as boardgen writes it"
    for style in styles:
        if _LEADS_OUT.search(style.replace("system-ui", "")) or "<" in style:
            yield "its style leads out of the page"


def _tag_faults(text: str) -> Iterator[str]:
    at = text.find("<")
    while at >= 0:
        tag = _TAG.match(text, at)
        if tag is None:
            yield f"holds {text[at : at + 12]!r} where boardgen writes a tag"
            return
        name = tag[2]
        if name not in _TAGS or name == "style":
            yield f"holds a {name}, which boardgen writes nowhere"
        for key, value in _KEY.findall(tag[3]):
            if key not in _KEYS or _LEADS_OUT.search(value.replace(_NAMESPACE, "")):
                yield f"holds {key} of a {name} as boardgen never writes it"
        at = text.find("<", tag.end())


_NAMESPACE = "http://www.w3.org/2000/svg"
