"""Gerber job file: what the set of files is, as JSON for a board house's reader.

Source: structure as recorded in docs/sources.md, formats, from public samples and a
reader's model; the specification was not read. Words for finishes are from memory.
"""

from typing import Any

from boardgen.export.gerber import FILE_FUNCTIONS
from boardgen.export.json_text import json_bytes
from boardgen.export.stamp import stamp
from boardgen.export.xnc import drill_functions
from boardgen.model.artwork import Layer, LayerKind
from boardgen.model.board import Side
from boardgen.model.design import Design
from boardgen.model.outputs import OutputFile, OutputFiles
from boardgen.model.shapes import Stroke
from boardgen.units import UM_PER_MM, mm, snap

_FINISHES = {"tin, lead-free": "HAL lead-free", "gold": "ENIG", "bare copper": "None"}


def job(design: Design) -> OutputFiles:
    """Write the job file.

    Returns
    -------
    OutputFiles
        ``fabrication/<board>_job.gbrjob``: project, size between the profile's centre lines in mm,
        layers, thickness, finish, the narrowest line, every file with its function, the materials
        from top to bottom.
    """
    made, parameters = stamp(design), design.parameters
    project = {"Name": made.project, "GUID": made.identity, "Revision": made.revision}
    software = {"Vendor": "boardgen", "Application": "boardgen", "Version": made.program_version}
    record = {
        "Header": {"GenerationSoftware": software, "CreationDate": made.created},
        "GeneralSpecs": {
            "ProjectId": project,
            "Size": {
                "X": _whole(design.board.outline.length_mm),
                "Y": _whole(design.board.outline.width_mm),
            },
            "LayerNumber": len(design.artwork.coppers()),
            "BoardThickness": parameters.order.thickness_mm,
            "Finish": _FINISHES[parameters.order.finish],
            "ImpedanceControlled": False,
        },
        "DesignRules": [{"Layers": "Outer", "MinLineWidth": _narrowest_mm(design)}],
        "FilesAttributes": list(_files(design)),
        "MaterialStackup": _stackup(design),
    }
    return (OutputFile(path=f"fabrication/{made.project}_job.gbrjob", content=json_bytes(record)),)


def _whole(length_mm: float) -> float:
    """Write a length as it stands on the grid, free of float noise."""
    return mm(snap(length_mm))


def _narrowest_mm(design: Design) -> float:
    """Measure the narrowest line that is drawn in copper."""
    return mm(
        min(
            2 * item.shape.radius_nm
            for layer in design.artwork.coppers()
            for item in layer.items
            if item.dark and isinstance(item.shape, Stroke)
        )
    )


def _files(design: Design) -> list[dict[str, str]]:
    name = design.parameters.name
    gerbers = [
        (f"{layer.name}.gbr", *FILE_FUNCTIONS[layer.kind, layer.side])
        for layer in design.artwork.layers
    ]
    drills = [(f"{part}.drl", says, "Positive") for part, says in drill_functions(design).items()]
    return [
        {"Path": f"{name}_{part}", "FileFunction": function, "FilePolarity": polarity}
        for part, function, polarity in (*gerbers, *drills)
    ]


def _stackup(design: Design) -> list[dict[str, Any]]:
    """List materials from top to bottom, those that the files show."""
    layers = {(layer.kind, layer.side): layer for layer in design.artwork.layers}
    outside = [
        (LayerKind.LEGEND, "Legend"),
        (LayerKind.PASTE, "SolderPaste"),
        (LayerKind.MASK, "SolderMask"),
        (LayerKind.COPPER, "Copper"),
    ]
    top = [_material(design, layers[kind, Side.TOP], word) for kind, word in outside
           if (kind, Side.TOP) in layers]  # fmt: skip
    bottom = [_material(design, layers[kind, Side.BOTTOM], word) for kind, word in outside[::-1]
              if (kind, Side.BOTTOM) in layers]  # fmt: skip
    copper_mm = len(design.artwork.coppers()) * design.parameters.copper.weight_um / UM_PER_MM
    core = {
        "Type": "Dielectric",
        "Name": "core",
        "Material": "FR4",
        "Thickness": round(design.parameters.order.thickness_mm - copper_mm, 6),
    }
    return [*top, core, *bottom]


def _material(design: Design, layer: Layer, word: str) -> dict[str, Any]:
    parameters = design.parameters
    row: dict[str, Any] = {"Type": word, "Name": layer.name}
    if layer.kind is LayerKind.COPPER:
        row["Thickness"] = parameters.copper.weight_um / UM_PER_MM
    if layer.kind is LayerKind.MASK:
        row["Color"] = parameters.order.mask
    if layer.kind is LayerKind.LEGEND:
        row["Color"] = parameters.legend_colour
    return row
