"""Laws of all forms: a refusal in words whose offers pass, or a clean, proven board."""

import os
import tomllib
from collections import Counter
from concurrent.futures import ProcessPoolExecutor
from multiprocessing import get_context

import pytest
from hypothesis import HealthCheck, Phase, given, seed, settings

from boardgen.designing import draw_board, with_offers
from boardgen.errors import RefusalError
from boardgen.model.design import Design
from boardgen.model.findings import Severity
from boardgen.model.parameters import Parameters
from boardgen.reading.parameters import parse
from tests.laws import test_bars as bars
from tests.laws.strategies import FORM_KINDS, GEOMETRY, form_files
from tests.laws.test_offers import applied

MANY = int(os.environ.get("BOARDGEN_EXAMPLES", "10000"))
SHARE = 10
"""Files of one share are drawn one from the other, much alike: many small ones differ more."""


def run(share: int, make: bars.Make, *, offers: bool, examples: int = SHARE) -> Counter[str]:
    """Draw and judge one share of files; the number of a share draws it again."""
    seen, faults = Counter[str](), list[str]()

    @seed(share)
    @settings(
        max_examples=examples,
        deadline=None,
        suppress_health_check=[HealthCheck.too_slow, HealthCheck.data_too_large],
        database=None,
        phases=[Phase.generate],  # shrinking whole boards takes minutes
    )
    @given(form_files())
    def law(text: str) -> None:
        refusals = list[RefusalError]()

        def made(parameters: Parameters) -> Design:
            try:
                return make(parameters)
            except RefusalError as refusal:
                refusals.append(with_offers(refusal, parameters) if offers else refusal)
                raise

        try:
            parse(text, file="bar.toml", name="bar")
        except RefusalError as unread:
            refusals.append(unread)
        before = seen["refused"]
        bars.judge(text, seen, made)
        kind = tomllib.loads(text)["form"]["kind"]
        seen[f"{kind} {'refused' if seen['refused'] > before else 'built'}"] += 1
        for refusal in refusals if offers else ():
            faults.extend(broken_offers(text, refusal))
            faults.extend(
                f"{text}\n{problem.what}: and now?"
                for problem in refusal.problems
                if not problem.remedy and not problem.offers
            )

    bars.FAULTS.clear()
    law()
    assert not [*bars.FAULTS, *faults], "\n\n".join([*bars.FAULTS, *faults])
    return seen


def broken_offers(text: str, refusal: RefusalError) -> list[str]:
    """Write each offer of a refusal into the file; tell those from which no sound board follows."""
    offers = [offer for problem in refusal.problems for offer in problem.offers]
    faults = []
    for offer in dict.fromkeys(offers):
        try:
            grades = applied(text, offer)
        except RefusalError as again:
            faults.append(f"{text}\n{offer} is refused: {again}")
            continue
        bad = [
            code for code, grade in grades.items()
            if grade is Severity.ERROR and code.startswith(GEOMETRY)
        ]  # fmt: skip
        faults += [f"{text}\n{offer} brings {bad}"] if bad else []
    return faults


@pytest.mark.thorough
@pytest.mark.parametrize("first", range(-20, 0, 5))
def test_random_files_of_every_form_are_refused_in_words_or_clean(first: int) -> None:
    """200 of them in twenty shares."""
    seen = Counter[str]()
    for share in range(first, first + 5):
        seen.update(run(share, draw_board, offers=False))
    assert seen["built"] >= seen["refused"], seen


@pytest.mark.thorough
def test_some_of_them_are_proven_and_their_offers_pass() -> None:
    assert run(0, bars.proven, offers=True, examples=6)["built"] > 0


@pytest.mark.slow
def test_many_random_files_of_every_form_are_proven_or_their_offers_pass() -> None:
    """10,000 of them, or as many as BOARDGEN_EXAMPLES says; of each form half is built at least."""
    seen, faults = Counter[str](), list[str]()
    with ProcessPoolExecutor(mp_context=get_context("spawn")) as workers:
        for found, fault in workers.map(one_share, range(1, -(-MANY // SHARE) + 1)):
            seen.update(found)
            faults += [fault] if fault else []
            print(dict(found), fault, flush=True)  # noqa: T201 - the marked run takes hours
    print(dict(sorted(seen.items())))  # noqa: T201 - and tells its table
    assert not faults, "\n\n".join(faults)
    for kind in FORM_KINDS:
        assert seen[f"{kind} built"] >= seen[f"{kind} refused"], kind


def one_share(share: int) -> tuple[Counter[str], str]:
    """Judge one share; what was found is told at the end of them all."""
    try:
        return run(share, bars.proven, offers=True), ""
    except Exception as fault:  # noqa: BLE001 - one share hides no others
        return Counter(), f"share {share}: {fault}"
