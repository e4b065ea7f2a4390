"""The test sheet: what a meter ought to show on this board, and what it means when it does not."""

from collections.abc import Sequence
from itertools import groupby

from boardgen.model.cautions import Caution
from boardgen.model.design import Design
from boardgen.model.outputs import OutputFile
from boardgen.pages.names import by_letter
from boardgen.papers.facts import Facts, bench_facts, caution_facts, joint_facts
from boardgen.papers.render import page

_CAUTIONS = ("bench supply", "cells", "cells of any kind", "battery", "lithium", "strong supply",
             "bright light", "ultraviolet")  # fmt: skip


def bench_sheet(design: Design, cautions: Sequence[Caution]) -> OutputFile:
    """Write ``assembly/test-sheet.html``."""
    facts = sheet_facts(design, cautions)
    return OutputFile(path="assembly/test-sheet.html", content=page("test-sheet.html", facts, {}))


def sheet_facts(design: Design, cautions: Sequence[Caution]) -> Facts:
    """Tell what the sheet says: the bench, ohms by value, and what to take care of."""
    facts = bench_facts(design)
    ohms = [(branch.pop("ballast_ohm"), branch["ballasts"]) for branch in facts["branches"]]
    groups = groupby(sorted(ohms, key=lambda one: one[0]["nominal"]), key=lambda one: one[0])
    return {
        **facts,
        "ohms": [
            {"band": band, "names": by_letter([name for _, names in ones for name in names])}
            for band, ones in groups
        ],
        "joint": joint_facts(design),
        "cautions": caution_facts(cautions, *_CAUTIONS),
    }
