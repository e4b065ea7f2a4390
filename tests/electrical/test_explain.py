"""The sums as shown: a learner with a pocket calculator gets the same, and all is said once."""

import json
import math
import re
from pathlib import Path
from typing import Any

import pytest

from boardgen.electrical.explain import explain
from boardgen.export.explanations import explanation_record
from boardgen.model.explanation import Step
from boardgen.reading.family import parse_family
from boardgen.sums import explain_board
from tests.conftest import EXAMPLES, ROOT, SHELF, design_of, every, merged, parameters_of

_PREFIX = {"m": 1e-3, "u": 1e-6, "k": 1e3, "": 1.0}
_QUANTITY = re.compile(r"(\d[\d.]*(?:e[+-]?\d+)?) ?([mukM]?)(?:ohm|degC|A|V|W/m2K|W|K|m)(?![\w/])")

CALCULATED = {
    "guards_drop_nominal_v", "rail_nominal_v", "led_vf_at_current_v", "ballast_wanted_ohm",
    "led_saturation_ln",
    "headroom_lowest_v", "current_lowest_a", "current_nominal_a", "current_highest_a",
    "led_vf_lowest_v", "led_vf_nominal_v", "led_vf_highest_v", "led_heat_w",
    "junction_highest_degc", "led_current_share", "ballast_heat_w", "board_current_nominal_a",
    "board_current_highest_a", "fuse_holds_a", "power_nominal_w", "efficiency", "power_highest_w",
    "connector_heat_w", "rail_for_drop_mm", "board_cooling_k_per_w", "board_highest_degc",
}  # fmt: skip
"""Steps whose line of numbers is a sum that anyone can redo."""

FULL = merged(
    SHELF,
    {
        "supply": {"from": "battery 12 V"},
        "light": {"count": 13, "in_series": 2, "use": None, "current": "10 mA"},
        "resistor": {"per_branch": 2},
        "protection": {"fuse": "500 mA resettable", "reverse": "schottky"},
    },
)


def calculated(numbers: str) -> float:
    """Type a line of numbers into a pocket calculator."""
    plain = _QUANTITY.sub(lambda m: f"({float(m[1]) * _PREFIX[m[2]]!r})", numbers)
    plain = plain.replace("^2", "**2")
    assert re.fullmatch(r"[-+*/()\d.e ln]+", plain), plain
    return float(eval(plain, {"__builtins__": {}, "ln": math.log}))  # noqa: S307 - digits only


def steps_of(text: str) -> tuple[Step, ...]:
    made = design_of(text)
    return explain(made.parameters, made.circuit, made.operation)


EVERYWHERE = CALCULATED - {"guards_drop_nominal_v", "rail_nominal_v", "fuse_holds_a"}
FILES = {"shelf": SHELF, "full": FULL} | {
    path.stem: path.read_text(encoding="utf-8") for path in EXAMPLES
}


@pytest.mark.parametrize("name", FILES)
@pytest.mark.thorough
def test_a_pocket_calculator_gets_the_same(name: str) -> None:
    """Every line of numbers that is a sum gives its step's value, on every board shown."""
    beside = ROOT / "examples" / name
    family = parse_family(FILES[name], file="bar.toml", name="bar", folder=beside)
    members = [member.parameters for member in family.members if member.parameters]
    for parameters in members:
        seen = set()
        for step in explain_board(parameters).steps:
            if step.key in CALCULATED:
                seen.add(step.key)
                found = calculated(step.numbers)
                assert found == pytest.approx(step.value, rel=2e-4, abs=1e-6), step
        dark = {"led_vf_lowest_v"}  # a branch without current has no forward voltage to show
        assert seen >= EVERYWHERE - dark
        if name == "full":
            assert seen == CALCULATED


def test_a_sum_that_nobody_evaluates_is_no_sum() -> None:
    """What looks like a sum is evaluated: no line of numbers with signs is left out."""
    for step in explain_board(parameters_of(FULL)).steps:
        if re.search(r"\d [-+*/] |\^2", step.numbers) and "; " not in step.numbers:
            assert step.key in CALCULATED, step


def test_every_step_has_a_name_with_a_unit_of_its_own_and_says_where_it_comes_from() -> None:
    steps = steps_of(FULL)
    names = [(step.key, step.subject) for step in steps]
    assert len(names) == len(set(names))
    units = ("_v", "_a", "_w", "_ohm", "_mm", "_degc", "_h", "_lm", "_lx", "_share", "_ideality")
    plain = {"leds_in_series", "branches", "arrangement_spread", "rail_spread", "efficiency",
             "rail_spread_otherwise", "evenness", "led_saturation_ln"}  # fmt: skip
    for step in steps:
        assert step.key.endswith(units) or step.key in plain, step.key
        assert step.formula
        assert step.result
        assert math.isfinite(step.value) or step.key == "arrangement_spread"


def test_json_says_its_schema_and_holds_every_step() -> None:
    sums = explain_board(parameters_of(FULL))
    assert sums.refusal is None
    record: Any = json.loads(json.dumps(explanation_record(sums)))
    assert record["schema"] == "boardgen.explain/3"
    assert len(record["steps"]) == len(sums.steps)
    curves = {step["key"]: step["points"] for step in record["steps"] if step["points"]}
    assert len(curves["rail_spread"]) == 7  # a current for each branch
    ages = [share for _, share in curves["light_at_half_time_share"]]
    assert ages[0] == 1
    assert ages[-1] < 0.9
    assert set(record["steps"][0]) == {
        "key", "subject", "title", "formula", "numbers", "value", "result", "limit", "margin",
        "source", "points",
    }  # fmt: skip


@pytest.mark.parametrize(
    "path", every(EXAMPLES, lambda at: EXAMPLES[at].stem == "usb-shelf"), ids=lambda path: path.stem
)
def test_every_example_explains_itself_down_to_its_light(path: Path) -> None:
    from tests.conftest import example_built  # noqa: PLC0415 - heavy, shared by all tests

    made = example_built(path).design
    keys = {step.key for step in explain(made.parameters, made.circuit, made.operation)}
    assert {"rail_drop_v", "power_nominal_w", "sampled_branch_a"} <= keys
    assert ("run_time_h" in keys) is made.parameters.parts.supply.runs_down


def test_what_the_return_loses_is_told_with_how_it_was_found() -> None:
    (step,) = [one for one in steps_of(SHELF) if one.key == "return_drop_v"]
    assert step.result == f"{step.value * 1e6:.0f} uV"
    assert "finite differences" in step.source
