"""Laws of bars: a valid file gives a refusal in words or a board within every limit."""

import os
import re
import tomllib
from collections import Counter
from collections.abc import Callable
from concurrent.futures import ProcessPoolExecutor
from multiprocessing import get_context
from traceback import format_exc

import pytest
from hypothesis import HealthCheck, Phase, given, seed, settings
from hypothesis.strategies import SearchStrategy

from boardgen.build import build_board, prove_files
from boardgen.checks.table import RULES
from boardgen.designing import design_board, draw_board
from boardgen.errors import RefusalError
from boardgen.model.design import Design
from boardgen.model.findings import Severity
from boardgen.model.parameters import Parameters
from boardgen.outputs import export
from boardgen.reading import catalogue, footprints
from boardgen.reading.parameters import parse
from boardgen.standards.screws import SCREWS
from tests.conftest import merged
from tests.laws.strategies import GEOMETRY, parameter_files

BARS = parameter_files()

FAULTS: list[str] = []
"""What a run found: told at its end, so that one fault of hours does not hide the others."""

QUIET = [HealthCheck.too_slow, HealthCheck.data_too_large]


Make = Callable[[Parameters], Design]


def proven(parameters: Parameters) -> Design:
    """Draw a board and read its fabrication files back, without pages and pictures."""
    design = draw_board(parameters)
    prove_files(export(design, fabrication=True), design)
    return design


def whole(parameters: Parameters) -> Design:
    """Make all that a build makes."""
    return build_board(parameters).design


def judge(text: str, seen: Counter[str], make: Make) -> None:
    """Build one file and hold the law against it."""
    try:
        parameters = parse(text, file="bar.toml", name="bar")
        design = make(parameters)
    except RefusalError as refusal:
        seen["refused"] += 1
        for problem in refusal.problems:
            assert problem.what
            assert problem.remedy or problem.offers, problem.what
        return
    except Exception:  # noqa: BLE001 - a file that is not proven, or crashes, hides no others
        FAULTS.append(f"{text}\n{format_exc()}")
        return
    # No spoke is wide enough for a current that the connector does not bear either.
    overloaded = design.circuit.worst_a > parameters.parts.connector.rating_a
    rules = [
        rule for rule in RULES
        if rule.code.startswith(GEOMETRY) and not (overloaded and rule.code == "relief.current")
    ]  # fmt: skip
    errors = [
        finding
        for rule in rules
        if rule.severity is Severity.ERROR and not rule.absent(design)
        for finding in rule.check(design)
    ]
    if errors:
        FAULTS.append(f"{text}\n{errors}")
    seen["built"] += 1
    seen.update(traits(design.parameters, design.circuit.channels[0].in_series))


def traits(parameters: Parameters, in_series: int) -> list[str]:
    """Name what a built board stands for, so that a run can show what it covered."""
    connector, mounting = parameters.connector, parameters.mounting
    count, shares = parameters.light.count, in_series
    arrangement = "single" if shares == 1 else "leftover" if count % shares else "in series"
    return [
        f"form {parameters.form.kind}",
        f"arrangement {arrangement}",
        f"screws {parameters.parts.screw.thread}",
        f"rows {parameters.form.rows}",
        f"connector {connector.kind}",
        f"connector at {connector.at} {connector.side}",
        f"poles {len(parameters.parts.connector.pattern.lands)}",
        f"switch {bool(parameters.parts.switch)}",
        f"mounting {'places' if mounting.places else mounting.at}",
        f"screw {parameters.parts.screw.thread} {mounting.under}",
        f"LED size {parameters.parts.emitters[0].led.data.size}",
        f"resistor {parameters.resistor.size}",
        f"sides {parameters.copper.sides}",
        f"house {parameters.order.house}",
        f"printed {parameters.printed}",
        f"test points {parameters.copper.test_points}",
        f"in series {in_series}",
        f"resistors a branch {parameters.resistor.per_branch}",
        f"guards {'+'.join(guard.kind for guard in parameters.parts.guards) or 'none'}",
    ]


def run(
    examples: int,
    make: Make,
    *,
    share: int | None = None,
    files: SearchStrategy[str] = BARS,
) -> Counter[str]:
    """Draw files and judge them; a share of the marked run has files of its own."""
    seen: Counter[str] = Counter()

    @settings(
        max_examples=examples,
        derandomize=share is None,
        deadline=None,
        suppress_health_check=QUIET,
        database=None,
        phases=[Phase.generate],  # shrinking whole boards takes minutes
    )
    @given(files)
    def law(text: str) -> None:
        judge(text, seen, make)

    FAULTS.clear()
    (law if share is None else seed(share)(law))()
    assert not FAULTS, "\n\n".join(FAULTS)
    return seen


@pytest.mark.thorough
@pytest.mark.parametrize("first", [-8, -4])
def test_random_files_give_a_refusal_or_a_board_without_geometry_errors(first: int) -> None:
    """200 of them in eight shares: drawn one from the other, files of one are much alike."""
    seen: Counter[str] = Counter()
    for share in range(first, first + 4):
        seen.update(run(25, draw_board, share=share))
    assert seen["built"] >= seen["refused"], seen
    for rows in (1, 2, 3):
        assert seen[f"rows {rows}"] > 0


@pytest.mark.thorough
def test_some_random_boards_are_proven() -> None:
    seen = run(2, whole)
    assert seen["built"] > 0


MANY = int(os.environ.get("BOARDGEN_EXAMPLES", "10000"))
SHARE = 250
COVERED = {
    "form": ("bar",),
    "connector": footprints.connector_names(),
    "screws": SCREWS,
    "LED size": {led.size for led in catalogue.leds().values()},
    "sides": (1, 2),
    "arrangement": ("single", "leftover", "in series"),
}
"""What must have been built, each often enough: all that there is, not all that was met."""


def one_share(share: int) -> tuple[Counter[str], str]:
    """Judge one share; what was found is told at the end of them all."""
    try:
        return run(SHARE, proven, share=share), ""
    except Exception as fault:  # noqa: BLE001 - one share hides no others
        return Counter(), f"share {share}: {fault}"


@pytest.mark.slow
def test_many_random_files_keep_the_law() -> None:
    """Built boards are judged on their files as well; the number of a share draws it again.

    On the same code only: Hypothesis draws from the constants that it finds in the source too.
    """
    seen: Counter[str] = Counter()
    faults = []
    with ProcessPoolExecutor(mp_context=get_context("spawn")) as workers:
        for found, fault in workers.map(one_share, range(-(-MANY // SHARE))):
            seen.update(found)
            faults += [fault] if fault else []
            print(dict(found), fault, flush=True)  # noqa: T201 - the marked run takes hours
    print(dict(sorted(seen.items())))  # noqa: T201 - and tells its table
    assert not faults, "\n\n".join(faults)
    assert seen["built"] >= 0.6 * (seen["built"] + seen["refused"])
    least = 50 * MANY // 10_000
    for key, kinds in COVERED.items():
        counts = {kind: seen[f"{key} {kind}"] for kind in kinds}
        assert min(counts.values()) >= least, counts


_FITS = re.compile(r'form\.(\w+) = "([\d.]+) mm"')


@pytest.mark.parametrize("key", ["pitch", "width", "length"])
@pytest.mark.thorough
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
    # A size on the grid may be offered before the smallest, which lies beside it.
    offered = min(_FITS.findall(str(caught.value)), key=lambda found: float(found[1]))[1]
    step = 0.1
    assert tomllib.loads(text)["form"][key] == "4 mm"
    assert fits(float(offered))
    assert not fits(float(offered) - step)
