"""The law of offers: what boardgen says would mend a board does, when it is written into the file.

Random files are broken at random; every offer of a finding and of a refusal is put into the file
as a user would put it, and the whole board is judged: the rule that offered it is content, and no
other rule says more than before, but for warnings that stand in the offer itself.
"""

import os
import tomllib
from collections import Counter
from concurrent.futures import ProcessPoolExecutor
from multiprocessing import get_context
from typing import Any

import pytest
from hypothesis import HealthCheck, Phase, given, seed, settings
from hypothesis import strategies as st

from boardgen.checks.table import check
from boardgen.designing import design_board, draw_board, judge_board
from boardgen.errors import Change, RefusalError
from boardgen.model.findings import Severity
from boardgen.model.parameters import Parameters
from boardgen.reading import changes
from boardgen.reading.family import parse_family
from boardgen.reading.guards import fuse_names
from boardgen.remedies.trials import Grades, graded, worse
from tests.conftest import toml_text
from tests.laws.strategies import parameter_files

MANY = int(os.environ.get("BOARDGEN_OFFERS", "2000"))
SHARE = 50
QUIET = [HealthCheck.too_slow, HealthCheck.data_too_large]

BREAKS: list[dict[str, dict[str, Any]]] = [
    {"light": {"current": "45 mA", "use": None}},
    {"light": {"current": "25 mA", "use": None}},
    {"light": {"current": "0.03 mA", "use": None}},
    {"light": {"in_series": 2}},
    {"light": {"in_series": 4}},
    {"resistor": {"rating": "30 mW"}},
    {"resistor": {"drawer": ["82R"]}},
    {"resistor": {"drawer": ["100R", "470R"], "round": "up"}},
    {"resistor": {"size": "0402"}},
    {"supply": {"from": "alkaline AA", "cells": 2}},
    {"supply": {"from": "NiMH AAA", "cells": 3}},
    {"supply": {"from": "usb 5 V"}},
    {"supply": {"from": "battery 12 V"}},
    {"supply": {"kind": "bench", "low": "9 V", "nominal": "12 V", "high": "16 V"}},
    {"form": {"pitch": "5 mm"}},
    {"form": {"width": "9 mm"}},
    {"form": {"length": "70 mm"}},
    {"copper": {"rail": "0.4 mm", "weight": "0.5 oz"}},
    {"copper": {"rail": "8 mm"}},
    {"copper": {"rail": "0.3 mm"}, "light": {"current": "15 mA", "use": None}},
    {"light": {"use": "task", "current": "2 mA"}},
    {"copper": {"relief": "none"}},
    {"connector": {"switch": "slide switch"}},
    *({"protection": {"fuse": name}} for name in fuse_names()[::3]),
]  # fmt: skip


@st.composite
def broken_files(draw: st.DrawFn) -> str:
    """Break a random file in one or two ways."""
    tables = tomllib.loads(draw(parameter_files()))
    for change in draw(st.lists(st.sampled_from(BREAKS), min_size=1, max_size=2)):
        for section, values in change.items():
            kept = {} if section == "supply" else tables.get(section, {})
            merged = {**kept, **values}
            tables[section] = {key: value for key, value in merged.items() if value is not None}
    return toml_text(tables)


def read_with(text: str, *settings_: str) -> Parameters:
    family = parse_family(text, file="bar.toml", name="bar", changes=changes.settings(settings_))
    (member,) = family.members
    assert member.parameters
    return member.parameters


def applied(text: str, offer: Change) -> Grades:
    """Write an offer into the file, and judge the board that comes of it."""
    written = [f"{change.path}={change.value}" for change in offer.all]
    return graded(check(draw_board(read_with(text, *written))))


def judge(text: str, seen: Counter[str], faults: list[str]) -> None:
    try:
        parameters = read_with(text)
    except RefusalError:
        seen["no parameters"] += 1
        return
    try:
        design = design_board(parameters)
    except RefusalError as refusal:
        seen["refused"] += 1
        for problem in refusal.problems:
            for offer in problem.offers:
                _hold(text, offer, {}, "", seen, faults)
        return
    judged = judge_board(design)
    before = graded(judged.findings)
    for finding in judged.findings:
        if finding.severity is Severity.INFORMATION or finding.waived:
            continue
        seen["findings"] += 1
        if not finding.changes and not finding.no_change and finding.code != "waive.unused":
            faults.append(f"{text}\n{finding.code}: neither offer nor reason")
        for offer in dict.fromkeys(finding.changes):
            _hold(text, offer, before, finding.code, seen, faults)


def _hold(
    text: str, offer: Change, before: Grades, code: str, seen: Counter[str], faults: list[str]
) -> None:
    key = f"{text}{offer}"
    if key in _HELD:
        return
    _HELD.add(key)
    seen["offers"] += 1
    try:
        after = applied(text, offer)
    except RefusalError as refusal:
        faults.append(f"{text}\n{code}: {offer} is refused: {refusal}")
        return
    step = "a first step" in offer.note
    untold = {c: weight for c, weight in after.items() if c not in offer.note}
    told_errors = [c for c, w in after.items() if w is Severity.ERROR and c in offer.note]
    if told_errors and not step and code:
        faults.append(f"{text}\n{code}: {offer} brings errors")
    eased = before.get(code) is Severity.ERROR and after.get(code) is Severity.WARNING
    if code and code in after and not (eased and code in offer.note):
        faults.append(f"{text}\n{code}: {offer} does not mend it")
    if worse(untold, before):
        faults.append(f"{text}\n{code}: {offer} brings {untold}, before {before}")


_HELD: set[str] = set()


def run(examples: int, share: int) -> tuple[Counter[str], list[str]]:
    seen, faults = Counter[str](), list[str]()

    @seed(share)
    @settings(max_examples=examples, deadline=None, suppress_health_check=QUIET, database=None,
              phases=[Phase.generate])  # fmt: skip
    @given(broken_files())
    def law(text: str) -> None:
        judge(text, seen, faults)

    law()
    return seen, faults


@pytest.mark.thorough
def test_every_offer_mends_what_it_was_offered_for() -> None:
    seen, faults = run(10, -1)
    assert not faults, "\n\n".join(faults)
    assert seen["offers"] > 0, seen


def one_share(share: int) -> tuple[Counter[str], list[str]]:
    return run(SHARE, share)


@pytest.mark.slow
def test_every_offer_of_many_broken_files() -> None:
    seen, faults = Counter[str](), list[str]()
    with ProcessPoolExecutor(mp_context=get_context("spawn")) as workers:
        for found, wrong in workers.map(one_share, range(-(-MANY // SHARE))):
            seen.update(found)
            faults += wrong
            print(dict(found), *wrong, sep="\n", flush=True)  # noqa: T201 - the run takes long
    print(dict(seen))  # noqa: T201 - and tells its table
    assert not faults, "\n\n".join(faults)
