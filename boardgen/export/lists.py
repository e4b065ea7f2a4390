"""Lists for buying and placing: BOM and placement, RFC 4180, UTF-8, decimal points."""

import csv
import io
from collections.abc import Iterable
from itertools import groupby

from boardgen.model.board import Part, PartKind
from boardgen.model.design import Design
from boardgen.model.outputs import OutputFile, OutputFiles
from boardgen.units import UM_PER_MM

_PLACEMENT = ("reference", "part", "value", "side", "x_mm", "y_mm", "rotation_deg", "fitted")
_BOM = (
    "quantity",
    "references",
    "part",
    "value",
    "tolerance",
    "rating_w",
    "size_inch",
    "size_metric",
    "land_pattern",
    "marking",
    "fitted",
    "remark",
)


def placement(design: Design) -> OutputFiles:
    """List every part's centre and angle, counter-clockwise seen from the top.

    Zero: along x, pin 1 left; LED pin 1 is the cathode.
    """
    rows = [
        (
            part.reference,
            part.kind.value,
            part.value,
            part.side.value,
            _millimetres(part.x_mm),
            _millimetres(part.y_mm),
            part.rotation_deg,
            "yes",
        )
        for part in design.board.parts
    ]
    return (OutputFile(path="assembly/placement.csv", content=_csv(_PLACEMENT, rows)),)


def bom(design: Design) -> OutputFiles:
    """List what to buy, one row for each kind and value."""
    parts = sorted(design.board.parts, key=_bom_key)
    rows = [_bom_row(design, list(group)) for _, group in groupby(parts, key=_bom_key)]
    return (OutputFile(path="assembly/bom.csv", content=_csv(_BOM, rows)),)


_ORDER = (PartKind.LED, PartKind.RESISTOR, PartKind.CONNECTOR)


def _bom_key(part: Part) -> tuple[int, str, str]:
    return (_ORDER.index(part.kind), part.value, part.pattern.name)


def _bom_row(design: Design, parts: list[Part]) -> tuple[object, ...]:
    first, parameters = parts[0], design.parameters
    tolerance = rating = inch = metric = marking = remark = ""
    if first.kind is PartKind.RESISTOR:
        resistor = parameters.resistor_part
        tolerance = f"{parameters.resistor.tolerance * 100:g} %"
        rating = f"{parameters.resistor.rating_w or resistor.rating_w:g}"
        inch, metric = resistor.size, resistor.metric
        remark = "thick film"
    elif first.kind is PartKind.LED:
        data = parameters.led.data
        metric = data.size if data.size == "2835" else parameters.led.pattern.name[4:8]
        inch = "" if data.size == "2835" else data.size
        marking = f"cathode: {data.cathode}"
        remark = f"forward voltage {data.vf.typical_v:g} V at {data.vf.at_a * 1000:g} mA"
    else:
        remark = f"{parameters.connector_part.rating_a:g} A at least"
    return (
        len(parts),
        " ".join(part.reference for part in parts),
        first.kind.value,
        first.value,
        tolerance,
        rating,
        inch,
        metric,
        first.pattern.name,
        marking,
        "yes",
        remark,
    )


def _millimetres(value_mm: float) -> str:
    return f"{round(value_mm * UM_PER_MM) / UM_PER_MM:.3f}"


def _csv(header: tuple[str, ...], rows: Iterable[tuple[object, ...]]) -> bytes:
    text = io.StringIO()
    writer = csv.writer(text, lineterminator="\r\n")
    writer.writerow(header)
    for row in rows:
        writer.writerow([_guarded(cell) for cell in row])
    return text.getvalue().encode("utf-8")


def _guarded(cell: object) -> object:
    """Keep a spreadsheet from taking a user's text for a formula."""
    if isinstance(cell, str) and cell[:1] in ("=", "+", "-", "@"):
        return f"'{cell}"
    return cell
