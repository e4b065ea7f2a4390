"""Nets traced through the copper that is really there, and the current walked along it."""

from collections import defaultdict
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, field

import numpy as np
import shapely
from shapely import Polygon, STRtree

from boardgen.readback.images import area, centre_mm, pieces
from boardgen.readback.seen import Pin, Seen, SeenHole


@dataclass
class Traced:
    """Pieces of copper gathered into groups that conduct, with what the attributes call them."""

    group_of_pin: dict[Pin, int] = field(default_factory=dict)
    nets_of_group: dict[int, set[str]] = field(default_factory=lambda: defaultdict(set))
    faults: list[str] = field(default_factory=list)

    def groups_of_net(self) -> dict[str, set[int]]:
        """Map every net's name to the groups that carry it."""
        found: dict[str, set[int]] = defaultdict(set)
        for group, nets in self.nets_of_group.items():
            for net in nets:
                found[net].add(group)
        return found


_HAIR_NM = 1_500.0
"""Pieces thinner than 3 µm come from chords that stand for arcs: they are no copper."""


MARK_IN_COPPER = "OtherCopper,Cathode"
LETTER_FUNCTIONS = ("NonConductor", MARK_IN_COPPER)
_MARK_REACH_NM = 2_000_000.0
"""A bar further from its land than this says nothing of it: own choice."""
LETTERS = "of letters in copper"
"""Letters and marks carry no net; should one touch a net, the two are told as joined."""

TERMINALS = 2
"""A resistor has two ends."""


class _Side:
    """One copper side: its pieces, and a tree to find them."""

    def __init__(self, shown: "shapely.geometry.base.BaseGeometry") -> None:
        self.parts: list[Polygon] = [
            piece for piece in pieces(shown) if not piece.buffer(-_HAIR_NM).is_empty
        ]
        self.tree = STRtree(self.parts)

    def under(self, shape: "shapely.geometry.base.BaseGeometry") -> list[int]:
        return sorted(int(place) for place in self.tree.query(shape, "intersects"))


def trace(
    sides: Sequence[tuple[Sequence[Seen], "shapely.geometry.base.BaseGeometry"]],
    holes: Sequence[SeenHole],
) -> Traced:
    """Trace what conducts.

    Parameters
    ----------
    sides : sequence of (objects, image)
        Each copper side's objects and what they show together.
    holes : sequence of SeenHole
        Plated ones join the sides.

    Returns
    -------
    Traced
        With a fault for each net that falls apart, each pair that is joined, each object without
        a name.
    """
    traced = Traced()
    coppers = [_Side(shown) for _, shown in sides]
    starts = np.cumsum([0, *(len(copper.parts) for copper in coppers)])
    parent = list(range(int(starts[-1])))

    def find(member: int) -> int:
        while parent[member] != member:
            parent[member] = parent[parent[member]]
            member = parent[member]
        return member

    for hole in holes:
        if not hole.plated:
            continue
        barrel = shapely.Point(hole.x_nm, hole.y_nm).buffer(hole.diameter_nm / 2)
        met = [
            int(start) + place
            for start, copper in zip(starts[:-1], coppers, strict=True)
            for place in copper.under(barrel)
        ]
        if len(met) < len(coppers):
            traced.faults.append(f"{hole} meets copper on {len(met)} of {len(coppers)} sides")
        for other in met[1:]:
            parent[find(other)] = find(met[0])
    for start, copper, (objects, _) in zip(starts[:-1], coppers, sides, strict=True):
        for seen, visible in _visible(objects):
            _name(traced, seen, [find(int(start) + place) for place in copper.under(visible)])
    _judge(traced)
    return traced


def _visible(
    objects: Sequence[Seen],
) -> Iterator[tuple[Seen, "shapely.geometry.base.BaseGeometry"]]:
    """Give each dark object with what clear objects drawn after it leave of it."""
    last_clear = max((place for place, seen in enumerate(objects) if not seen.dark), default=-1)
    for place, seen in enumerate(objects):
        if not seen.dark:
            continue
        visible = area(seen.shape)
        if place < last_clear:
            clears = [area(later.shape) for later in objects[place + 1 :] if not later.dark]
            visible = visible.difference(shapely.union_all(clears)).buffer(-_HAIR_NM)
        yield seen, visible


def _name(traced: Traced, seen: Seen, groups: list[int]) -> None:
    if not groups:
        traced.faults.append(f"{seen} shows no copper")
        return
    net = seen.net or (LETTERS if seen.function in LETTER_FUNCTIONS else "")
    if not net:
        traced.faults.append(f"{seen} names no net")
        return
    for group in groups:
        traced.nets_of_group[group].add(net)
    if seen.pin:
        before = traced.group_of_pin.setdefault(seen.pin, groups[0])
        if before != groups[0]:
            traced.faults.append(f"pin {seen.pin.reference}.{seen.pin.number} is in two pieces")


def _judge(traced: Traced) -> None:
    for nets in traced.nets_of_group.values():
        if len(nets) > 1:
            traced.faults.append(f"nets {', '.join(sorted(nets))} are joined by copper")
    for net, groups in sorted(traced.groups_of_net().items()):
        if len(groups) > 1 and net != LETTERS:
            traced.faults.append(f"net {net} falls apart into {len(groups)} pieces")


def walk(traced: Traced) -> tuple[int, list[str]]:
    """Walk from + to −: every branch must pass its ballast and each LED from anode to cathode.

    Returns
    -------
    tuple of (int, list of str)
        How many branches arrive, and a sentence for every LED that stays dark and every ballast
        that leads nowhere.
    """
    pins: dict[str, list[tuple[Pin, int]]] = defaultdict(list)
    for pin, group in traced.group_of_pin.items():
        pins[pin.reference].append((pin, group))
    ends = {
        pin.function: group
        for pin, group in traced.group_of_pin.items()
        if pin.function in ("+", "-")
    }
    if set(ends) != {"+", "-"}:
        return 0, ["the connector does not say which pin is + and which is −"]
    if ends["+"] == ends["-"]:
        return 0, ["+ and − are joined by copper"]
    feed, line, stuck = _along_line(pins, ends["+"], ends["-"])
    if stuck:
        return 0, [stuck]
    leds = {ref: {pin.function: group for pin, group in found}
            for ref, found in pins.items() if ref.startswith("D") and ref not in line}  # fmt: skip
    by_anode: dict[int, list[str]] = defaultdict(list)
    faults = []
    for ref, functions in sorted(leds.items(), key=lambda entry: _natural(entry[0])):
        if set(functions) != {"A", "K"}:
            faults.append(f"{ref} does not say which pin is anode and which is cathode")
            continue
        by_anode[functions["A"]].append(ref)
    lit: set[str] = set()
    starts, lost = _ballasts(pins, feed)
    faults += [f"{ref} does not lead from + into a branch" for ref in lost]
    arrived = 0
    for ref, start in starts:
        passed, at = _along(start, by_anode, leds, ends["-"])
        if at == ends["-"] and passed:
            arrived += 1
            lit.update(passed)
        else:
            faults.append(f"the branch of {ref} does not reach −")
    faults += [f"{ref} stays dark" for ref in sorted(set(leds) - lit, key=_natural)]
    return arrived, faults


_LINE = (("in", "out"), ("A", "K"), ("D", "S"), ("common", "on"))
"""Between which pins the supply passes fuse, diode, transistor and switch."""


def _along_line(
    pins: dict[str, list[tuple[Pin, int]]], plus: int, minus: int
) -> tuple[int, set[str], str]:
    """Step from + over fuse, guard and closed switch onto the rail; without such + is the rail.

    Returns
    -------
    tuple of (int, set of str, str)
        The rail's group, what was passed, and why there is no way, if there is none.
    """
    at, passed = plus, set[str]()
    parts = {ref: {pin.function: group for pin, group in found} for ref, found in pins.items()}
    while True:
        ways = [
            (ref, functions[leave], functions)
            for ref, functions in parts.items()
            for enter, leave in _LINE
            if ref not in passed and functions.get(enter) == at and leave in functions
        ]
        if not ways:
            break
        ref, after, functions = ways[0]
        if len(ways) > 1 or after == at:
            return at, passed, f"{ref} does not lead from + to the rail"
        if "D" in functions and functions.get("G") != minus:
            return at, passed, f"the gate of {ref} is not on −"
        if "A" in functions and any("A" in parts[other] for other in passed):
            return at, passed, f"{ref} stands in the line from + like a second guard"
        passed.add(ref)
        at = after
    for ref, functions in parts.items():
        if ref not in passed and set(functions) & {"in", "D", "common"}:
            return at, passed, f"{ref} does not lead from + to the rail"
    return at, passed, ""


def _ballasts(
    pins: dict[str, list[tuple[Pin, int]]], feed: int
) -> tuple[list[tuple[str, int]], list[str]]:
    """Follow the resistors in series from the rail: the first of each and where the last leads.

    Also those that lead from no rail.
    """
    ends = {
        ref: [group for _, group in found] for ref, found in pins.items() if ref.startswith("R")
    }
    at_group: dict[int, list[str]] = defaultdict(list)
    for ref, groups in ends.items():
        for group in set(groups) - {feed}:
            at_group[group].append(ref)
    starts, passed = [], set[str]()
    for ref in sorted(ends, key=_natural):
        if ends[ref].count(feed) != 1 or len(ends[ref]) != TERMINALS:
            continue
        passed.add(ref)
        at = next(group for group in ends[ref] if group != feed)
        while len(further := [other for other in at_group[at] if other not in passed]) == 1:
            onward = [group for group in ends[further[0]] if group != at]
            if len(onward) != 1 or len(ends[further[0]]) != TERMINALS:
                break  # shorted: it is told as one that leads nowhere
            passed.add(further[0])
            at = onward[0]
        starts.append((ref, at))
    return starts, sorted(set(ends) - passed, key=_natural)


def _along(
    at: int, by_anode: dict[int, list[str]], leds: dict[str, dict[str, int]], end: int
) -> tuple[list[str], int]:
    """Follow LEDs from anode to cathode until the end, a fork or nothing more."""
    passed: list[str] = []
    while at != end and len(by_anode.get(at, ())) == 1 and by_anode[at][0] not in passed:
        passed.append(by_anode[at][0])
        at = leds[passed[-1]]["K"]
    return passed, at


def _natural(reference: str) -> tuple[str, int]:
    letters = reference.rstrip("0123456789")
    return (letters, int(reference[len(letters) :] or 0))


def marks(copper: Sequence[Seen], legend: Sequence[Seen]) -> tuple[int, list[str]]:
    """Hold every cathode mark against its LED: nearer to K than to A, off the lands, not missing.

    Returns
    -------
    tuple of (int, list of str)
        How many LEDs were looked at, and what is wrong.
    """
    lands: dict[str, dict[str, Seen]] = defaultdict(dict)
    for seen in copper:
        if seen.pin and seen.pin.function in ("A", "K"):
            lands[seen.pin.reference][seen.pin.function] = seen
    bars: dict[str, list[Seen]] = defaultdict(list)
    for seen in legend:
        if seen.function in ("Other,Cathode", MARK_IN_COPPER):
            bars[seen.part].append(seen)
    faults = []
    for ref, ends in sorted(lands.items(), key=lambda entry: _natural(entry[0])):
        if len(bars[ref]) != 1:
            faults.append(f"{ref} has {len(bars[ref])} cathode marks")
            continue
        bar = area(bars[ref][0].shape)
        to_k, to_a = (
            bar.centroid.distance(area(ends[name].shape).centroid) if name in ends else 0.0
            for name in ("K", "A")
        )
        if to_k >= to_a:
            faults.append(f"the mark of {ref} is at its anode, {centre_mm(bar)}")
        elif "K" in ends and bar.distance(area(ends["K"].shape)) > _MARK_REACH_NM:
            faults.append(f"the mark of {ref} stands away from it, {centre_mm(bar)}")
        elif any(bar.intersects(area(seen.shape)) for seen in ends.values()):
            faults.append(f"the mark of {ref} lies on a land, {centre_mm(bar)}")
    return len(lands), faults
