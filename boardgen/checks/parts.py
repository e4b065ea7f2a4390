"""Rules on parts and what is printed beside them."""

import math
from collections import Counter
from collections.abc import Iterable

from boardgen import units
from boardgen.checks.finding import place_of, report
from boardgen.geometry.measuring import centre, distance_nm, near_pairs
from boardgen.model.artwork import Item, LayerKind, Purpose
from boardgen.model.board import Part, PartKind, Side, Text, TextRole
from boardgen.model.design import Design
from boardgen.model.findings import Finding, Severity
from boardgen.model.land_pattern import Extent
from boardgen.model.limits import Limits
from boardgen.model.shapes import Box, Disc, Shape, Stroke
from boardgen.units import Nm, mm, snap


def _courtyard(part: Part) -> Box:
    return _box(part.extent(part.pattern.courtyard))


def _box(extent: Extent) -> Box:
    left, bottom = snap(extent.left_mm), snap(extent.bottom_mm)
    right, top = snap(extent.right_mm), snap(extent.top_mm)
    centre_point = (Nm((left + right) // 2), Nm((bottom + top) // 2))
    return Box(centre_point, Nm(right - left), Nm(top - bottom))


def courtyard_overlap(design: Design, limits: Limits) -> Iterable[Finding]:  # noqa: ARG001
    """Two parts, or a part and a screw, claim the same room.

    Why it matters
        They do not fit, or tweezers, nozzle and driver do not reach them.
    How it is measured
        Courtyards as rectangles, screws as circles of head, washer and play; sharing an edge is
        allowed.
    How to mend it
        A larger pitch or a larger outline.
    """
    parts, holes = design.board.parts, design.board.holes
    rooms: list[Shape] = [_courtyard(part) for part in parts]
    rooms += [Disc((snap(h.x_mm), snap(h.y_mm)), snap(h.room_mm / 2)) for h in holes]
    names = [part.reference for part in parts] + [hole.reference for hole in holes]
    for one, other, _ in near_pairs(rooms, rooms, 1):
        if _shared_nm(rooms[one], rooms[other]) > 0:
            yield report(
                message=f"{names[one]} and {names[other]} claim the same room",
                actual=f"{units.length(_shared_nm(rooms[one], rooms[other]) / 1e6)} shared",
                limit="none",
                place_mm=place_of(rooms[one]),
                subjects=(names[one], names[other]),
                path="form.pitch",
            )


def _shared_nm(first: Shape, second: Shape) -> float:
    """How deep two rooms overlap; boxes exactly, a circle by its distance."""
    if isinstance(first, Box) and isinstance(second, Box):
        (x1, y1), (x2, y2) = first.centre, second.centre
        across = (first.width_nm + second.width_nm) / 2 - abs(x1 - x2)
        along = (first.height_nm + second.height_nm) / 2 - abs(y1 - y2)
        # A nanometre comes from halving odd sums.
        return max(0.0, min(across, along) - 2)
    return max(0.0, -distance_nm(first, second))


def courtyard_edge(design: Design, limits: Limits) -> Iterable[Finding]:  # noqa: ARG001
    """A part hangs over the board's edge.

    Why it matters
        It is in the way of the router and of whatever holds the board.
    How it is measured
        Courtyards against the outline's box; a connector may reach the edge that its wires leave.
    How to mend it
        A larger outline.
    """
    outline = design.board.outline
    for part in design.board.parts:
        box = part.extent(
            part.pattern.body if part.kind is PartKind.CONNECTOR else part.pattern.courtyard
        )
        over = max(
            -box.left_mm,
            -box.bottom_mm,
            box.right_mm - outline.length_mm,
            box.top_mm - outline.width_mm,
        )
        if over > 1e-9:  # noqa: PLR2004 - float noise of millimetres
            yield report(
                message=f"{part.reference} hangs over the edge",
                actual=f"{units.length(over)} outside",
                limit="inside",
                place_mm=(part.x_mm, part.y_mm),
                subjects=(part.reference,),
                path="form",
            )


def lands_reach(design: Design, limits: Limits) -> Iterable[Finding]:  # noqa: ARG001
    """A land lies where the part's end does not come.

    Why it matters
        The part falls between its lands, or covers them so that no solder shows.
    How it is measured
        Along the part: each land of a chip must begin inside the body and end beyond it or at
        least reach its outer half.
    How to mend it
        Correct own lands, or give the body that they belong to.
    """
    for part in design.board.parts:
        if part.kind not in (PartKind.LED, PartKind.RESISTOR):
            continue
        half = (part.pattern.body.right_mm - part.pattern.body.left_mm) / 2
        for land in part.pattern.lands:
            inner = abs(land.x_mm) - land.width_mm / 2
            outer = abs(land.x_mm) + land.width_mm / 2
            if inner >= half or outer <= half / 2:
                yield report(
                    message=f"land {land.name} of {part.reference} runs from {inner:.2f} to"
                    f" {outer:.2f} mm, the body ends at {half:.2f} mm",
                    actual=f"{units.length(max(inner - half, half / 2 - outer))} off",
                    limit="under the part's end",
                    place_mm=part.land_place(land),
                    subjects=(part.reference, land.name),
                    path="lands",
                )


def legend_land(design: Design, limits: Limits) -> Iterable[Finding]:
    """The legend comes too near to an opening or a hole.

    Why it matters
        Ink on a land keeps solder off; houses cut it away, and half letters remain.
    How it is measured
        From each stroke's outline to mask openings and holes of its side.
    How to mend it
        Give the part more room.
    """
    limit = snap(limits.legend_land_mm)
    holes: list[Shape] = [Disc(h.centre, Nm(h.diameter_nm // 2)) for h in design.artwork.holes]
    for side in Side:
        legend = design.artwork.items(LayerKind.LEGEND, side)
        openings = [item.shape for item in design.artwork.items(LayerKind.MASK, side)]
        strokes = [item.shape for item in legend]
        for one, _, gap in near_pairs(strokes, openings + holes, limit):
            owner = legend[one].owner
            yield report(
                message=f"{legend[one].purpose.value}"
                f"{' of ' + owner.reference if owner else ''} is too near to an opening or hole"
                f" on the {side.value}",
                actual=units.length(gap / units.NM_PER_MM),
                limit=f"at least {units.length(limits.legend_land_mm)}",
                place_mm=place_of(strokes[one]),
                subjects=(owner.reference if owner else "", side.value),
            )


def legend_fine(design: Design, limits: Limits) -> Iterable[Finding]:
    """Letters are too small or lines too thin to be printed.

    Why it matters
        Fine ink closes up or breaks; a mark that cannot be read is none.
    How it is measured
        Height of each text, width of each stroke of the legend.
    How to mend it
        This is a fault of the layout: please report the parameter file.
    """
    for text in design.board.texts:
        if text.height_mm < limits.legend_height_mm:
            yield report(
                message=f'"{text.text}" is too small',
                actual=units.length(text.height_mm),
                limit=f"at least {units.length(limits.legend_height_mm)}",
                place_mm=(text.x_mm, text.y_mm),
                subjects=(text.text, text.owner, text.side.value),
            )
    least = snap(limits.legend_stroke_mm)
    for side in Side:
        for item in design.artwork.items(LayerKind.LEGEND, side):
            if 2 * item.shape.radius_nm < least:
                yield report(
                    message=f"a {item.purpose.value} on the {side.value} is too thin",
                    actual=units.length(2 * mm(item.shape.radius_nm)),
                    limit=f"at least {units.length(limits.legend_stroke_mm)}",
                    place_mm=place_of(item.shape),
                    subjects=(item.owner.reference if item.owner else "", side.value),
                )


def legend_names(design: Design, limits: Limits) -> Iterable[Finding]:  # noqa: ARG001
    """A kind of letter found no room and was left out for the whole kind.

    Why it matters
        Whoever solders looks for R1 on the board; the placement list has to do instead.
    How it is measured
        References of LEDs and ballasts, K at the cathodes, one arrow for each row.
    How to mend it
        A larger pitch, width or row pitch.
    """
    if not design.parameters.printed:
        yield report(
            message="nothing is printed: references stand in the placement list only",
            subjects=("legend",),
            path="order.legend",
        )
        return
    texts = design.board.texts
    named = {text.owner for text in texts if text.role is TextRole.REFERENCE}
    lettered = {text.owner for text in texts if text.role is TextRole.POLARITY}
    leds = [part.reference for part in design.board.parts if part.kind is PartKind.LED]
    ballasts = [part.reference for part in design.board.parts if part.kind is PartKind.RESISTOR]
    kinds = (
        ("references of the LEDs", not named & set(leds)),
        ("references of the resistors", not named & set(ballasts)),
        ("letters K at the cathodes", not lettered & set(leds)),
        ("arrows of the current", all(text.text != "current →" for text in texts)),
    )
    for words, missing in kinds:
        if missing:
            yield report(message=f"the {words} found no room", subjects=(words,), path="form.pitch")


def legend_trimmed(design: Design, limits: Limits) -> Iterable[Finding]:  # noqa: ARG001
    """Part of the legend had to be cut off.

    Why it matters
        A polarity mark that is cut misleads; any other letter is hard to read.
    How it is measured
        What the drawing stage cut because it would have met an opening or a hole.
    How to mend it
        Give the part more room.
    """
    for name, count in sorted(Counter(design.artwork.trimmed).items()):
        polarity = name.startswith(("cathode", "polarity", "sign"))
        yield report(
            message=f"the {name} was cut short",
            actual=f"{count} strokes",
            limit="none",
            subjects=(name,),
            severity=Severity.ERROR if polarity else None,
        )


def polarity_mark(design: Design, limits: Limits) -> Iterable[Finding]:
    """An LED's mark is missing, hidden by the part, or not at its cathode.

    Why it matters
        An LED that is turned round stays dark; learners trust the mark.
    How it is measured
        The bar's middle must be nearer to land K than to land A by 1 mm, or half the distance of
        the lands where that is less; its length no shorter than the body is wide, and none of it
        under the body. K is the land whose net lies nearer
        to 0 V in the circuit as laid out.
    How to mend it
        Correct the LED's data: which end is the cathode.
    """
    bars: dict[str, list[Item]] = {}
    shown = (
        *design.artwork.items(LayerKind.LEGEND, Side.TOP),
        *design.artwork.items(LayerKind.COPPER, Side.TOP),
    )
    for item in shown:
        if item.purpose is Purpose.CATHODE_MARK and item.owner:
            bars.setdefault(item.owner.reference, []).append(item)
    order = _net_order(design)
    for part in design.board.parts:
        if part.kind is not PartKind.LED:
            continue
        fault = _mark_fault(part, bars.get(part.reference, []), order, limits)
        if fault:
            yield report(
                message=f"{part.reference}: {fault}",
                place_mm=(part.x_mm, part.y_mm),
                subjects=(part.reference,),
                path="light.led",
            )


def polarity_signs(design: Design, limits: Limits) -> Iterable[Finding]:
    """A + or − is missing at the connector, too small, or nearer to the other land.

    Why it matters
        The supply is connected by these signs; the wrong way round LEDs may break.
    How it is measured
        On both sides one + and one −, as tall as drawn by the house's aims, each nearest to its
        own land.
    How to mend it
        A wider board, so that the signs find room.
    """
    for part in design.board.parts:
        if part.kind is not PartKind.CONNECTOR:
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
                        path="form.width",
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
    """Number the nets of each branch from the supply downwards, as the circuit has them."""
    circuit = design.circuit
    return {
        circuit.net(branch, node): node
        for branch in circuit.branches
        for node in range(branch.kind.leds + 1)
    }


def _mark_fault(part: Part, bars: list[Item], order: dict[str, int], limits: Limits) -> str:
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
    if to_high - to_low < min(limits.mark_nearer_mm, apart / 2):
        return "the mark is not at the cathode"
    body = _box(part.extent(part.pattern.body))
    bar = bars[0].shape
    if isinstance(bar, Stroke):
        length = math.dist(bar.points[0], bar.points[-1])
        if length < snap(part.pattern.body.top_mm - part.pattern.body.bottom_mm):
            return "the mark is shorter than the body is wide"
    if distance_nm(bar, body) < 0:
        return "the mark lies under the body"
    return ""
