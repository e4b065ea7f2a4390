"""The exercises of a worksheet: which there are, how they are asked, what comes out."""

from collections.abc import Mapping
from typing import Any

from boardgen import units
from boardgen.papers.words import WORDS

_ALWAYS = ("left", "ohm", "value", "current", "heat", "board")


def questions(facts: Mapping[str, Any]) -> tuple[str, ...]:
    """List the exercises of a board: how long it shines only where it runs down."""
    return (*_ALWAYS, *(("hours",) if facts["sums"]["hours"] else ()))


def question(key: str, facts: Mapping[str, Any]) -> str:
    """Word an exercise."""
    return WORDS[f"lesson.q_{key}"].format(**_numbers(facts))


def answer(key: str, facts: Mapping[str, Any]) -> str:
    """Word its answer, with the numbers put in."""
    if key == "value":
        sums = facts["sums"]
        key = "value_less" if sums["whole_ohm"] > sums["wanted_ohm"] else "value_more"
    return WORDS[f"lesson.a_{key}"].format(**_numbers(facts))


def _numbers(facts: Mapping[str, Any]) -> dict[str, object]:
    """Round every number in one way, so that an answer follows from what was given."""
    sums = facts["sums"]
    volts = {"supply": "supply_v", "vf": "vf_v", "left": "left_v", "nominal": "nominal_v"}
    amps = {"current": "wanted_a", "amps": "nominal_a", "board": "board_a", "mean": "mean_a"}
    return {
        **{name: units.engineering(sums[key], "V", 4) for name, key in volts.items()},
        **{name: units.engineering(sums[key], "A", 4) for name, key in amps.items()},
        "leds": sums["leds"],
        "ohm": units.engineering(sums["wanted_ohm"], "ohm", 4),
        "count": sums["count"],
        "value": units.resistance(sums["value_ohm"]),
        "whole": units.resistance(sums["whole_ohm"]),
        "series": sums["series"],
        "each": units.engineering(sums["each_w"], "W", 3),
        "rating": units.engineering(sums["rating_w"], "W", 3),
        "branches": sums["branches"],
        "charge": units.engineering(sums["charge_ah"], "Ah", 4),
        "hours": f"{units.figures(sums['hours'], 3)} h",
    }
