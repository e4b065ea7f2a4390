"""Does it light? The current walked from + to −, and the printed marks held against the pins."""

import math
from collections import defaultdict
from collections.abc import Iterator, Mapping, Sequence

import shapely
from shapely.geometry.base import BaseGeometry

from boardgen.model.proof import Difference, Kind
from boardgen.model.shapes import Stroke
from boardgen.readback.images import area, box_mm, pieces, point_mm
from boardgen.readback.nets import MARK_IN_COPPER, Shown, Traced
from boardgen.readback.objects import Pin, Seen

_MARK_REACH_NM = 3_000_000.0
"""A bar further from its land than this says nothing of it: own choice. In copper it has to keep
off the lands of a large ballast in its row."""

_SIGN_REACH_NM = 6_000_000.0
"""A sign further from its pole than this says nothing of it: own choice."""

_MOST_STROKES = 50
"""A sign has two strokes; of more than these the rest is not looked at."""

_JOINED = "E"
"""So begin the names of lands at which another board is joined."""

_TERMINALS = 2
"""A resistor has two ends."""

_LINE = (("in", "out"), ("A", "K"), ("D", "S"), ("common", "on"))
"""Between which pins the supply passes fuse, diode, transistor and switch."""

_Functions = Mapping[str, Mapping[str, int]]


def walk(traced: Traced) -> tuple[int, list[Difference]]:
    """Walk from + to −: every branch must pass its ballast and each LED from anode to cathode.

    Returns
    -------
    tuple of (int, list of Difference)
        How many branches arrive, and what keeps an LED dark: each LED and ballast is named.
    """
    walker = _Walker(traced)
    return walker.walk(), walker.faults


class _Walker:
    def __init__(self, traced: Traced) -> None:
        self.faults: list[Difference] = []
        self.bypassed: set[str] = set()
        self.places: dict[str, list[tuple[float, float]]] = defaultdict(list)
        self.pins: dict[str, list[tuple[Pin, int]]] = defaultdict(list)
        self.ends: dict[str, set[int]] = {"+": set(), "-": set()}
        for pin, group in traced.group_of_pin.items():
            self.pins[pin.reference].append((pin, group))
            if pin in traced.place_of_pin:
                self.places[pin.reference].append(traced.place_of_pin[pin])
            if pin.function in self.ends and not pin.reference.startswith(_JOINED):
                self.ends[pin.function].add(group)
        self.functions: _Functions = {
            ref: {pin.function: group for pin, group in found} for ref, found in self.pins.items()
        }

    def _fault(self, kind: Kind, ref: str, text: str) -> None:
        found = self.places.get(ref)
        place = tuple(sum(values) / len(found) for values in zip(*found, strict=True)) if found \
            else None  # fmt: skip
        self.faults.append(
            Difference(
                kind=kind,
                text=text,
                subjects=(ref,) if ref else (),
                place_mm=(place[0], place[1]) if place else None,
            )
        )

    def walk(self) -> int:
        """Walk every branch and count those that arrive."""
        self.bypassed = set(self._bypassed())
        if any(len(groups) != 1 for groups in self.ends.values()):
            self._fault(Kind.PIN, "", "the connector does not say which pin is + and which is −")
            return 0
        plus, minus = (next(iter(self.ends[sign])) for sign in "+-")
        if plus == minus:
            self._fault(Kind.JOINED, "", "+ and − are joined by copper")
            return 0
        line = self._supply_line(plus, minus)
        if line is None:
            return 0
        feed, passed = line
        self._passed_on(feed, minus)
        return self._branches(feed, minus, passed)

    def _passed_on(self, feed: int, minus: int) -> None:
        """Hold lands of a joint: the next board takes + from the rail, − as this one does."""
        for ref, functions in self.functions.items():
            if ref.startswith(_JOINED) and functions != {"+": feed, "-": minus}:
                self._fault(Kind.BRANCH, ref, f"{ref} does not feed the next board")

    def _bypassed(self) -> Iterator[str]:
        """Tell LEDs and ballasts whose two ends are one piece of copper."""
        for ref, found in sorted(self.pins.items(), key=lambda entry: natural(entry[0])):
            both = len(found) == _TERMINALS and len({group for _, group in found}) == 1
            if both and ref[:1] in ("D", "R"):
                self._fault(Kind.BYPASSED, ref, f"{ref} is bypassed: copper joins its ends")
                yield ref

    def _supply_line(self, plus: int, minus: int) -> tuple[int, set[str]] | None:
        """Step from + over fuse, guard and closed switch onto the rail; without such + is it."""
        at, passed = plus, set[str]()
        entered: dict[int, list[tuple[str, int]]] = defaultdict(list)
        for ref, functions in self.functions.items():
            for enter, leave in _LINE:
                if enter in functions and leave in functions:
                    entered[functions[enter]].append((ref, functions[leave]))
        while ways := [way for way in entered[at] if way[0] not in passed]:
            ref, after = ways[0]
            wrong = self._step_fault(ref, self.functions[ref], minus, passed)
            if len(ways) > 1 or after == at or wrong:
                self._fault(Kind.BRANCH, ref, wrong or f"{ref} does not lead from + to the rail")
                return None
            passed.add(ref)
            at = after
        for ref, functions in self.functions.items():
            if ref not in passed and set(functions) & {"in", "D", "common"}:
                self._fault(Kind.BRANCH, ref, f"{ref} does not lead from + to the rail")
                return None
        return at, passed

    def _step_fault(
        self, ref: str, functions: Mapping[str, int], minus: int, passed: set[str]
    ) -> str:
        if "D" in functions and functions.get("G") != minus:
            return f"the gate of {ref} is not on −"
        if "A" in functions and any("A" in self.functions[other] for other in passed):
            return f"{ref} stands in the line from + like a second guard"
        return ""

    def _branches(self, feed: int, minus: int, line: set[str]) -> int:
        """Follow every ballast that hangs on the rail."""
        leds = {ref: functions for ref, functions in self.functions.items()
                if ref.startswith("D") and ref not in line}  # fmt: skip
        by_anode: dict[int, list[str]] = defaultdict(list)
        for ref, functions in sorted(leds.items(), key=lambda entry: natural(entry[0])):
            if set(functions) != {"A", "K"}:
                self._fault(
                    Kind.PIN, ref, f"{ref} does not say which pin is anode and which is cathode"
                )
            elif ref not in self.bypassed:
                by_anode[functions["A"]].append(ref)
        starts = self._ballasts(feed)
        arrived, lit = 0, set[str]()
        for ref, start in starts:
            passed, at = _along(start, by_anode, leds, minus)
            if at == minus and passed:
                arrived += 1
                lit.update(passed)
            else:
                self._fault(Kind.BRANCH, ref, f"{ref} starts a branch that does not reach −")
        for ref in sorted(set(leds) - lit - self.bypassed, key=natural):
            self._fault(Kind.DARK, ref, f"{ref} stays dark")
        return arrived

    def _ballasts(self, feed: int) -> list[tuple[str, int]]:
        """Follow resistors in series from the rail: the first of each, and where the last leads."""
        ends = {ref: [group for _, group in found]
                for ref, found in self.pins.items() if ref.startswith("R")}  # fmt: skip
        waiting: dict[int, set[str]] = defaultdict(set)
        for ref in set(ends) - self.bypassed:
            for group in set(ends[ref]) - {feed}:
                waiting[group].add(ref)
        starts, passed = [], set(self.bypassed)

        def leave(ref: str) -> None:
            passed.add(ref)
            for group in ends[ref]:
                waiting[group].discard(ref)

        for ref in sorted(ends, key=natural):
            if ends[ref].count(feed) != 1 or len(ends[ref]) != _TERMINALS:
                continue
            leave(ref)
            at = next(group for group in ends[ref] if group != feed)
            while len(waiting[at]) == 1:
                (further,) = waiting[at]
                onward = [group for group in ends[further] if group != at]
                if len(onward) != 1 or len(ends[further]) != _TERMINALS:
                    break  # shorted: it is told as one that leads nowhere
                leave(further)
                at = onward[0]
            starts.append((ref, at))
        for ref in sorted(set(ends) - passed, key=natural):
            self._fault(Kind.BRANCH, ref, f"{ref} does not lead from + into a branch")
        return starts


def _along(
    at: int, by_anode: Mapping[int, Sequence[str]], leds: _Functions, end: int
) -> tuple[list[str], int]:
    """Follow LEDs from anode to cathode until the end, a fork or nothing more."""
    passed: list[str] = []
    while at != end and len(by_anode.get(at, ())) == 1 and by_anode[at][0] not in passed:
        passed.append(by_anode[at][0])
        at = leds[passed[-1]]["K"]
    return passed, at


_MOST_DIGITS = 9


def natural(reference: str) -> tuple[str, int]:
    """Order references as people do: D2 before D10."""
    letters = reference.rstrip("0123456789")
    return (letters, int(reference[len(letters) :][:_MOST_DIGITS] or 0))


def marks(
    copper: Sequence[Shown], legends: Mapping[str, Sequence[Seen]]
) -> tuple[int, list[Difference]]:
    """Hold every cathode mark against its LED: nearer to K than to A, off the lands, not missing.

    Parameters
    ----------
    copper : sequence of Shown
        The copper sides.
    legends : mapping
        What is printed, by layer; where nothing is, the copper's own letters.

    Returns
    -------
    tuple of (int, list of Difference)
        How many LEDs were looked at, and what is wrong.
    """
    lands: dict[str, dict[str, Seen]] = defaultdict(dict)
    side_of: dict[str, str] = {}
    for side in copper:
        for seen in side.objects:
            if seen.pin and seen.pin.function in ("A", "K"):
                lands[seen.pin.reference][seen.pin.function] = seen
                side_of[seen.pin.reference] = _side(side.layer)
    bars: dict[str, list[tuple[str, Seen]]] = defaultdict(list)
    for layer, objects in legends.items():
        for seen in objects:
            if seen.function in ("Other,Cathode", MARK_IN_COPPER):
                bars[seen.part].append((layer, seen))
    faults: list[Difference] = []
    for ref, ends in sorted(lands.items(), key=lambda entry: natural(entry[0])):
        found = bars.pop(ref, [])
        seen_there = [(layer, bar) for layer, bar in found if _side(layer) == side_of[ref]]
        faults += _mark_faults(ref, ends, seen_there)
        faults += [
            _mark(ref, f"a cathode mark of {ref} is on the other side than the part", layer, bar)
            for layer, bar in found
            if _side(layer) != side_of[ref]
        ]
    faults += [
        _mark(ref, f"a cathode mark names {ref or 'no part'}, which is no LED", layer, seen)
        for ref, found in bars.items()
        for layer, seen in found
    ]
    return len(lands), faults


def _side(layer: str) -> str:
    return layer.rpartition("-")[2]


def _mark_faults(
    ref: str, ends: Mapping[str, Seen], bars: Sequence[tuple[str, Seen]]
) -> Iterator[Difference]:
    land = ends.get("K") or ends["A"]
    if len(bars) != 1:
        layer = bars[0][0] if bars else ""
        yield _mark(ref, f"{ref} has {len(bars)} cathode marks", layer, land)
        return
    layer, bar = bars[0]
    shape = area(bar.shape)
    to_k, to_a = (
        shape.centroid.distance(area(ends[name].shape).centroid) if name in ends else 0.0
        for name in ("K", "A")
    )
    if to_k >= to_a:
        yield _mark(ref, f"the mark of {ref} is at its anode", layer, bar)
    elif "K" in ends and shape.distance(area(ends["K"].shape)) > _MARK_REACH_NM:
        yield _mark(ref, f"the mark of {ref} stands away from it", layer, bar)
    elif any(shape.intersects(area(seen.shape)) for seen in ends.values()):
        yield _mark(ref, f"the mark of {ref} lies on a land", layer, bar)
    elif len(ends) > 1 and isinstance(bar.shape, Stroke) and _askew(bar.shape, ends):
        yield _mark(ref, f"the mark of {ref} stands askew to it", layer, bar)


def _askew(bar: Stroke, ends: Mapping[str, Seen]) -> bool:
    """Tell whether a bar runs neither along its LED nor square to it."""
    (x1, y1), (x2, y2) = bar.points[0], bar.points[-1]
    (kx, ky), (ax, ay) = ends["K"].place, ends["A"].place
    turn_deg = math.degrees(math.atan2(y2 - y1, x2 - x1) - math.atan2(ay - ky, ax - kx))
    off_deg = abs((turn_deg + 45.0) % 90.0 - 45.0)
    # Each end of both lies up to a nanometre off its place.
    length_nm = min(math.dist((x1, y1), (x2, y2)), math.dist((kx, ky), (ax, ay)))
    return off_deg > math.degrees(4.0 / length_nm) if length_nm else True


def _mark(ref: str, text: str, layer: str, seen: Seen) -> Difference:
    shape = area(seen.shape)
    return Difference(
        kind=Kind.MARK,
        text=text,
        layer=layer,
        subjects=(ref,),
        place_mm=point_mm(shape),
        size_mm=box_mm(shape),
    )


_FLAT = 0.5
"""A minus is flatter than this share of its length, a plus is not."""


def _reads(sign: str, drawn: BaseGeometry) -> bool:
    """Tell whether joined strokes read as the sign that they are said to be: − lies, + stands."""
    left, bottom, right, top = drawn.bounds
    if sign == "-":
        return bool(top - bottom < _FLAT * (right - left))
    return bool(min(top - bottom, right - left) > _FLAT * max(top - bottom, right - left))


def signs(
    copper: Sequence[Shown], legends: Mapping[str, Sequence[Seen]]
) -> tuple[int, list[Difference]]:
    """Hold the printed + and − against each connector's pins, on every side that is printed."""
    lands: dict[str, dict[str, list[BaseGeometry]]] = defaultdict(lambda: {"+": [], "-": []})
    for side in copper:
        for seen in side.objects:
            if seen.pin and seen.pin.function in ("+", "-"):
                lands[seen.pin.reference][seen.pin.function].append(area(seen.shape))
    faults: list[Difference] = []
    looked = 0
    for layer, objects in legends.items():
        for sign, word in (("+", "Plus"), ("-", "Minus")):
            strokes = [seen for seen in objects
                       if seen.function in (f"Other,{word}", f"OtherCopper,{word}")]  # fmt: skip
            looked += len(strokes)
            for ref, own in lands.items() or [("", {"+": [], "-": []})]:
                # Signs of earlier packages name no part.
                mine = [seen for seen in strokes if seen.part in ("", ref)][:_MOST_STROKES]
                in_copper = layer.startswith("copper")
                if not mine and ref.startswith(_JOINED) and in_copper:
                    continue  # in copper there may be no room; a square land tells + too
                if said := _sign_fault(sign, mine, own):
                    faults.append(
                        Difference(
                            kind=Kind.MARK,
                            text=f"{_whose(ref)} {sign} {said}",
                            layer=layer,
                            subjects=tuple({seen.part for seen in mine}),
                            place_mm=mine[0].place_mm if mine else None,
                        )
                    )
    return looked, faults


def _whose(ref: str) -> str:
    return f"{ref}'s" if ref.startswith(_JOINED) else "the connector's"


def _sign_fault(
    sign: str, strokes: Sequence[Seen], lands: Mapping[str, Sequence[BaseGeometry]]
) -> str:
    """Tell what is wrong with a sign: whether it reads as one, and stands at its pole."""
    if not strokes:
        return "is not printed"
    shapes = [area(seen.shape) for seen in strokes]
    near, far = (
        min((shape.distance(land) for shape in shapes for land in lands[which]), default=0.0)
        for which in (sign, "+" if sign == "-" else "-")
    )
    if near >= far:
        return "stands at the other pole"
    if near > _SIGN_REACH_NM:
        return "stands away from its pole"
    if not all(_reads(sign, piece) for piece in pieces(shapely.union_all(shapes))):
        return "does not read as one"
    return ""
