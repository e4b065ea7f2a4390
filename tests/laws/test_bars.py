"""Laws of bars: every valid file gives a refusal in words or a board that keeps every limit."""

import os
import re
import tomllib
from collections import Counter

import pytest
from hypothesis import HealthCheck, Phase, given, settings

from boardgen.build import build_board, design_board
from boardgen.checks.table import RULES
from boardgen.errors import ProofError, RefusalError
from boardgen.model.findings import Severity
from boardgen.model.parameters import Parameters
from boardgen.reading.parameters import parse
from tests.conftest import merged
from tests.laws.strategies import GEOMETRY, parameter_files

FAULTS: list[str] = []
"""What a run found: told at its end, so that one fault of hours does not hide the others."""

QUIET = [HealthCheck.too_slow, HealthCheck.data_too_large]


def judge(text: str, seen: Counter[str], *, proven: bool) -> None:
    """Build one file and hold the law against it."""
    try:
        parameters = parse(text, file="bar.toml", name="bar")
        design = build_board(parameters).design if proven else design_board(parameters)
    except ProofError as error:
        FAULTS.append(f"{text}\n{error}")
        return
    except RefusalError as refusal:
        seen["refused"] += 1
        for problem in refusal.problems:
            assert problem.what
            assert problem.remedy, problem.what
        return
    rules = [rule for rule in RULES if rule.code.startswith(GEOMETRY)]
    errors = [
        finding
        for rule in rules
        if rule.severity is Severity.ERROR and not rule.absent(design)
        for finding in rule.check(design, design.limits)
    ]
    if errors:
        FAULTS.append(f"{text}\n{errors}")
    seen["built"] += 1
    seen.update(traits(design.parameters, design.circuit.in_series))


def traits(parameters: Parameters, in_series: int) -> list[str]:
    """Name what a built board stands for, so that a run can show what it covered."""
    connector, mounting = parameters.connector, parameters.mounting
    count, shares = parameters.light.count, in_series
    arrangement = "single" if shares == 1 else "leftover" if count % shares else "in series"
    return [
        f"form {parameters.form.kind}",
        f"arrangement {arrangement}",
        f"screws {parameters.screw.thread}",
        f"rows {parameters.form.rows}",
        f"connector {connector.kind}",
        f"connector at {connector.at} {connector.side}",
        f"poles {len(parameters.connector_part.pattern.lands)}",
        f"switch {bool(parameters.switch_part)}",
        f"mounting {'places' if mounting.places else mounting.at}",
        f"screw {parameters.screw.thread} {mounting.under}",
        f"LED size {parameters.led.data.size}",
        f"resistor {parameters.resistor.size}",
        f"sides {parameters.copper.sides}",
        f"house {parameters.order.house}",
        f"printed {parameters.printed}",
        f"test points {parameters.copper.test_points}",
        f"in series {in_series}",
        f"resistors a branch {parameters.resistor.per_branch}",
        f"guards {'+'.join(guard.kind for guard in parameters.guards) or 'none'}",
    ]


def run(examples: int, *, derandomize: bool, proven: bool) -> Counter[str]:
    seen: Counter[str] = Counter()

    @settings(
        max_examples=examples,
        derandomize=derandomize,
        deadline=None,
        suppress_health_check=QUIET,
        database=None,
        phases=[Phase.generate],  # shrinking whole boards takes minutes
    )
    @given(parameter_files())
    def law(text: str) -> None:
        judge(text, seen, proven=proven)

    FAULTS.clear()
    law()
    assert not FAULTS, "\n\n".join(FAULTS)
    return seen


def test_random_files_give_a_refusal_or_a_board_without_geometry_errors() -> None:
    seen = run(200, derandomize=True, proven=False)
    assert seen["built"] >= seen["refused"], seen
    for rows in (1, 2, 3):
        assert seen[f"rows {rows}"] > 0


def test_random_boards_are_proven() -> None:
    seen = run(10, derandomize=True, proven=True)
    assert seen["built"] > 0


MANY = int(os.environ.get("BOARDGEN_EXAMPLES", "10000"))
COVERED = ("form", "connector", "screws", "LED size", "sides", "arrangement")


@pytest.mark.slow
def test_many_random_files_keep_the_law() -> None:
    """Built boards are judged on their files as well; hours for the whole number."""
    seen = run(MANY, derandomize=False, proven=True)
    print(dict(sorted(seen.items())))  # noqa: T201 - the marked run tells its table
    assert seen["built"] >= 0.6 * (seen["built"] + seen["refused"])
    least = 50 * MANY // 10_000
    for key in COVERED:
        counts = {name: seen[name] for name in seen if name.startswith(f"{key} ")}
        assert min(counts.values()) >= least, counts


_FITS = re.compile(r'(?:smallest that fits: |write form\.)(\w+) = "([\d.]+) mm"')


def test_a_refused_size_passes_with_the_smallest_change_that_is_offered() -> None:
    """Each offered size, applied literally, builds; applied one after the other at most thrice."""
    tried: Counter[str] = Counter()

    @settings(max_examples=80, derandomize=True, deadline=None, suppress_health_check=QUIET,
              database=None, phases=[Phase.generate])  # fmt: skip
    @given(parameter_files())
    def law(text: str) -> None:
        for attempt in range(4):
            try:
                design_board(parse(text, file="bar.toml", name="bar"))
            except RefusalError as refusal:
                offers = _FITS.findall(str(refusal))
                if not offers:
                    tried["no size"] += 1
                    return
                if attempt == 3:
                    pytest.fail(f"{text}\n{refusal}")
                text = merged(text, {"form": {key: f"{value} mm" for key, value in offers}})
            else:
                tried["mended" if attempt else "fits"] += 1
                return

    law()
    assert tried["mended"] >= 4, tried


@pytest.mark.parametrize("key", ["pitch", "width", "length"])
def test_the_next_smaller_size_than_the_one_offered_is_refused(key: str) -> None:
    text = merged(
        """[board]\ntitle = "x"\n[supply]\nfrom = "usb 5 V"\n[light]\nled = "white 2835"
count = 6\n[form]\nkind = "bar"\npitch = "20 mm"\n""",
        {"form": {key: "4 mm", **({} if key == "pitch" else {"pitch": "20 mm"})}},
    )

    def fits(value: float) -> bool:
        try:
            changed = merged(text, {"form": {key: f"{value:g} mm"}})
            design_board(parse(changed, file="bar.toml", name="bar"))
        except RefusalError:
            return False
        return True

    with pytest.raises(RefusalError) as caught:
        design_board(parse(text, file="bar.toml", name="bar"))
    ((_, offered),) = _FITS.findall(str(caught.value))
    step = 0.1
    assert tomllib.loads(text)["form"][key] == "4 mm"
    assert fits(float(offered))
    assert not fits(float(offered) - step)
