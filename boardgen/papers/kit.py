"""Kits for a class: what to buy, bags to label, boards to log, repairs to expect."""

import csv
import io
import math
from collections import defaultdict
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace

from boardgen.export.lists import described, guarded
from boardgen.geometry.regions import image
from boardgen.model.artwork import LayerKind
from boardgen.model.board import Part, PartKind
from boardgen.model.cautions import CLAIM, Caution
from boardgen.model.design import Design
from boardgen.model.outputs import OutputFile, OutputFiles
from boardgen.model.parts import SupplyKind
from boardgen.pages.names import by_letter
from boardgen.pages.words import WORDS
from boardgen.papers.facts import Facts, caution_facts
from boardgen.papers.render import page
from boardgen.units import NM_PER_MM

_SPARE_SHARE, _LEAST_SPARES = 0.1, 2
"""Small parts fly: a tenth more, two at least. Common practice, no source."""
_TAPE_PITCHES_MM = ((1.2, 2.0), (3.6, 4.0), (12.0, 8.0))
"""Up to which length of its body a part takes so much of its tape: usual, from memory."""
_BAD_JOINT = 0.005
"""One joint in two hundred of a first-timer's: own choice, no source."""
_PASTE_MG_PER_MM3 = 4.2
_PASTE_WASTE = 2.0
"""Paste is about half metal by volume (from memory); half of it stays in needle or on stencil."""
_HEADER = ("part", "for_a_shop", "per_set", "sets", "needed", "spares", "buy", "tape_mm",
           "read_on_the_part", "references", "boards")  # fmt: skip


@dataclass(frozen=True, slots=True, kw_only=True)
class _Need:
    """A kind of part over all boards: words for a shop, how many a set, where they go."""

    part: str
    words: str
    per_set: int
    tape_mm: float
    spared: bool
    marking: str
    references: str
    boards: str
    among: int = 1
    """So many sets share it."""


def kit_files(designs: Sequence[Design], sets: int, cautions: Sequence[Caution]) -> OutputFiles:
    """Write ``purchase.csv`` and ``kit.html``; a set holds one of each of the boards."""
    facts = kit_facts(designs, sets, cautions)
    return (
        OutputFile(path="purchase.csv", content=_table(facts["rows"])),
        OutputFile(path="kit.html", content=page("kit.html", facts, {})),
    )


def kit_facts(designs: Sequence[Design], sets: int, cautions: Sequence[Caution]) -> Facts:
    """Tell what a number of sets needs."""
    joints = sum(_joints(design) for design in designs)
    return {
        "board": {
            "title": ", ".join(dict.fromkeys(d.parameters.board.title for d in designs)),
            "revision": designs[0].parameters.board.revision,
            "date": designs[0].parameters.date if designs[0].parameters.date_given else "",
            "author": designs[0].parameters.board.author or "",
            "claim": CLAIM,
            "program": "",
            "identity": "",
        },
        "sets": sets,
        "joined": [
            WORDS["kit.joined"].format(name=d.parameters.name, boards=d.parameters.joint.boards)
            for d in designs
            if d.parameters.joint.joined
        ],
        "boards": [design.parameters.name for design in designs],
        "rows": [_row(need, sets) for need in _needs(designs)],
        "paste_g": _paste_g(designs) * sets,
        "joints": joints,
        "first_time": (1 - _BAD_JOINT) ** joints,
        "repairs": math.ceil(sets * joints * _BAD_JOINT),
        "numbers": list(range(1, sets + 1)),
        "cautions": caution_facts(
            cautions,
            "coin cell",
            "lithium",
            "battery",
            "cells",
            "cells of any kind",
            "power supply",
        ),
    }


def _row(need: _Need, sets: int) -> Facts:
    needed = math.ceil(need.per_set * sets / need.among)
    spares = max(_LEAST_SPARES, math.ceil(_SPARE_SHARE * needed)) if need.spared else 0
    return {
        "part": need.part,
        "words": need.words,
        "per_set": need.per_set,
        "sets": sets,
        "needed": needed,
        "spares": spares,
        "buy": needed + spares,
        "tape_mm": (needed + spares) * need.tape_mm,
        "marking": need.marking,
        "references": need.references,
        "boards": need.boards,
    }


def _needs(designs: Sequence[Design]) -> Iterator[_Need]:
    """List boards, their parts, and what is bought besides."""
    for design in designs:
        name = design.parameters.name
        yield _plain("board", WORDS["kit.board"].format(name=name), 1, [name])
    found: dict[tuple[str, str, str], list[tuple[Design, list[Part]]]] = defaultdict(list)
    for design in designs:
        for key, parts in _kinds(design).items():
            found[key].append((design, parts))
    order = [kind.value for kind in PartKind]
    for (kind, _, marking), uses in sorted(found.items(), key=lambda one: order.index(one[0][0])):
        design, parts = uses[0]
        yield _Need(
            part=kind,
            words=_shop_words(design, parts[0]),
            per_set=sum(len(each) for _, each in uses),
            tape_mm=_tape_mm(parts[0]),
            spared=True,
            marking=marking,
            references="; ".join(by_letter([one.reference for one in each]) for _, each in uses),
            boards=", ".join(used.parameters.name for used, _ in uses),
        )
    yield from _besides(designs)


def _kinds(design: Design) -> dict[tuple[str, str, str], list[Part]]:
    found: dict[tuple[str, str, str], list[Part]] = defaultdict(list)
    for part in design.board.parts:
        if part.kind.row.bought and not part.lands_only:
            marking = described(design, part).get("marking", "")
            found[part.kind.value, part.value, marking].append(part)
    return found


def _shop_words(design: Design, part: Part) -> str:
    """Say what to ask a shop for."""
    said = described(design, part)
    words = [part.kind.value, part.value]
    if said.get("inch") or said.get("metric"):
        codes = [(said.get(key, ""), f"({key})") for key in ("inch", "metric")]
        words.append("size " + " = ".join(f"{code} {key}" for code, key in codes if code))
    words += [said[key] for key in ("tolerance",) if said.get(key)]
    words += [f"{float(said['rating']) * 1000:g} mW"] if said.get("rating") else []
    words += [said["remark"]] if said.get("remark") else []
    if part.kind in (PartKind.FUSE, PartKind.DIODE, PartKind.TRANSISTOR):
        body = part.pattern.body
        size = f"{body.right_mm - body.left_mm:g} x {body.top_mm - body.bottom_mm:g} mm"
        words.append(WORDS["kit.body"].format(size=size))
    if part.kind is PartKind.LED:
        words += _light_words(design, part)
    return ", ".join(words)


def _tape_mm(part: Part) -> float:
    """Tell how much tape a chip takes; what has leads comes loose."""
    if part.pattern.through_hole:
        return 0.0
    length = part.pattern.body.right_mm - part.pattern.body.left_mm
    return next((pitch for most, pitch in _TAPE_PITCHES_MM if length <= most), 0.0)


def _light_words(design: Design, part: Part) -> list[str]:
    data = design.parameters.parts.led_named(part.value).data
    words = [f"colour {data.colour}"] if data.colour else []
    output = data.output
    if output is None:
        return words
    if output.flux_lm is not None:
        words.append(f"{output.flux_lm:g} lm at {output.at_a * 1000:g} mA")
    elif output.intensity_cd is not None:
        words.append(f"{output.intensity_cd * 1000:g} mcd at {output.at_a * 1000:g} mA")
    return [*words, f"{output.angle_deg:g} degrees"]


def _besides(designs: Sequence[Design]) -> Iterator[_Need]:
    """List what no list of parts has: screws, supply, wire."""
    names = [design.parameters.name for design in designs]
    screws: dict[str, int] = defaultdict(int)
    for design in designs:
        screws[design.parameters.parts.screw.thread] += len(design.board.holes)
    for thread, count in screws.items():
        if count:
            yield _plain("screw", WORDS["kit.screw"].format(thread=thread), count, names)
    supplies: dict[tuple[str, int], list[Design]] = defaultdict(list)
    for design in designs:
        supplies[design.parameters.parts.supply.name, _together(design)].append(design)
    for (_, among), fed in supplies.items():
        yield from (replace(need, among=among) for need in _supply_needs(fed))
    wired: dict[int, list[str]] = defaultdict(list)
    for design in designs:
        if not design.parameters.parts.connector.cell:
            wired[_together(design)].append(design.parameters.name)
    for among, fed_names in wired.items():
        need = _plain("wire", WORDS["kit.wire"], len(fed_names), fed_names)
        yield replace(need, among=among)


def _together(design: Design) -> int:
    """Tell how many boards, one of each set, share a supply and its wires."""
    joint = design.parameters.joint
    return joint.boards if joint.joined else 1


def _supply_needs(designs: Sequence[Design]) -> Iterator[_Need]:
    """List what feeds boards of one supply: each light has its own."""
    parts, names = designs[0].parameters.parts, [one.parameters.name for one in designs]
    supply, each = parts.supply, len(designs)
    if not supply.kind.counted:
        key = "kit.battery" if supply.kind is SupplyKind.BATTERY else "kit.supply"
        yield _plain("supply", WORDS[key].format(name=supply.name), each, names)
        return
    cell = supply.name.rpartition(" x ")[2]
    yield _plain("cell", WORDS["kit.cells"].format(name=cell), supply.cells * each, names)
    if not parts.connector.cell:
        yield _plain("holder", WORDS["kit.holder"].format(cells=supply.cells), each, names)


def _plain(part: str, words: str, per_set: int, names: Sequence[str]) -> _Need:
    return _Need(
        part=part, words=words, per_set=per_set, tape_mm=0.0, spared=part == "screw", marking="",
        references="", boards=", ".join(names),
    )  # fmt: skip


def _joints(design: Design) -> int:
    return sum(len(p.pattern.lands) for p in design.board.parts if p.kind.row.bought)


def _paste_g(designs: Sequence[Design]) -> float:
    areas_mm3 = sum(
        image(layer.items).area_nm2 / NM_PER_MM**2 * design.limits.stencil_mm
        for design in designs
        for layer in design.artwork.layers
        if layer.kind is LayerKind.PASTE
    )
    return areas_mm3 * _PASTE_MG_PER_MM3 * _PASTE_WASTE / 1000


def _table(rows: Sequence[Facts]) -> bytes:
    text = io.StringIO()
    writer = csv.writer(text, lineterminator="\r\n")
    writer.writerow(_HEADER)
    for row in rows:
        cells = (
            row["part"], row["words"], row["per_set"], row["sets"], row["needed"], row["spares"],
            row["buy"], f"{row['tape_mm']:g}" if row["tape_mm"] else "", row["marking"],
            row["references"], row["boards"],
        )  # fmt: skip
        writer.writerow([guarded(cell) for cell in cells])
    return text.getvalue().encode()
