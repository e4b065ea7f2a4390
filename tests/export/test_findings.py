"""Findings for machines: JSON against our schema, SARIF against the published one, Markdown.

The SARIF schema is that of OASIS, version 2.1.0 (rtm.5), read from a published package that carries
it; descriptions are left out (tests/published/README.md).
"""

import json
from dataclasses import replace
from pathlib import Path
from typing import Any

import jsonschema
import pytest

from boardgen.checks.table import judge, rule_texts
from boardgen.export.findings_schema import findings_schema
from boardgen.export.json_text import json_bytes
from boardgen.export.records import findings_record
from boardgen.export.sarif import Checked, Refused, sarif_log
from boardgen.model.design import Design
from boardgen.model.sections import WaiveSection
from boardgen.pages.rules_page import rules_page, summary
from tests.checks.pairs_circuit import power_ballast
from tests.checks.pairs_copper import gap_to_the_pour
from tests.checks.planting import UM, base
from tests.conftest import ROOT

SARIF = json.loads((ROOT / "tests/published/sarif-2.1.0.json").read_text(encoding="utf-8"))


def faulty() -> Design:
    design = gap_to_the_pour(UM, "level")
    waiver = WaiveSection(code="lands.typical", reason="compared by hand")
    light = replace(design.parameters.light, lands_compared=False)
    return replace(design, parameters=replace(design.parameters, waivers=(waiver,), light=light))


def log(*designs: Design, refused: tuple[Refused, ...] = ()) -> dict[str, Any]:
    checked = [Checked(design=d, judgement=judge(d), uri="boards/bar.toml") for d in designs]
    found: dict[str, Any] = json.loads(json_bytes(sarif_log(rule_texts(), checked, refused)))
    return found


def results(found: dict[str, Any], kind: str = "fail") -> list[dict[str, Any]]:
    (run,) = found["runs"]
    return [result for result in run["results"] if result.get("kind", "fail") == kind]


def test_sarif_is_valid_against_the_published_schema() -> None:
    refused = Refused(uri="boards/other.toml", line=3, message="is no board. Write one.")
    jsonschema.Draft4Validator(SARIF).validate(log(faulty(), base(), refused=(refused,)))
    jsonschema.Draft4Validator(SARIF).validate(log())


def test_sarif_tells_rule_line_place_and_what_mends_it() -> None:
    found = log(power_ballast(0.9, "left"))
    (result,) = results(found)
    rule = found["runs"][0]["tool"]["driver"]["rules"][result["ruleIndex"]]
    assert result["ruleId"] == rule["id"] == "power.ballast"
    assert result["level"] == "warning"
    assert (
        result["locations"][0]["physicalLocation"]["artifactLocation"]["uri"] == "boards/bar.toml"
    )
    names = {entry["name"]: entry["kind"] for entry in result["locations"][0]["logicalLocations"]}
    assert names["R1"] == "part"


def test_sarif_suppresses_what_is_waived_with_its_reason() -> None:
    waived = [result for result in results(log(faulty())) if "suppressions" in result]
    assert {result["ruleId"] for result in waived} == {"lands.typical"}
    assert waived[0]["suppressions"][0]["justification"] == "compared by hand"


def test_sarif_says_what_does_not_apply() -> None:
    idle = results(log(base()), "notApplicable")
    assert {"current.switch", "ring.unplated"} <= {result["ruleId"] for result in idle}
    assert {result["level"] for result in idle} == {"none"}


def test_fingerprints_stay_when_places_and_lines_change() -> None:
    first, second = (
        [result["partialFingerprints"] for result in results(log(gap_to_the_pour(UM * n, "level")))]
        for n in (1, 3)
    )
    assert first == second
    lines = replace(base(), parameters=replace(base().parameters, file="elsewhere.toml"))
    assert [r["partialFingerprints"] for r in results(log(lines), "notApplicable")] == [
        r["partialFingerprints"] for r in results(log(base()), "notApplicable")
    ]


def test_a_refusal_is_a_run_that_did_not_succeed() -> None:
    found = log(refused=(Refused(uri="a.toml", line=2, message="no"),))
    (invocation,) = found["runs"][0]["invocations"]
    assert not invocation["executionSuccessful"]
    (told,) = invocation["toolExecutionNotifications"]
    assert told["locations"][0]["physicalLocation"]["region"]["startLine"] == 2


@pytest.mark.parametrize("design", [faulty, base], ids=["faulty", "clean"])
def test_json_is_valid_against_its_own_schema(design: Any) -> None:
    made = design()
    record = json.loads(json_bytes(findings_record(judge(made), made)))
    schema = findings_schema()
    jsonschema.Draft202012Validator.check_schema(schema)
    jsonschema.Draft202012Validator(schema).validate(record)
    assert record["counts"]["waived"] == sum(bool(f["waived"]) for f in record["findings"])
    for least in record["minima"]:
        assert least["margin_mm"] == pytest.approx(least["value_mm"] - least["limit_mm"], abs=1e-9)


def test_markdown_has_a_row_for_each_board_and_finding() -> None:
    made = faulty()
    text = summary([(made, judge(made))], [("other", "other.toml:3: is no board")])
    assert "| bar | 1 | 0 |" in text
    assert "| error | gap.copper |" in text
    assert "**other: refused**" in text


def test_the_rules_page_in_the_docs_is_not_stale() -> None:
    """Rewrite it with: boardgen rules --format markdown > docs/rules.md."""
    page = Path(ROOT / "docs/rules.md").read_text(encoding="utf-8")
    assert page == rules_page(rule_texts())
