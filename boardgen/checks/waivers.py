"""Waivers: findings that are accepted with a reason; one that accepts nothing is a finding."""

import difflib
from collections.abc import Iterable, Sequence
from dataclasses import replace

from boardgen.checks.finding import report
from boardgen.model.findings import Finding
from boardgen.model.sections import WaiveSection

CODE = "waive.unused"
NEVER = {
    "net.whole": "a board whose nets are not whole does not work",
    "polarity.mark": "a wrong mark misleads whoever solders",
    "polarity.signs": "a wrong sign destroys LEDs",
    "supply.fuse": "an unfused strong source can burn",
    "file.required": "a package that lacks a file cannot be made",
    CODE: "a waiver of waivers hides what it hides",
}
"""What may not be waived, and why."""


def with_waivers(found: Sequence[Finding], waivers: Sequence[WaiveSection]) -> list[Finding]:
    """Mark the findings that waivers accept with their reasons."""
    kept = list[Finding]()
    for finding in found:
        reason = next((waiver.reason for waiver in waivers if _meant(waiver, finding)), "")
        kept.append(replace(finding, waived="" if finding.code in NEVER else reason))
    return kept


def _meant(waiver: WaiveSection, finding: Finding) -> bool:
    named = waiver.place is None or waiver.place in finding.subjects
    return waiver.code in (finding.code, finding.id) and named


def waive_unused(
    waivers: Sequence[WaiveSection], found: Sequence[Finding], codes: Sequence[str]
) -> Iterable[Finding]:
    """A waiver accepts nothing.

    Why it matters
        What was accepted once may come back, and nobody would look at it again.
    How it is measured
        Each ``[[waive]]`` must meet a finding by its code, and by its place where one is given;
        looked at after all other rules. A code that does not exist, or may not be waived, is told
        here too.
    How to mend it
        Take the waiver out of the file, or correct its code or place.
    """
    for place, waiver in enumerate(waivers):
        code = waiver.code.partition(":")[0]
        if code in NEVER:
            message = f"{code} cannot be waived: {NEVER[code]}"
        elif code not in codes:
            near = difflib.get_close_matches(code, codes, n=1)
            message = f'there is no rule "{code}"' + (f'; did you mean "{near[0]}"?' * bool(near))
        elif not any(_meant(waiver, finding) for finding in found):
            where = f" at {waiver.place}" if waiver.place else ""
            message = f"nothing is found by {waiver.code}{where}: the waiver is not needed"
        else:
            continue
        yield report(
            message=message,
            subjects=(waiver.code, waiver.place or ""),
            path=f"waive.{place}.code",
        )
