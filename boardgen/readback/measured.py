"""What an order form asks, measured in the files: each answer with the file that it comes from."""

import math
from collections import Counter
from collections.abc import Iterator, Mapping, Sequence

import shapely

from boardgen.model.proof import Measure
from boardgen.model.shapes import Box, Contour, Disc, Stroke
from boardgen.readback.edges import box_nm
from boardgen.readback.expected import DRILLS
from boardgen.readback.images import Pieces, area, pieces
from boardgen.readback.nets import Shown, net_of
from boardgen.readback.objects import Reading, Seen, SeenHole, SeenSlot
from boardgen.units import NM_PER_MM, UM_PER_MM

_UM_PER_OUNCE = 35.0
"""Copper of an ounce to the square foot, as the trade rounds it: common practice, no source."""

WHAT, MATERIAL, SURFACE, SMALLEST, CUT, PAPERS = (
    "What it is", "Material", "Surface", "Smallest features", "Cut and drilled", "Paperwork",
)  # fmt: skip


def measured(readings: Mapping[str, Reading], sides: Sequence[Shown]) -> Iterator[Measure]:
    """Answer an order form's questions from the files of a package that holds."""
    yield from _what(readings, sides)
    yield from _materials(readings)
    yield from _smallest(readings, sides)
    yield from _cut(readings)
    for part, asks in (
        ("paste-top.gbr", "stencil, if you want one"),
        ("netlist.ipc", "test netlist"),
        ("job.gbrjob", "job file"),
    ):
        if part in readings:
            name = readings[part].name
            yield Measure(topic=PAPERS, asks=asks, answer="in the package", file=name)
    impedance = readings["job.gbrjob"].job["GeneralSpecs"]["ImpedanceControlled"]
    yield Measure(topic=PAPERS, asks="impedance control", answer="yes" if impedance else "no",
                  file=readings["job.gbrjob"].name)  # fmt: skip


def _what(readings: Mapping[str, Reading], sides: Sequence[Shown]) -> Iterator[Measure]:
    job = readings["job.gbrjob"]
    specs = job.job["GeneralSpecs"]
    profile = readings["profile.gbr"]
    edges = [seen.shape for seen in profile.objects if isinstance(seen.shape, Contour)]
    lefts, bottoms, rights, tops = zip(*map(box_nm, edges), strict=True)
    left, bottom, right, top = min(lefts), min(bottoms), max(rights), max(tops)
    width, height = (right - left) / NM_PER_MM, (top - bottom) / NM_PER_MM
    coppers = [readings[f"{side.layer}.gbr"].name for side in sides]
    yield Measure(topic=WHAT, asks="size", answer=f"{_mm(width)} x {_mm(height)} mm",
                  file=profile.name)  # fmt: skip
    yield Measure(topic=WHAT, asks="layers of copper", answer=str(len(sides)),
                  file=", ".join(coppers))  # fmt: skip
    yield Measure(topic=WHAT, asks="designs in the file", answer=str(len(_outermost(profile))),
                  file=profile.name)  # fmt: skip
    yield Measure(topic=WHAT, asks="single boards or a panel", answer="single boards",
                  file=profile.name)  # fmt: skip
    yield Measure(topic=WHAT, asks="thickness", answer=f"{specs['BoardThickness']:g} mm",
                  file=job.name)  # fmt: skip


def _materials(readings: Mapping[str, Reading]) -> Iterator[Measure]:
    job = readings["job.gbrjob"]
    stack = job.job["MaterialStackup"]
    by_type = {kind: [row for row in stack if row["Type"] == kind]
               for kind in ("Copper", "Dielectric", "SolderMask", "Legend")}  # fmt: skip
    weights = sorted({row["Thickness"] * UM_PER_MM for row in by_type["Copper"]})
    copper = [f"{weight:g} um ({weight / _UM_PER_OUNCE:.2g} oz)" for weight in weights]
    yield Measure(topic=MATERIAL, asks="base material",
                  answer=", ".join(row["Material"] for row in by_type["Dielectric"]),
                  file=job.name)  # fmt: skip
    yield Measure(topic=MATERIAL, asks="copper", answer=", ".join(copper), file=job.name)
    yield Measure(topic=SURFACE, asks="finish of the lands",
                  answer=job.job["GeneralSpecs"]["Finish"], file=job.name)  # fmt: skip
    for asks, kind, prefix in (("mask", "SolderMask", "mask"), ("legend", "Legend", "legend")):
        colours = sorted({row["Color"] for row in by_type[kind]})
        drawn = [part for part, reading in readings.items()
                 if part.startswith(prefix) and reading.objects]  # fmt: skip
        sides = " and ".join(part.removeprefix(f"{prefix}-").removesuffix(".gbr") for part in drawn)
        yield Measure(topic=SURFACE, asks=f"colour of the {asks}", answer=", ".join(colours) or
                      "none", file=job.name)  # fmt: skip
        files = ", ".join(readings[part].name for part in drawn)
        yield Measure(topic=SURFACE, asks=f"sides with {asks}", answer=sides or "none",
                      file=files or job.name)  # fmt: skip


def _rings(readings: Mapping[str, Reading], sides: Sequence[Shown]) -> list[tuple[float, str]]:
    """Measure the copper around every hole that a land of its own surrounds."""
    sizes = {hole.place: hole.diameter_nm for hole in _holes(readings)}
    return [
        (seen.reach_nm - sizes[seen.place] / 2, side.layer)
        for side in sides
        for seen in side.objects
        if isinstance(seen.shape, Disc | Box) and seen.place in sizes
    ]


def _smallest(readings: Mapping[str, Reading], sides: Sequence[Shown]) -> Iterator[Measure]:
    widths = [(2 * seen.shape.radius_nm, side.layer) for side in sides for seen in side.objects
              if seen.dark and isinstance(seen.shape, Stroke)]  # fmt: skip
    gaps = [(gap, side.layer) for side in sides if (gap := _gap_nm(side)) is not None]
    holes = [(hole.diameter_nm, hole.file) for hole in _holes(readings)]
    for asks, found in (
        ("smallest track", widths),
        ("smallest gap", gaps),
        ("smallest hole, finished", holes),
        ("smallest ring", _rings(readings, sides)),
    ):
        if found:
            least, where = min(found)
            file = next(reading.name for part, reading in readings.items()
                        if part.rpartition(".")[0] == where)  # fmt: skip
            yield Measure(
                topic=SMALLEST, asks=asks, answer=f"{_mm(least / NM_PER_MM)} mm", file=file
            )


def _gap_nm(side: Shown) -> float | None:
    """Measure the smallest gap between pieces of copper of two nets, on the image.

    Chords stand for arcs there, so that it may be two micrometres too small or too large.
    """
    parts = Pieces(pieces(side.image))
    named = {place: net_of(seen) for seen in side.objects if seen.dark
             for place in parts.under(area(seen.shape))}  # fmt: skip
    for reach in _REACHES_NM:
        gaps = [
            shapely.distance(parts.parts[one], parts.parts[other])
            for one, other in parts.pairs_within(reach)
            if named.get(one) != named.get(other)
        ]
        if gaps:
            return float(min(gaps))
    return None


_REACHES_NM = [NM_PER_MM * way for way in (0.12, 0.16, 0.21, 0.26, 0.35, 0.5, 1.0, 2.0, 10.0)]


def _cut(readings: Mapping[str, Reading]) -> Iterator[Measure]:
    job = readings["job.gbrjob"].name
    for part in DRILLS:
        asks = f"{part.removesuffix('.drl')} holes, finished"
        if part not in readings:
            yield Measure(topic=CUT, asks=asks, answer="none", file=job)
            continue
        sizes: dict[int, int] = {}
        for hole in readings[part].holes:
            sizes[hole.diameter_nm] = sizes.get(hole.diameter_nm, 0) + 1
        listed = ", ".join(f"{count} of {_mm(size / NM_PER_MM)} mm"
                           for size, count in sorted(sizes.items()))  # fmt: skip
        yield Measure(topic=CUT, asks=asks, answer=listed or "none", file=readings[part].name)
    files = ", ".join(readings[part].name for part in DRILLS if part in readings)
    profile = readings["profile.gbr"]
    slots = [slot for part in DRILLS if part in readings for slot in readings[part].slots]
    yield Measure(topic=CUT, asks="slots", answer=_slots(slots) or "none",
                  file=readings["unplated.drl"].name if slots else files)  # fmt: skip
    yield Measure(topic=CUT, asks="vias", answer=_vias(readings["netlist.ipc"]),
                  file=readings["netlist.ipc"].name)  # fmt: skip
    yield Measure(topic=CUT, asks="corners", answer=_corners(profile), file=profile.name)
    inside_it = len(profile.objects) - len(_outermost(profile)) + len(slots)
    yield Measure(topic=CUT, asks="cut-outs inside", answer=str(inside_it or "none"),
                  file=profile.name)  # fmt: skip


_COVERED = ("open", "covered by mask on top", "covered by mask below",
            "covered by mask on both sides")  # fmt: skip


def _vias(netlist: Reading) -> str:
    covered = {probe.covered for probe in netlist.probes if probe.reference == "VIA"}
    return ", ".join(_COVERED[side] for side in sorted(covered)) or "none"


def _outermost(profile: Reading) -> list[Seen]:
    """List the outlines that lie in no other: the rest are cut-outs."""
    boxes = [shapely.envelope(area(seen.shape)) for seen in profile.objects]
    return [
        seen
        for seen, box in zip(profile.objects, boxes, strict=True)
        if not any(other.contains_properly(box) for other in boxes)
    ]


def _slots(slots: Sequence[SeenSlot]) -> str:
    """List routed slots by their width and whole length."""
    sizes = Counter(slot.size_mm[::-1] for slot in slots)
    listed = (f"{count} of {_mm(wide)} x {_mm(long)} mm, routed, unplated"
              for (wide, long), count in sorted(sizes.items()))  # fmt: skip
    return ", ".join(listed)


def _corners(profile: Reading) -> str:
    """Tell the radii of the outline's arcs; a board of arcs alone is round."""
    radii, straight = set(), False
    for seen in _outermost(profile):
        at = seen.place
        for edge in seen.shape.edges if isinstance(seen.shape, Contour) else ():
            straight = straight or edge.centre is None
            if edge.centre:
                radii.add(round(math.dist(at, edge.centre) / NM_PER_MM, 3))
            at = edge.end
    if radii and not straight:
        return "none: the board is round"
    if len(radii) > _LISTED:
        return f"rounded, {_mm(min(radii))} to {_mm(max(radii))} mm"
    return f"rounded, {', '.join(map(_mm, sorted(radii)))} mm" if radii else "sharp"


_LISTED = 3
"""Of more radii only the least and the greatest are told."""


def _holes(readings: Mapping[str, Reading]) -> Iterator[SeenHole]:
    for part in DRILLS:
        if part in readings:
            yield from readings[part].holes


def _mm(value: float) -> str:
    return f"{value:.3f}".rstrip("0").rstrip(".")
