"""Rules of looks: marks, letters, signs, the back. Every number is an own choice."""

import math
from collections.abc import Iterable, Sequence

from boardgen import units
from boardgen.checks import looks_sites
from boardgen.checks.areas import shown_of
from boardgen.checks.finding import report
from boardgen.checks.looks_parts import leds_of, rows_of
from boardgen.forms.table import plan
from boardgen.geometry.lettering import size_mm
from boardgen.geometry.measuring import distance_nm, near_pairs
from boardgen.geometry.regions import union
from boardgen.geometry.rooms import body_of, box_of
from boardgen.model import looks
from boardgen.model.board import MarkRole, Part, PartKind, Side, Text, TextRole
from boardgen.model.bounds import above, below, outside
from boardgen.model.design import Design
from boardgen.model.findings import Finding
from boardgen.model.land_pattern import Extent, Land
from boardgen.model.shapes import turned_box
from boardgen.tolerances import ROUNDING_NM
from boardgen.units import snap


def looks_polarity(design: Design) -> Iterable[Finding]:
    """Cathode bars are thin, or some LEDs have what others lack.

    Why it matters
        The third LED without its K makes one doubt the other two.
    How it is measured
        Width of each bar; a K at every LED or at none; an arrow of the current in every row or in
        none; along a ring, words that say which way round the current flows, held against the LEDs.
    How to mend it
        A larger pitch or width.
    """
    limits = design.limits
    board, leds = design.board, leds_of(design)
    for mark in board.marks:
        least = limits.aims.mark_stroke_mm
        if mark.role is MarkRole.CATHODE and below(mark.stroke_mm, least):
            yield report(
                message=f"the bar of {mark.owner} is thin",
                actual=units.length(mark.stroke_mm),
                limit=f"at least {units.length(least)}",
                place_mm=mark.points[0],
                subjects=(mark.owner, "bar"),
            )
    lettered = {text.owner for text in board.texts if text.role is TextRole.POLARITY}
    if lettered & {led.reference for led in leds}:
        for led in leds:
            if led.reference not in lettered:
                yield report(
                    message=f"{led.reference} lacks the K that others have",
                    place_mm=(led.x_mm, led.y_mm),
                    subjects=(led.reference, "K"),
                )
    if plan(design.parameters).sketch:
        yield from looks_sites.current_faults(design)
        return
    arrows = [text for text in board.texts if text.text == looks_sites.ARROW]
    rows = rows_of(leds)
    for row in rows if arrows else ():
        nearest = [min(rows, key=lambda r: abs(r[0].y_mm - arrow.y_mm)) for arrow in arrows]
        if nearest.count(row) != 1:
            yield report(
                message=f"the row of {row[0].reference} has {nearest.count(row)} arrows",
                actual=str(nearest.count(row)),
                limit="1",
                place_mm=(row[0].x_mm, row[0].y_mm),
                subjects=(row[0].reference, "arrow"),
            )


def looks_letters(design: Design) -> Iterable[Finding]:
    """Letters are of too many sizes, too bold or too faint, or read from odd sides.

    Why it matters
        Three sizes read as a design, seven as an accident.
    How it is measured
        Heights on the board; stroke over height; angles: from the bottom or the right edge, on
        boards that are not printed as the board's line runs too, never upside down.
    How to mend it
        This is a fault of the layout: please report the parameter file.
    """
    heights = sorted({text.height_mm for text in design.board.texts})
    if len(heights) > looks.TEXT_SIZES:
        yield report(
            message=f"letters come in {len(heights)} heights",
            actual=", ".join(units.length(height) for height in heights),
            limit=f"{looks.TEXT_SIZES} heights",
            subjects=("letters", "heights"),
        )
    (low, high), printed = looks.STROKE_SHARE, design.parameters.printed
    for text in design.board.texts:
        share, words = text.stroke_mm / text.height_mm, ""
        if outside(share, looks.STROKE_SHARE) or below(text.stroke_mm, looks.STROKE_MM):
            words = f"is drawn with {units.length(text.stroke_mm)}"
        elif text.turn_deg not in (0, 90) and (printed or _upside_down(text)):
            words = f"reads at {text.turn_deg:g} deg"
        if words:
            yield report(
                message=f'"{text.text}" {words}',
                actual=f"{share:.4f} of its height",
                limit=f"{low:g} to {high:g} of its height, at least"
                f" {units.length(looks.STROKE_MM)}, at 0 or 90 deg",
                place_mm=(text.x_mm, text.y_mm),
                subjects=(text.text, text.owner, text.side.value),
            )


def _upside_down(text: Text) -> bool:
    return 90 < text.turn_deg % 360 <= 270  # noqa: PLR2004 - what reads from the right is the last


def _extent(text: Text, design: Design) -> Extent:
    width, height = size_mm(
        text.text, text.height_mm, text.stroke_mm, design.parameters.parts.lettering
    )
    return Extent(
        left_mm=text.x_mm - width / 2,
        right_mm=text.x_mm + width / 2,
        bottom_mm=text.y_mm - height / 2,
        top_mm=text.y_mm + height / 2,
    )


def _gap_mm(first: Extent, second: Extent) -> float:
    across = max(first.left_mm - second.right_mm, second.left_mm - first.right_mm, 0.0)
    along = max(first.bottom_mm - second.top_mm, second.bottom_mm - first.top_mm, 0.0)
    return math.hypot(across, along)


def looks_references(design: Design) -> Iterable[Finding]:
    """A reference stands elsewhere than those of its kind, or nearer to another part.

    Why it matters
        One looks for R7 where R6 had its name, and reads D7's instead.
    How it is measured
        The way from part to name, the same for all of a kind (test points mirror one another); for
        LEDs and ballasts in their middle and 0.3 to 1 mm from the body; nearest to its own part;
        all of a kind or none.
    How to mend it
        A larger pitch or width.
    """
    board = design.board
    for kind in PartKind:
        parts = {part.reference: part for part in board.parts if part.kind is kind}
        texts = [t for t in board.texts if t.role is TextRole.REFERENCE and t.owner in parts]
        if texts and len(texts) != len(parts):
            lacking = sorted(set(parts) - {text.owner for text in texts})
            yield report(
                message=f"{', '.join(lacking)} lack the names that others of the kind have",
                subjects=(kind.value, *lacking),
            )
        others = _nearer(design, texts) if texts else {}
        first: tuple[float, float] | None = None
        for text in texts:
            part = parts[text.owner]
            way = (text.x_mm - part.x_mm, text.y_mm - part.y_mm)
            first = first or way
            fault = _name_fault(design, text, part, way, first) or others.get(text, "")
            if fault:
                yield report(
                    message=f"the name of {part.reference} {fault}",
                    place_mm=(text.x_mm, text.y_mm),
                    subjects=(part.reference,),
                )


def _name_fault(
    design: Design, text: Text, part: Part, way: tuple[float, float], first: tuple[float, float]
) -> str:
    if plan(design.parameters).sketch and part.kind.row.in_branch:
        return looks_sites.name_fault(part, text, box_of(_extent(text, design)))
    askew = above(math.dist(way, first), looks.PITCH_NOISE_MM / 2)
    if part.kind is not PartKind.TEST_POINT and askew:
        return "stands elsewhere than those of its kind"
    if part.kind.row.in_branch:
        gap = _gap_mm(_extent(text, design), part.extent(part.pattern.body))
        low, high = looks.NAME_GAP_MM
        if above(abs(way[0]), looks.BESIDE_MM):
            return f"stands {units.length(abs(way[0]))} beside its middle"
        if outside(gap, looks.NAME_GAP_MM):
            return f"stands {units.length(gap)} from its body, not {low:g} to {high:g} mm"
    return ""


def _nearer(design: Design, texts: Sequence[Text]) -> dict[Text, str]:
    """Find names that stand nearer to another part than to their own."""
    parts = [part for part in design.board.parts if part.pattern.height_mm]
    own = {part.reference: part for part in design.board.parts}
    boxes = [box_of(_extent(text, design)) for text in texts]
    bodies = [body_of(part) for part in parts]
    gaps = [
        distance_nm(box, body_of(own[text.owner])) for box, text in zip(boxes, texts, strict=True)
    ]
    found: dict[Text, str] = {}
    for one, other, gap in near_pairs(boxes, bodies, round(max(gaps))):
        strange = (
            parts[other].reference != texts[one].owner and parts[other].side is texts[one].side
        )
        if strange and below(gap, gaps[one], ROUNDING_NM):
            found[texts[one]] = f"is nearer to {parts[other].reference}"
    return found


def looks_signs(design: Design) -> Iterable[Finding]:
    """A + or - is small, far from its land, or under the block.

    Why it matters
        It is read with the block fitted, at an arm's length, before the supply is connected.
    How it is measured
        Height; distance to its land; on the connector's side outside its body. No text says GND.
    How to mend it
        A wider board.
    """
    board = design.board
    for part in board.parts:
        if part.kind is not PartKind.CONNECTOR:
            continue
        for text in board.texts:
            if text.role is not TextRole.SIGN or text.owner != part.reference:
                continue
            box = _extent(text, design)
            reach = min(_gap_mm(box, _land_box(part, land)) for land in part.pattern.lands)
            beside = text.side is not part.side or not part.pattern.height_mm
            hidden = not beside and distance_nm(box_of(box), body_of(part)) <= ROUNDING_NM
            fault = (
                f"is {units.length(text.height_mm)} tall"
                if below(text.height_mm, looks.SIGN_MM)
                else f"stands {units.length(reach)} from its land"
                if above(reach, looks.SIGN_REACH_MM)
                else "lies under the block" if hidden else ""
            )  # fmt: skip
            if fault:
                yield report(
                    message=f"the {text.text} of {part.reference} {fault} on the {text.side.value}",
                    limit=f"{looks.SIGN_MM:g} mm tall, within {looks.SIGN_REACH_MM:g} mm, in sight",
                    place_mm=(text.x_mm, text.y_mm),
                    subjects=(part.reference, text.text, text.side.value),
                    path=plan(design.parameters).keys.across,
                )
    for text in board.texts:
        if "GND" in text.text.split():
            yield report(
                message=f'"{text.text}" says GND: learners read - or 0 V',
                place_mm=(text.x_mm, text.y_mm),
                subjects=(text.text,),
                path="legend.text",
            )


def _land_box(part: Part, land: Land) -> Extent:
    return part.land_extent(land)


def looks_back(design: Design) -> Iterable[Finding]:
    """The back is no page: a line lacks, lies askew, or the name box is small.

    Why it matters
        The back is what one reads before soldering and after ten years.
    How it is measured
        Title, revision, supply and where the LEDs are stand on the bottom; the page's middle
        against the board's; a name box of 25 x 6 mm when asked.
    How to mend it
        A longer board or a shorter title.
    """
    board, parameters = design.board, design.parameters
    page = [t for t in board.texts if t.role is TextRole.PAGE and t.side is Side.BOTTOM]
    boxes = [_extent(text, design) for text in page]
    words = " ".join(text.text for text in page)
    for wanted in (f"rev {parameters.board.revision}", "V DC", "LEDs"):
        if wanted not in words:
            yield report(
                message=f'the back does not say "{wanted}"', subjects=("back", wanted),
                path=plan(design.parameters).keys.along,
            )  # fmt: skip
    for mark in board.marks:
        if mark.role is MarkRole.BOX:
            xs, ys = zip(*mark.points, strict=True)
            boxes.append(
                Extent(left_mm=min(xs), right_mm=max(xs), bottom_mm=min(ys), top_mm=max(ys))
            )
            size = (max(xs) - min(xs), max(ys) - min(ys))
            if any(map(below, size, looks.NAME_BOX_MM)):
                yield report(
                    message="the name box is small",
                    actual=f"{size[0]:g} x {size[1]:g} mm",
                    limit="{:g} x {:g} mm".format(*looks.NAME_BOX_MM),
                    place_mm=mark.points[0],
                    subjects=("back", "name box"),
                )
    if boxes:
        middle = (min(b.left_mm for b in boxes) + max(b.right_mm for b in boxes)) / 2
        off = abs(middle - board.outline.length_mm / 2)
        if above(off, looks.PAGE_MM):
            yield report(
                message="the words on the back lie askew",
                actual=f"{units.length(off)} beside the middle",
                limit=f"{units.length(looks.PAGE_MM)} at most",
                subjects=("back", "middle"),
                path=plan(design.parameters).keys.along,
            )


def looks_tone(design: Design) -> Iterable[Finding]:
    """A word lies half on copper and half off it.

    Why it matters
        The mask is lighter over copper; the word changes its ground in the middle.
    How it is measured
        Boxes of page texts and notes against the copper of their side: wholly on it or wholly off.
    How to mend it
        A larger board; or nothing, it is only seen close by.
    """
    for layer in design.artwork.coppers():
        shown = shown_of(layer)
        for text in design.board.texts:
            if text.side is not layer.side or text.role is not TextRole.PAGE:
                continue
            extent = _extent(text, design)
            box = turned_box(
                (snap(text.x_mm), snap(text.y_mm)),
                snap(extent.right_mm - extent.left_mm),
                snap(extent.top_mm - extent.bottom_mm),
                text.turn_deg,
            )
            share = (union([box]) & shown).area_nm2 / (box.width_nm * box.height_nm)
            if above(share, 0.0) and below(share, 1.0):
                yield report(
                    message=f'"{text.text}" lies half on copper on the {text.side.value}',
                    actual=f"{share:.0%} on it",
                    limit="all or nothing",
                    place_mm=(text.x_mm, text.y_mm),
                    subjects=(text.text, text.side.value),
                )
