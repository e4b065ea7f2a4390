"""Job file, netlist and profile held against the drawings: what the lists say must be drawn."""

import math
from collections.abc import Iterator, Mapping, Sequence
from collections.abc import Set as AbstractSet
from typing import Any

from boardgen.model.proof import Difference, Kind
from boardgen.model.shapes import Contour, Edge, Stroke
from boardgen.model.side import Side
from boardgen.readback.contour import contour_faults
from boardgen.readback.edges import box_nm, follows
from boardgen.readback.expected import LISTS
from boardgen.readback.images import area
from boardgen.readback.matching import differing
from boardgen.readback.nets import Shown
from boardgen.readback.objects import Probe, Reading, Seen
from boardgen.tolerances import HAIR_MM, READ_NM
from boardgen.units import NM_PER_MM

_WIDEST_PEN_NM = 300_000
"""An outline is a thin line: own bound."""


def edge(profile: Reading, netlist: Reading, job: Reading) -> Iterator[Difference]:
    """Hold the profile: closed lines, the first at the origin, as many and as large as listed.

    The first runs around the board counter-clockwise; the others are cut-outs in it, apart from it
    and from one another, and run clockwise.
    """
    outlines = [seen for seen in profile.objects if isinstance(seen.shape, Contour)]
    listed = outlines[: max(1, len(netlist.edges))]
    for seen in profile.objects:
        if seen not in listed:
            yield differing(Kind.ADDED, f"{seen} is no outline of the board", "profile", seen)
    if not outlines:
        yield Difference(kind=Kind.MISSING, text="there is no outline", layer="profile")
        return
    sound = []
    for seen in listed:
        crossed = list(_crossings(seen))
        yield from crossed
        sound += [] if crossed else [seen]
    for seen, said in zip(listed, netlist.edges, strict=False):
        if seen in sound:
            yield from _outline(seen, said, netlist.step_nm)
    for said in netlist.edges[len(listed) :]:
        text = "a cut-out that the netlist tells is not drawn"
        place = (said[0][0] / NM_PER_MM, said[0][1] / NM_PER_MM)
        yield Difference(kind=Kind.MISSING, text=text, layer="profile", place_mm=place)
    if len(sound) == len(listed):
        yield from _around(listed[0], job)
        yield from _cut_outs(listed)


def _crossings(seen: Seen) -> Iterator[Difference]:
    shape = seen.shape
    if isinstance(shape, Contour):
        chain = [(edge.end, edge.centre, edge.clockwise) for edge in shape.edges]
        for text, (x, y) in contour_faults(shape.start, chain):
            yield Difference(kind=Kind.EDGE, text=text, layer="profile",
                             place_mm=(x / NM_PER_MM, y / NM_PER_MM))  # fmt: skip


def _outline(seen: Seen, said: Sequence[tuple[int, int]], step_nm: float) -> Iterator[Difference]:
    """Hold a sound outline against its pen and against the netlist."""
    shape = seen.shape
    if not isinstance(shape, Contour):
        return
    if shape.radius_nm > _WIDEST_PEN_NM / 2:
        yield _edge_fault(Kind.RESIZED, "the outline is drawn with a wide pen", seen)
    if said[0] != said[-1] or not follows(shape, said[:-1], step_nm):
        yield _edge_fault(Kind.RESIZED, "the outline is not that of the netlist", seen)


_BULGE_NM = 2
"""Ends and centre of an arc are whole nanometres: it may bulge so much further than was meant."""


def _around(seen: Seen, job: Reading) -> Iterator[Difference]:
    """Hold the board's own edge against the origin and the job file's size."""
    if not isinstance(seen.shape, Contour):
        return
    left, bottom, right, top = box_nm(seen.shape)
    if max(abs(left), abs(bottom)) > _BULGE_NM:
        yield _edge_fault(Kind.MOVED, "the outline's corner is not the origin", seen)
    size = job.job["GeneralSpecs"]["Size"]
    for is_nm, axis in ((right - left, "X"), (top - bottom, "Y")):
        if abs(is_nm - size[axis] * NM_PER_MM) > READ_NM:
            text = f"the outline is {is_nm / NM_PER_MM:g} mm in {axis}, not {size[axis]:g}"
            yield _edge_fault(Kind.LIST, f"{text} as the job file says", seen)


def _cut_outs(edges: Sequence[Seen]) -> Iterator[Difference]:
    """Hold cut-outs against the board: inside it, apart, and none turned inside out."""
    areas = [area(Contour(seen.shape.edges)) for seen in edges if isinstance(seen.shape, Contour)]
    for place, (seen, cut) in enumerate(zip(edges[1:], areas[1:], strict=True), start=1):
        if not areas[0].contains(cut):
            yield _edge_fault(Kind.EDGE, "a cut-out reaches over the board's edge", seen)
        if any(cut.intersects(other) for other in areas[1:place]):
            yield _edge_fault(Kind.EDGE, "two cut-outs meet", seen)
    for seen in edges:
        for x, y in _reversals(seen.shape) if isinstance(seen.shape, Contour) else ():
            text = "an arc of the outline is turned inside out"
            yield Difference(kind=Kind.EDGE, text=text, layer="profile",
                             place_mm=(x / NM_PER_MM, y / NM_PER_MM))  # fmt: skip


def _reversals(shape: Contour) -> Iterator[tuple[int, int]]:
    """Find where a line turns back on itself: an arc there runs the wrong way round."""
    starts = [shape.start, *(edge.end for edge in shape.edges)]
    ways = [_tangents(start, edge) for start, edge in zip(starts, shape.edges, strict=False)]
    for place, (start, edge) in enumerate(zip(starts, shape.edges, strict=False)):
        (_, before), (after, _) = ways[place - 1], ways[place]
        arcs = edge.centre or shape.edges[place - 1].centre
        if arcs and before[0] * after[0] + before[1] * after[1] < _BACK:
            yield start


_BACK = -0.7
"""Cosine of a bend that only a cusp has: own choice."""


_Way = tuple[float, float]


def _tangents(start: tuple[int, int], edge: Edge) -> tuple[_Way, _Way]:
    """Give the directions in which a piece begins and ends."""
    if edge.centre is None:
        length = math.dist(start, edge.end) or 1.0
        way = ((edge.end[0] - start[0]) / length, (edge.end[1] - start[1]) / length)
        return way, way
    radius, turn = math.dist(start, edge.centre) or 1.0, -1 if edge.clockwise else 1
    (x, y) = edge.centre
    first, last = (
        (-turn * (at[1] - y) / radius, turn * (at[0] - x) / radius) for at in (start, edge.end)
    )
    return first, last


def records(netlist: Reading, sides: int, masked: AbstractSet[Side]) -> Iterator[Difference]:
    """Hold the fields of every record against one another and against sides and masks."""
    over = (Side.TOP in masked) + 2 * (Side.BOTTOM in masked)
    for probe in netlist.probes:
        for said, holds in _fields(probe, sides, over):
            if not holds:
                yield differing(Kind.LIST, f"{probe}: {said}", "netlist", probe)


def _fields(probe: Probe, sides: int, over: int) -> tuple[tuple[str, bool], ...]:
    bare, via = probe.kind == "367", probe.reference == "VIA"
    reached = range(1, sides + 1)
    if probe.hole_nm:
        reached = range(1) if bare or sides > 1 else range(1, 2)
    return (
        ("its kind does not fit its hole", (probe.kind == "327") == (not probe.hole_nm)),
        ("it is reached from a side that it is not on", probe.access in reached),
        ("its mask is not as on the board", probe.covered == (over if via else 0)),
        ("only a hole without a land has no net and pin", not bare or
         (probe.net == "N/C" and not probe.pin)),
        ("a hole without a land is as large as its hole", not bare or
         (probe.width_nm, probe.height_nm) == (probe.hole_nm, 0)),
        ("a via is plated and no pin", not via or (probe.plated and not probe.pin)),
    )  # fmt: skip


def _edge_fault(kind: Kind, text: str, seen: Seen) -> Difference:
    return Difference(kind=kind, text=text, layer="profile", place_mm=seen.place_mm,
                      size_mm=seen.size_mm)  # fmt: skip


def lists(readings: Mapping[str, Reading]) -> Iterator[Difference]:
    """Hold job file and netlist against what the other files say of themselves."""
    job, netlist = readings["job.gbrjob"].job, readings["netlist.ipc"].attributes
    said = {row["Path"]: (row["FileFunction"], row["FilePolarity"])
            for row in job["FilesAttributes"]}  # fmt: skip
    drawn = {part: reading for part, reading in readings.items() if part not in LISTS}
    real = {
        reading.name: (reading.attributes[".FileFunction"], reading.attributes[".FilePolarity"])
        for reading in drawn.values()
    }
    for name in sorted(set(said) | set(real)):
        if said.get(name) != real.get(name):
            yield _list_fault(f"{name} is {said.get(name)} in the list, but {real.get(name)}", name)
    if len(job["FilesAttributes"]) != len(said):
        yield _list_fault("a file is listed twice")
    yield from _identity(readings, job, netlist)
    name = readings["copper-top.gbr"].attributes[".ProjectId"].partition(",")[0]
    for reading in readings.values():
        if reading.name.rpartition("_")[0] != name:
            text = f"{reading.name} is not named after its project {name}"
            yield Difference(kind=Kind.ATTRIBUTE, text=text, subjects=(reading.name,))
    layers = sum(part.startswith("copper") for part in drawn)
    if job["GeneralSpecs"]["LayerNumber"] != layers:
        yield _list_fault(f"LayerNumber is {job['GeneralSpecs']['LayerNumber']}, not {layers}")
    yield from _materials(job)
    stacked = [row["Name"] for row in job["MaterialStackup"] if row["Type"] != "Dielectric"]
    wanted = sorted(part.rpartition(".")[0] for part in drawn
                    if part.endswith(".gbr") and part != "profile.gbr")  # fmt: skip
    if sorted(stacked) != wanted:
        yield _list_fault(f"MaterialStackup has {', '.join(stacked)}, not {', '.join(wanted)}")


_FINISHES = ("HAL lead-free", "ENIG", "None")
_NEEDED = {
    "Copper": ("Thickness",),
    "Dielectric": ("Thickness", "Material"),
    "SolderMask": ("Color",),
    "Legend": ("Color",),
}
_STACK = (
    ("legend-top", "Legend"),
    ("paste-top", "SolderPaste"),
    ("mask-top", "SolderMask"),
    ("copper-top", "Copper"),
    ("core", "Dielectric"),
    ("copper-bottom", "Copper"),
    ("mask-bottom", "SolderMask"),
    ("legend-bottom", "Legend"),
)
_ALIKE = (("SolderMask", "Color"), ("Legend", "Color"), ("Copper", "Thickness"))


def _materials(job: Mapping[str, Any]) -> Iterator[Difference]:
    """Hold what the job file says of materials against itself and against what boardgen writes."""
    specs, stack = job["GeneralSpecs"], job["MaterialStackup"]
    total = sum(row.get("Thickness", 0.0) for row in stack)
    if abs(total - specs["BoardThickness"]) > HAIR_MM:
        yield _list_fault(
            f"BoardThickness is {specs['BoardThickness']:g}, its layers sum to {total:g}"
        )
    for row in stack:
        lacking = [key for key in _NEEDED.get(row["Type"], ()) if key not in row]
        if lacking or row.get("Thickness", 1.0) <= 0:
            yield _list_fault(f"{row['Name']}: {', '.join(lacking) or 'Thickness'} is not told")
    names = [(row["Name"], row["Type"]) for row in stack]
    if names != [entry for entry in _STACK if entry in names]:
        yield _list_fault("MaterialStackup does not lie from top to bottom, each by its own type")
    for kind, key in _ALIKE:
        said = {row.get(key) for row in stack if row["Type"] == kind}
        if len(said) > 1:
            yield _list_fault(f"{kind} layers have unlike {key}: {', '.join(map(str, said))}")
    if specs["Finish"] not in _FINISHES:
        yield _list_fault(f"Finish is {specs['Finish']!r}, which boardgen never writes")
    if specs["ImpedanceControlled"]:
        yield _list_fault("ImpedanceControlled is true, which boardgen never writes")
    cores = [row.get("Material") for row in stack if row["Type"] == "Dielectric"]
    if cores != ["FR4"]:
        yield _list_fault(f"the core is {cores}, which boardgen never writes")


def _list_fault(text: str, *subjects: str) -> Difference:
    return Difference(kind=Kind.LIST, text=text, layer="job", subjects=subjects)


def _identity(
    readings: Mapping[str, Reading], job: Mapping[str, Mapping[str, object]],
    netlist: Mapping[str, str],
) -> Iterator[Difference]:  # fmt: skip
    """Every list names the same project, program and day as the drawings."""
    first = readings["copper-top.gbr"].attributes
    name, identity, revision = [*first[".ProjectId"].split(","), "", ""][:3]
    header, specs = job["Header"], job["GeneralSpecs"]
    wanted = (
        ("job", "CreationDate", header["CreationDate"], first[".CreationDate"]),
        ("job", "GenerationSoftware", header["GenerationSoftware"],
         dict(zip(("Vendor", "Application", "Version"),
                  first[".GenerationSoftware"].split(","), strict=False))),
        ("job", "ProjectId", specs["ProjectId"],
         {"Name": name, "GUID": identity, "Revision": revision}),
        ("netlist", "JOB", netlist["JOB"], name),
        ("netlist", "NUM", netlist["NUM"], identity),
        ("netlist", "REV", netlist["REV"], revision),
        ("netlist", "VER", netlist["VER"], "IPC-D-356A"),
        ("netlist", "IMAGE", netlist["IMAGE"], "PRIMARY"),
    )  # fmt: skip
    for layer, what, says, other in wanted:
        if says != other:
            yield Difference(kind=Kind.ATTRIBUTE, layer=layer,
                             text=f"{what} is {says}, but the drawings say {other}")  # fmt: skip


def narrowest(sides: Sequence[Shown], job: Reading) -> Iterator[Difference]:
    """Hold the job file's narrowest line against the lines that are drawn in copper."""
    widths = [2 * seen.shape.radius_nm for side in sides for seen in side.objects
              if seen.dark and isinstance(seen.shape, Stroke)]  # fmt: skip
    said, real = job.job["DesignRules"], min(widths, default=0) / NM_PER_MM
    if said != [{"Layers": "Outer", "MinLineWidth": real}]:
        yield _list_fault(f"DesignRules are {said}, but the narrowest line is {real:g} mm wide")
