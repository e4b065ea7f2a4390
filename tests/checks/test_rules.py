"""What rules say beyond their limits: weights, words, identities, files, waivers."""

from dataclasses import replace
from typing import Any

import pytest

from boardgen.checks.files import CODE, check_files
from boardgen.checks.light import light_faint
from boardgen.checks.relief import relief_spokes
from boardgen.checks.table import LATE, RULES, check, judge, rule_texts
from boardgen.checks.waivers import with_waivers
from boardgen.model.artwork import Item, LayerKind, Purpose
from boardgen.model.board import MarkRole
from boardgen.model.design import Design
from boardgen.model.findings import Finding, Severity
from boardgen.model.sections import WaiveSection
from boardgen.model.shapes import Stroke
from boardgen.outputs import export
from boardgen.units import snap
from tests.checks.pairs_circuit import current_connector, current_led, power_ballast
from tests.checks.pairs_copper import gap_to_the_pour
from tests.checks.planting import UM, base, codes, redrawn, with_items
from tests.conftest import SMALLEST, design_of, merged


def severities(design: Design, code: str) -> set[Severity]:
    return {finding.severity for finding in check(design) if finding.code == code}


def test_over_the_rating_is_an_error_over_the_share_a_warning() -> None:
    assert severities(power_ballast(0.5, "left"), "power.ballast") == {Severity.WARNING}
    assert severities(power_ballast(1.1, "left"), "power.ballast") == {Severity.ERROR}
    assert severities(current_led(0.1, "left"), "current.led") == {Severity.WARNING}
    assert severities(current_led(0.5, "left"), "current.led") == {Severity.ERROR}
    assert severities(current_connector(0.1, "left"), "current.connector") == {Severity.WARNING}
    assert severities(current_connector(0.7, "left"), "current.connector") == {Severity.ERROR}


@pytest.mark.parametrize("kind", ["cathode of D1", 'polarity "K" of D1', 'sign "+" of J1'])
def test_a_trimmed_polarity_mark_is_an_error(kind: str) -> None:
    design = base()
    design = replace(design, artwork=replace(design.artwork, trimmed=(kind,)))
    assert severities(design, "legend.trimmed") == {Severity.ERROR}


def test_signs_that_changed_places_and_short_marks_are_found() -> None:
    design = base()
    swap = {"+": "−", "−": "+"}
    texts = tuple(replace(t, text=swap.get(t.text, t.text)) for t in design.board.texts)
    assert codes(replace(design, board=replace(design.board, texts=texts))) == {"polarity.signs"}
    short = tuple(
        replace(mark, points=((mark.points[0][0], 6.9), (mark.points[0][0], 7.1)))
        if mark.role is MarkRole.CATHODE
        else mark
        for mark in design.board.marks
    )
    assert codes(redrawn(design, marks=short)) == {"polarity.mark"}


@pytest.mark.parametrize("rule", [*RULES, *LATE], ids=lambda rule: rule.code)
def test_every_rule_says_why_how_and_how_to_mend_it(rule: Any) -> None:
    text = rule.check.__doc__
    for heading in ("Why it matters", "How it is measured", "How to mend it"):
        assert heading in text
    assert rule.title.endswith(".")
    assert rule.source


def test_identities_do_not_depend_on_places() -> None:
    first, second = (
        [f.id for f in check(plant)]
        for plant in (gap_to_the_pour(UM, "level"), gap_to_the_pour(3 * UM, "level"))
    )
    assert first == second


def test_a_missing_or_empty_file_is_found() -> None:
    design = base()
    files = export(design, fabrication=True)
    assert list(check_files("bar", design.artwork, files)) == []
    for place, file in enumerate(files):
        lacking = files[:place] + files[place + 1 :]
        (finding,) = check_files("bar", design.artwork, lacking)
        assert (finding.code, finding.subjects) == (CODE, (file.path,))
        hollow = (*lacking, replace(file, content=b"M48\nM30\n"))
        (finding,) = check_files("bar", design.artwork, hollow)
        assert finding.subjects == (file.path,)


def waived(design: Design, *waivers: WaiveSection) -> Design:
    return replace(design, parameters=replace(design.parameters, waivers=waivers))


def test_a_waived_finding_keeps_its_weight_and_does_not_count() -> None:
    design = waived(gap_to_the_pour(UM, "level"), WaiveSection(code="gap.copper", reason="a test"))
    judged = judge(design)
    (found,) = judged.findings
    assert (found.severity, found.waived) == (Severity.ERROR, "a test")
    assert judged.count(Severity.ERROR) == 0
    assert not judged.fails(strict=True)


@pytest.mark.parametrize(
    ("waiver", "words"),
    [
        (WaiveSection(code="gap.copper", reason="x"), "nothing is found by gap.copper"),
        (WaiveSection(code="gap.coper", reason="x"), 'did you mean "gap.copper"?'),
        (WaiveSection(code="lands.typical", place="X9", reason="x"), 'found, but not at "X9"'),
        (WaiveSection(code="net.whole", reason="x"), "cannot be waived"),
    ],
)
def test_a_waiver_that_accepts_nothing_is_a_finding(waiver: WaiveSection, words: str) -> None:
    judged = judge(waived(base(light={"lands_compared": False}), waiver))
    (idle,) = [found for found in judged.findings if found.code == "waive.unused"]
    assert words in idle.message
    assert judged.fails(strict=True)
    assert not judged.fails()


def test_a_place_never_stands_for_a_whole_group_and_twice_is_once_too_often() -> None:
    design = power_ballast(1.1, "left")
    (found,) = check(design)
    assert found.subjects == ("R1", "R2", "R3")
    one = WaiveSection(code="power.ballast", place="R2", reason="x")
    judged = judge(waived(design, one))
    assert judged.fails()
    assert "several parts at once" in judged.findings[-1].message
    every = WaiveSection(code="power.ballast", reason="x")
    judged = judge(waived(design, every, every))
    assert not judged.fails()
    assert [f.message for f in judged.findings if "twice" in f.message]


def test_a_waiver_may_name_a_place_or_a_single_finding() -> None:
    design = base(light={"lands_compared": False})
    (found,) = check(design)
    for waiver in (
        WaiveSection(code=found.code, place=found.subjects[0], reason="seen"),
        WaiveSection(code=found.id, reason="seen"),
    ):
        (told,) = judge(waived(design, waiver)).findings
        assert told.waived == "seen"


def test_a_place_of_a_pair_is_accepted_alone_of_a_group_not() -> None:
    one = WaiveSection(code="hole.spacing", place="MH1", reason="seen")
    for subjects, reason in ((("MH1", "MH2"), "seen"), (("MH1", "MH2", "MH3"), "")):
        found = Finding(code="hole.spacing", severity=Severity.ERROR, message="", subjects=subjects)
        assert [each.waived for each in with_waivers([found], [one])] == [reason]


def test_a_ring_is_measured_against_the_limit_of_its_kind() -> None:
    for sides in (1, 2):
        design = base(copper={"sides": sides})
        (ring,) = [least for least in judge(design).minima if least.key == "ring"]
        limits = design.limits
        assert ring.limit_mm == (limits.ring_mm if sides > 1 else limits.ring_unplated_mm)


@pytest.mark.parametrize(
    ("code", "there"),
    [
        ("ring.plated", {}),
        ("ring.unplated", {"copper": {"sides": 1}}),
        ("side.unread", {"copper": {"sides": 1}}),
        ("relief.spokes", {}),
    ],
)
def test_a_rule_says_where_it_does_not_apply(code: str, there: dict[str, Any]) -> None:
    others: dict[str, dict[str, dict[str, Any]]] = {
        "ring.plated": {"copper": {"sides": 1}}, "relief.spokes": {"copper": {"relief": "none"}},
    }  # fmt: skip
    other = others.get(code, {})
    assert code not in {rule.code for rule in judge(base("left", **there)).skipped}
    assert code in {rule.code for rule in judge(base("left", **other)).skipped}


def test_what_must_not_be_waived_stays_an_error() -> None:
    design = base()
    short = tuple(m for m in design.board.marks if m.role is not MarkRole.CATHODE)
    bare = waived(redrawn(design, marks=short), WaiveSection(code="polarity.mark", reason="x"))
    assert judge(bare).fails()


def test_rules_that_have_nothing_to_look_at_say_so() -> None:
    told = {rule.code: rule.why for rule in judge(base()).skipped}
    assert told["current.switch"] == "there is no switch"
    assert told["ring.unplated"] == "holes of leads are plated"
    bare = {rule.code for rule in judge(base(order={"mask": "none"})).skipped}
    assert {"mask.land", "mask.web", "legend.land"} <= bare
    assert set(told) & codes(base()) == set()


def test_every_rule_is_told_in_words() -> None:
    for text in rule_texts():
        assert text.why
        assert text.how
        assert text.mend
        assert "``" not in text.why + text.how + text.mend


def test_one_spoke_is_too_few_for_a_test_point_however_wide() -> None:
    """A probe presses on it; its usual spoke is as wide as two of a chip."""
    design = base("left", copper={"test_points": True})
    probe = design.board.part("TP2")
    middle = tuple(map(snap, probe.land_place(probe.pattern.land("1"))))

    def change(items: tuple[Item, ...]) -> tuple[Item, ...]:
        spokes = [
            item for item in items
            if item.purpose is Purpose.SPOKE and isinstance(item.shape, Stroke)
            and item.shape.points[0] == middle
        ]  # fmt: skip
        assert len(spokes) > 1
        return tuple(item for item in items if item not in spokes[1:])

    assert not list(relief_spokes(design))
    (finding,) = relief_spokes(with_items(design, LayerKind.COPPER, change))
    assert finding.message.startswith("TP2.1 has 1 spoke")


@pytest.mark.parametrize(("count", "told"), [(2, True), (20, False)])
def test_little_current_is_meant_where_the_source_gives_no_more(count: int, told: bool) -> None:
    """A tenth of the usual 5 mA for each branch; a cell that gives 3 mA for long."""
    cell = {"from": "lithium coin 20 mm"}
    light = {"led": "red 0805", "count": count, "current": "0.3 mA"}
    design = design_of(merged(SMALLEST, {"supply": cell, "light": light}))
    assert (not list(light_faint(design))) is not told
