"""The list of files: which belong together, what each says of itself."""

import re
from collections.abc import Iterator, Mapping, Sequence

from boardgen.model.artwork import LayerKind
from boardgen.model.board import Side
from boardgen.model.design import Design
from boardgen.model.proof import Difference, Kind
from boardgen.readback import expected
from boardgen.readback.objects import Reading

_FILES = re.compile(rb"%TFFiles,([a-z,-]+)\*%")
KNOWN = (
    *(entry[0] for entry in expected.FILES.values()), *expected.DRILLS, *expected.LISTS
)  # fmt: skip
_LEAST = (
    expected.FILES[LayerKind.COPPER, Side.TOP][0],
    expected.FILES[LayerKind.PROFILE, None][0],
    *expected.LISTS,
)
_SHARED_ATTRIBUTES = {
    ".GenerationSoftware": r"boardgen,boardgen,[^,]+",
    ".CreationDate": r"[0-9]{4}-[0-9][0-9]-[0-9][0-9]T00:00:00\+00:00",
    ".ProjectId": r"[a-z0-9-]{1,40},[0-9a-f]{8}-[0-9a-f]{4}-4[0-9a-f]{3}-[89ab][0-9a-f]{3}"
    r"-[0-9a-f]{12},[^,]+",
    ".SameCoordinates": "",
    ".Part": "Single",
}
"""What all drawings of a package say alike, and in which form."""

_OTHERS = (".FileFunction", ".FilePolarity", ".MD5", "Files")


def wanted(files: Mapping[str, bytes], design: Design | None) -> list[str]:
    """List the parts that ought to be there: of the design, or as the first Gerber file says."""
    if design:
        plated = design.artwork.drilled
        drills = [name for name, way in (("plated.drl", True), ("unplated.drl", False))
                  if way in plated]  # fmt: skip
        return [*(f"{layer.name}.gbr" for layer in design.artwork.layers), *drills, *expected.LISTS]
    for name in sorted(files):
        found = _FILES.search(files[name]) if name.endswith(".gbr") else None
        if found:
            said = found.group(1).decode().split(",")
            listed = [part for part in KNOWN if part.rpartition(".")[0] in said]
            return [*listed, *(part for part in _LEAST if part not in listed)]
    return list(KNOWN)


def sorted_out(
    files: Mapping[str, bytes], parts: Sequence[str]
) -> tuple[dict[str, str], list[Difference]]:
    """Match files to parts by what follows the last underscore of their names.

    Returns
    -------
    tuple of (dict, list of Difference)
        The name of each part's file; what is missing, and what does not belong.
    """
    names: dict[str, str] = {}
    wrong = []
    for name in sorted(files):
        part = name.rpartition("_")[2]
        if part in parts and part not in names:
            names[part] = name
        else:
            shown = name[:_SHOWN].encode("ascii", "backslashreplace").decode()
            wrong.append(_of_list(Kind.FOREIGN_FILE, shown, "does not belong in the package"))
    wrong += [
        _of_list(Kind.MISSING_FILE, part, "is missing") for part in parts if part not in names
    ]
    boards = sorted({name.rpartition("_")[0] for name in names.values()})
    if len(boards) > 1:
        wrong.append(
            Difference(
                kind=Kind.FOREIGN_FILE,
                text=f"files of different boards: {', '.join(boards)}",
                subjects=tuple(boards),
            )
        )
    return names, wrong


_SHOWN = 60


def _of_list(kind: Kind, name: str, said: str) -> Difference:
    return Difference(kind=kind, text=f"{name} {said}", subjects=(name,))


def form(readings: Mapping[str, Reading]) -> Iterator[Difference]:
    """Tell what is wrong with the files' form, with lines and, if it is drawn, places."""
    for part, reading in readings.items():
        for fault in reading.faults:
            yield Difference(
                kind=Kind.FORM,
                text=f"{reading.name} {fault.text}",
                layer=part.rpartition(".")[0],
                place_mm=fault.place_mm,
            )


def attributes(readings: Mapping[str, Reading]) -> Iterator[Difference]:
    """Every drawing must say what it is, and all must say the same of their making."""
    drawn = {part: reading for part, reading in readings.items() if part not in expected.LISTS}
    functions = {
        **{part: ((function,), polarity) for part, function, polarity in expected.FILES.values()},
        **{part: (says, "Positive") for part, says in expected.DRILLS.items()},
    }
    if expected.FILES[LayerKind.COPPER, Side.BOTTOM][0] in readings:
        functions["unplated.drl"] = (
            tuple(says for says in expected.DRILLS["unplated.drl"] if ",1,2," in says),
            "Positive",
        )
    first = next(iter(drawn.values()))
    listed = ",".join(part.rpartition(".")[0] for part in readings)
    for part, reading in drawn.items():
        said = (reading.attributes.get(".FileFunction"), reading.attributes.get(".FilePolarity"))
        if said[0] not in functions[part][0] or said[1] != functions[part][1]:
            wanted_words = f"{' or '.join(functions[part][0])}, {functions[part][1]}"
            yield _says(part, f"says {said[0]}, {said[1]}, not {wanted_words}")
        shared = dict(_SHARED_ATTRIBUTES)
        if part not in expected.DRILLS:
            shared["Files"] = re.escape(listed)
        yield from _shared(part, reading, first, shared)


def _shared(
    part: str, reading: Reading, first: Reading, shared: Mapping[str, str]
) -> Iterator[Difference]:
    for name, pattern in shared.items():
        value = reading.attributes.get(name)
        if value is None:
            yield _says(part, f"lacks {name}")
        elif value != first.attributes.get(name):
            yield _says(part, f"says {name} {value}, unlike {first.name}")
        elif not re.fullmatch(pattern, value):
            yield _says(part, f"says {name} {value}, which boardgen never writes")
    for name in sorted(set(reading.attributes) - {*shared, *_OTHERS}):
        yield _says(part, f"says {name}, which boardgen never writes")


def _says(part: str, text: str) -> Difference:
    layer = part.rpartition(".")[0]
    return Difference(kind=Kind.ATTRIBUTE, text=text, layer=layer)
