"""Two sets of objects held against one another: what is missing, added, doubled, moved, resized."""

from collections import Counter, defaultdict
from collections.abc import Callable, Hashable, Iterator, Sequence
from typing import Protocol, TypeVar

from boardgen.model.proof import Difference, Kind
from boardgen.units import NM_PER_MM


class Placed(Protocol, Hashable):
    """An object with a place, a size, and what it names."""

    @property
    def place(self) -> tuple[int, int]:
        """Where, in nanometres."""

    @property
    def place_mm(self) -> tuple[float, float]:
        """Where, in millimetres."""

    @property
    def size_mm(self) -> tuple[float, float]:
        """The box around it."""

    @property
    def subjects(self) -> tuple[str, ...]:
        """Parts, pins and nets that it names."""


Thing = TypeVar("Thing", bound=Placed)
Told = Callable[[Thing], str]


def differing(kind: Kind, text: str, layer: str, thing: Placed) -> Difference:
    """Make a difference of an object."""
    return Difference(
        kind=kind,
        text=text,
        layer=layer,
        subjects=thing.subjects,
        place_mm=thing.place_mm,
        size_mm=thing.size_mm,
    )


def compare(
    wanted: Sequence[Thing],
    found: Sequence[Thing],
    layer: Callable[[Thing], str],
    identity: Callable[[Thing], Hashable],
) -> Iterator[Difference]:
    """Compare two sets one to one, whatever their order.

    Parameters
    ----------
    wanted, found : sequence
        What ought to be there, what is.
    layer : function
        Names the file of an object.
    identity : function
        What an object is, wherever it lies and however large: by it a moved one is known again.
    """
    surplus, lacking = Counter(found) - Counter(wanted), Counter(wanted) - Counter(found)
    left = sorted(surplus.elements(), key=lambda thing: (thing.place, str(thing)), reverse=True)
    at_place: dict[tuple[int, int], list[Thing]] = defaultdict(list)
    by_identity: dict[Hashable, list[Thing]] = defaultdict(list)
    for thing in left:
        at_place[thing.place].append(thing)
        by_identity[identity(thing)].append(thing)
    gone: Counter[Thing] = Counter()
    unmatched = []
    for thing in sorted(lacking.elements(), key=lambda thing: (thing.place, str(thing))):
        other = _first(at_place[thing.place], surplus, gone)
        if other is None:
            unmatched.append(thing)
            continue
        gone[other] += 1
        yield _changed(thing, other, layer(other), identity)
    for thing in unmatched:
        other = _first(by_identity[identity(thing)], surplus, gone)
        if other is None:
            yield differing(Kind.MISSING, f"{thing} is missing", layer(thing), thing)
            continue
        gone[other] += 1
        yield differing(Kind.MOVED, f"{other} lies {_apart(thing, other)}", layer(other), other)
    wanted_ones = set(wanted)
    for thing in left:
        if gone[thing]:
            gone[thing] -= 1
        elif thing in wanted_ones:
            yield differing(Kind.DOUBLED, f"{thing} is there twice", layer(thing), thing)
        else:
            yield differing(Kind.ADDED, f"{thing} was not designed", layer(thing), thing)


def _first(choices: list[Thing], surplus: Counter[Thing], gone: Counter[Thing]) -> Thing | None:
    """Take the next that is not used up; used ones are dropped, so that each is met once."""
    while choices and gone[choices[-1]] >= surplus[choices[-1]]:
        choices.pop()
    return choices[-1] if choices else None


def _changed(
    thing: Thing, other: Thing, layer: str, identity: Callable[[Thing], Hashable]
) -> Difference:
    """Tell how an object differs from the one that ought to be at its place."""
    same_size = thing.size_mm == other.size_mm
    if identity(thing) == identity(other):
        word, was = Kind.RESIZED, "{:g} x {:g} mm".format(*thing.size_mm)
        text = (
            f"{other} is not {was}" if not same_size else f"{other} has not the shape it ought to"
        )
    else:
        word, text = Kind.RENAMED, f"{other} ought to be {thing}"
    found = differing(word, text, layer, other)
    names = tuple(dict.fromkeys((*thing.subjects, *other.subjects)))
    return Difference(
        kind=found.kind, text=text, layer=layer, subjects=names,
        place_mm=found.place_mm, size_mm=found.size_mm,
    )  # fmt: skip


def _apart(thing: Placed, other: Placed) -> str:
    x, y = ((other.place[axis] - thing.place[axis]) / NM_PER_MM for axis in (0, 1))
    return f"({x:+.4f}, {y:+.4f}) mm from where it ought to"
