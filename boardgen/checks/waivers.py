"""Waivers: findings that are accepted with a reason; one that accepts nothing is a finding."""

import difflib
import re
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
    "fuse.never": "a fuse that cannot open protects nothing",
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
    """Tell whether a waiver means a finding; a place alone never stands for a whole group."""
    named = waiver.place is None or (waiver.place in finding.subjects and not _group(finding))
    return waiver.code in (finding.code, finding.id) and named


def _group(finding: Finding) -> bool:
    """Tell whether a finding is about several parts of a kind at once, such as R1 to R12."""
    kinds = {re.sub(r"\d+$", "", subject) for subject in finding.subjects}
    numbered = all(re.fullmatch(r"[A-Z]+\d+", subject) for subject in finding.subjects)
    return len(finding.subjects) > _PAIR and numbered and len(kinds) == 1


_PAIR = 2


def _idle(waiver: WaiveSection, same: Sequence[Finding]) -> str:
    """Say why a waiver accepts nothing: its rule finds nothing, or not there."""
    if not same:
        return f"nothing is found by {waiver.code}: the waiver is not needed"
    if any(waiver.place in finding.subjects for finding in same):
        return (
            f"{waiver.code} is found for several parts at once, {waiver.place} among them: leave"
            " place out to accept it for all"
        )
    places = list(dict.fromkeys(subject for finding in same for subject in finding.subjects))
    return f'{waiver.code} is found, but not at "{waiver.place}"; its places: ' + ", ".join(
        places[:8]
    )


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
        if any((w.code, w.place) == (waiver.code, waiver.place) for w in waivers[:place]):
            message = f"{waiver.code} is waived twice: the first waiver does"
        elif code in NEVER:
            message = f"{code} cannot be waived: {NEVER[code]}"
        elif code not in codes:
            near = difflib.get_close_matches(code, codes, n=1)
            hint = f'did you mean "{near[0]}"?' if near else "boardgen rules lists all"
            message = f'there is no rule "{code}"; {hint}'
        elif not any(_meant(waiver, finding) for finding in found):
            message = _idle(waiver, [other for other in found if other.code == code])
        else:
            continue
        yield report(
            message=message,
            subjects=(waiver.code, waiver.place or ""),
            path=f"waive.{place}.code",
        )
