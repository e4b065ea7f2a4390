"""The exercises of a worksheet: which there are, how they are asked, what comes out."""

from collections.abc import Mapping
from typing import Any

from boardgen import units
from boardgen.pages.words import WORDS

_ALWAYS = ("left", "ohm", "value", "current", "heat")
_SAME = 0.005
"""So near a value to the wanted one counts as the same: half of the usual tolerance."""


def questions(facts: Mapping[str, Any]) -> tuple[str, ...]:
    """List the exercises of a board: how long it shines only where it runs down."""
    sums = facts["sums"]
    more = (("board", sums["branches"] > 1), ("hours", sums["hours"]))
    return (*_ALWAYS, *(key for key, asked in more if asked))


def question(key: str, facts: Mapping[str, Any]) -> str:
    """Word an exercise."""
    return WORDS[f"lesson.q_{key}"].format(**_numbers(facts))


def answer(key: str, facts: Mapping[str, Any]) -> str:
    """Word its answer, with the numbers put in."""
    sums = facts["sums"]
    if key == "value":
        far = sums["whole_ohm"] / sums["wanted_ohm"] - 1
        key = "value_same" if abs(far) < _SAME else "value_less" if far > 0 else "value_more"
    if key == "heat" and sums["each_w"] > sums["rating_w"]:
        key = "heat_no"
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
