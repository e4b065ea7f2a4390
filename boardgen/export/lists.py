"""Lists for buying and placing: BOM and placement, RFC 4180, UTF-8, decimal points."""

import csv
import io
from collections.abc import Iterable
from itertools import groupby

from boardgen.model.board import Part, PartKind
from boardgen.model.design import Design
from boardgen.model.led_data import METRIC_CODES
from boardgen.model.outputs import OutputFile, OutputFiles
from boardgen.model.parts import LedPart, ResistorPart
from boardgen.model.stock import own_text
from boardgen.standards.resistor_marking import marking, writable
from boardgen.units import UM_PER_MM

_PLACEMENT = (
    "reference",
    "part",
    "value",
    "side",
    "x_mm",
    "y_mm",
    "rotation_deg",
    "fitted",
    "mark",
    "mark_points",
)
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
    "own_text_unchecked",
)
_ASLANT = 0.414
"""Just below the tangent of 22.5 degrees: from there on a way is told by two words."""


def placement(design: Design) -> OutputFiles:
    """List every part's centre and angle, counter-clockwise seen from the top.

    Zero: along x, pin 1 left; LED pin 1 is the cathode; a part on the bottom is turned over first.
    ``mark`` is what is seen on an LED, ``mark_points`` to where it has to point, seen from the top.
    """
    rows = []
    for part in design.board.parts:
        if not part.kind.row.bought:
            continue
        is_led = part.kind is PartKind.LED
        rows.append(
            (
                part.reference,
                part.kind.value,
                part.value,
                part.side.value,
                _millimetres(part.x_mm),
                _millimetres(part.y_mm),
                f"{part.pose.turn_deg:.6f}".rstrip("0").rstrip("."),
                "yes",
                _mark(design.parameters.parts.led_named(part.value)) if is_led else _band(part),
                mark_points(part),
            )
        )
    return (OutputFile(path="assembly/placement.csv", content=_csv(_PLACEMENT, rows)),)


def _mark(led: LedPart) -> str:
    return f"{led.data.mark}, {'cathode' if led.data.cathode else 'anode'}"


def _band(part: Part) -> str:
    return "band, cathode" if part.kind is PartKind.DIODE else ""


def mark_points(part: Part) -> str:
    """Tell where on the board a part's marked end points, "up" or "up right"; empty without one."""
    if not part.pattern.marked_land:
        return ""
    land = part.pattern.land(part.pattern.marked_land)
    x, y = part.land_place(land)
    along, up = x - part.x_mm, y - part.y_mm
    words = []
    if abs(up) > _ASLANT * abs(along):
        words.append("up" if up > 0 else "down")
    if abs(along) > _ASLANT * abs(up):
        words.append("right" if along > 0 else "left")
    return " ".join(words)


def bom(design: Design) -> OutputFiles:
    """List what to buy, one row for each kind and value."""
    parts = sorted((part for part in design.board.parts if part.kind.row.bought), key=_bom_key)
    rows = [_bom_row(design, list(group)) for _, group in groupby(parts, key=_bom_key)]
    return (OutputFile(path="assembly/bom.csv", content=_csv(_BOM, rows)),)


def _bom_key(part: Part) -> tuple[int, str, str]:
    return (list(PartKind).index(part.kind), part.value, part.pattern.name)


def _bom_row(design: Design, parts: list[Part]) -> tuple[object, ...]:
    first, parameters = parts[0], design.parameters
    said = described(design, first)
    return (
        len(parts),
        " ".join(part.reference for part in parts),
        first.kind.value,
        first.value,
        *(said.get(key, "") for key in ("tolerance", "rating", "inch", "metric")),
        first.pattern.name,
        said.get("marking", ""),
        "yes",
        said.get("remark", ""),
        own_text(parameters.stock, first.value, parameters.parts.resistor.size),
    )


def described(design: Design, part: Part) -> dict[str, str]:
    """Say what is known of a part to buy: tolerance, rating, sizes, what is printed on it."""
    describe = {
        PartKind.RESISTOR: _resistor,
        PartKind.LED: _led,
        PartKind.FUSE: _guard,
        PartKind.DIODE: _guard,
        PartKind.TRANSISTOR: _guard,
        PartKind.CONNECTOR: _connector,
        PartKind.SWITCH: _switch,
    }[part.kind]
    return describe(design, part)


def _sizes(size: str | None) -> dict[str, str]:
    if not size:
        return {}
    if size in METRIC_CODES:
        return {"inch": size, "metric": METRIC_CODES[size]}
    return {"metric": size}


def _resistor(design: Design, part: Part) -> dict[str, str]:
    parameters = design.parameters
    resistor = parameters.parts.resistor
    value = design.circuit.branch_of(part.reference).kind.ballast.value_ohm
    codes = [marking(value, digits) for digits in (3, 4) if writable(value, digits)]
    return {
        "tolerance": f"{parameters.resistor.tolerance * 100:g} %",
        "rating": f"{parameters.resistor.rating_w or resistor.rating_w:g}",
        "marking": _codes(codes, resistor),
        "remark": "thick film",
        **_sizes(resistor.size),
    }


def _codes(codes: list[str], resistor: ResistorPart) -> str:
    if not resistor.size:
        return "as its data sheet says"
    return " or ".join(codes) if resistor.printed and codes else "none"


def _led(design: Design, part: Part) -> dict[str, str]:
    data = design.parameters.parts.led_named(part.value).data
    end = "cathode" if data.cathode else "anode, not cathode"
    return {
        "marking": f"{data.mark}: {end}",
        "remark": f"forward voltage {data.vf.typical_v:g} V at {data.vf.at_a * 1000:g} mA",
        **_sizes(data.size),
    }


def _guard(design: Design, part: Part) -> dict[str, str]:
    guard = next(guard for guard in design.parameters.parts.guards if guard.name == part.value)
    word = "holds" if part.kind is PartKind.FUSE else "carries"
    return {
        "marking": guard.printed,
        "remark": f"{word} {guard.rating_a:g} A, bears {guard.max_voltage_v:g} V at least",
    }


def _connector(design: Design, part: Part) -> dict[str, str]:
    connector = design.parameters.parts.connector
    bears = f"{connector.rating_a:g} A"
    return {
        "marking": connector.printed,
        "remark": f"lands for {bears}, nothing to buy" if part.lands_only else f"{bears} at least",
    }


def _switch(design: Design, part: Part) -> dict[str, str]:  # noqa: ARG001
    switch = design.parameters.parts.switch
    if switch is None:
        return {}
    return {"marking": switch.printed, "remark": f"{switch.rating_a:g} A at least"}


def _millimetres(value_mm: float) -> str:
    return f"{round(value_mm * UM_PER_MM) / UM_PER_MM:.3f}"


def _csv(header: tuple[str, ...], rows: Iterable[tuple[object, ...]]) -> bytes:
    text = io.StringIO()
    writer = csv.writer(text, lineterminator="\r\n")
    writer.writerow(header)
    for row in rows:
        writer.writerow([guarded(cell) for cell in row])
    return text.getvalue().encode("utf-8")


def guarded(cell: object) -> object:
    """Keep a spreadsheet from taking a user's text for a formula."""
    if isinstance(cell, str) and cell[:1] in ("=", "+", "-", "@"):
        return f"'{cell}"
    return cell
