"""The catalogue of damages: what is done to a good package, and what it must be called.

Each is done at a random object and must be named by kind, layer, part or net, and place.

`alone`: must be found from the zip alone; the others say something else without contradicting
themselves, and only `--against` can tell. Our own list, from what board houses hold orders for and
from what a file can suffer; no published catalogue is known to us.
"""

import json
import re
from collections.abc import Callable
from dataclasses import dataclass
from random import Random

import shapely
from shapely import LineString, Point, box
from shapely.geometry.base import BaseGeometry

from boardgen.model.proof import Kind
from boardgen.readback.gerber import read_gerber
from boardgen.readback.images import area
from tests.readback import editing
from tests.readback.editing import Files, Item

NEAR_MM = 0.05


@dataclass(frozen=True)
class Named:
    """What has to be named: one of the kinds, the layer, a subject, a place."""

    kinds: tuple[Kind, ...]
    layer: str = ""
    subject: str = ""
    near: BaseGeometry | None = None
    job_is_right: bool = True
    """Whether the job file is made to agree with what was done to the others."""


@dataclass(frozen=True)
class Damage:
    """A damage, whether the zip alone betrays it, and how it is done."""

    name: str
    alone: bool
    do: Callable[[Files, Random], tuple[Files, Named]]


DAMAGES: list[Damage] = []


def damage(*, alone: bool) -> Callable[[Callable[[Files, Random], tuple[Files, Named]]], object]:
    """Put a function into the catalogue."""

    def put(do: Callable[[Files, Random], tuple[Files, Named]]) -> object:
        DAMAGES.append(Damage(do.__name__.replace("_", " "), alone, do))
        return do

    return put


def name_of(files: Files, part: str) -> str:
    return next(name for name in files if name.rpartition("_")[2] == part)


def text_of(files: Files, part: str) -> str:
    return files[name_of(files, part)].decode()


def put(files: Files, part: str, text: str) -> Files:
    return {**files, name_of(files, part): text.encode("utf-8", "surrogateescape")}


def _mm(points: list[tuple[int, int]]) -> BaseGeometry:
    spots = [(x / 1e6, y / 1e6) for x, y in points]
    return Point(spots[0]) if len(spots) == 1 else LineString(spots)


def _around(text: str, item: Item) -> BaseGeometry:
    """Where an object is: its flash, line or contour, as far as its pen reaches."""
    reach = 0.0
    if item.kind != "contour":
        reach = max(editing.template_of(text, item)[1]) / 2
    shape = _mm(editing.points(text, item))
    return (shape.convex_hull if item.kind == "contour" else shape).buffer(reach)


def _pick(files: Files, chance: Random, part: str, **wanted: object) -> tuple[str, Item]:
    """Choose an object of a layer by what it is."""
    text = text_of(files, part)
    found = [item for item in editing.items(text)
             if all(getattr(item, key) == value for key, value in wanted.items())]  # fmt: skip
    return text, chance.choice(found)


def _any_copper(files: Files, chance: Random) -> str:
    return chance.choice([p for p in ("copper-top.gbr", "copper-bottom.gbr")
                          if any(name.endswith(p) for name in files)])  # fmt: skip


def _step(chance: Random, least: int = 100_000, most: int = 300_000) -> tuple[int, int]:
    return (chance.choice((-1, 1)) * chance.randint(least, most),
            chance.choice((-1, 1)) * chance.randint(least, most))  # fmt: skip


def _layer(part: str) -> str:
    return part.rpartition(".")[0]


# -- files -----------------------------------------------------------------------------------------


@damage(alone=True)
def a_file_is_missing(files: Files, chance: Random) -> tuple[Files, Named]:
    gone = chance.choice(sorted(files))
    part = gone.rpartition("_")[2]
    kept = {name: content for name, content in files.items() if name != gone}
    return kept, Named((Kind.MISSING_FILE,), subject=part)


@damage(alone=False)
def a_file_is_missing_and_no_list_names_it(files: Files, chance: Random) -> tuple[Files, Named]:
    part = chance.choice(["legend-bottom.gbr", "paste-top.gbr"])
    gone = name_of(files, part)
    kept = {
        name: re.sub(rb"(%TFFiles,[^*]*?),?" + _layer(part).encode(), rb"\1", content)
        for name, content in files.items()
        if name != gone
    }
    return kept, Named((Kind.MISSING_FILE,), subject=part)


@damage(alone=True)
def two_files_have_changed_names(files: Files, chance: Random) -> tuple[Files, Named]:
    one, other = chance.sample([name for name in sorted(files) if name.endswith(".gbr")], 2)
    part = one.rpartition("_")[2]
    swapped = {**files, one: files[other], other: files[one]}
    return swapped, Named((Kind.ATTRIBUTE,), layer=_layer(part))


@damage(alone=True)
def two_layers_have_changed_places(files: Files, chance: Random) -> tuple[Files, Named]:
    """Draw on one side what belongs on the other; every word says that it is right."""
    kind = chance.choice(["copper", "mask", "legend"])
    parts = (f"{kind}-top.gbr", f"{kind}-bottom.gbr")
    texts = [text_of(files, part) for part in parts]
    heads = [text.index("%TFFiles") for text in texts]
    made = put(files, parts[0], texts[0][: heads[0]] + texts[1][heads[1] :])
    made = put(made, parts[1], texts[1][: heads[1]] + texts[0][heads[0] :])
    kinds = (Kind.MISSING, Kind.MOVED, Kind.RESIZED, Kind.MARK, Kind.ADDED)
    return made, Named(kinds, layer=_layer(chance.choice(parts)) if kind == "copper" else "")


@damage(alone=True)
def a_file_is_empty(files: Files, chance: Random) -> tuple[Files, Named]:
    name = chance.choice(sorted(files))
    layer = _layer(name.rpartition("_")[2])
    return {**files, name: b""}, Named((Kind.FORM,), layer=layer)


_STATE = r"%TO.*|D\d+\*|%TD.*|%LP.*|G0[123]\*"


@damage(alone=True)
def a_file_shows_nothing(files: Files, chance: Random) -> tuple[Files, Named]:
    """Leave a sound frame, and nothing in it."""
    part = chance.choice(["copper-bottom.gbr", "mask-top.gbr", "mask-bottom.gbr", "legend-top.gbr",
                          "legend-bottom.gbr", "paste-top.gbr", "profile.gbr"])  # fmt: skip
    text = text_of(files, part)
    lines = editing.without(text, *editing.items(text)).split("\n")
    start = lines.index("%LPD*%") + 1
    kept = [line for line in lines[start:] if not re.fullmatch(_STATE, line)]
    text = "\n".join([*lines[:start], *kept])
    return put(files, part, text), Named((Kind.MISSING, Kind.MARK), layer=_layer(part))


@damage(alone=True)
def a_file_is_mirrored(files: Files, chance: Random) -> tuple[Files, Named]:
    part = chance.choice(["copper-top.gbr", "mask-top.gbr", "mask-bottom.gbr", "legend-top.gbr",
                          "legend-bottom.gbr", "paste-top.gbr"])  # fmt: skip
    width = max(x for item in editing.items(text_of(files, "profile.gbr"))
                for x, _ in editing.points(text_of(files, "profile.gbr"), item))  # fmt: skip
    text = editing.mirrored(text_of(files, part), width)
    return put(files, part, text), Named((Kind.MOVED, Kind.MISSING, Kind.MARK), layer=_layer(part))


@damage(alone=True)
def a_file_is_shifted(files: Files, chance: Random) -> tuple[Files, Named]:
    part = chance.choice(["copper-top.gbr", "copper-bottom.gbr", "mask-top.gbr", "mask-bottom.gbr",
                          "paste-top.gbr", "profile.gbr"])  # fmt: skip
    text = editing.shifted(text_of(files, part), *chance.choice([(100_000, 0), (0, -100_000)]))
    return put(files, part, text), Named((Kind.MOVED, Kind.MISSING), layer=_layer(part))


@damage(alone=False)
def a_legend_is_shifted(files: Files, chance: Random) -> tuple[Files, Named]:
    part = chance.choice(["legend-top.gbr", "legend-bottom.gbr"])
    text = editing.shifted(text_of(files, part), *chance.choice([(100_000, 0), (0, -100_000)]))
    return put(files, part, text), Named((Kind.MOVED,), layer=_layer(part))


@damage(alone=True)
def a_file_is_scaled(files: Files, chance: Random) -> tuple[Files, Named]:
    """Inches read as millimetres, or the other way."""
    part = chance.choice(["copper-top.gbr", "mask-top.gbr", "legend-top.gbr", "paste-top.gbr",
                          "profile.gbr"])  # fmt: skip
    text = editing.scaled(text_of(files, part), chance.choice([25.4, 1 / 25.4]))
    kinds = (Kind.MOVED, Kind.MISSING, Kind.MARK, Kind.RESIZED, Kind.FORM)
    return put(files, part, text), Named(kinds, layer=_layer(part))


@damage(alone=True)
def drills_are_shifted(files: Files, chance: Random) -> tuple[Files, Named]:
    part = chance.choice(["plated.drl", "unplated.drl"])
    text = text_of(files, part)
    holes = [(x + 100_000, y, function, size) for x, y, function, size in editing.drilled(text)]
    return put(files, part, editing.drill_text(text, holes)), Named(
        (Kind.MOVED,), layer=_layer(part)
    )


@damage(alone=True)
def a_foreign_file_is_there(files: Files, chance: Random) -> tuple[Files, Named]:
    name = chance.choice(["readme.txt", "old_copper-top.gbr", "bar_inner.gbr", "x" * 200])
    return {**files, name: b"hello"}, Named((Kind.FOREIGN_FILE,), subject=name[:60])


# -- copper ----------------------------------------------------------------------------------------

_SURFACE = "SMDPad,CuDef"


@damage(alone=True)
def a_land_is_deleted(files: Files, chance: Random) -> tuple[Files, Named]:
    text, item = _pick(files, chance, "copper-top.gbr", function=_SURFACE)
    return put(files, "copper-top.gbr", editing.without(text, item)), Named(
        (Kind.MISSING,), "copper-top", item.pin, _around(text, item)
    )


@damage(alone=True)
def a_land_is_moved(files: Files, chance: Random) -> tuple[Files, Named]:
    text, item = _pick(files, chance, "copper-top.gbr", function=_SURFACE)
    dx, dy = _step(chance)
    text = editing.with_points(text, item, lambda x, y: (x + dx, y + dy))
    return put(files, "copper-top.gbr", text), Named(
        (Kind.MOVED,), "copper-top", item.pin, _around(text, item)
    )


@damage(alone=True)
def a_land_is_doubled(files: Files, chance: Random) -> tuple[Files, Named]:
    part = _any_copper(files, chance)
    function = _SURFACE if part == "copper-top.gbr" else "ComponentPad"
    text, item = _pick(files, chance, part, function=function)
    return put(files, part, editing.repeated(text, item)), Named(
        (Kind.DOUBLED,), _layer(part), item.pin, _around(text, item)
    )


@damage(alone=True)
def a_land_is_resized(files: Files, chance: Random) -> tuple[Files, Named]:
    text, item = _pick(files, chance, "copper-top.gbr", function=_SURFACE)
    text = editing.grown(text, item, chance.choice((-0.1, 0.1, 0.05)))
    return put(files, "copper-top.gbr", text), Named(
        (Kind.RESIZED,), "copper-top", item.pin, _around(text, editing.items(text)[item.at])
    )


@damage(alone=True)
def a_land_is_turned_by_a_degree(files: Files, chance: Random) -> tuple[Files, Named]:
    text, item = _pick(files, chance, "copper-top.gbr", function=_SURFACE)
    _, (width, height) = editing.template_of(text, item)
    turned = editing.with_aperture(text, item, f"TURNED,{width:.6f}X{height:.6f}X1.0")
    macro = "%AMTURNED*21,1,$1,$2,0,0,$3*%\n"
    first = "%TA.AperFunction"
    return put(files, "copper-top.gbr", turned.replace(first, macro + first, 1)), Named(
        (Kind.RESIZED,), "copper-top", item.pin, _around(text, item)
    )


@damage(alone=True)
def a_land_erases_instead_of_drawing(files: Files, chance: Random) -> tuple[Files, Named]:
    text, item = _pick(files, chance, "copper-top.gbr", function=_SURFACE)
    lines = text.split("\n")
    lines[item.first : item.last + 1] = ["%LPC*%", lines[item.first], "%LPD*%"]
    return put(files, "copper-top.gbr", "\n".join(lines)), Named(
        (Kind.MISSING,), "copper-top", item.pin, _around(text, item)
    )


@damage(alone=True)
def a_via_has_lost_its_land(files: Files, chance: Random) -> tuple[Files, Named]:
    part = _any_copper(files, chance)
    text, item = _pick(files, chance, part, function="ViaPad")
    return put(files, part, editing.without(text, item)), Named(
        (Kind.MISSING,), _layer(part), "VIA", _around(text, item)
    )


def _branch_track(files: Files, chance: Random) -> tuple[str, Item, list[tuple[int, int]]]:
    """Choose a track that alone leads on: from ballast to LED, or between LEDs."""
    text = text_of(files, "copper-top.gbr")
    found = [item for item in editing.items(text)
             if item.kind == "stroke" and item.function == "Conductor" and item.dark
             and item.net.startswith("B")]  # fmt: skip
    item = chance.choice(found)
    return text, item, editing.points(text, item)


@damage(alone=True)
def a_track_is_cut(files: Files, chance: Random) -> tuple[Files, Named]:
    """Leave a gap in the middle of the piece between two lands."""
    text, item, _ = _branch_track(files, chance)
    lands = [other for other in editing.items(text)
             if other.net == item.net and other.function == _SURFACE]  # fmt: skip
    line = _mm(editing.points(text, item))
    free = line.difference(shapely.union_all([_around(text, land).envelope for land in lands]))
    longest = max(shapely.get_parts(free), key=lambda part: part.length)
    middle = longest.interpolate(0.5, normalized=True)
    pen = editing.template_of(text, item)[1][0]
    gap = min(0.1, longest.length / 4) + pen
    kept = line.difference(middle.buffer(gap / 2))
    lines = []
    for part in shapely.get_parts(kept):
        spots = [(round(x * 1e6), round(y * 1e6)) for x, y in part.coords]
        lines.append(f"X{spots[0][0]}Y{spots[0][1]}D02*")
        lines += [f"X{x}Y{y}D01*" for x, y in spots[1:]]
    body = text.split("\n")
    body[item.first : item.last + 1] = lines
    return put(files, "copper-top.gbr", "\n".join(body)), Named(
        (Kind.APART,), "copper-top", item.net, middle.buffer(gap)
    )


@damage(alone=True)
def an_led_stays_dark_without_its_track(files: Files, chance: Random) -> tuple[Files, Named]:
    text, item, _ = _branch_track(files, chance)
    behind = next(other for other in editing.items(text)
                  if other.net == item.net and other.part.startswith("D"))  # fmt: skip
    return put(files, "copper-top.gbr", editing.without(text, item)), Named(
        (Kind.DARK,), subject=behind.part
    )


@damage(alone=True)
def a_track_is_deleted(files: Files, chance: Random) -> tuple[Files, Named]:
    """Alone only the lands that it joined are left to tell the place by."""
    text, item, _ = _branch_track(files, chance)
    joined = [_around(text, one) for one in editing.items(text) if one.net == item.net]
    return put(files, "copper-top.gbr", editing.without(text, item)), Named(
        (Kind.APART, Kind.MISSING), "copper-top", item.net, shapely.union_all(joined).convex_hull
    )


@damage(alone=False)
def a_track_is_narrowed(files: Files, chance: Random) -> tuple[Files, Named]:
    text, item, _ = _branch_track(files, chance)
    pen = editing.template_of(text, item)[1][0]
    text = editing.with_aperture(text, item, f"C,{pen - 0.05:.6f}")
    return put(files, "copper-top.gbr", text), Named(
        (Kind.RESIZED,), "copper-top", item.net, _around(text, editing.items(text)[item.at])
    )


@damage(alone=False)
def a_track_is_moved(files: Files, chance: Random) -> tuple[Files, Named]:
    text, item, _ = _branch_track(files, chance)
    dx, dy = _step(chance, 5_000, 50_000)
    text = editing.with_points(text, item, lambda x, y: (x + dx, y + dy))
    return put(files, "copper-top.gbr", text), Named(
        (Kind.MOVED,), "copper-top", item.net, _around(text, item)
    )


@damage(alone=True)
def a_track_too_much_joins_two_nets(files: Files, chance: Random) -> tuple[Files, Named]:
    text = text_of(files, "copper-top.gbr")
    lands = [item for item in editing.items(text) if item.function == _SURFACE]
    while True:
        one, other = chance.sample(lands, 2)
        if one.net != other.net:
            break
    ends = [editing.points(text, item)[0] for item in (one, other)]
    lines = [f"%TO.N,{one.net}*%", f"D{_some_pen(text)}*", f"X{ends[0][0]}Y{ends[0][1]}D02*",
             f"X{ends[1][0]}Y{ends[1][1]}D01*", "%TD*%"]  # fmt: skip
    body = text.split("\n")
    end = next(at for at, line in enumerate(body) if line.startswith("%TF.MD5"))
    made = "\n".join([*body[:end], *lines, *body[end:]])
    return put(files, "copper-top.gbr", made), Named(
        (Kind.JOINED,), "copper-top", other.net, _mm(ends).buffer(0.5)
    )


def _some_pen(text: str) -> str:
    return next(item.aperture for item in editing.items(text)
                if item.kind == "stroke" and item.function == "Conductor")  # fmt: skip


@damage(alone=True)
def a_clearance_is_dropped_so_that_nets_touch(files: Files, chance: Random) -> tuple[Files, Named]:
    part = _any_copper(files, chance)
    text = text_of(files, part)
    listed = editing.items(text)
    seen = read_gerber("x", files[name_of(files, part)]).objects
    shapes = [area(one.shape) for one in seen]
    pour = seen[0].net
    foreign = shapely.union_all([shape for one, shape in zip(seen, shapes, strict=True)
                                 if one.dark and one.net != pour])  # fmt: skip
    clear = [at for at, one in enumerate(seen) if not one.dark]
    touching = []
    for at in clear:
        rest = shapely.union_all([shapes[other] for other in clear if other != at])
        freed = shapes[at].difference(rest).intersection(foreign)
        if freed.area > 1e9:
            touching.append((at, freed))
    at, freed = chance.choice(touching)
    near = shapely.transform(foreign.intersection(shapes[at]), lambda spots: spots / 1e6)
    return put(files, part, editing.without(text, listed[at])), Named(
        (Kind.JOINED,), _layer(part), pour, near
    )


def _bridged(files: Files, chance: Random, letter: str) -> tuple[Files, str]:
    """Draw copper from one land of a part to its other."""
    text = text_of(files, "copper-top.gbr")
    lands = [item for item in editing.items(text) if item.function == _SURFACE]
    part = chance.choice(sorted({item.part for item in lands if item.part.startswith(letter)}))
    one, other = (editing.points(text, item)[0] for item in lands if item.part == part)
    net = next(item.net for item in lands if item.part == part)
    lines = [f"%TO.N,{net}*%", f"D{_some_pen(text)}*", f"X{one[0]}Y{one[1]}D02*",
             f"X{other[0]}Y{other[1]}D01*", "%TD*%"]  # fmt: skip
    body = text.split("\n")
    end = next(at for at, line in enumerate(body) if line.startswith("%TF.MD5"))
    return put(files, "copper-top.gbr", "\n".join([*body[:end], *lines, *body[end:]])), part


@damage(alone=True)
def copper_bypasses_an_led(files: Files, chance: Random) -> tuple[Files, Named]:
    made, part = _bridged(files, chance, "D")
    return made, Named((Kind.BYPASSED,), subject=part)


@damage(alone=True)
def copper_bypasses_a_ballast(files: Files, chance: Random) -> tuple[Files, Named]:
    made, part = _bridged(files, chance, "R")
    return made, Named((Kind.BYPASSED,), subject=part)


def _spokes(
    text: str, seen: Random, lands_of: tuple[str, ...] = (_SURFACE, "ComponentPad")
) -> tuple[Item, list[Item]]:
    """Choose a land with spokes in the pour, and list them: dark strokes after what is clear."""
    listed = editing.items(text)
    last_clear = max(item.at for item in listed if not item.dark)
    lands = [item for item in listed if item.function in lands_of]
    choices = []
    for land in lands:
        centre = editing.points(text, land)[0]
        found = [item for item in listed if item.at > last_clear and item.kind == "stroke"
                 and item.net == land.net and centre in editing.points(text, item)
                 and item.at < lands[0].at and _is_spoke(item, listed)]  # fmt: skip
        if found:
            choices.append((land, found))
    return seen.choice(choices)


def _is_spoke(item: Item, listed: list[Item]) -> bool:
    """Spokes are drawn before all tracks, right after what is clear."""
    first_track = next(other.at for other in listed if other.dark and other.net != listed[0].net)
    return item.at < first_track


@damage(alone=False)
def a_spoke_is_cut(files: Files, chance: Random) -> tuple[Files, Named]:
    part = _any_copper(files, chance)
    text = text_of(files, part)
    _, found = _spokes(text, chance)
    spoke = chance.choice(found)
    return put(files, part, editing.without(text, spoke)), Named(
        (Kind.MISSING,), _layer(part), "0V", _around(text, spoke)
    )


@damage(alone=True)
def a_land_has_lost_all_its_spokes(files: Files, chance: Random) -> tuple[Files, Named]:
    text = text_of(files, "copper-top.gbr")
    land, found = _spokes(text, chance, (_SURFACE,))
    return put(files, "copper-top.gbr", editing.without(text, *found)), Named(
        (Kind.APART,), "copper-top", land.pin, _around(text, land).buffer(0.6)
    )


@damage(alone=True)
def the_pour_is_drawn_in_another_order(files: Files, chance: Random) -> tuple[Files, Named]:
    """Draw a spoke before its clearance: every object is there, but the spoke is erased."""
    part = _any_copper(files, chance)
    text = text_of(files, part)
    _, found = _spokes(text, chance)
    spoke = chance.choice(found)
    listed = editing.items(text)
    lines = text.split("\n")
    inner = lines[spoke.first : spoke.last + 1]
    del lines[spoke.first : spoke.last + 1]
    after = listed[0].last
    lines[after + 1 : after + 1] = [f"D{spoke.aperture}*", *inner]
    return put(files, part, "\n".join(lines)), Named((Kind.ORDER, Kind.IMAGE), _layer(part))


# -- holes -----------------------------------------------------------------------------------------


def _hole(files: Files, chance: Random, part: str = "") -> tuple[str, str, list, int]:  # type: ignore[type-arg]
    part = part or chance.choice(["plated.drl", "unplated.drl"])
    text = text_of(files, part)
    holes = editing.drilled(text)
    return part, text, holes, chance.randrange(len(holes))


def _spot(hole: tuple[int, int, str, int]) -> BaseGeometry:
    return Point(hole[0] / 1e6, hole[1] / 1e6)


@damage(alone=True)
def a_hole_is_missing(files: Files, chance: Random) -> tuple[Files, Named]:
    part, text, holes, at = _hole(files, chance)
    kept = [hole for place, hole in enumerate(holes) if place != at]
    return put(files, part, editing.drill_text(text, kept)), Named(
        (Kind.MISSING,), _layer(part), "", _spot(holes[at])
    )


@damage(alone=True)
def a_hole_is_moved(files: Files, chance: Random) -> tuple[Files, Named]:
    part, text, holes, at = _hole(files, chance)
    dx, dy = _step(chance)
    holes[at] = (holes[at][0] + dx, holes[at][1] + dy, *holes[at][2:])
    return put(files, part, editing.drill_text(text, holes)), Named(
        (Kind.MOVED,), _layer(part), "", _spot(holes[at])
    )


@damage(alone=True)
def a_hole_is_resized(files: Files, chance: Random) -> tuple[Files, Named]:
    part, text, holes, at = _hole(files, chance)
    x, y, function, size = holes[at]
    holes[at] = (x, y, function, size + chance.choice((-50_000, 50_000)))
    return put(files, part, editing.drill_text(text, holes)), Named(
        (Kind.RESIZED,), _layer(part), "", _spot(holes[at])
    )


@damage(alone=True)
def a_hole_has_changed_its_plating(files: Files, chance: Random) -> tuple[Files, Named]:
    part, text, holes, at = _hole(files, chance)
    other = "unplated.drl" if part == "plated.drl" else "plated.drl"
    x, y, _, size = holes.pop(at)
    there = text_of(files, other)
    function = "MechanicalDrill" if other == "unplated.drl" else "ComponentDrill"
    made = put(files, part, editing.drill_text(text, holes))
    made = put(
        made, other, editing.drill_text(there, [*editing.drilled(there), (x, y, function, size)])
    )
    return made, Named((Kind.PLATING,), _layer(other), "", Point(x / 1e6, y / 1e6))


@damage(alone=True)
def a_hole_is_drilled_twice(files: Files, chance: Random) -> tuple[Files, Named]:
    part, text, holes, at = _hole(files, chance)
    return put(files, part, editing.drill_text(text, [*holes, holes[at]])), Named(
        (Kind.DOUBLED,), _layer(part), "", _spot(holes[at])
    )


@damage(alone=True)
def a_hole_too_much_cuts_a_land(files: Files, chance: Random) -> tuple[Files, Named]:
    copper, land = _pick(files, chance, "copper-top.gbr", function=_SURFACE)
    part, text, holes, at = _hole(files, chance, "unplated.drl")
    x, y = editing.points(copper, land)[0]
    holes.append((x, y, *holes[at][2:]))
    return put(files, part, editing.drill_text(text, holes)), Named(
        (Kind.ADDED, Kind.HOLE), _layer(part), "", Point(x / 1e6, y / 1e6)
    )


# -- mask, paste, outline --------------------------------------------------------------------------


def _opening(files: Files, chance: Random, part: str = "") -> tuple[str, str, Item]:
    part = part or chance.choice(["mask-top.gbr", "mask-bottom.gbr"])
    text, item = _pick(files, chance, part, kind="flash")
    return part, text, item


@damage(alone=True)
def a_mask_opening_is_missing(files: Files, chance: Random) -> tuple[Files, Named]:
    part, text, item = _opening(files, chance)
    return put(files, part, editing.without(text, item)), Named(
        (Kind.MISSING,), _layer(part), item.part, _around(text, item)
    )


@damage(alone=True)
def a_mask_opening_is_moved(files: Files, chance: Random) -> tuple[Files, Named]:
    part, text, item = _opening(files, chance)
    dx, dy = _step(chance)
    text = editing.with_points(text, item, lambda x, y: (x + dx, y + dy))
    return put(files, part, text), Named(
        (Kind.MOVED,), _layer(part), item.part, _around(text, item)
    )


@damage(alone=True)
def a_mask_opening_is_resized(files: Files, chance: Random) -> tuple[Files, Named]:
    part, text, item = _opening(files, chance, "mask-top.gbr")
    text = editing.grown(text, item, chance.choice((-0.05, 0.05)))
    return put(files, part, text), Named(
        (Kind.RESIZED,), _layer(part), item.part, _around(text, editing.items(text)[item.at])
    )


@damage(alone=True)
def the_mask_opens_over_a_track(files: Files, chance: Random) -> tuple[Files, Named]:
    part, text, item = _opening(files, chance, "mask-top.gbr")
    _, _, spots = _branch_track(files, chance)
    x, y = spots[len(spots) // 2]
    text = editing.repeated(text, item, [f"X{x + 400_000}Y{y}D03*"])
    return put(files, part, text), Named(
        (Kind.ADDED,), _layer(part), "", Point((x + 400_000) / 1e6, y / 1e6)
    )


@damage(alone=True)
def a_paste_opening_is_missing(files: Files, chance: Random) -> tuple[Files, Named]:
    part, text, item = _opening(files, chance, "paste-top.gbr")
    return put(files, part, editing.without(text, item)), Named(
        (Kind.MISSING,), "paste-top", item.part, _around(text, item)
    )


@damage(alone=True)
def a_paste_opening_is_moved(files: Files, chance: Random) -> tuple[Files, Named]:
    part, text, item = _opening(files, chance, "paste-top.gbr")
    dx, dy = _step(chance)
    text = editing.with_points(text, item, lambda x, y: (x + dx, y + dy))
    return put(files, part, text), Named((Kind.MOVED,), "paste-top", item.part, _around(text, item))


@damage(alone=True)
def a_paste_opening_is_resized(files: Files, chance: Random) -> tuple[Files, Named]:
    part, text, item = _opening(files, chance, "paste-top.gbr")
    text = editing.grown(text, item, chance.choice((-0.1, 0.1)))
    return put(files, part, text), Named(
        (Kind.RESIZED,), "paste-top", item.part, _around(text, editing.items(text)[item.at])
    )


def _profile(files: Files) -> tuple[str, Item]:
    text = text_of(files, "profile.gbr")
    return text, editing.items(text)[0]


@damage(alone=True)
def the_outline_crosses_itself(files: Files, chance: Random) -> tuple[Files, Named]:
    text, item = _profile(files)
    lines = text.split("\n")
    spots = editing.points(text, item)
    x = round(max(spot[0] for spot in spots) * chance.uniform(0.3, 0.7))
    top = max(spot[1] for spot in spots)
    at = next(place for place in range(item.first, item.last)
              if lines[place].endswith("D01*") and "I" not in lines[place]
              and f"Y{top}" in lines[place])  # fmt: skip
    # A loop within the outline's box: only that it crosses itself can betray it.
    lines[at:at] = [f"X{x - 10**6}Y{top - 10**6}D01*", f"X{x + 10**6}Y{top - 10**6}D01*"]
    loop = _mm([(x - 10**6, top - 10**6), (x + 10**6, top)]).envelope.buffer(1)
    return put(files, "profile.gbr", "\n".join(lines)), Named((Kind.EDGE,), "profile", "", loop)


@damage(alone=True)
def the_outline_stays_open(files: Files, chance: Random) -> tuple[Files, Named]:
    text, item = _profile(files)
    lines = text.split("\n")
    ends = [place for place in range(item.first, item.last + 1) if lines[place].endswith("D01*")]
    del lines[ends[-1]]
    del chance
    spots = editing.points(text, item)
    return put(files, "profile.gbr", "\n".join(lines)), Named(
        (Kind.FORM,), "profile", "", _mm([spots[-2], spots[-1]])
    )


@damage(alone=True)
def an_arc_of_the_outline_is_turned_inside_out(files: Files, chance: Random) -> tuple[Files, Named]:
    text, item = _profile(files)
    lines = text.split("\n")
    arcs = [place for place in range(item.first, item.last + 1) if "I" in lines[place]]
    at = chance.choice(arcs)
    lines[at : at + 1] = ["G02*", lines[at], "G03*"]
    x, y = map(int, re.findall(r"-?\d+", lines[at + 1])[:2])
    return put(files, "profile.gbr", "\n".join(lines)), Named(
        (Kind.EDGE,), "profile", "", _mm([(x, y)]).buffer(6)
    )


@damage(alone=True)
def there_is_a_second_outline(files: Files, chance: Random) -> tuple[Files, Named]:
    text, item = _profile(files)
    x, y = chance.randint(3, 20) * 1_000_000, 3_000_000
    square = [(x, y), (x + 10**6, y), (x + 10**6, y + 10**6), (x, y + 10**6), (x, y)]
    lines = ["G01*", f"X{x}Y{y}D02*", *(f"X{a}Y{b}D01*" for a, b in square[1:])]
    return put(files, "profile.gbr", editing.repeated(text, item, lines)), Named(
        (Kind.ADDED,), "profile", "", box(x / 1e6, y / 1e6, x / 1e6 + 1, y / 1e6 + 1)
    )


def _contour(files: Files, chance: Random) -> tuple[str, str, Item]:
    part = _any_copper(files, chance)
    text = text_of(files, part)
    found = [item for item in editing.items(text)
             if item.kind == "contour" and len(editing.points(text, item)) > 4]  # fmt: skip
    return part, text, chance.choice(found)


@damage(alone=True)
def a_contour_stays_open(files: Files, chance: Random) -> tuple[Files, Named]:
    part, text, item = _contour(files, chance)
    lines = text.split("\n")
    ends = [place for place in range(item.first, item.last) if lines[place].endswith("D01*")]
    before = editing.points(text, item)[-2]
    del lines[ends[-1]]
    return put(files, part, "\n".join(lines)), Named(
        (Kind.FORM,), _layer(part), "", Point(before[0] / 1e6, before[1] / 1e6)
    )


@damage(alone=True)
def a_contour_crosses_itself(files: Files, chance: Random) -> tuple[Files, Named]:
    """Two neighbouring points change places."""
    choices = []
    for part in ("copper-top.gbr", "copper-bottom.gbr"):
        text = text_of(files, part)
        for item in editing.items(text):
            spots = editing.points(text, item)
            lines = text.split("\n")[item.first : item.last + 1]
            straight = not any("I" in line for line in lines if line.startswith("X"))
            if item.kind == "contour" and straight:
                for at in range(1, len(spots) - 2):
                    swapped = [*spots[:at], spots[at + 1], spots[at], *spots[at + 2 :]]
                    if not shapely.LinearRing(swapped).is_simple:
                        choices.append((part, item, at))
    part, item, at = chance.choice(choices)
    text = text_of(files, part)
    lines = text.split("\n")
    places = [p for p in range(item.first, item.last + 1) if lines[p].startswith("X")]
    one, other = places[at], places[at + 1]
    lines[one], lines[other] = lines[other], lines[one]
    return put(files, part, "\n".join(lines)), Named(
        (Kind.FORM,), _layer(part), "", _around(text, item)
    )


# -- words -----------------------------------------------------------------------------------------


def _drawing(files: Files, chance: Random) -> tuple[str, str]:
    part = chance.choice([name.rpartition("_")[2] for name in sorted(files)
                          if name.endswith(".gbr")])  # fmt: skip
    return part, text_of(files, part)


@damage(alone=True)
def a_file_function_is_wrong(files: Files, chance: Random) -> tuple[Files, Named]:
    part, text = _drawing(files, chance)
    word = chance.choice(["Copper,L3,Inr", "Legend,Top", "Other,thing", "Glue,Top"])
    made = re.sub(r"(%TF\.FileFunction,)[^*]*", rf"\g<1>{word}", text)
    if made == text:
        made = re.sub(r"(%TF\.FileFunction,)[^*]*", r"\g<1>Drillmap", text)
    return put(files, part, made), Named((Kind.ATTRIBUTE,), _layer(part))


@damage(alone=True)
def a_polarity_is_wrong(files: Files, chance: Random) -> tuple[Files, Named]:
    part, text = _drawing(files, chance)
    words = {"Positive": "Negative", "Negative": "Positive"}
    made = re.sub(r"(?<=FilePolarity,)\w+", lambda found: words[found[0]], text)
    return put(files, part, made), Named((Kind.ATTRIBUTE,), _layer(part))


@damage(alone=True)
def a_file_is_of_another_project(files: Files, chance: Random) -> tuple[Files, Named]:
    part, text = _drawing(files, chance)
    change = chance.choice(
        [
            ("%TF.ProjectId,", "%TF.ProjectId,x"),
            ("CreationDate,20", "CreationDate,19"),
            ("boardgen,boardgen,", "boardgen,boardgen,9."),
        ]
    )
    part = "mask-top.gbr" if part == "copper-top.gbr" else part  # the first is what others follow
    text = text_of(files, part).replace(*change, 1)
    return put(files, part, text), Named((Kind.ATTRIBUTE,), _layer(part))


@damage(alone=True)
def a_land_says_that_it_is_a_track(files: Files, chance: Random) -> tuple[Files, Named]:
    text, item = _pick(files, chance, "copper-top.gbr", function=_SURFACE)
    shape, sizes = editing.template_of(text, item)
    template = f"{shape},{'X'.join(f'{size:.6f}' for size in sizes)}"
    text = editing.with_aperture(text, item, template, "Conductor")
    return put(files, "copper-top.gbr", text), Named(
        (Kind.MISSING,), "copper-top", item.pin, _around(text, editing.items(text)[item.at])
    )


@damage(alone=True)
def a_net_has_another_name_in_one_file(files: Files, chance: Random) -> tuple[Files, Named]:
    text, item = _pick(files, chance, "copper-top.gbr", function=_SURFACE)
    other = f"X{chance.randint(10, 99)}"
    text = text.replace(f"%TO.N,{item.net}*%", f"%TO.N,{other}*%")
    return put(files, "copper-top.gbr", text), Named((Kind.RENAMED,), "copper-top", item.net)


@damage(alone=True)
def a_land_names_another_net(files: Files, chance: Random) -> tuple[Files, Named]:
    text, item = _pick(files, chance, "copper-top.gbr", function=_SURFACE)
    other = chance.choice(sorted({one.net for one in editing.items(text) if one.net} - {item.net}))
    lines = text.split("\n")
    lines[item.first : item.last + 1] = [
        f"%TO.N,{other}*%", lines[item.first], f"%TO.N,{item.net}*%",
    ]  # fmt: skip
    return put(files, "copper-top.gbr", "\n".join(lines)), Named(
        (Kind.RENAMED,), "copper-top", item.pin, _around(text, item)
    )


@damage(alone=False)
def a_net_has_another_name_everywhere(files: Files, chance: Random) -> tuple[Files, Named]:
    text, item = _pick(files, chance, "copper-top.gbr", function=_SURFACE, net="B01.1")
    made = put(files, "copper-top.gbr", text.replace("%TO.N,B01.1*%", "%TO.N,B91.1*%"))
    records = text_of(files, "netlist.ipc").replace("327B01.1", "327B91.1")
    return put(made, "netlist.ipc", records), Named(
        (Kind.PIN, Kind.RENAMED), "copper-top", item.pin
    )


def _led(files: Files, chance: Random) -> str:
    text = text_of(files, "copper-top.gbr")
    return chance.choice(sorted({item.part for item in editing.items(text)
                                 if item.part.startswith("D")}))  # fmt: skip


@damage(alone=True)
def the_pins_of_an_led_have_changed_functions(files: Files, chance: Random) -> tuple[Files, Named]:
    led, text = _led(files, chance), text_of(files, "copper-top.gbr")
    text = text.replace(f"%TO.P,{led},1,K*%", "@").replace(f"%TO.P,{led},2,A*%",
                                                           f"%TO.P,{led},2,K*%")  # fmt: skip
    text = text.replace("@", f"%TO.P,{led},1,A*%")
    return put(files, "copper-top.gbr", text), Named((Kind.DARK, Kind.MARK), subject=led)


@damage(alone=True)
def the_pins_of_an_led_have_changed_numbers(files: Files, chance: Random) -> tuple[Files, Named]:
    led, text = _led(files, chance), text_of(files, "copper-top.gbr")
    text = text.replace(f"%TO.P,{led},1,K*%", "@").replace(f"%TO.P,{led},2,A*%",
                                                           f"%TO.P,{led},1,A*%")  # fmt: skip
    text = text.replace("@", f"%TO.P,{led},2,K*%")
    return put(files, "copper-top.gbr", text), Named((Kind.MOVED, Kind.PIN), "copper-top", led)


@damage(alone=True)
def the_poles_of_the_connector_have_changed(files: Files, chance: Random) -> tuple[Files, Named]:
    """In both copper files, so that nothing but the way of the current betrays it."""
    del chance
    made = files
    for part in ("copper-top.gbr", "copper-bottom.gbr"):
        text = text_of(files, part).replace("%TO.P,J1,1,+*%", "@")
        text = text.replace("%TO.P,J1,2,-*%", "%TO.P,J1,2,+*%").replace("@", "%TO.P,J1,1,-*%")
        made = put(made, part, text)
    return made, Named((Kind.BRANCH, Kind.DARK, Kind.MARK))


def _mark(files: Files, chance: Random) -> tuple[str, Item]:
    return _pick(files, chance, "legend-top.gbr", function="Other,Cathode")


@damage(alone=True)
def a_cathode_mark_is_at_the_anode(files: Files, chance: Random) -> tuple[Files, Named]:
    text, item = _mark(files, chance)
    copper = text_of(files, "copper-top.gbr")
    lands = [editing.points(copper, one)[0] for one in editing.items(copper)
             if one.part == item.part and one.function == _SURFACE]  # fmt: skip
    sx, sy = (sum(spot[axis] for spot in lands) for axis in (0, 1))
    text = editing.with_points(text, item, lambda x, y: (sx - x, sy - y))
    return put(files, "legend-top.gbr", text), Named(
        (Kind.MARK,), "legend-top", item.part, _around(text, item)
    )


@damage(alone=True)
def a_cathode_mark_is_missing(files: Files, chance: Random) -> tuple[Files, Named]:
    text, item = _mark(files, chance)
    return put(files, "legend-top.gbr", editing.without(text, item)), Named(
        (Kind.MARK,), subject=item.part
    )


@damage(alone=True)
def a_cathode_mark_is_of_another_led(files: Files, chance: Random) -> tuple[Files, Named]:
    text, item = _mark(files, chance)
    lines = text.split("\n")
    lines[item.first : item.first] = ["%TO.C,D99*%"]
    return put(files, "legend-top.gbr", "\n".join(lines)), Named((Kind.MARK,), subject=item.part)


@damage(alone=True)
def plus_and_minus_have_changed_places(files: Files, chance: Random) -> tuple[Files, Named]:
    part = chance.choice(["legend-top.gbr", "legend-bottom.gbr"])
    text = text_of(files, part).replace("Other,Plus", "@").replace("Other,Minus", "Other,Plus")
    return put(files, part, text.replace("@", "Other,Minus")), Named((Kind.MARK,), _layer(part))


@damage(alone=False)
def a_letter_is_missing(files: Files, chance: Random) -> tuple[Files, Named]:
    part = chance.choice(["legend-top.gbr", "legend-bottom.gbr"])
    text, item = _pick(files, chance, part, function="Material")
    return put(files, part, editing.without(text, item)), Named(
        (Kind.MISSING,), _layer(part), item.part, _around(text, item)
    )


@damage(alone=True)
def a_layer_erases_what_it_shows(files: Files, chance: Random) -> tuple[Files, Named]:
    """Clear polarity where nothing is to be erased: mask, stencil, print or outline."""
    part = chance.choice(["mask-top.gbr", "mask-bottom.gbr", "paste-top.gbr", "legend-top.gbr",
                          "legend-bottom.gbr", "profile.gbr"])  # fmt: skip
    text = text_of(files, part)
    item = chance.choice(editing.items(text))
    lines = text.split("\n")
    lines[item.first : item.last + 1] = [
        "%LPC*%", *lines[item.first : item.last + 1], "%LPD*%",
    ]  # fmt: skip
    return put(files, part, "\n".join(lines)), Named(
        (Kind.MISSING,), _layer(part), "", _around(text, item)
    )


@damage(alone=True)
def the_mask_is_open_everywhere(files: Files, chance: Random) -> tuple[Files, Named]:
    part = chance.choice(["mask-top.gbr", "paste-top.gbr"])
    text = text_of(files, part)
    spots = [(1, 1), (40, 1), (40, 10), (1, 10), (1, 1)]
    lines = ["%TD*%", "%TA.AperFunction,Material*%", "G36*", "X1000000Y1000000D02*",
             *(f"X{x}000000Y{y}000000D01*" for x, y in spots[1:]), "G37*",
             "%TD.AperFunction*%"]  # fmt: skip
    text = editing.repeated(text, editing.items(text)[-1], lines)
    return put(files, part, text), Named((Kind.ADDED, Kind.ATTRIBUTE), _layer(part))


@damage(alone=True)
def print_lies_on_a_land(files: Files, chance: Random) -> tuple[Files, Named]:
    copper, land = _pick(files, chance, "copper-top.gbr", function=_SURFACE)
    text, item = _pick(files, chance, "legend-top.gbr", function="Material")
    x, y = editing.points(copper, land)[0]
    lines = [f"X{x - 300_000}Y{y}D02*", f"X{x + 300_000}Y{y}D01*"]
    return put(files, "legend-top.gbr", editing.repeated(text, item, lines)), Named(
        (Kind.ADDED,), "legend-top", "", Point(x / 1e6, y / 1e6).buffer(0.5)
    )


@damage(alone=True)
def letters_in_other_digits(files: Files, chance: Random) -> tuple[Files, Named]:
    """Digits of another script, which some readers take for numbers and others do not."""
    part, text = _drawing(files, chance)
    made = re.sub(r"(?<=\nX[1-9])([0-9]+)(?=Y)", lambda found: "".join(
        chr(0x660 + int(digit)) for digit in found[1]), text, count=1)  # fmt: skip
    return put(files, part, made), Named((Kind.FORM,), _layer(part), job_is_right=False)


@damage(alone=True)
def a_comment_says_otherwise(files: Files, chance: Random) -> tuple[Files, Named]:
    part, change = chance.choice([
        ("copper-top.gbr", ("G04 copper", "G04 #@! TF.FileFunction,Copper,L2,Bot copper")),
        ("plated.drl", ("METRIC\n", "; FORMAT 2:4 inch\nMETRIC\n")),
        ("unplated.drl", ("\n; ", "\n;TYPE=PLATED\n; ")),
        ("netlist.ipc", ("P  JOB", "C  all nets are joined\nP  JOB")),
    ])  # fmt: skip
    text = text_of(files, part).replace(*change, 1)
    return put(files, part, text), Named((Kind.FORM,), _layer(part))


@damage(alone=True)
def a_field_of_a_record_is_wrong(files: Files, chance: Random) -> tuple[Files, Named]:
    lines, at = _record(files, chance)
    line = lines[at]
    column, other = chance.choice([(40, "7"), (73, "1"), (2, "9")])
    if column == 2:
        line = line.replace("327", "317", 1) if line.startswith("327") else "327" + line[3:]
    else:
        line = line[:column] + other + line[column + 1 :]
    lines[at] = line
    return put(files, "netlist.ipc", "\n".join(lines)), Named((Kind.LIST,), "netlist")


@damage(alone=True)
def a_record_of_the_netlist_is_there_twice(files: Files, chance: Random) -> tuple[Files, Named]:
    lines, at = _record(files, chance)
    lines.insert(at, lines[at])
    return put(files, "netlist.ipc", "\n".join(lines)), Named(
        (Kind.MISSING,), "", "", _record_spot(lines[at])
    )


@damage(alone=False)
def the_project_has_another_identity(files: Files, chance: Random) -> tuple[Files, Named]:
    found = re.search(rb"ProjectId,[^,]*,([0-9a-f-]{36})", files[name_of(files, "profile.gbr")])
    assert found
    other = f"{chance.getrandbits(32):08x}".encode() + found[1][8:]
    made = {name: content.replace(found[1], other) for name, content in files.items()}
    return made, Named((Kind.PROJECT,))


# -- lists -----------------------------------------------------------------------------------------


def _record(files: Files, chance: Random) -> tuple[list[str], int]:
    lines = text_of(files, "netlist.ipc").split("\n")
    return lines, chance.choice([at for at, line in enumerate(lines) if line.startswith("3")
                                 and not line.startswith("389")])  # fmt: skip


def _record_spot(line: str) -> BaseGeometry:
    return Point(int(line[42:49]) / 1e3, int(line[50:57]) / 1e3)


@damage(alone=True)
def a_record_of_the_netlist_is_missing(files: Files, chance: Random) -> tuple[Files, Named]:
    lines, at = _record(files, chance)
    gone = lines.pop(at)
    return put(files, "netlist.ipc", "\n".join(lines)), Named(
        (Kind.ADDED,), "", "", _record_spot(gone)
    )


@damage(alone=True)
def a_record_of_the_netlist_names_another_net(files: Files, chance: Random) -> tuple[Files, Named]:
    lines, at = _record(files, chance)
    while lines[at].startswith("367"):
        lines, at = _record(files, chance)
    lines[at] = f"{lines[at][:3]}{'X1':<14}{lines[at][17:]}"
    return put(files, "netlist.ipc", "\n".join(lines)), Named(
        (Kind.RENAMED,), "", "X1", _record_spot(lines[at])
    )


@damage(alone=True)
def a_record_of_the_netlist_is_moved(files: Files, chance: Random) -> tuple[Files, Named]:
    lines, at = _record(files, chance)
    spot = _record_spot(lines[at])
    lines[at] = f"{lines[at][:42]}{int(lines[at][42:49]) + 150:+07d}{lines[at][49:]}"
    return put(files, "netlist.ipc", "\n".join(lines)), Named((Kind.MOVED,), "", "", spot)


@damage(alone=True)
def the_job_file_says_otherwise(files: Files, chance: Random) -> tuple[Files, Named]:
    job = json.loads(text_of(files, "job.gbrjob"))
    change = chance.randrange(7)
    if change == 0:
        job["GeneralSpecs"]["Size"]["X"] += 1
    elif change == 1:
        job["GeneralSpecs"]["LayerNumber"] += 1
    elif change == 2:
        job["FilesAttributes"].pop(chance.randrange(len(job["FilesAttributes"])))
    elif change == 4:
        job["GeneralSpecs"]["BoardThickness"] = 0.7
    elif change == 5:
        job["GeneralSpecs"]["Finish"] = "chocolate"
    elif change == 3:
        job["DesignRules"][0]["MinLineWidth"] += 0.01
    else:
        chance.choice(job["FilesAttributes"])["FileFunction"] = "Other,x"
    return put(files, "job.gbrjob", json.dumps(job)), Named((Kind.LIST,), job_is_right=False)


@damage(alone=False)
def the_job_file_asks_for_another_board(files: Files, chance: Random) -> tuple[Files, Named]:
    job = json.loads(text_of(files, "job.gbrjob"))
    masks = [row for row in job["MaterialStackup"] if row["Type"] == "SolderMask"]
    if not masks or chance.random() < 0.5:
        job["GeneralSpecs"]["BoardThickness"] -= 0.6
        next(row for row in job["MaterialStackup"] if row["Type"] == "Dielectric")["Thickness"] -= (
            0.6
        )
    else:
        for row in masks:
            row["Color"] = "pink"
    return put(files, "job.gbrjob", json.dumps(job)), Named((Kind.LIST,), "job", job_is_right=False)


# -- form ------------------------------------------------------------------------------------------


def _formed(name: str, before: str, after: str) -> None:
    """Put a damage of form into the catalogue: in a random drawing, one word for another."""

    def do(files: Files, chance: Random) -> tuple[Files, Named]:
        parts = [part.rpartition("_")[2] for part in sorted(files) if part.endswith(".gbr")]
        part = chance.choice([part for part in parts if re.search(before, text_of(files, part))])
        text = re.sub(before, after, text_of(files, part), count=1)
        return put(files, part, text), Named((Kind.FORM,), _layer(part), job_is_right=False)

    do.__name__ = name
    damage(alone=True)(do)


_formed("an_unknown_word", r"%LPD\*%\n", "%LPD*%\nG99*\n")
_formed("a_word_of_old", r"%MOMM\*%\n", "%MOMM*%\n%IPNEG*%\n")
_formed("no_unit", r"%MOMM\*%\n", "")
_formed("another_unit", r"%MOMM\*%", "%MOIN*%")
_formed("fewer_decimals", "%FSLAX46Y46", "%FSLAX45Y45")
_formed("an_undefined_aperture", r"\nD10\*\n", "\nD98*\n")
_formed("a_flash_before_any_aperture", r"\nD10\*\n(?=X.*D03)", "\n")
_formed("an_unknown_function", r"(%TA\.AperFunction,)(\w+)", r"\g<1>Sponge")
_formed("an_attribute_that_boardgen_never_writes", r"%TF\.Part,", "%TF.Mood,good*%\n%TF.Part,")
_formed("a_segment_without_length", r"(X-?\d+Y-?\d+)D02\*\n", r"\1D02*\nG01*\n\1D01*\n")
_formed("an_arc_of_unlike_radii", r"(X-?\d+Y-?\d+I-?\d+)J(-?\d+)D01", r"\g<1>J1\g<2>D01")
_formed("a_coordinate_beyond_32_bits", r"X(\d+)Y(\d+)D0", r"X3000000000Y\2D0")
_formed("letters_that_are_no_text", r"G04 ", "G04 \udcff")


@damage(alone=True)
def an_aperture_is_defined_twice(files: Files, chance: Random) -> tuple[Files, Named]:
    part, text = _drawing(files, chance)
    found = re.search(r"%TA\.AperFunction,[^*]*\*%\n%ADD\d+[^*]*\*%\n%TD\*%\n", text)
    assert found
    return put(files, part, text.replace(found[0], found[0] * 2, 1)), Named(
        (Kind.FORM,), _layer(part)
    )


@damage(alone=True)
def the_drill_file_is_not_understood(files: Files, chance: Random) -> tuple[Files, Named]:
    part = chance.choice(["plated.drl", "unplated.drl"])
    change = chance.choice([("METRIC", "INCH"), ("\nM30", ""), ("G05\n", ""), ("T01\n", "T09\n"),
                            ("M30\n", "M30\nX1.0Y1.0\n"), ("%\n", "%\nG90\n")])  # fmt: skip
    text = text_of(files, part)
    assert change[0] in text
    return put(files, part, text.replace(*change, 1)), Named((Kind.FORM,), _layer(part))


@damage(alone=True)
def a_list_is_not_understood(files: Files, chance: Random) -> tuple[Files, Named]:
    part = chance.choice(["netlist.ipc", "job.gbrjob"])
    text = text_of(files, part)
    changes = {
        "netlist.ipc": [("999", ""), ("CUST 1", "CUST 7"), ("R000", "R0"), ("389", "388")],
        "job.gbrjob": [('"Header"', '"Head"'), ("{", ""), ('"LayerNumber": ', '"LayerNumber": "x'),
                       ('"Size"', '"Size": 3, "Size"')],
    }  # fmt: skip
    change = chance.choice(changes[part])
    return put(files, part, text.replace(*change, 1)), Named(
        (Kind.FORM,), _layer(part), job_is_right=False
    )
