"""The circuit diagram held against the placement list: each part once, with its value."""

import re
import xml.etree.ElementTree as ET
from collections import Counter
from collections.abc import Iterator, Mapping, Sequence

from boardgen.readback.drawn import foreign

_LARGEST = 5_000_000
_DRAWN = {
    "svg": {"baseProfile", "height", "version", "viewBox", "width", "x", "y"},
    "defs": set[str](),
    "title": set[str](),
    "desc": set[str](),
    "rect": {"x", "y", "width", "height", "fill"},
    "path": {"d", "style"},
    "polygon": {"points", "style"},
    "circle": {"cx", "cy", "r", "style"},
    "text": {"x", "y", "dominant-baseline", "fill", "font-size", "font-family", "text-anchor"},
    "tspan": {"x", "dy"},
}
_PLAIN = re.compile(r"[\w#., :;-]*")
"""Numbers, names, colours and styles; nothing that leads elsewhere: no brackets, no slashes."""
_PART = re.compile(r"[A-Z]+\d+")
_SPAN = re.compile(r"([A-Z]+)(\d+)(?: to \1(\d+))?")
_BARE = ("TP", "E")
"""Lands to which no part is soldered."""
_MOST = 100_000


def diagram_faults(content: bytes, placed: Sequence[Mapping[str, str]]) -> Iterator[str]:
    """Hold a diagram: nothing that runs in it, every part once, every resistor with its value."""
    if len(content) > _LARGEST or b"<!" in content or b"<?" in content:
        yield "is larger, or of another kind, than boardgen draws"
        return
    try:
        root = ET.fromstring(content)  # noqa: S314 - no entities, bounded above
    except ET.ParseError:
        yield "is no picture that can be read"
        return
    yield from dict.fromkeys(
        fault for element in root.iter() for fault in foreign(element, _DRAWN, _PLAIN)
    )
    values = {row.get("reference", ""): row.get("value", "") for row in placed}
    drawn = [list(element.itertext()) for element in root.iter() if _tag(element) == "text"]
    named = Counter(words[0] for words in drawn if _PART.fullmatch(words[0]))
    key = next((element.text or "" for element in root.iter() if _tag(element) == "desc"), "")
    for sentence in re.findall(r"they hold ([^.]+)\.", key):
        named.update(_expanded(sentence))
    for name, count in named.items():
        if name not in values and not name.startswith(_BARE):
            yield f"{name} is in the diagram, but not in the placement list"
        elif count > 1:
            yield f"{name} is in the diagram {count} times"
    for name in sorted(values.keys() - named.keys()):
        yield f"{name} is in the placement list, but not in the diagram"
    for words in drawn:
        told = words[1].replace("Ω", "ohm") if len(words) > 1 else ""
        if told and told != values.get(words[0]):
            yield f"{words[0]} has {told} in the diagram, {values.get(words[0])} in the list"


def _tag(element: ET.Element) -> str:
    return element.tag.rpartition("}")[2]


def _expanded(words: str) -> Iterator[str]:
    """Name all parts of a list such as "R2 to R9, D4"."""
    for letter, first, last in _SPAN.findall(words):
        for number in range(int(first), min(int(last or first), int(first) + _MOST) + 1):
            yield f"{letter}{number}"
