"""Job file, netlist and profile held against the drawings: what the lists say must be drawn."""

from collections.abc import Iterator, Mapping, Sequence
from typing import Any

from boardgen.model.proof import Difference, Kind
from boardgen.model.shapes import Contour, Stroke
from boardgen.readback.expected import LISTS
from boardgen.readback.images import area
from boardgen.readback.matching import differing
from boardgen.readback.nets import Shown
from boardgen.readback.seen import Reading, Seen
from boardgen.units import NM_PER_MM, NM_PER_UM

_HAIR_NM = NM_PER_UM
_THICKNESS_MM = 1e-6


def edge(profile: Reading, netlist: Reading, job: Reading) -> Iterator[Difference]:
    """Hold the profile: one closed line, its corner at the origin, as large as the lists say."""
    outlines = [seen for seen in profile.objects if isinstance(seen.shape, Contour)]
    for seen in profile.objects:
        if not outlines or seen is not outlines[0]:
            yield differing(Kind.ADDED, f"{seen} is no outline of the board", "profile", seen)
    if not outlines:
        yield Difference(kind=Kind.MISSING, text="there is no outline", layer="profile")
        return
    shape = outlines[0].shape
    if not isinstance(shape, Contour):
        return
    left, bottom, right, top = _line_box(shape)
    step_nm = netlist.step_nm
    xs, ys = zip(*netlist.edge, strict=True)
    said = (min(xs), min(ys), max(xs), max(ys))
    if max(abs(left), abs(bottom)) > 0:
        yield _edge_fault(Kind.MOVED, "the outline's corner is not the origin", outlines[0])
    elif any(abs(is_ - says) > step_nm for is_, says in
             zip((left, bottom, right, top), said, strict=True)):  # fmt: skip
        yield _edge_fault(Kind.RESIZED, "the outline is not that of the netlist", outlines[0])
    size = job.job["GeneralSpecs"]["Size"]
    for is_nm, axis in ((right - left, "X"), (top - bottom, "Y")):
        if abs(is_nm - size[axis] * NM_PER_MM) > _HAIR_NM:
            text = f"the outline is {is_nm / NM_PER_MM:g} mm in {axis}, not {size[axis]:g}"
            yield _edge_fault(Kind.LIST, f"{text} as the job file says", outlines[0])


def _edge_fault(kind: Kind, text: str, seen: Seen) -> Difference:
    return Difference(kind=kind, text=text, layer="profile", place_mm=seen.place_mm,
                      size_mm=seen.size_mm)  # fmt: skip


def _line_box(contour: Contour) -> tuple[float, float, float, float]:
    """Measure a closed line's box; arcs count by their chords' ends and their middle."""
    line = area(Contour(contour.edges))
    left, bottom, right, top = line.bounds
    return (round(left), round(bottom), round(right), round(top))


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
_ALIKE = (("SolderMask", "Color"), ("Legend", "Color"), ("Copper", "Thickness"))


def _materials(job: Mapping[str, Any]) -> Iterator[Difference]:
    """Hold what the job file says of materials against itself and against what boardgen writes."""
    specs, stack = job["GeneralSpecs"], job["MaterialStackup"]
    total = sum(row.get("Thickness", 0.0) for row in stack)
    if abs(total - specs["BoardThickness"]) > _THICKNESS_MM:
        yield _list_fault(
            f"BoardThickness is {specs['BoardThickness']:g}, its layers sum to {total:g}"
        )
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
    software = header["GenerationSoftware"]
    wanted = (
        ("job", "CreationDate", header["CreationDate"], first[".CreationDate"]),
        ("job", "GenerationSoftware", ",".join(map(str, dict(software).values())),  # type: ignore[call-overload]
         first[".GenerationSoftware"]),
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
    said = [rule["MinLineWidth"] for rule in job.job["DesignRules"]]
    real = min(widths, default=0) / NM_PER_MM
    if said != [real]:
        yield _list_fault(f"MinLineWidth is {said}, but the narrowest line is {real:g} mm wide")
