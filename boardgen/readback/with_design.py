"""Files held against a design: every object one to one, and in drawing order where it matters."""

import math
from collections import deque
from collections.abc import Hashable, Iterator, Mapping, Sequence
from typing import Any

from boardgen.model.artwork import LayerKind
from boardgen.model.circuit import SUPPLY_NET
from boardgen.model.design import Design
from boardgen.model.proof import Difference, Kind, ProofItem
from boardgen.readback import expected
from boardgen.readback.edges import follows
from boardgen.readback.images import box_mm, differs, image, point_mm
from boardgen.readback.matching import compare, differing
from boardgen.readback.objects import Probe, Reading, Seen, SeenHole
from boardgen.units import NM_PER_MM

_SHRINK_NM = 3_000.0


def against_design(readings: Mapping[str, Reading], design: Design) -> Iterator[ProofItem]:
    """Compare every file with what the design says anew."""
    for layer in design.artwork.layers:
        objects = readings[f"{layer.name}.gbr"].objects
        if layer.kind is LayerKind.COPPER:
            pour, board = expected.pour(layer), expected.board_copper(design.board, layer)
            in_pour = _in_order(layer.name, "pour", pour, objects[: len(pour)])
            on_it = _alike(layer.name, "lands and tracks", board, objects[len(pour) :])
            yield from (in_pour, on_it)
            # The same objects, the pour in the same order: they show the same.
            apart = [] if in_pour.holds and on_it.holds else [*pour, *board]
            yield _images(layer.name, apart, objects)
        else:
            yield _in_order(layer.name, "", expected.drawn(layer), objects)
    yield _holes(readings, design)
    yield _slots(readings, design)
    yield _vias(readings, design)
    yield _probes(readings, design)
    yield _job(readings, design)
    yield _pins(readings, design)
    yield _project(readings, design)


def _alike(layer: str, what: str, wanted: Sequence[Seen], found: Sequence[Seen]) -> ProofItem:
    return ProofItem(
        title=", ".join(filter(None, (layer, what))),
        compared=len(wanted),
        differences=tuple(compare(wanted, found, lambda _: layer, _what)),
    )


def _what(seen: Seen) -> Hashable:
    """Say what an object is, wherever it lies and however large."""
    return (seen.kind, seen.dark, seen.function, seen.net, seen.pin, seen.part)


def _in_order(layer: str, what: str, wanted: Sequence[Seen], found: Sequence[Seen]) -> ProofItem:
    """Compare one to one and in drawing order, which polarity makes matter."""
    item = _alike(layer, what, wanted, found)
    if item.holds and list(wanted) != list(found):
        at = next(at for at, pair in enumerate(zip(wanted, found, strict=True))
                  if pair[0] != pair[1])  # fmt: skip
        text = f"drawn in another order from object {at + 1}: {found[at]}"
        order = differing(Kind.ORDER, text, layer, found[at])
        return ProofItem(title=item.title, compared=item.compared, differences=(order,))
    return item


def _images(layer: str, wanted: Sequence[Seen], found: Sequence[Seen]) -> ProofItem:
    """Compare what is shown, where objects were found to differ."""
    apart = differs(image(wanted), image(found), _SHRINK_NM) if wanted else []
    return ProofItem(
        title=f"{layer}, image",
        compared=len(found),
        differences=tuple(
            Difference(
                kind=Kind.IMAGE,
                text="the copper is another",
                layer=layer,
                place_mm=point_mm(piece),
                size_mm=box_mm(piece),
            )
            for piece in apart
        ),
    )


def _holes(readings: Mapping[str, Reading], design: Design) -> ProofItem:
    two_sides = len(design.artwork.coppers()) > 1
    wanted = expected.holes(design.board, two_sides=two_sides)
    found = [hole for part in expected.DRILLS if part in readings for hole in readings[part].holes]

    def what(hole: SeenHole) -> Hashable:
        return (hole.plated, hole.function)

    return ProofItem(
        title="holes",
        compared=len(wanted),
        differences=tuple(compare(wanted, found, lambda hole: hole.file, what)),
    )


def _slots(readings: Mapping[str, Reading], design: Design) -> ProofItem:
    wanted = expected.slots(design.board)
    found = [slot for reading in readings.values() for slot in reading.slots]
    return ProofItem(
        title="slots",
        compared=len(wanted),
        differences=tuple(compare(wanted, found, lambda _: "unplated", lambda _: "slot")),
    )


def _probes(readings: Mapping[str, Reading], design: Design) -> ProofItem:
    reading = readings["netlist.ipc"]
    wanted = expected.probes(design, reading.step_nm)

    def what(probe: Probe) -> Hashable:
        return (probe.kind, probe.net, probe.reference, probe.pin)

    found = list(compare(wanted, reading.probes, lambda _: "netlist", what))
    wanted_edges = expected.edges(design)
    if len(reading.edges) != len(wanted_edges) or not all(
        said[0] == said[-1] and follows(edge, said[:-1], reading.step_nm)
        for edge, said in zip(wanted_edges, reading.edges, strict=False)
    ):
        found.append(Difference(kind=Kind.EDGE, text="another edge of the board", layer="netlist"))
    return ProofItem(title="test netlist, records", compared=len(wanted), differences=tuple(found))


def _job(readings: Mapping[str, Reading], design: Design) -> ProofItem:
    """Hold what the job file says of materials against what was ordered."""
    job, wanted = readings["job.gbrjob"].job, expected.job(design)
    said = {**job["GeneralSpecs"], "MaterialStackup": job["MaterialStackup"]}
    return ProofItem(
        title="job file",
        compared=len(wanted),
        differences=tuple(
            Difference(
                kind=Kind.LIST,
                text=f"{path} is {is_}, not {ought}",
                layer="job",
                subjects=(path,),
            )
            for name, value in wanted.items()
            for path, is_, ought in _unlike(said[name], value, name)
        ),
    )


def _unlike(said: Any, wanted: Any, path: str) -> Iterator[tuple[str, Any, Any]]:  # noqa: ANN401
    """Name the fields in which two values of JSON differ, by their paths."""
    if isinstance(said, dict) and isinstance(wanted, dict):
        for key in dict.fromkeys((*wanted, *said)):
            yield from _unlike(said.get(key), wanted.get(key), f"{path}.{key}")
    elif isinstance(said, list) and isinstance(wanted, list) and len(said) == len(wanted):
        for row, pair in enumerate(zip(said, wanted, strict=True)):
            yield from _unlike(*pair, f"{path}[{row}]")
    elif said != wanted:
        yield path, said, wanted


def _pins(readings: Mapping[str, Reading], design: Design) -> ProofItem:
    """Hold the net of every pin, as the copper files name it, against the circuit."""
    wanted = expected.pins(design.board)
    named = {
        (seen.pin.reference, seen.pin.number): (seen, part.removesuffix(".gbr"))
        for part, reading in readings.items()
        if part.startswith("copper")
        for seen in reading.objects
        if seen.pin
    }
    found = []
    for (ref, number), net in wanted.items():
        seen, layer = named.get((ref, number), (None, ""))
        if seen is None or seen.net != net:
            place = seen.place_mm if seen else None
            said = seen.net if seen else "no net"
            text = f"{ref}.{number} is on {said}, not on {net}"
            found.append(Difference(kind=Kind.PIN, text=text, layer=layer, place_mm=place,
                                    subjects=(ref, f"{ref}.{number}", net)))  # fmt: skip
    found += [
        differing(Kind.PIN, f"{ref}.{number} is no pin", layer, seen)
        for (ref, number), (seen, layer) in named.items()
        if (ref, number) not in wanted
    ]
    return ProofItem(title="pins", compared=len(wanted), differences=tuple(found))


def _vias(readings: Mapping[str, Reading], design: Design) -> ProofItem:
    """Look for a via beside the last LED of each branch: a board has them all or none.

    Where the supply has a pour of its own it comes up beside each branch's first ballast instead.

    Each via is one branch's own. Where LEDs stand close, the nearest via may be a neighbour's: they
    are shared out so that as many branches as can be have one.
    """
    drilled = [
        hole.place
        for reading in readings.values()
        for hole in reading.holes
        if hole.function == "ViaDrill"
    ]
    ends = {}
    poured = any(pour.net == SUPPLY_NET for pour in design.board.pours)
    for branch in design.circuit.branches if drilled or poured else ():
        part = design.board.part(branch.ballasts[0] if poured else branch.leds[-1])
        which = "start" if poured else "end"
        who = f"{part.reference}, the {which} of branch {branch.number}"
        ends[who] = (part.x_mm * NM_PER_MM, part.y_mm * NM_PER_MM)
    near = {
        who: [number for number, at in enumerate(drilled) if math.dist(at, place) <= _BESIDE_NM]
        for who, place in ends.items()
    }
    owned = shared_out(near)
    return ProofItem(
        title="vias of the branches",
        compared=len(design.circuit.branches),
        differences=tuple(
            Difference(
                kind=Kind.MISSING, text=f"no via joins the pours beside {who}", layer="plated"
            )
            for who in ends
            if who not in owned.values()
        ),
    )


def shared_out(near: Mapping[str, Sequence[int]]) -> dict[int, str]:
    """Give as many as can be one each of what is near them: augmenting paths, textbook matter.

    Examples
    --------
    >>> shared_out({"a": [1, 2], "b": [1]})
    {1: 'b', 2: 'a'}
    """
    owned: dict[int, str] = {}
    holds: dict[str, int] = {}
    for who in near:
        came: dict[int, str] = {}
        waiting = deque([who])
        while waiting:
            one = waiting.popleft()
            fresh = [number for number in near[one] if number not in came]
            came.update(dict.fromkeys(fresh, one))
            free = next((number for number in fresh if number not in owned), None)
            if free is not None:
                _hand_on(free, came, owned, holds)
                break
            waiting.extend(owned[number] for number in fresh)
    return owned


def _hand_on(
    free: int, came: Mapping[int, str], owned: dict[int, str], holds: dict[str, int]
) -> None:
    """Give a free one to who asked for it, theirs to who asked for that, and so back."""
    number: int | None = free
    while number is not None:
        who = came[number]
        owned[number] = who
        holds[who], number = number, holds.get(who)


_BESIDE_NM = 15_000_000.0
"""A via further from an LED than this is not its own: own choice."""


def _project(readings: Mapping[str, Reading], design: Design) -> ProofItem:
    wrong = []
    name, revision = design.parameters.name, design.parameters.board.revision
    for part, reading in readings.items():
        if reading.name.rpartition("_")[0] != name:
            wrong.append(f"{reading.name} is named after another board than {name}")
        if ".ProjectId" not in reading.attributes:
            continue
        project = reading.attributes[".ProjectId"].split(",")
        if [project[0], project[-1]] != [name, revision]:
            wrong.append(f"{part} is of {project[0]} {project[-1]}, not of {name} {revision}")
        if part == "unplated.drl" and reading.attributes[".FileFunction"] != expected.unplated(
            design
        ):
            wrong.append(f"{part} does not say {expected.unplated(design)}, as was ordered")
        if ",".join(project) != ",".join((name, expected.identity(design), revision)):
            wrong.append(f"{part} has another identity than {design.parameters.file} gives")
        day = reading.attributes.get(".CreationDate", "")
        if not day.startswith(design.parameters.date):
            wrong.append(f"{part} is of {day}, not of {design.parameters.date}")
    return ProofItem(
        title="project",
        compared=len(readings),
        differences=tuple(Difference(kind=Kind.PROJECT, text=text) for text in wrong),
    )
