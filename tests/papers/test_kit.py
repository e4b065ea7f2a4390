"""What a class needs: added up again by hand from the lists of the boards.

Spares and shares of bad joints are our own choice; 4 mm of tape a chip is from memory.
"""

import csv
import io
import math
from collections import Counter

import pytest

from boardgen.export.lists import bom
from boardgen.model.design import Design
from boardgen.papers.kit import kit_facts, kit_files
from tests.conftest import ROOT, SHELF, design_of, merged
from tests.papers.test_documents import words

BADGE = (ROOT / "examples/coin-badge/coin-badge.toml").read_text("utf-8")


def rows_of(content: bytes) -> list[dict[str, str]]:
    return list(csv.DictReader(io.StringIO(content.decode())))


def bought(*designs: Design) -> Counter[tuple[str, str]]:
    """Count what the lists of the boards say, by kind and value."""
    found = Counter[tuple[str, str]]()
    for design in designs:
        (file,) = bom(design)
        for row in rows_of(file.content):
            found[row["part"], row["value"]] += int(row["quantity"])
    return found


@pytest.mark.parametrize("sets", [1, 2, 30])
def test_a_kit_buys_so_many_times_what_its_boards_list(sets: int) -> None:
    designs = [design_of(SHELF), design_of(merged(SHELF, {"light": {"count": 4}}))]
    (purchase, _) = kit_files(designs, sets, ())
    rows = rows_of(purchase.content)
    listed = bought(*designs)
    by_part = Counter[str]()
    for (part, _), count in listed.items():
        by_part[part] += count
    for part, count in by_part.items():
        (row,) = [row for row in rows if row["part"] == part]
        assert int(row["needed"]) == count * sets
        assert int(row["spares"]) == max(2, math.ceil(count * sets / 10))
        assert int(row["buy"]) == int(row["needed"]) + int(row["spares"])
        if part in ("led", "resistor"):
            assert float(row["tape_mm"]) == 4 * int(row["buy"])
    assert [row["buy"] for row in rows if row["part"] == "board"] == [str(sets)] * 2


def test_values_that_differ_stay_apart() -> None:
    """150 and 470 ohm in one bag is the mistake that a kit is made against."""
    designs = [design_of(SHELF), design_of(merged(SHELF, {"light": {"current": "5 mA"}}))]
    facts = kit_facts(designs, 1, ())
    resistors = [row for row in facts["rows"] if row["part"] == "resistor"]
    assert len({row["marking"] for row in resistors}) == len(resistors) == 2


def test_what_no_list_of_parts_has_is_there() -> None:
    badge = {row["part"]: row for row in kit_facts([design_of(BADGE)], 30, ())["rows"]}
    assert badge["cell"]["buy"] == 30
    assert not {"wire", "holder"} & set(badge)
    shelf = {row["part"]: row for row in kit_facts([design_of(SHELF)], 3, ())["rows"]}
    holes = len(design_of(SHELF).board.holes)
    assert shelf["screw"]["needed"] == 3 * holes
    assert {"wire", "supply"} <= set(shelf)


def test_each_board_of_a_family_has_its_own_supply() -> None:
    cells = merged(
        SHELF, {"supply": {"from": "alkaline AA", "cells": 4}, "light": {"led": "red 0805"}}
    )
    rows = kit_facts([design_of(SHELF), design_of(cells)], 2, ())["rows"]
    bought = {row["part"]: row for row in rows}
    assert bought["cell"]["needed"] == 8
    assert "4 x" not in bought["cell"]["words"]
    assert (bought["supply"]["needed"], bought["holder"]["needed"]) == (2, 2)
    assert bought["wire"]["needed"] == 4


def test_repairs_follow_from_the_joints() -> None:
    """0.995 to the power of 50 is 0.778: 7 of 30, as a trade page's scenario has it."""
    facts = kit_facts([design_of(SHELF)], 30, ())
    assert facts["first_time"] == pytest.approx(0.995 ** facts["joints"])
    assert facts["repairs"] == math.ceil(30 * facts["joints"] / 200)
    design = design_of(SHELF)
    assert facts["joints"] == sum(len(p.nets) for p in design.board.parts if p.kind.row.bought)


def test_each_bag_says_what_to_read_on_its_part() -> None:
    (_, page) = kit_files([design_of(SHELF)], 2, ())
    said = words(page.content)
    assert "printed on it: 151 or 1500" in said
    assert "D1 to D8" in said


def test_what_is_lands_only_is_not_bought_and_joined_boards_share_a_supply() -> None:
    """Of ten boards of which four make one light three supplies are needed, and three cables."""
    design = design_of(merged(SHELF, {
        "joint": {"boards": 4}, "connector": {"kind": "joint lands"}, "light": {"count": 4},
    }))  # fmt: skip
    facts = kit_facts([design], 10, ())
    needed = {row["part"]: row["needed"] for row in facts["rows"]}
    assert "connector" not in needed
    assert needed["board"] == 10
    assert needed["supply"] == needed["wire"] == 3
    (listed,) = [row for row in rows_of(bom(design)[0].content) if row["part"] == "connector"]
    assert "nothing to buy" in listed["remark"]
