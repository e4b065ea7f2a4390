"""Random packages in pairs, one good and one damaged: the judge does not know which is which."""

import copyreg
import os
import pickle
import subprocess
import sys
from collections import Counter
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path
from random import Random
from types import MappingProxyType

import pytest
from hypothesis import HealthCheck, Phase, given, settings

from boardgen.designing import design_board
from boardgen.errors import RefusalError
from boardgen.model.design import Design
from boardgen.outputs import export
from boardgen.reading.parameters import parse
from tests.laws.strategies import parameter_files
from tests.readback.damages import DAMAGES
from tests.readback.editing import Files, refreshed
from tests.readback.judge import proxy

copyreg.pickle(MappingProxyType, lambda fixed: (proxy, (dict(fixed),)))

ROOT = Path(__file__).resolve().parents[2]
PAIRS = int(os.environ.get("BOARDGEN_PAIRS", "500"))
LEDS = int(os.environ.get("BOARDGEN_LEDS", "10"))
"""The marked run's number of pairs, and up to how many LEDs their boards have: seconds a pair."""

Asked = subprocess.Popen[bytes]


@contextmanager
def judge() -> Iterator[Asked]:
    """Start the judge in a process where importing the makers raises."""
    command = [sys.executable, "-W", "ignore", "-m", "tests.readback.judge"]
    with subprocess.Popen(
        command, cwd=ROOT, stdin=subprocess.PIPE, stdout=subprocess.PIPE
    ) as asked:
        yield asked
        assert asked.stdin
        asked.stdin.close()


def holds(asked: Asked, files: Files, design: Design) -> bool:
    """Ask the judge."""
    assert asked.stdin
    assert asked.stdout
    question = pickle.dumps((files, design))
    asked.stdin.write(len(question).to_bytes(8, "big") + question)
    asked.stdin.flush()
    answer = asked.stdout.readline().decode().strip()
    assert answer in ("holds", "wrong"), answer
    return answer == "holds"


def damaged(files: Files, chance: Random, done: Counter[str]) -> Files:
    """Do one damage of those that the board offers an object for."""
    for one in chance.sample(DAMAGES, len(DAMAGES)):
        try:
            made, named = one.do(dict(files), chance)
        except (IndexError, StopIteration, KeyError, ValueError):
            continue  # nothing there to damage in this way
        if made != files:
            done[one.name] += 1
            return refreshed(made, job_too=named.job_is_right)
    raise AssertionError("no damage fits")


def run(pairs: int, *, derandomize: bool, most_leds: int) -> Counter[str]:
    """Judge pairs of packages; return which damages were done."""
    done: Counter[str] = Counter()
    seen, faults = 0, list[str]()

    with judge() as asked:

        @settings(
            max_examples=20 * pairs,
            derandomize=derandomize,
            deadline=None,
            suppress_health_check=list(HealthCheck),
            database=None,
            phases=[Phase.generate],
        )
        @given(parameter_files())
        def law(text: str) -> None:
            nonlocal seen
            if seen >= pairs:
                return
            try:
                parameters = parse(text, file="bar.toml", name="bar")
                if parameters.light.count > most_leds:
                    return
                design = design_board(parameters)
            except RefusalError:
                return
            files = {file.path.rpartition("/")[2]: file.content
                     for file in export(design, fabrication=True)}  # fmt: skip
            chance = Random(f"{text} {seen}")  # noqa: S311 - a fixed pick, no secret
            two = [(refreshed(files), True), (damaged(files, chance, done), False)]
            chance.shuffle(two)
            answers = [holds(asked, package, design) for package, _ in two]
            seen += 1
            # Only now is it looked up which was which.
            if answers != [good for _, good in two]:
                faults.append(f"{text}\nanswered {answers} to {[good for _, good in two]}")

        law()
    assert seen == pairs
    assert not faults, "\n\n".join(faults)
    return done


@pytest.mark.thorough
def test_twenty_pairs_are_told_apart() -> None:
    assert len(run(20, derandomize=True, most_leds=5)) > 7


@pytest.mark.slow
def test_five_hundred_pairs_are_told_apart() -> None:
    done = run(PAIRS, derandomize=False, most_leds=LEDS)
    print(dict(sorted(done.items())))  # noqa: T201 - the marked run tells its table
    assert len(done) >= min(len(DAMAGES), PAIRS // 10) * 0.8


def test_the_judge_cannot_import_a_maker() -> None:
    code = (
        "import sys; sys.path.insert(0, '.');"
        "from tests.readback.judge import Refusing; sys.meta_path.insert(0, Refusing());"
        "import boardgen.export.gerber"
    )
    done = subprocess.run(
        [sys.executable, "-c", code], cwd=ROOT, capture_output=True, text=True, check=False
    )
    assert done.returncode != 0
    assert "is not for judges" in done.stderr
