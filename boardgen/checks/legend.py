"""Rules on the legend: clear of lands and edge, legible, complete."""

from collections import Counter
from collections.abc import Iterable

from boardgen import units
from boardgen.checks.finding import at_mm, place_of, report
from boardgen.forms.table import plan
from boardgen.geometry.measuring import between, between_line, near_lines, near_pairs
from boardgen.model.artwork import LayerKind, Owner, Purpose
from boardgen.model.board import PartKind, Side, TextRole
from boardgen.model.design import Design
from boardgen.model.findings import Finding, Severity
from boardgen.model.shapes import Disc, Shape
from boardgen.units import Nm, mm, snap


def _named(purpose: Purpose, owner: Owner | None) -> str:
    return f"the {purpose.value} of {owner.reference}" if owner else f"a {purpose.value}"


def legend_land(design: Design) -> Iterable[Finding]:
    """The legend comes too near to an opening or a hole.

    Why it matters
        Ink on a land keeps solder off; houses cut it away, and half letters remain.
    How it is measured
        From each stroke's outline to mask openings and holes of its side.
    How to mend it
        Give the part more room.
    """
    limits = design.limits
    limit = snap(limits.legend_land_mm)
    holes: list[Shape] = [Disc(h.centre, Nm(h.diameter_nm // 2)) for h in design.artwork.holes]
    for side in Side:
        legend = design.artwork.items(LayerKind.LEGEND, side)
        openings = [item.shape for item in design.artwork.items(LayerKind.MASK, side)]
        strokes = [item.shape for item in legend]
        for one, other, gap in near_pairs(strokes, openings + holes, limit):
            owner = legend[one].owner
            yield report(
                message=f"{_named(legend[one].purpose, owner)} is too near to an opening or hole"
                f" on the {side.value}",
                actual=units.length(gap / units.NM_PER_MM),
                limit=f"at least {units.length(limits.legend_land_mm)}",
                place_mm=at_mm(between(strokes[one], (openings + holes)[other])),
                subjects=(owner.reference if owner else "", side.value),
            )


def legend_fine(design: Design) -> Iterable[Finding]:
    """Letters are too small or lines too thin to be printed.

    Why it matters
        Fine ink closes up or breaks; a mark that cannot be read is none.
    How it is measured
        Height of each text, width of each stroke of the legend.
    How to mend it
        This is a fault of the layout: please report the parameter file.
    """
    limits = design.limits
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


def legend_names(design: Design) -> Iterable[Finding]:
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
    way = plan(design.parameters).current
    kinds = (
        ("references of the LEDs", not named & set(leds)),
        ("references of the resistors", not named & set(ballasts)),
        ("letters K at the cathodes", not lettered & set(leds)),
        ("arrows of the current", way and all(text.text != f"current {way}" for text in texts)),
    )
    for words, missing in kinds:
        if missing:
            path = plan(design.parameters).keys.pitch
            yield report(message=f"the {words} found no room", subjects=(words,), path=path)


def legend_trimmed(design: Design) -> Iterable[Finding]:
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
            actual=f"{count} {'stroke' if count == 1 else 'strokes'} left out",
            limit="none",
            subjects=(name,),
            severity=Severity.ERROR if polarity else None,
        )


def legend_edge(design: Design) -> Iterable[Finding]:
    """The legend comes too near to the board's edge.

    Why it matters
        The cutter takes part of it along; half letters remain.
    How it is measured
        From each stroke's outline to the profile's centre line.
    How to mend it
        A larger outline, or parts further from the edge.
    """
    limits = design.limits
    limit = snap(limits.legend_edge_mm)
    for side in Side:
        items = design.artwork.items(LayerKind.LEGEND, side)
        for edge, place, gap in near_lines(design.artwork.edges, [i.shape for i in items], limit):
            owner = items[place].owner
            yield report(
                message=f"{_named(items[place].purpose, owner)} is too near to the edge on the"
                f" {side.value}",
                actual=units.length(gap / units.NM_PER_MM),
                limit=f"at least {units.length(limits.legend_edge_mm)}",
                place_mm=at_mm(between_line(items[place].shape, edge)),
                subjects=(owner.reference if owner else "", side.value),
                path=plan(design.parameters).keys.whole,
            )


def legend_identity(design: Design) -> Iterable[Finding]:
    """The board does not say what it is, or what it is fed with.

    Why it matters
        In a drawer of boards nobody remembers which one takes 5 V and which one 24 V.
    How it is measured
        The texts drawn must hold the title, the revision, the supply's range in V DC and the
        highest current.
    How to mend it
        Give the board more length or width.
    """
    parameters, supply = design.parameters, design.parameters.parts.supply
    words = " ".join(text.text for text in design.board.texts).split()
    wanted = (
        ("the title", parameters.legend_text.split()),
        ("the revision", ["rev", parameters.board.revision]),
        ("the supply's range", [f"{supply.low_v:.3g}–{supply.high_v:.3g}", "V", "DC,"]),
    )
    for what, sequence in wanted:
        if not _holds(words, sequence):
            yield report(
                message=f"{what} is not written on the board",
                limit=" ".join(sequence),
                subjects=(what,),
                path="board.title",
                # What a board is fed with is no matter of looks.
                severity=Severity.ERROR if what == "the supply's range" else None,
            )
    volts = [place for place, word in enumerate(words) if word == "DC,"]
    if not any(words[place + 2 : place + 3] in (["A"], ["mA"]) for place in volts):
        yield report(
            message="the highest current is not written on the board",
            subjects=("the highest current",),
            path="board.title",
        )


def _holds(words: list[str], sequence: list[str]) -> bool:
    length = len(sequence)
    return any(words[start : start + length] == sequence for start in range(len(words)))


def side_unread(design: Design) -> Iterable[Finding]:
    """Nothing in the copper tells which side it is.

    Why it matters
        A board with one copper side looks alike from both; a house, or whoever prints a film, may
        take it mirrored.
    How it is measured
        A board with one copper side needs letters in its copper.
    How to mend it
        Say in the order that the copper is on top, seen from the parts' side; or
        ``order.legend = "none"``, then words are written in copper.
    """
    (layer,) = design.artwork.coppers()
    if not any(item.purpose is Purpose.LETTER for item in layer.items):
        yield report(
            message=f"no letter in the copper tells that {layer.name} is seen from its own side",
            subjects=(layer.name,),
            path="copper.sides",
        )
