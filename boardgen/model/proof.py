"""Proof: what was compared with what, what differs and where, and what was measured."""

from collections.abc import Mapping
from dataclasses import dataclass, field
from enum import StrEnum

from boardgen.model.shapes import Shape


class Kind(StrEnum):
    """What sort of difference was found: a closed list, for machines and for people."""

    MISSING_FILE = "missing file"
    FOREIGN_FILE = "foreign file"
    DIGEST = "digest"
    FORM = "form"
    ATTRIBUTE = "attribute"
    LIST = "list"
    MISSING = "missing"
    ADDED = "added"
    DOUBLED = "doubled"
    MOVED = "moved"
    RESIZED = "resized"
    RENAMED = "renamed"
    ORDER = "order"
    IMAGE = "image"
    PROJECT = "project"
    JOINED = "nets joined"
    APART = "net apart"
    NAMELESS = "no net"
    PIN = "pin"
    HOLE = "hole"
    PLATING = "plating"
    EDGE = "edge"
    DARK = "stays dark"
    BYPASSED = "bypassed"
    BRANCH = "branch"
    MARK = "mark"


@dataclass(frozen=True, slots=True, kw_only=True)
class Difference:
    """One thing that is not as it ought to be.

    ``text`` is a sentence; ``layer`` the file's part (``copper-top``), ``subjects`` parts, pins
    (``D3.1``) or nets, ``place_mm`` where, ``size_mm`` how large a box around it is.
    """

    kind: Kind
    text: str
    layer: str = ""
    subjects: tuple[str, ...] = ()
    place_mm: tuple[float, float] | None = None
    size_mm: tuple[float, float] | None = None

    def __str__(self) -> str:
        words = [self.text if not self.layer else f"{self.layer}: {self.text}"]
        if self.place_mm:
            words.append("at ({:.3f}, {:.3f}) mm".format(*self.place_mm))
        if self.size_mm:
            words.append("{:.3f} x {:.3f} mm".format(*self.size_mm))
        return "".join(letter if letter.isprintable() else "?" for letter in ", ".join(words))


@dataclass(frozen=True, slots=True, kw_only=True)
class ProofItem:
    """One comparison: what was looked at, how many objects, and every difference found."""

    title: str
    compared: int
    differences: tuple[Difference, ...] = ()

    @property
    def holds(self) -> bool:
        """Whether nothing differs."""
        return not self.differences


@dataclass(frozen=True, slots=True, kw_only=True)
class Measure:
    """What an order form asks, answered from a file: topic, question, answer."""

    topic: str
    asks: str
    answer: str
    file: str


@dataclass(frozen=True, slots=True, kw_only=True)
class SeenPin:
    """A land of a part as it was read from the copper: whose, its function, its place, its side."""

    reference: str
    number: str
    function: str
    x_mm: float
    y_mm: float
    side: str


OTHER_VERSIONS = "papers of other versions: words not compared"
"""Title of the comparison that other versions of the program leave out."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Proof:
    """All comparisons made on one package, what was measured in it, and what it shows.

    ``drawn`` holds the objects of each layer as they were read, dark or clear, in their order;
    ``pins`` the lands of parts as the copper names them; ``name`` is the project's.
    """

    items: tuple[ProofItem, ...]
    measures: tuple[Measure, ...] = ()
    drawn: Mapping[str, tuple[tuple[Shape, bool], ...]] = field(default_factory=dict)
    pins: tuple[SeenPin, ...] = ()
    name: str = ""

    @property
    def holds(self) -> bool:
        """Whether every comparison came out equal."""
        return all(item.holds for item in self.items)

    @property
    def differences(self) -> tuple[Difference, ...]:
        """All differences, in the order of the comparisons."""
        return tuple(found for item in self.items for found in item.differences)
