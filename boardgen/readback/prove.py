"""The proof: every comparison of written files with a design, or of the files with themselves."""

import re
from collections import Counter
from collections.abc import Mapping, Sequence
from functools import partial

from shapely.geometry.base import BaseGeometry

from boardgen.model.artwork import LayerKind
from boardgen.model.board import Side
from boardgen.model.design import Design
from boardgen.model.proof import Proof, ProofItem
from boardgen.model.shapes import Disc
from boardgen.readback import expected
from boardgen.readback.drill import read_drill
from boardgen.readback.gerber import read_gerber
from boardgen.readback.images import barrel, centre_mm, differs, image, inside, pieces
from boardgen.readback.nets import marks, trace, walk
from boardgen.readback.seen import Reading, Seen, SeenHole

_SHRINK_NM = 3_000.0
_SHARED_ATTRIBUTES = {
    ".GenerationSoftware": r"boardgen,boardgen,[^,]+",
    ".CreationDate": r"\d{4}-\d\d-\d\dT00:00:00\+00:00",
    ".ProjectId": r"[a-z0-9-]{1,40},[0-9a-f]{8}-[0-9a-f]{4}-4[0-9a-f]{3}-[89ab][0-9a-f]{3}"
    r"-[0-9a-f]{12},[^,]+",
    ".SameCoordinates": "",
    ".Part": "Single",
}
"""What all files of a package say alike, and in which form."""

_DRILLED_LANDS = ("ComponentPad", "ViaPad")
_LEAST_RING_NM = 50_000
"""IPC-2221 external ring as recorded on the reference page 5.6: 0.05 mm; no house asks for less."""
_MOST_TOLD = 20


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
        One item for each comparison made.
    """
    names, missing, foreign = _names(files, _wanted(files, design))
    items = [ProofItem(title="list of files", compared=len(files),
                       differences=(*missing, *foreign))]  # fmt: skip
    if missing:
        return Proof(items=tuple(items))
    readings = {part: _read(part, names[part], files[names[part]])
                for part in _KNOWN if part in names}  # fmt: skip
    items += [_form(readings), _attributes(readings)]
    if any(reading.faults for reading in readings.values()):
        return Proof(items=tuple(items))
    if design:
        items += _against_design(readings, design)
    items += _conduction(readings, design)
    return Proof(items=tuple(items))


_FILES = re.compile(rb"%TFFiles,([a-z,-]+)\*%")
_KNOWN = (*(entry[0] for entry in expected.FILES.values()), *expected.DRILLS)
_LEAST = (expected.FILES[LayerKind.COPPER, Side.TOP][0], expected.FILES[LayerKind.PROFILE, None][0])


def _wanted(files: Mapping[str, bytes], design: Design | None) -> list[str]:
    """List the parts that ought to be there: of the design, or as the first Gerber file says."""
    if design:
        plated = {hole.plated for hole in design.artwork.holes}
        drills = [name for name, way in (("plated.drl", True), ("unplated.drl", False))
                  if way in plated]  # fmt: skip
        return [f"{layer.name}.gbr" for layer in design.artwork.layers] + drills
    for name in sorted(files):
        found = _FILES.search(files[name]) if name.endswith(".gbr") else None
        if found:
            said = found.group(1).decode().split(",")
            listed = [part for part in _KNOWN if part.rpartition(".")[0] in said]
            return [*listed, *(part for part in _LEAST if part not in listed)]
    return list(_KNOWN)


def _names(
    files: Mapping[str, bytes], wanted: Sequence[str]
) -> tuple[dict[str, str], list[str], list[str]]:
    """Match files to layers by what follows the last underscore of their names."""
    names: dict[str, str] = {}
    foreign = []
    for name in sorted(files):
        part = name.rpartition("_")[2]
        if part in wanted and part not in names:
            names[part] = name
        else:
            foreign.append(f"{name} does not belong in the package")
    missing = [f"{part} is missing" for part in wanted if part not in names]
    boards = {name.rpartition("_")[0] for name in names.values()}
    if len(boards) > 1:
        foreign.append(f"files of different boards: {', '.join(sorted(boards))}")
    return names, missing, foreign


def _read(part: str, name: str, content: bytes) -> Reading:
    return read_drill(name, content) if part in expected.DRILLS else read_gerber(name, content)


def _form(readings: Mapping[str, Reading]) -> ProofItem:
    return ProofItem(
        title="form of the files",
        compared=len(readings),
        differences=tuple(
            f"{reading.name} {fault}" for reading in readings.values() for fault in reading.faults
        ),
    )


def _attributes(readings: Mapping[str, Reading]) -> ProofItem:
    """Every file must say what it is, and all must say the same of their making."""
    wrong = []
    functions = {
        **{part: ((function,), polarity) for part, function, polarity in expected.FILES.values()},
        **{part: (says, "Positive") for part, says in expected.DRILLS.items()},
    }
    if expected.FILES[LayerKind.COPPER, Side.BOTTOM][0] in readings:
        functions["unplated.drl"] = (expected.DRILLS["unplated.drl"][:1], "Positive")
    first = next(iter(readings.values()))
    for part, reading in readings.items():
        said = (reading.attributes.get(".FileFunction"), reading.attributes.get(".FilePolarity"))
        if said[0] not in functions[part][0] or said[1] != functions[part][1]:
            wrong.append(f"{reading.name} says {said}, not {functions[part]}")
        shared = dict(_SHARED_ATTRIBUTES)
        if part not in expected.DRILLS:
            shared["Files"] = re.escape(",".join(part.rpartition(".")[0] for part in readings))
        for name, form in shared.items():
            value = reading.attributes.get(name)
            if value is None:
                wrong.append(f"{reading.name} lacks {name}")
            elif value != first.attributes.get(name):
                wrong.append(f"{reading.name} says {name} {value}, unlike {first.name}")
            elif not re.fullmatch(form, value):
                wrong.append(f"{reading.name} says {name} {value}, which boardgen never writes")
    return ProofItem(title="attributes", compared=len(readings), differences=tuple(wrong))


def _against_design(readings: Mapping[str, Reading], design: Design) -> list[ProofItem]:
    items = []
    for layer in design.artwork.layers:
        objects = readings[f"{layer.name}.gbr"].objects
        if layer.kind is LayerKind.COPPER:
            pour, board = expected.pour(layer), expected.board_copper(design.board, layer)
            items += [
                _in_order(f"{layer.name}, pour", pour, objects[: len(pour)]),
                _alike(f"{layer.name}, lands and tracks", board, objects[len(pour) :]),
                _images(f"{layer.name}, image", [*pour, *board], objects),
            ]
        else:
            items.append(_in_order(layer.name, expected.drawn(layer), objects))
    two_sides = len(design.artwork.coppers()) > 1
    wanted = expected.holes(design.board, two_sides=two_sides)
    items.append(_alike("holes", wanted, _holes(readings)))
    items.append(_project(readings, design))
    return items


def _alike(
    title: str, wanted: Sequence[Seen | SeenHole], found: Sequence[Seen | SeenHole]
) -> ProofItem:
    """Compare two sets one to one, whatever their order."""
    surplus = Counter(found) - Counter(wanted)
    lacking = Counter(wanted) - Counter(found)
    texts = [f"missing: {entry}" for entry in lacking.elements()]
    texts += [f"not designed: {entry}" for entry in surplus.elements()]
    return ProofItem(title=title, compared=len(wanted), differences=_told(texts))


def _in_order(title: str, wanted: Sequence[Seen], found: Sequence[Seen]) -> ProofItem:
    """Compare one to one and in drawing order, which polarity makes matter."""
    item = _alike(title, wanted, found)
    if item.holds and list(wanted) != list(found):
        place = next(n for n, pair in enumerate(zip(wanted, found, strict=True))
                     if pair[0] != pair[1])  # fmt: skip
        return ProofItem(
            title=title,
            compared=len(wanted),
            differences=(f"drawn in another order from object {place + 1}: {found[place]}",),
        )
    return item


def _images(title: str, wanted: Sequence[Seen], found: Sequence[Seen]) -> ProofItem:
    apart = differs(image(wanted), image(found), _SHRINK_NM)
    return ProofItem(
        title=title,
        compared=len(found),
        differences=_told([f"copper differs at {centre_mm(piece)}" for piece in apart]),
    )


def _project(readings: Mapping[str, Reading], design: Design) -> ProofItem:
    wrong = []
    for reading in readings.values():
        project = reading.attributes.get(".ProjectId", "").split(",")
        name, revision = design.parameters.name, design.parameters.board.revision
        if reading.name.rpartition("_")[0] != name:
            wrong.append(f"{reading.name} is named after another board than {name}")
        if [project[0], project[-1]] != [name, revision]:
            wrong.append(f"{reading.name} is of {project[0]} {project[-1]}, not {name} {revision}")
        day = reading.attributes.get(".CreationDate", "")
        if not day.startswith(design.parameters.date):
            wrong.append(f"{reading.name} is of {day}, not of {design.parameters.date}")
    return ProofItem(title="project", compared=len(readings), differences=tuple(wrong))


def _conduction(readings: Mapping[str, Reading], design: Design | None) -> list[ProofItem]:
    coppers = (expected.FILES[LayerKind.COPPER, side][0] for side in Side)
    parts = [part for part in coppers if part in readings]
    sides = [(readings[part].objects, image(readings[part].objects)) for part in parts]
    holes = _holes(readings)
    traced = trace(sides, holes)
    item = partial(ProofItem, compared=len(traced.group_of_pin))
    found = [item(title="nets", differences=_told(traced.faults))]
    profile = readings[expected.FILES[LayerKind.PROFILE, None][0]].objects
    found.append(_cut(sides, holes, profile))
    if design:
        found.append(item(title="pins", differences=_told(_pins(readings, design, parts))))
    arrived, dark = walk(traced)
    found.append(ProofItem(title="branches that light", compared=arrived, differences=_told(dark)))
    legend = readings.get(expected.FILES[LayerKind.LEGEND, Side.TOP][0])
    shown = [seen for objects, _ in sides for seen in objects]
    looked, wrong = marks(shown, legend.objects if legend else shown)
    found.append(ProofItem(title="cathode marks", compared=looked, differences=_told(wrong)))
    return found


def _holes(readings: Mapping[str, Reading]) -> list[SeenHole]:
    return [hole for part in expected.DRILLS if part in readings for hole in readings[part].holes]


def _cut(
    sides: Sequence[tuple[Sequence[Seen], BaseGeometry]],
    holes: Sequence[SeenHole],
    profile: Sequence[Seen],
) -> ProofItem:
    """Hold what is drilled and cut against the copper, whatever the design says."""
    texts = []
    two_sides = len(sides) > 1
    if not two_sides and any(hole.plated for hole in holes):
        texts.append("plated holes, but one copper side")
    drilled: Counter[tuple[int, int]] = Counter(
        (hole.x_nm, hole.y_nm) for hole in holes if hole.plated
    )
    if not two_sides:
        # Leads of one copper side go through unplated holes: those that a land surrounds.
        rings = {seen.shape.centre for seen in sides[0][0]
                 if seen.function in _DRILLED_LANDS and isinstance(seen.shape, Disc)}  # fmt: skip
        drilled.update(place for hole in holes if (place := (hole.x_nm, hole.y_nm)) in rings)
    for objects, _ in sides:
        lands: Counter[tuple[int, int]] = Counter(
            seen.shape.centre
            for seen in objects
            if seen.function in _DRILLED_LANDS and isinstance(seen.shape, Disc)
        )
        texts += [f"no hole in the land at {_at(place)}" for place in lands - drilled]
        texts += _thin_rings(objects, holes)
        texts += [f"no land around the plated hole at {_at(place)}" for place in drilled - lands]
    for hole in holes:
        if hole.plated or (hole.x_nm, hole.y_nm) in drilled:
            continue
        if any(shown.intersects(barrel(hole)) for _, shown in sides):
            texts.append(f"{hole} cuts into copper")
    board = inside(profile)
    texts += [
        f"copper reaches the edge or beyond at {centre_mm(piece)}"
        for _, shown in sides
        for piece in pieces(shown.difference(board))
    ]
    texts += [f"{hole} lies over the edge" for hole in holes if not board.contains(barrel(hole))]
    return ProofItem(title="holes, edge and copper", compared=len(holes), differences=_told(texts))


def _thin_rings(objects: Sequence[Seen], holes: Sequence[SeenHole]) -> list[str]:
    """Find holes that leave nothing of the land around them, or nearly so."""
    sizes = {(hole.x_nm, hole.y_nm): hole.diameter_nm for hole in holes}
    return [
        f"the hole at {_at(seen.shape.centre)} leaves no ring of its land"
        for seen in objects
        if seen.function in _DRILLED_LANDS
        and isinstance(seen.shape, Disc)
        and sizes.get(seen.shape.centre, 0) > 2 * (seen.shape.radius_nm - _LEAST_RING_NM)
    ]


def _at(place: tuple[int, int]) -> str:
    return f"({place[0] / 1e6:.4f}, {place[1] / 1e6:.4f}) mm"


def _pins(readings: Mapping[str, Reading], design: Design, parts: Sequence[str]) -> list[str]:
    """Hold the net of every pin, as the copper files name it, against the circuit."""
    wanted = expected.pins(design.board)
    named = {
        (seen.pin.reference, seen.pin.number): seen.net
        for part in parts
        for seen in readings[part].objects
        if seen.pin
    }
    texts = [
        f"{ref}.{number} is on {named.get((ref, number), 'no net')}, not on {net}"
        for (ref, number), net in wanted.items()
        if named.get((ref, number)) != net
    ]
    return texts + [f"{ref}.{number} is no pin" for ref, number in named if (ref, number) not in
                    wanted]  # fmt: skip


def _told(texts: Sequence[str]) -> tuple[str, ...]:
    if len(texts) <= _MOST_TOLD:
        return tuple(texts)
    return (*texts[:_MOST_TOLD], f"and {len(texts) - _MOST_TOLD} more")
