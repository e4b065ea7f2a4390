"""Every rule through `boardgen check`: a micrometre past its limit it finds, at the limit not.

Whole boards with one object planted (`planting.py`); the numbers come from the house's limits. What
is said of them stands in `tests/golden/pairs.json`, and changes only on purpose.
"""

import json
from collections.abc import Iterable
from pathlib import Path
from typing import Any

import pytest
from click.testing import CliRunner

import boardgen.designing
from boardgen.checks.table import LATE, RULES, judge
from boardgen.cli import main
from boardgen.model.design import Design
from boardgen.model.findings import Severity
from tests.checks import pairs_circuit, pairs_copper, pairs_drawing, pairs_parts
from tests.checks.planting import BASE, PAIRS, UM, Pair, base, wide

MODULES = (pairs_circuit, pairs_copper, pairs_drawing, pairs_parts)
"""Importing them lists their pairs."""

ROWS = {rule.code: rule for rule in RULES}
BY_SHARE = {
    "power.ballast", "current.led", "current.connector", "current.switch", "current.guard",
    "joint.current", "legend.trimmed",
}  # fmt: skip
"""Over the house's share, or a plain letter: a warning; over the rating, or a mark: an error."""


WORDS = Path(__file__).resolve().parent.parent / "golden" / "pairs.json"
SAID = json.loads(WORDS.read_text(encoding="utf-8")) if WORDS.exists() else {}

Record = dict[str, Any]


def said(found: Iterable[Record]) -> list[str]:
    """Put each finding on a line, as a person reads it."""
    return [
        " | ".join(
            (
                f"{each['severity']} {each['code']}",
                *(each[part] for part in ("message", "actual", "limit")),
                ", ".join(f"{part:g}" for part in each["place_mm"] or ()),
                ", ".join(each["subjects"]),
                each["path"],
            )
        )
        for each in found
    ]


def checked(
    design: Design, folder: Path, monkeypatch: pytest.MonkeyPatch
) -> tuple[int, list[Record]]:
    """Run the command on a file, whose design is the planted one."""
    file = folder / "bar.toml"
    file.write_text(BASE, encoding="utf-8")
    monkeypatch.setattr(boardgen.designing, "design_board", lambda _: design)
    # Offers are tried on the file, which is not the planted board: they have tests of their own.
    monkeypatch.setattr(boardgen.designing, "judge_board", judge)
    done = CliRunner().invoke(main, ["check", str(file), "--format", "json"])
    assert done.exit_code in (0, 1), done.output
    return done.exit_code, json.loads(done.stdout)["findings"]


@pytest.mark.parametrize("board", [base, wide])
def test_the_boards_without_a_fault_are_clean(
    board: object, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    assert callable(board)
    assert checked(board(), tmp_path, monkeypatch) == (0, [])


def _listed() -> list[object]:
    """Leave the first pair of every second rule to every run, and mark the others as thorough."""
    shown, found = dict[str, int](), list[object]()
    for one in PAIRS:
        quick = one.code not in shown and len(shown) % 2 == 0
        marks = [] if quick else [pytest.mark.thorough]
        shown.setdefault(one.code, len(shown))
        found.append(pytest.param(one, marks=marks, id=one.name))
    return found


@pytest.mark.parametrize("one", _listed())
def test_past_the_limit_is_found_and_at_the_limit_is_not(
    one: Pair, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    rule = ROWS[one.code]
    besides = {*rule.implied, *one.besides}
    _, at_limit = checked(one.plant(0.0), tmp_path, monkeypatch)
    assert one.code not in codes(at_limit, one)
    assert codes(at_limit, one) <= besides
    status, past = checked(one.plant(UM), tmp_path, monkeypatch)
    assert one.code in codes(past, one)
    assert codes(past, one) - {one.code} <= besides
    if one.grave or (rule.severity is Severity.ERROR and one.code not in BY_SHARE):
        assert status == 1
    assert SAID[one.name] == {"past": said(past), "at the limit": said(at_limit)}


def codes(found: Iterable[Record], one: Pair) -> set[str]:
    """Gather codes; of a grave pair's own, errors only."""
    return {
        each["code"] for each in found
        if each["severity"] == "error" or not (one.grave and each["code"] == one.code)
    }  # fmt: skip


def test_what_is_said_is_of_these_pairs() -> None:
    assert set(SAID) == {one.name for one in PAIRS}
    assert len(SAID) == len(PAIRS)


def test_every_rule_has_three_pairs_at_least_and_no_other_code_any() -> None:
    counted = dict.fromkeys(ROWS, 0)
    for one in PAIRS:
        counted[one.code] += 1
    assert not {code: count for code, count in counted.items() if count < 3}


def test_implied_codes_exist_and_codes_are_never_doubled() -> None:
    codes = [rule.code for rule in (*RULES, *LATE)]
    assert len(codes) == len(set(codes))
    assert {code for rule in RULES for code in rule.implied} <= set(codes)
