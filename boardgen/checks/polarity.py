"""Rules on polarity: the mark at each cathode, + and - at the connector."""

import math
from collections import defaultdict
from collections.abc import Iterable

from boardgen.checks.finding import report
from boardgen.forms.table import plan
from boardgen.geometry.measuring import centre, distance_nm
from boardgen.geometry.rooms import body_of
from boardgen.model.artwork import Item, LayerKind, Purpose
from boardgen.model.board import Part, PartKind, Point, Side, Text, TextRole
from boardgen.model.bounds import below
from boardgen.model.circuit import NetRole
from boardgen.model.design import Design
from boardgen.model.findings import Finding, Severity
from boardgen.model.limits import Limits
from boardgen.model.shapes import Stroke
from boardgen.units import mm, snap


def polarity_mark(design: Design) -> Iterable[Finding]:
    """A diode's mark is missing, hidden by the part, or not at its cathode.

    Why it matters
        An LED that is turned round stays dark; learners trust the mark.
    How it is measured
        The bar's middle must be nearer to land K than to land A by 1 mm, or half the distance of
        the lands where that is less; its letter K is nearer to K too. The bar is no shorter than
        the body is wide, and none of it
        under the body. K is the land whose net lies nearer
        to 0 V in the circuit as laid out.
    How to mend it
        Correct the LED's data: which end is the cathode.
    """
    limits = design.limits
    bars: dict[str, list[Item]] = {}
    shown = (
        *design.artwork.items(LayerKind.LEGEND, Side.TOP),
        *design.artwork.items(LayerKind.COPPER, Side.TOP),
    )
    for item in shown:
        if item.purpose is Purpose.CATHODE_MARK and item.owner:
            bars.setdefault(item.owner.reference, []).append(item)
    letters: dict[str, list[Text]] = defaultdict(list)
    for text in design.board.texts:
        if text.role is TextRole.POLARITY:
            letters[text.owner].append(text)
    order = _net_order(design)
    for part in design.board.parts:
        if not part.kind.row.cathode:
            continue
        # In copper a guard's bar lies along its land: no other place is free of copper.
        beside = part.kind is PartKind.DIODE and not design.parameters.printed
        if not all(_at_cathode(letter, part) for letter in letters[part.reference]):
            yield report(
                message=f"{part.reference}: the letter K is not at the cathode",
                place_mm=(part.x_mm, part.y_mm),
                subjects=(part.reference,),
                path="light.led",
            )
        fault = _mark_fault(part, bars.get(part.reference, []), order, limits, beside=beside)
        if fault:
            yield report(
                message=f"{part.reference}: {fault}",
                place_mm=(part.x_mm, part.y_mm),
                subjects=(part.reference,),
                path="light.led",
            )


def _at_cathode(letter: Text, part: Part) -> bool:
    k, a = (part.land_place(part.pattern.by_function(name)) for name in "KA")
    at = (letter.x_mm, letter.y_mm)
    return letter.text == "K" and math.dist(at, k) < math.dist(at, a)


def polarity_switch(design: Design) -> Iterable[Finding]:
    """Nothing on the board says which way the switch is on.

    Why it matters
        Whoever finds the light dark cannot tell a switch that is off from a fault.
    How it is measured
        A text "on" that belongs to the switch, nearer to its pin 1 than to its pin 3. Without print
        there is no room for it in copper: then the square land of pin 1 has to do, which is told.
    How to mend it
        A wider board; without print, a pen.
    """
    for part in design.board.parts:
        if part.kind is not PartKind.SWITCH:
            continue
        on, off = (part.land_place(part.pattern.land(pin)) for pin in ("1", "3"))
        texts = [t for t in design.board.texts if t.role is TextRole.SWITCH]
        held = [t for t in texts if t.owner == part.reference and _nearer(t, on, off)]
        if not held:
            bare = not design.parameters.printed
            yield report(
                message=f"{part.reference} is on when its lever points to the square land; write"
                ' "on" there with a pen: without print the board cannot'
                if bare
                else f'there is no "on" at pin 1 of {part.reference}',
                place_mm=on,
                subjects=(part.reference,),
                path="connector.switch",
                severity=Severity.INFORMATION if bare else Severity.ERROR,
            )


def _nearer(text: Text, on: Point, off: Point) -> bool:
    at = (text.x_mm, text.y_mm)
    return math.dist(at, on) < math.dist(at, off)


def polarity_signs(design: Design) -> Iterable[Finding]:
    """A + or − is missing at the connector, too small, or nearer to the other land.

    Why it matters
        The supply is connected by these signs; the wrong way round LEDs may break.
    How it is measured
        On both sides one + and one −, as tall as drawn by the house's aims, each nearest to its
        own land; where another board is joined, on printed boards.
    How to mend it
        A wider board, so that the signs find room.
    """
    limits = design.limits
    for part in design.board.parts:
        joined = part.kind is PartKind.JOINT and not design.parameters.printed
        if not part.kind.row.signed or joined:
            continue
        lands = [(land.function, part.land_place(land)) for land in part.pattern.lands]
        sides = tuple(Side) if design.parameters.printed else design.parameters.sides
        for side in sides:
            signs = {
                "+" if text.text == "+" else "-": text
                for text in design.board.texts
                if text.role is TextRole.SIGN and text.side is side and text.owner == part.reference
            }
            for function in ("+", "-"):
                fault = _sign_fault(signs.get(function), function, lands, limits)
                if fault:
                    yield report(
                        message=f"the {function} of {part.reference} {fault} on the {side.value}",
                        place_mm=next(place for name, place in lands if name == function),
                        subjects=(part.reference, function, side.value),
                        path=plan(design.parameters).keys.across,
                    )


def _sign_fault(
    sign: Text | None,
    function: str,
    lands: list[tuple[str, tuple[float, float]]],
    limits: Limits,
) -> str:
    if sign is None or sign.height_mm < limits.aims.sign_mm:
        return "is missing or small"
    nearest = min(lands, key=lambda land: math.dist((sign.x_mm, sign.y_mm), land[1]))
    return "" if nearest[0] == function else "is nearer to the other land"


def _net_order(design: Design) -> dict[str, int]:
    """Number the nets from the supply downwards: the line to the rail, then each branch."""
    circuit = design.circuit
    branches = {
        net.name: place
        for branch in circuit.branches
        for place, net in enumerate(branch.nets[branch.kind.ballast.count :], start=1)
        if net.role is NetRole.BRANCH
    }
    last = len(circuit.inlet.parts)
    return branches | {net.name: place - last for place, net in enumerate(circuit.inlet.nets)}


_ROUNDING_NM = 1
"""The grid halves a body's box."""


def _mark_fault(
    part: Part, bars: list[Item], order: dict[str, int], limits: Limits, *, beside: bool
) -> str:
    if len(bars) != 1:
        return f"{len(bars)} cathode marks"
    last = len(order) + 1
    low = max(part.pattern.lands, key=lambda land: order.get(part.net(land.name), last))
    high = min(part.pattern.lands, key=lambda land: order.get(part.net(land.name), last))
    if low.function != "K":
        return f"land {low.name}, which is {low.function} in its data, leads to 0 V"
    x, y = (mm(round(value)) for value in centre(bars[0].shape))
    to_low = math.dist((x, y), part.land_place(low))
    to_high = math.dist((x, y), part.land_place(high))
    apart = math.dist(part.land_place(low), part.land_place(high))
    if below(to_high - to_low, min(limits.mark_nearer_mm, apart / 2)):
        return "the mark is not at the cathode"
    body = body_of(part)
    bar = bars[0].shape
    if isinstance(bar, Stroke):
        length = math.dist(bar.points[0], bar.points[-1])
        if not beside and length < snap(part.pattern.body.top_mm - part.pattern.body.bottom_mm):
            return "the mark is shorter than the body is wide"
    if not beside and below(distance_nm(bar, body), 0, _ROUNDING_NM):
        return "the mark lies under the body"
    return ""
