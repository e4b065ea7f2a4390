"""The assembly guide for somebody who does it for the first time: one card a step."""

from collections.abc import Iterator, Sequence

from boardgen.electrical.measured import expected
from boardgen.model.board import Part, PartKind, TextRole
from boardgen.model.cautions import Caution
from boardgen.model.design import Design
from boardgen.model.outputs import OutputFile, OutputFiles
from boardgen.model.parts import LedPart
from boardgen.model.side import Side
from boardgen.pages.joints import joint_pictures
from boardgen.pages.steps import led_picture, paste_picture, step_pictures, true_size
from boardgen.papers.facts import Facts, bench_facts, caution_facts, joint_facts, parts_facts, steps
from boardgen.papers.render import page


def guide(design: Design, cautions: Sequence[Caution], files: OutputFiles) -> OutputFile:
    """Write ``assembly/guide.html``; ``files`` hold the picture of the bare board."""
    facts = guide_facts(design, cautions)
    return OutputFile(
        path="assembly/guide.html",
        content=page("guide.html", facts, guide_pictures(design, facts, files)),
    )


def guide_facts(design: Design, cautions: Sequence[Caution]) -> Facts:
    """Tell what the cards say."""
    parts = parts_facts(design)
    first = design.circuit.branches[0]
    bench = bench_facts(design)
    low_v, high_v = _first_ballast_v(design)
    return {
        "board": bench["board"],
        "connector": bench["connector"],
        "supply_v": bench["supply"]["at_v"],
        "limit_a": bench["board_a"]["high"],
        "parts": parts,
        "steps": list(steps(parts)),
        "leds": [_led_facts(design, channel.led, parts) for channel in design.circuit.channels],
        "cell": bool(design.parameters.parts.connector.cell),
        "joint": joint_facts(design),
        "two_sided": len(design.parameters.sides) > 1,
        "switch": bench["has"]["switch"],
        "central": design.parameters.connector.central,
        "wired_at_edge": design.parameters.parts.connector.pattern.wired_at_edge,
        "named": any(text.role is TextRole.REFERENCE for text in design.board.texts),
        "pasted": [side.value for side in _pasted(design)],
        "alike": len(design.circuit.branches) > len(design.circuit.kinds) == 1,
        "first": {
            "across": " + ".join(first.ballasts),
            "low_v": low_v,
            "high_v": high_v,
        },
        "cautions": {
            "solder": caution_facts(cautions, "soldering", "lead"),
            "power": caution_facts(
                cautions, "power supply", "bench supply", "cells", "cells of any kind", "battery",
                "lithium", "coin cell", "strong supply", "bright light", "ultraviolet",
                "warm board",
            ),
            "after": caution_facts(cautions, "damp place", "charging"),
        },
    }  # fmt: skip


def _first_ballast_v(design: Design) -> tuple[float, float]:
    """Tell what the first ballast may show: at the bench supply's volts, or from any sound cell."""
    if not design.parameters.parts.connector.cell:
        band = design.operation.bench.ballasts_v[0]
        return band.low, band.high
    supply = design.circuit.supply
    least, most = (
        expected(design.parameters, design.circuit, volts).ballasts_v[0]
        for volts in (supply.low_v, supply.high_v)
    )
    return least.low, most.high


def _led_facts(design: Design, led: LedPart, parts: Sequence[Facts]) -> Facts:
    (own,) = (part for part in parts if part["kind"] == "led" and part["value"] == led.name)
    return {
        "name": led.name,
        "mark": led.data.mark,
        "pole": "cathode" if led.data.cathode else "anode",
        "shown": _shown(design, led),
        "ways": own["ways"],
        "lights_v": led.data.vf.typical_v,
    }


def _shown(design: Design, led: LedPart) -> str:
    """Name the sentence that tells the marked end's place by what the board itself shows."""
    texts = [text for text in design.board.texts if text.role is TextRole.POLARITY]
    leds = [part for part in design.board.parts if part.kind is PartKind.LED]
    lettered = len({text.owner for text in texts}) >= len(leds)
    return f"{'at' if led.data.cathode else 'from'}_{'k' if lettered else 'bar'}"


def _pasted(design: Design) -> list[Side]:
    """Tell which sides have chips, which get paste."""
    parts = [part for part in design.board.parts if part.kind.row.bought]
    chips = {part.side for part in parts if not part.pattern.through_hole}
    return [side for side in Side if side in chips]


def guide_pictures(design: Design, facts: Facts, files: OutputFiles) -> dict[str, str]:
    """Draw what the cards show, by name."""
    parts = {part.reference: part for part in design.board.parts}
    found = {f"joint-{kind}": svg for kind, svg in joint_pictures().items()}
    for step in facts["steps"]:
        found.update(_step_pictures(design, step, parts))
    for side in Side:
        if side.value in facts["pasted"]:
            found[f"paste-{side.value}"] = paste_picture(design, side)
    names = {"preview-top.svg": "bare", "oblique.svg": "oblique", "assembled.svg": "assembled"}
    found |= {names[file.path]: file.content.decode() for file in files if file.path in names}
    for part in facts["parts"]:
        found[f"size-{part['references']}"] = true_size(part["length_mm"], part["width_mm"])
    for place, led in enumerate(facts["leds"]):
        first = next(
            part for part in parts.values()
            if part.kind is PartKind.LED and part.value == led["name"]
        )  # fmt: skip
        found[f"led-{place}"] = led_picture(first)
    return found


def _step_pictures(
    design: Design, step: Facts, parts: dict[str, Part]
) -> Iterator[tuple[str, str]]:
    for side in Side:
        names = [name for name in step["names"] if parts[name].side is side]
        if names:
            whole, near = step_pictures(design, side, names)
            yield f"{step['references']}-{side.value}", whole
            yield f"{step['references']}-{side.value}-near", near
