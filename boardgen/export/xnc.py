"""Drill files: XNC, the exchange subset of Excellon; plated and unplated apart.

Source: grammar as recorded in docs/sources.md, formats; most of it from memory and
secondary texts, read back by an outside reader in the tests. Attributes stand in standard comments.
"""

from itertools import groupby

from boardgen.export.stamp import Stamp, stamp
from boardgen.model.artwork import Hole, HoleKind, Slot
from boardgen.model.design import Design
from boardgen.model.outputs import OutputFile, OutputFiles
from boardgen.model.shapes import Point
from boardgen.units import decimal

_PLATED_FUNCTIONS = {HoleKind.COMPONENT: "ComponentDrill", HoleKind.VIA: "ViaDrill"}
_UNPLATED_FUNCTION = "MechanicalDrill"


def drills(design: Design) -> OutputFiles:
    """Write the plated and the unplated holes; slots stand with the latter, routed.

    Returns
    -------
    OutputFiles
        ``fabrication/<board>_plated.drl`` and ``_unplated.drl``; finished diameters, absolute
        millimetres with a point, the Gerber files' origin. A file without holes is not written.
        With one copper side the span is 1,1 as the Gerber specification reads, or 1,2 where a
        house wants it.
    """
    made = stamp(design)
    return tuple(
        OutputFile(
            path=f"fabrication/{design.parameters.name}_{name}.drl",
            content=_file(
                [hole for hole in design.artwork.holes if hole.plated is (name == "plated")],
                design.artwork.slots if name == "unplated" else (),
                function,
                made,
            ).encode("ascii"),
        )
        for name, function in drill_functions(design).items()
    )


def drill_functions(design: Design) -> dict[str, str]:
    """Say which drill files there are, and what each holds."""
    span = "1,2" if len(design.parameters.sides) > 1 else design.parameters.order.drill_span
    plated = {hole.plated for hole in design.artwork.holes}
    routed = ""
    if design.artwork.slots:
        routed = ",Mixed" if False in plated else ",Rout"
    kinds = (
        ("plated", True, "Plated,1,2,PTH"),
        ("unplated", False, f"NonPlated,{span},NPTH{routed}"),
    )
    return {name: function for name, way, function in kinds if way in design.artwork.drilled}


def _file(holes: list[Hole], slots: tuple[Slot, ...], function: str, made: Stamp) -> str:
    ordered = sorted(holes, key=lambda hole: (*_tool(hole), hole.centre))
    tools = [(tool, list(hits)) for tool, hits in groupby(ordered, key=_tool)]
    lines = [
        "M48",
        f"; {function} holes of {made.project}, written by boardgen {made.program_version}",
        f"; #@! TF.GenerationSoftware,boardgen,boardgen,{made.program_version}",
        f"; #@! TF.CreationDate,{made.created}",
        f"; #@! TF.ProjectId,{made.project},{made.identity},{made.revision}",
        "; #@! TF.SameCoordinates",
        "; #@! TF.Part,Single",
        f"; #@! TF.FileFunction,{function}",
        "; #@! TF.FilePolarity,Positive",
        "METRIC",
    ]
    widths = [(width, list(cut)) for width, cut in groupby(slots, key=lambda slot: slot.width_nm)]
    sizes = [tool for tool, _ in tools] + [(_UNPLATED_FUNCTION, width) for width, _ in widths]
    for number, (kind, diameter) in enumerate(sizes, start=1):
        lines += [
            f"; #@! TA.AperFunction,{kind}",
            f"T{number:02d}C{decimal(diameter)}",
            "; #@! TD",
        ]
    lines += ["%", *(["G05"] if tools else [])]
    for number, (_, hits) in enumerate(tools, start=1):
        lines.append(f"T{number:02d}")
        lines += [_at(hit.centre) for hit in hits]
    for number, (_, cuts) in enumerate(widths, start=len(tools) + 1):
        lines.append(f"T{number:02d}")
        for slot in cuts:
            lines += [f"G00{_at(slot.start)}", "M15", f"G01{_at(slot.end)}", "M16"]
    return "\n".join([*lines, "M30", ""])


def _at(place: Point) -> str:
    return f"X{decimal(place[0])}Y{decimal(place[1])}"


def _tool(hole: Hole) -> tuple[str, int]:
    """One tool for each function and size: functions never share one (Gerber 5.6.10)."""
    function = _PLATED_FUNCTIONS[hole.kind] if hole.plated else _UNPLATED_FUNCTION
    return (function, hole.diameter_nm)
