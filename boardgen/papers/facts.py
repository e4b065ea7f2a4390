"""What pages tell of a board, as plain data: numbers unrounded, nothing computed anew."""

from collections.abc import Iterator, Sequence
from dataclasses import asdict
from itertools import groupby
from typing import Any

from boardgen.export.lists import described, mark_points
from boardgen.export.stamp import stamp
from boardgen.model.board import Part, PartKind, Side
from boardgen.model.cautions import CLAIM, Caution
from boardgen.model.chain import closes
from boardgen.model.circuit import Branch
from boardgen.model.design import Design
from boardgen.model.operation import Expected
from boardgen.pages.names import by_letter
from boardgen.pages.words import WORDS

Facts = dict[str, Any]

_SET_SHARE = 0.01
"""So near a bench supply is set; the bands of currents and volts hold there."""


def board_facts(design: Design) -> Facts:
    """Tell which board it is; stands on every page."""
    parameters, made = design.parameters, stamp(design)
    return {
        "name": parameters.name,
        "title": parameters.board.title,
        "revision": parameters.board.revision,
        "date": parameters.date if parameters.date_given else "",
        "author": parameters.board.author or "",
        "identity": made.identity,
        "program": made.program_version,
        "length_mm": design.board.outline.length_mm,
        "width_mm": design.board.outline.width_mm,
        "claim": CLAIM,
    }


def caution_facts(cautions: Sequence[Caution], *names: str) -> list[Facts]:
    """Give the cautions of these names that apply here, in this order; without names, all."""
    known = {caution.id: caution for caution in cautions}
    found = [known[name] for name in names or known if name in known]
    return [{"signal": caution.signal, "text": caution.text} for caution in found]


def bench_facts(design: Design) -> Facts:
    """Tell what to measure: branch by branch, with the bands of the corners."""
    circuit, bench = design.circuit, design.operation.bench
    inlet, supply = circuit.inlet, circuit.supply
    return {
        "board": board_facts(design),
        "supply": {
            "name": supply.name,
            "at_v": bench.at_v,
            "low_v": bench.at_v * (1 - _SET_SHARE),
            "high_v": bench.at_v * (1 + _SET_SHARE),
        },
        "board_a": asdict(bench.board_a),
        "connector": inlet.connector,
        "branches": [
            _branch_facts(branch, bench, place) for place, branch in enumerate(circuit.branches)
        ],
        "per_branch": {
            "ballasts": max(len(branch.ballasts) for branch in circuit.branches),
            "leds": max(len(branch.leds) for branch in circuit.branches),
        },
        "has": {
            "switch": inlet.switch or "",
            "guards": list(inlet.guards),
            "poled": [
                name for name in inlet.guards if design.board.part(name).kind is not PartKind.FUSE
            ],
            "cell": bool(design.parameters.parts.connector.cell),
            "cells": supply.kind.counted and supply.cells > 1,
        },
    }


def _branch_facts(branch: Branch, bench: Expected, place: int) -> Facts:
    return {
        "number": branch.number,
        "ballasts": list(branch.ballasts),
        "leds": list(branch.leds),
        "ballast_v": asdict(bench.ballasts_v[place]),
        "ballast_ohm": asdict(bench.resistors_ohm[place]),
        "led_v": asdict(bench.leds_v[place]),
    }


def parts_facts(design: Design) -> list[Facts]:
    """Tell what to count and what is printed on it: one entry for each kind and value."""
    order = list(PartKind)
    bought = sorted(
        (part for part in design.board.parts if part.kind.row.bought),
        key=lambda part: (order.index(part.kind), part.value, part.pattern.name),
    )
    groups = groupby(bought, key=lambda part: (part.kind, part.value, part.pattern.name))
    return [_part_facts(design, list(parts)) for _, parts in groups]


def _part_facts(design: Design, parts: Sequence[Part]) -> Facts:
    first = parts[0]
    body = first.pattern.body
    return {
        "kind": first.kind.value,
        "word": WORDS[f"kind.{first.kind.value}"],
        "wires": first.lands_only,
        "value": first.value,
        "count": len(parts),
        "references": by_letter([part.reference for part in parts]),
        "names": [part.reference for part in parts],
        "printed": described(design, first).get("marking", ""),
        "leaded": first.pattern.through_hole,
        "sides": sorted({part.side.value for part in parts}),
        "solder": _soldered(design, first).value,
        "length_mm": body.right_mm - body.left_mm,
        "width_mm": body.top_mm - body.bottom_mm,
        "ways": _ways(parts),
    }


def _soldered(design: Design, part: Part) -> Side:
    """Tell where a lead is soldered: on the other side, but for copper on one side only."""
    alone = len(design.parameters.sides) == 1
    return Side.TOP if alone or part.side is Side.BOTTOM else Side.BOTTOM


def _ways(parts: Sequence[Part]) -> list[Facts]:
    """Tell to where marks point, and on how many parts: all of one way is easiest to place."""
    ways: dict[str, list[str]] = {}
    for part in parts:
        ways.setdefault(mark_points(part), []).append(part.reference)
    return [{"way": way, "names": by_letter(names)} for way, names in ways.items() if way]


def joint_facts(design: Design) -> Facts:
    """Tell how boards are joined; nothing where they are not."""
    joint, circuit = design.parameters.parts.joint, design.circuit
    if joint is None:
        return {}
    return {
        "boards": circuit.boards,
        "these": design.parameters.alike_boards,
        "others": circuit.boards - design.parameters.alike_boards,
        "staples": 2 * (circuit.boards - 1),
        "lands": design.parameters.parts.connector.pattern.bodiless,
        "fed": "another" if design.parameters.fed_by_another else "this",
        "one_sided": len(design.parameters.sides) == 1,
        "darker": design.operation.rails.spread,
        "closes": closes(design.board.spines[0], circuit.boards),
        "apart_mm": -2 * joint.pattern.body.bottom_mm,
        "limit_a": circuit.worst_a,
        "end_v": design.operation.rails.far_v,
    }


def steps(parts: Sequence[Facts]) -> Iterator[Facts]:
    """Order what is soldered: chips without a mark, then LEDs and diodes, then what has leads."""
    chips = [part for part in parts if not part["leaded"]]
    yield from sorted(chips, key=lambda part: bool(part["ways"]))
    yield from (part for part in parts if part["leaded"])
