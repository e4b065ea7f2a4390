"""Pages for a class: sums to do with this board's numbers, a board with a fault, answers."""

from collections.abc import Iterator
from dataclasses import asdict

from boardgen.model.circuit import Branch
from boardgen.model.design import Design
from boardgen.model.faults import FaultKind, Lesson, Reading
from boardgen.model.outputs import OutputFile, OutputFiles
from boardgen.papers.facts import Facts, board_facts
from boardgen.papers.render import page
from boardgen.units import resistance


def lesson_pages(design: Design, lesson: Lesson, schematic: str) -> OutputFiles:
    """Write ``worksheet.html`` and ``answers.html``.

    Parameters
    ----------
    schematic : str
        The circuit diagram, as SVG.
    """
    facts = lesson_facts(design, lesson)
    return tuple(
        OutputFile(
            path=f"{name}.html", content=page(f"{name}.html", facts, {"schematic": schematic})
        )
        for name in ("worksheet", "answers")
    )


def lesson_facts(design: Design, lesson: Lesson) -> Facts:
    """Tell what both pages say."""
    circuit = design.circuit
    return {
        "board": board_facts(design),
        "sums": _sums(design),
        "rail_v": lesson.rail_v,
        "readings": {
            "branches": [
                _branch(branch, reading)
                for branch, reading in zip(circuit.branches, lesson.faulty, strict=True)
            ],
            "board_a": lesson.faulty_a,
        },
        "sound": {
            "branches": [asdict(reading) for reading in lesson.sound],
            "board_a": lesson.sound_a,
        },
        "most_leds": max(len(branch.leds) for branch in circuit.branches),
        "ballasts": max(len(branch.ballasts) for branch in circuit.branches),
        "faults": list(_faults(design, lesson)),
    }


def _branch(branch: Branch, reading: Reading) -> Facts:
    return {
        **asdict(reading),
        "ballasts": list(branch.ballasts),
        "leds": list(branch.leds),
    }


def _sums(design: Design) -> Facts:
    """Gather the numbers of the exercises: all were decided before, and belong together."""
    circuit, parameters = design.circuit, design.parameters
    kind, life = circuit.kinds[0], design.operation.run_time
    ballast, count = kind.ballast, len(circuit.places(kind))
    vf_v = (circuit.feed.nominal_v - ballast.wanted_ohm * kind.wanted_a) / kind.leds
    return {
        "supply_v": circuit.feed.nominal_v,
        "leds": kind.leds,
        "vf_v": vf_v,
        "leds_v": vf_v * kind.leds,
        "wanted_a": kind.wanted_a,
        "left_v": circuit.feed.nominal_v - vf_v * kind.leds,
        "wanted_ohm": ballast.wanted_ohm,
        "series": parameters.resistor.series,
        "value_ohm": ballast.value_ohm,
        "count": ballast.count,
        "whole_ohm": ballast.value_ohm * ballast.count,
        "nominal_v": kind.nominal.vf_v,
        "across_v": circuit.feed.nominal_v - kind.nominal.vf_v,
        "nominal_a": kind.nominal.current_a,
        "each_w": kind.nominal.ballast_w / ballast.count,
        "rating_w": ballast.rating_w,
        "branches": count,
        "board_a": kind.nominal.current_a * count,
        "charge_ah": life.charge_ah * (1 - life.left) if life and life.hours else 0.0,
        "mean_a": life.mean_a if life and life.hours else 0.0,
        "hours": life.hours if life and life.hours else 0.0,
    }


def _faults(design: Design, lesson: Lesson) -> Iterator[Facts]:
    circuit = design.circuit
    for fault in lesson.faults:
        branch = circuit.branch_of(fault.reference)
        told = fault.kind.value
        if fault.kind is FaultKind.VALUE:
            told = resistance(fault.value_ohm)
        yield {
            "reference": fault.reference,
            "kind": fault.kind.value,
            "led": fault.reference in branch.leds,
            "told": told,
            "branch": branch.number,
            "dark": list(branch.leds) if fault.kind in (FaultKind.TURNED, FaultKind.OPEN) else [],
            "right_ohm": branch.kind.ballast.value_ohm,
            "current_a": lesson.faulty[branch.number - 1].current_a,
            "most_a": branch.kind.led.data.max_current_a,
            "bears_v": branch.kind.led.data.max_reverse_v or 0.0,
        }
