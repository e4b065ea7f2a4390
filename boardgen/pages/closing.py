"""What the terminal says when boards are made: where they are, what to do, what to take care of."""

import math
from collections import Counter
from collections.abc import Iterable, Sequence
from typing import Protocol

from boardgen import units
from boardgen.model.artwork import Artwork
from boardgen.model.cautions import Caution
from boardgen.model.design import Design
from boardgen.model.findings import Judgement
from boardgen.model.outline import Outline, slot_mm, walk
from boardgen.model.proof import Proof
from boardgen.pages.findings_text import verdict
from boardgen.pages.tables import table_lines
from boardgen.units import mm


def made_lines(judged: Judgement, design: Design, proof: Proof | None, output: str) -> list[str]:
    """Say what was made of a board, where it is, and what to do with it."""
    name = design.parameters.name
    folder = f"{output}/{name}"
    if proof is None:
        return [
            f"{name}: {verdict(judged)}: no fabrication data was written",
            f"Pictures and findings are in {folder}/.",
            "Next: mend what is told above, and build again.",
        ]
    compared = sum(item.compared for item in proof.items)
    return [
        f"{name}: made in {folder}/; {verdict(judged)}",
        f"proof: files read back, {len(proof.items)} comparisons of {compared} objects, all equal",
        *_next_lines(design, folder),
    ]


def _next_lines(design: Design, folder: str) -> list[str]:
    """Say what to do with a built board: upload and compare, or print the film."""
    name = design.parameters.name
    if not design.limits.plated and not design.parameters.printed:
        upload = f"{folder}/{name}-fabrication.zip"
        film = f"print {folder}/film-positive.svg or film-mirrored.svg at 100 %"
        head = [f"Next: {film}, or give a workshop {upload}.", "The board is:"]
    else:
        head = [
            f"Next: upload {folder}/{name}-fabrication.zip,",
            f"answer the order form from {folder}/order.md, and compare before you pay.",
            "The board house's preview should show:",
        ]
    return [*head, *expect_lines(design)]


def expect_lines(design: Design) -> list[str]:
    """Say what the board house's preview should show, from the artwork that was exported."""
    outline, order = design.board.outline, design.parameters.order
    layers = Counter(layer.kind.value for layer in design.artwork.layers)
    shown = ", ".join(f"{count} {kind}" for kind, count in layers.items())
    arcs = {
        f"{math.dist(start, bow.centre):.3f}".rstrip("0").rstrip(".")
        for start, bow in walk(outline.outer)
        if bow.centre is not None
    }
    corners = f"corners {', '.join(sorted(arcs, key=float))} mm" if arcs else "sharp corners"
    if all(bow.centre for bow in outline.outer):
        corners = "round"
    if outline.inner:
        corners += ", with " + ("an opening" if len(outline.inner) == 1 else "openings")
    size = f"{outline.length_mm:g} x {outline.width_mm:g} mm, {corners}"
    choices = (
        f"{order.quantity} boards",
        f"{order.thickness_mm:g} mm",
        f"{design.parameters.copper.weight_um:g} um copper",
        "no mask" if order.mask == "none" else f"{order.mask} mask",
        order.finish,
    )
    rows = (
        ("size", size),
        ("layers", shown),
        ("plated holes", _holes(design.artwork, plated=True)),
        ("unplated holes", _holes(design.artwork, plated=False)),
        ("slots", _slots(outline)),
        ("to choose", ", ".join(choices) + "; order.md has all of it"),
    )
    return [f"  {name:<15} {value}" for name, value in rows]


def _slots(outline: Outline) -> str:
    """List slots among the cut-outs: the unplated drill file has them."""
    sizes = Counter(
        f"{width:.4g} x {length:.4g}" for width, length in filter(None, map(slot_mm, outline.inner))
    )
    listed = (f"{count} of {size} mm" for size, count in sorted(sizes.items()))
    return ", ".join(listed) + ", routed, unplated" if sizes else "none"


def _holes(artwork: Artwork, *, plated: bool) -> str:
    sizes = Counter(hole.diameter_nm for hole in artwork.holes if hole.plated is plated)
    listed = (f"{count} of {mm(size):g} mm" for size, count in sorted(sizes.items()))
    return ", ".join(listed) or "none"


def caution_lines(cautions: Iterable[Caution]) -> list[str]:
    """Tell the cautions that belong on the terminal."""
    return [
        f"{caution.signal} {caution.text}" for caution in cautions if "terminal" in caution.shown
    ]


class Row(Protocol):
    """A row of a family's closing table."""

    @property
    def name(self) -> str:
        """The member."""

    @property
    def verdict(self) -> str:
        """What became of it."""

    @property
    def nominal_a(self) -> float | None:
        """Its current at the nominal supply."""

    @property
    def worst_a(self) -> float | None:
        """Its current at the highest corner."""

    @property
    def gap_mm(self) -> float | None:
        """Its smallest gap between nets."""

    @property
    def length_mm(self) -> float | None:
        """Its length."""

    @property
    def width_mm(self) -> float | None:
        """Its width."""


def family_lines(outcomes: Sequence[Row]) -> list[str]:
    """Tell what became of every member, as a table."""
    head = ("member", "verdict", "nominal", "worst", "smallest gap", "size")
    return table_lines([head, *map(_family_row, outcomes)])


def family_next(output: str) -> str:
    """Say what to do with a family's boards."""
    return (
        f"Next: upload each member's …-fabrication.zip from its folder in {output}/, and compare"
        " the preview with its order.md before you pay."
    )


def _family_row(row: Row) -> tuple[str, ...]:
    size = "-"
    if row.length_mm is not None and row.width_mm is not None:
        size = f"{row.length_mm:g} x {row.width_mm:g} mm"
    return (
        row.name,
        row.verdict,
        "-" if row.nominal_a is None else units.engineering(row.nominal_a, "A"),
        "-" if row.worst_a is None else units.engineering(row.worst_a, "A"),
        "-" if row.gap_mm is None else units.length(row.gap_mm),
        size,
    )
