"""The proof: every comparison of written files with a design, or of the files with themselves."""

from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import replace
from functools import partial

from boardgen.model.artwork import LayerKind
from boardgen.model.board import Side
from boardgen.model.design import Design
from boardgen.model.proof import Difference, Proof, ProofItem, SeenPin
from boardgen.model.shapes import Disc, Shape
from boardgen.readback import among_files, expected, lists, names
from boardgen.readback.cut import cut_faults
from boardgen.readback.drill import read_drill
from boardgen.readback.functions import functions
from boardgen.readback.gerber import read_gerber
from boardgen.readback.images import image
from boardgen.readback.job import read_job
from boardgen.readback.letters import words
from boardgen.readback.lights import marks, signs, walk
from boardgen.readback.makeable import unmakeable
from boardgen.readback.measured import measured
from boardgen.readback.netlist import read_netlist
from boardgen.readback.nets import Shown, trace
from boardgen.readback.objects import Reading, Seen, SeenHole
from boardgen.readback.routed import with_slots
from boardgen.readback.tangle import tangled
from boardgen.readback.with_design import against_design
from boardgen.units import Nm

_MOST_TOLD = 1_000
"""So many differences of a comparison are kept; a file of another board would give thousands."""


def prove(files: Mapping[str, bytes], design: Design | None = None) -> Proof:
    """Read fabrication files back and judge them.

    Parameters
    ----------
    files : mapping of str to bytes
        The package: flat file names and contents.
    design : Design, optional
        What they ought to say; without it they are held against themselves only.

    Returns
    -------
    Proof
        One item for each comparison made; form is judged before meaning, and files of wrong form
        are not looked at further.
    """
    found, wrong = names.sorted_out(files, names.wanted(files, design))
    items = [_item("list of files", len(files), wrong)]
    readings = {part: _read(part, found[part], files[found[part]])
                for part in names.KNOWN if part in found}  # fmt: skip
    items.append(_item("form of the files", len(readings), names.form(readings)))
    whole = with_slots(readings)
    drawn = _drawn(whole)
    if not all(item.holds for item in items):
        return Proof(items=tuple(items), drawn=drawn)
    items.append(_item("attributes", len(readings), names.attributes(readings)))
    items.append(_item("simple enough to judge", len(readings), tangled(readings)))
    if not items[-1].holds:
        return Proof(items=tuple(items))  # nor are they drawn
    if not all(item.holds for item in items):
        return Proof(items=tuple(items), drawn=drawn)
    if design:
        items += [replace(item, differences=item.differences[:_MOST_TOLD])
                  for item in against_design(readings, design)]  # fmt: skip
        count, wrong_words = words(readings, design)
        items.append(_item("words on the board", count, wrong_words))
    items.append(_item("functions", len(readings), functions(readings)))
    sides = _sides(readings)
    items += _consistent(whole, sides)
    items += _conduction(readings, sides)
    holds = all(item.holds for item in items)
    measures = tuple(measured(readings, sides)) if holds else ()
    name = readings["copper-top.gbr"].name.rpartition("_")[0]
    return Proof(items=tuple(items), measures=measures, drawn=drawn, pins=_pins(sides), name=name)


def _item(title: str, compared: int, differences: Iterable[Difference]) -> ProofItem:
    told = tuple(difference for _, difference in zip(range(_MOST_TOLD), differences, strict=False))
    return ProofItem(title=title, compared=compared, differences=told)


def _read(part: str, name: str, content: bytes) -> Reading:
    reader = {"gbr": read_gerber, "drl": read_drill, "ipc": read_netlist, "gbrjob": read_job}
    return reader[part.rpartition(".")[2]](name, content)


def _drawn(readings: Mapping[str, Reading]) -> dict[str, tuple[tuple[Shape, bool], ...]]:
    layers: dict[str, tuple[tuple[Shape, bool], ...]] = {}
    for part, reading in readings.items():
        circles = [Disc((Nm(hole.x_nm), Nm(hole.y_nm)), Nm(hole.diameter_nm // 2))
                   for hole in reading.holes]  # fmt: skip
        shapes = [*((seen.shape, seen.dark) for seen in reading.objects),
                  *((circle, True) for circle in circles)]  # fmt: skip
        layers[part.rpartition(".")[0]] = tuple(shapes)
    return layers


def _sides(readings: Mapping[str, Reading]) -> list[Shown]:
    parts = [expected.FILES[LayerKind.COPPER, side][0] for side in Side]
    return [
        Shown(
            layer=part.rpartition(".")[0],
            objects=readings[part].objects,
            image=image(readings[part].objects),
        )
        for part in parts
        if part in readings
    ]


def _holes(readings: Mapping[str, Reading]) -> list[SeenHole]:
    return [hole for part in expected.DRILLS if part in readings for hole in readings[part].holes]


def _consistent(readings: Mapping[str, Reading], sides: Sequence[Shown]) -> Iterator[ProofItem]:
    """Hold the files against one another."""
    netlist, job = readings["netlist.ipc"], readings["job.gbrjob"]
    masked = {side for side in Side if expected.FILES[LayerKind.MASK, side][0] in readings}
    holes, profile = _holes(readings), readings["profile.gbr"]
    records = len(netlist.probes)
    yield _item("job file and drawings", len(job.job["FilesAttributes"]), [
        *lists.lists(readings), *lists.narrowest(sides, job)])  # fmt: skip
    yield _item("records of the netlist", records, lists.records(netlist, len(sides), masked))
    yield _item("lands and netlist", records, among_files.lands_and_probes(sides, netlist))
    astray = [*among_files.holes_and_probes(holes, netlist), *among_files.overlapping(holes)]
    yield _item("holes and netlist", len(holes), astray)
    for side in Side:
        mask = readings.get(expected.FILES[LayerKind.MASK, side][0])
        if mask:
            lands = _open_lands(sides, side)
            layer = f"mask-{side.value}"
            yield _item(f"{layer} and lands", len(lands), [
                *among_files.openings_and_lands(layer, mask.objects, lands),
                *among_files.joins(layer, mask.objects)])  # fmt: skip
        legend = readings.get(expected.FILES[LayerKind.LEGEND, side][0])
        if legend:
            layer = f"legend-{side.value}"
            openings = mask.objects if mask else ()
            found = among_files.print_faults(layer, legend.objects, openings, profile.objects)
            yield _item(f"{layer} and lands", len(legend.objects), found)
    paste = readings.get("paste-top.gbr")
    if paste:
        lands = [seen for seen in sides[0].objects if seen.function == "SMDPad,CuDef"]
        found = among_files.openings_and_lands("paste-top", paste.objects, lands, every=False)
        yield _item("paste-top and lands", len(lands), found)
    yield _item("edge and lists", 1, lists.edge(profile, netlist, job))
    yield _item("what can be made", len(sides), unmakeable(readings, sides))
    yield _item("holes, edge and copper", len(holes), cut_faults(sides, holes, profile.objects))


def _pins(sides: Sequence[Shown]) -> tuple[SeenPin, ...]:
    """List the lands of parts, each once: a lead's on its first side."""
    found: dict[tuple[str, str], SeenPin] = {}
    for shown in sides:
        for seen in shown.objects:
            if seen.pin and seen.kind == "flash":
                pin = seen.pin
                x, y = seen.place_mm
                found.setdefault(
                    (pin.reference, pin.number),
                    SeenPin(reference=pin.reference, number=pin.number, function=pin.function,
                            x_mm=x, y_mm=y, side=shown.layer.removeprefix("copper-")),
                )  # fmt: skip
    return tuple(found.values())


def _open_lands(sides: Sequence[Shown], side: Side) -> list[Seen]:
    """List the lands that the mask of a side leaves open: its own, and those with a lead."""
    layer = f"copper-{side.value}"
    return [seen for shown in sides if shown.layer == layer for seen in shown.objects
           if seen.function in ("SMDPad,CuDef", "ComponentPad", "TestPad")]  # fmt: skip


def _conduction(readings: Mapping[str, Reading], sides: Sequence[Shown]) -> Iterator[ProofItem]:
    """Trace the nets, walk the current, look at the marks."""
    traced = trace(sides, _holes(readings))
    item = partial(_item, compared=len(traced.group_of_pin))
    yield item("nets", differences=traced.faults)
    arrived, dark = walk(traced)
    yield _item("branches that light", arrived, dark)
    shown: dict[str, Sequence[Seen]] = {
        part.rpartition(".")[0]: reading.objects
        for part, reading in readings.items()
        if part.startswith("legend")
    }
    shown = shown or {side.layer: side.objects for side in sides}
    yield _item("cathode marks", *marks(sides, shown))
    yield _item("signs at the connector", *signs(sides, shown))
