"""The proof: what is written holds, and no single object can change without its failing."""

import random
from collections.abc import Iterator

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy.sparse import csr_matrix
from scipy.sparse.csgraph import maximum_bipartite_matching

from boardgen.build import Built
from boardgen.model.proof import Proof
from boardgen.readback.prove import prove
from boardgen.readback.with_design import shared_out
from tests.conftest import SMALLEST, built_of, every, merged
from tests.readback.damage import WAYS, Found, damaged, objects, sealed

BOARD = merged(SMALLEST, {"light": {"count": 3}, "legend": {"name_box": False}})


def files_of(built: Built) -> dict[str, bytes]:
    return {
        file.path.removeprefix("fabrication/"): file.content
        for file in built.files
        if file.path.startswith("fabrication/")
    }


def told(proof: Proof) -> list[str]:
    """Give what a person would read of every difference."""
    return [f"{found.kind.value}: {found}" for found in proof.differences]


def items_of(proof: Proof, title: str) -> list[bool]:
    return [item.holds for item in proof.items if item.title == title]


def one_of_each() -> Iterator[tuple[str, Found]]:
    """Pick one object of every kind, function and polarity in every Gerber file."""
    chance = random.Random(20261125)  # noqa: S311 - a fixed pick, no secret
    for name, content in files_of(built_of(BOARD)).items():
        if not name.endswith(".gbr"):
            continue
        kinds: dict[tuple[str, str, bool], list[Found]] = {}
        for found in objects(content.decode()):
            kinds.setdefault((found.kind, found.function, found.dark), []).append(found)
        for choices in kinds.values():
            yield name, chance.choice(choices)


PICKED = list(one_of_each())


def test_the_pick_covers_every_kind_of_object() -> None:
    seen = {(found.kind, found.function) for _, found in PICKED}
    assert seen == {
        ("contour", "Conductor"),
        ("contour", "Other,Clearance"),
        ("stroke", "Other,Clearance"),
        ("stroke", "Conductor"),
        ("flash", "SMDPad,CuDef"),
        ("flash", "ComponentPad"),
        ("flash", "ViaPad"),
        ("flash", "Material"),
        ("stroke", "Material"),
        ("stroke", "Other,Cathode"),
        ("stroke", "Other,Plus"),
        ("stroke", "Other,Minus"),
        ("stroke", "Profile"),
    }


def test_the_undamaged_package_holds() -> None:
    built = built_of(BOARD)
    assert built.proof
    assert built.proof.holds
    assert prove(files_of(built)).holds


@pytest.mark.parametrize("way", every(sorted(WAYS), lambda at: at == 0))
@pytest.mark.parametrize(
    ("name", "found"),
    PICKED,
    ids=[f"{n.removeprefix('bar_')}-{f.kind}-{f.function}-{f.dark}" for n, f in PICKED],
)
def test_no_object_changes_unseen(name: str, found: Found, way: str) -> None:
    built = built_of(BOARD)
    files = files_of(built)
    files[name] = damaged(files[name].decode(), found, way)
    proof = prove(files, built.design)
    assert not proof.holds
    assert items_of(proof, "form of the files") == [True]  # only the meaning betrays it
    # The layer is named, in the title of the comparison or by the file's name.
    layer = name.removeprefix("bar_").removesuffix(".gbr")
    assert any(layer in difference for difference in told(proof))


@pytest.mark.parametrize("part", ["plated", "unplated"])
@pytest.mark.parametrize("way", ["removed", "moved", "doubled", "resized"])
def test_no_hole_changes_unseen(part: str, way: str) -> None:
    built = built_of(BOARD)
    files = files_of(built)
    lines = files[f"bar_{part}.drl"].decode().split("\n")
    hits = [place for place, line in enumerate(lines) if line.startswith("X")]
    place = hits[-1]
    if way == "removed":
        del lines[place]
    elif way == "moved":
        x, y = lines[place][1:].split("Y")
        lines[place] = f"X{float(x) + 0.005:.6f}Y{y}"
    elif way == "doubled":
        lines.insert(place, lines[place])
    else:
        tool = next(n for n, line in enumerate(lines) if line.startswith("T01C"))
        lines[tool] = f"T01C{float(lines[tool][4:]) + 0.005:.6f}"
    files[f"bar_{part}.drl"] = "\n".join(lines).encode()
    proof = prove(files, built.design)
    assert not proof.holds
    assert any("hole" in text or "drill" in text for text in told(proof))


def test_a_hole_in_the_wrong_file_is_seen() -> None:
    built = built_of(BOARD)
    files = files_of(built)
    swapped = dict(files)
    swapped["bar_plated.drl"], swapped["bar_unplated.drl"] = (
        files["bar_unplated.drl"],
        files["bar_plated.drl"],
    )
    assert not prove(swapped).holds


@pytest.mark.parametrize("name", sorted(files_of(built_of(BOARD))))
def test_a_missing_or_emptied_file_is_seen_without_the_design(name: str) -> None:
    files = files_of(built_of(BOARD))
    without = {other: content for other, content in files.items() if other != name}
    assert any(name.rpartition("_")[2] in text for text in told(prove(without)))
    assert not prove({**files, name: b""}).holds


def test_a_foreign_file_is_seen() -> None:
    files = files_of(built_of(BOARD))
    assert not prove({**files, "notes.txt": b"hello"}).holds


def changed(name: str, before: str, after: str) -> dict[str, bytes]:
    files = files_of(built_of(BOARD))
    text = files[name].decode()
    assert before in text
    return {**files, name: sealed(text.replace(before, after, 1))}


@pytest.mark.parametrize(
    ("name", "before", "after", "words"),
    [
        ("bar_copper-top.gbr", "%TO.N,B01.1*%", "%TO.N,B02.1*%", "nets"),
        ("bar_copper-top.gbr", "%TO.P,D1,1,K*%", "%TO.P,D1,1,A*%", "D1"),
        ("bar_copper-top.gbr", "Function,Copper,L1,Top", "Function,Copper,L2,Bot", "says"),
        ("bar_mask-top.gbr", ".FilePolarity,Negative", ".FilePolarity,Positive", "says"),
        ("bar_profile.gbr", "%TF.Part,Single*%\n", "", "line 8 is not what is due, the part"),
        ("bar_profile.gbr", ".ProjectId,bar,", ".ProjectId,foo,", "unlike"),
        ("bar_copper-top.gbr", "%FSLAX46Y46*%", "%FSLAX45Y45*%", "line 2 is not what is due"),
        ("bar_copper-top.gbr", "%MOMM*%", "%MOIN*%", "line 3 is not what is due, the unit"),
        ("bar_legend-top.gbr", "%TO.C,D1*%", "%TO.C,D2*%", "cathode mark"),
    ],
    ids=lambda value: str(value)[:28],
)  # fmt: skip
def test_a_wrong_word_is_seen_without_the_design(
    name: str, before: str, after: str, words: str
) -> None:
    proof = prove(changed(name, before, after))
    assert not proof.holds
    assert any(words in text for text in told(proof)), told(proof)


def test_a_broken_digest_is_seen() -> None:
    files = files_of(built_of(BOARD))
    name = "bar_profile.gbr"
    text = files[name].decode()
    files[name] = text.replace("X2000000", "X2000001", 1).encode()
    assert any("MD5" in text for text in told(prove(files)))


def test_a_cut_track_names_the_branch_and_its_led() -> None:
    files = files_of(built_of(BOARD))
    name = "bar_copper-top.gbr"
    text = files[name].decode()
    lines = text.split("\n")
    start = lines.index("%TO.N,B02.1*%")
    found = next(f for f in objects(text) if f.first > start and f.kind == "stroke")
    files[name] = damaged(text, found, "removed")
    differences = told(prove(files))
    assert any("D2 stays dark" in text for text in differences)
    assert any("R2" in text for text in differences)


def test_lands_exchanged_by_a_planted_fault_are_caught_by_proof_and_rule() -> None:
    """Land 1 as anode in the data, as cathode in the layout: every other check would pass."""
    from dataclasses import replace  # noqa: PLC0415 - beside the fault that it plants

    from boardgen.artwork.draw import draw  # noqa: PLC0415
    from boardgen.checks.table import check  # noqa: PLC0415
    from boardgen.outputs import export  # noqa: PLC0415

    design = built_of(BOARD).design
    swap = {"A": "K", "K": "A"}
    parts = tuple(
        replace(
            part,
            pattern=replace(
                part.pattern,
                lands=tuple(
                    replace(land, function=swap.get(land.function, land.function))
                    for land in part.pattern.lands
                ),
            ),
        )
        for part in design.board.parts
    )
    board = replace(design.board, parts=parts)
    planted = replace(design, board=board, artwork=draw(design.parameters, board))
    codes = {finding.code for finding in check(planted)}
    assert "polarity.mark" in codes
    assert codes & {"gap.copper", "net.whole", "courtyard.overlap"} == set()
    files = {f.path.rpartition("/")[2]: f.content for f in export(planted, fabrication=True)}
    differences = told(prove(files, planted))
    assert any("D1 stays dark" in text for text in differences)


def test_a_cathode_mark_at_the_anode_is_seen_without_the_design() -> None:
    files = files_of(built_of(BOARD))
    name = "bar_legend-top.gbr"
    text = files[name].decode()
    found = next(f for f in objects(text) if f.function == "Other,Cathode")
    led = built_of(BOARD).design.board.part("D1")
    lines = text.split("\n")
    for place in range(found.first, found.last + 1):
        x, rest = lines[place][1:].split("Y")
        lines[place] = f"X{round(2 * led.x_mm * 1e6) - int(x)}Y{rest}"
    files[name] = sealed("\n".join(lines))
    proof = prove(files)
    assert items_of(proof, "cathode marks") == [False]
    assert any("the mark of D1 is at its anode" in text for text in told(proof))


@pytest.mark.parametrize("shift_mm", [8, 12, 17])
def test_marks_that_stand_at_another_led_are_seen_without_the_design(shift_mm: int) -> None:
    files = files_of(built_of(BOARD))
    name = "bar_legend-top.gbr"
    lines = [
        f"X{int(line[1:].split('Y')[0]) + shift_mm * 1_000_000}Y{line.split('Y', 1)[1]}"
        if line.startswith("X")
        else line
        for line in files[name].decode().split("\n")
    ]
    files[name] = sealed("\n".join(lines))
    assert items_of(prove(files), "cathode marks") == [False]


def test_a_net_renamed_everywhere_is_seen_by_its_pins() -> None:
    files = files_of(built_of(BOARD))
    name = "bar_copper-top.gbr"
    files[name] = sealed(files[name].decode().replace("%TO.N,B02.1*%", "%TO.N,B09.9*%"))
    assert not prove(files).holds  # the test netlist has the old name
    files["bar_netlist.ipc"] = files["bar_netlist.ipc"].replace(b"327B02.1", b"327B09.9")
    assert prove(files).holds  # consistent in itself
    proof = prove(files, built_of(BOARD).design)
    assert items_of(proof, "pins") == [False]


def test_the_same_objects_in_another_order_are_seen() -> None:
    """A spoke that is drawn before its clearance is gone, though every object is there."""
    files = files_of(built_of(BOARD))
    name = "bar_copper-bottom.gbr"
    text = files[name].decode()
    clear = next(f for f in objects(text) if f.kind == "contour" and not f.dark)
    lines = text.split("\n")
    block = ["%LPC*%", *lines[clear.first : clear.last + 1], "%LPD*%"]
    moved_text = damaged(text, clear, "removed").decode().split("\n")
    spoke = max(f.last for f in objects("\n".join(moved_text)) if f.function == "Conductor")
    moved_text[spoke + 1 : spoke + 1] = block
    files[name] = sealed("\n".join(moved_text))
    proof = prove(files, built_of(BOARD).design)
    assert items_of(proof, "copper-bottom, pour") == [False]


FORM = [
    ("header", "%MOMM*%\n", "%MOMM*%\n%IPNEG*%\n"),
    ("other unit", "%LPD*%\n", "%LPD*%\n%MOIN*%\n"),
    ("early end", "%LPD*%\n", "%LPD*%\nM02*\n"),
    ("increments", "G75*\n", "G75*\nG91*\n"),
    ("offset", "G01*\n", "%OFA1B1*%\nG01*\n"),
    ("repeat", "%LPD*%\n", "%LPD*%\n%SRX2Y1I10.0J0*%\n"),
    ("idle aperture", "G01*\nG75*", "%TA.AperFunction,Profile*%\n%ADD99C,1.0*%\n%TD*%\nG01*\nG75*"),
    ("comment", "%LPD*%\n", "%LPD*%\nG04 hello*\n"),
    ("arc without centre", "G03*\nX", "X"),
]


@pytest.mark.parametrize(("before", "after"), [f[1:] for f in FORM], ids=[f[0] for f in FORM])
def test_words_that_boardgen_never_writes_are_refused_by_line(before: str, after: str) -> None:
    """The parser passes over most of these; what they mean to a house is another board."""
    proof = prove(changed("bar_profile.gbr", before, after))
    assert items_of(proof, "form of the files") == [False]
    assert any("bar_profile.gbr" in text for text in told(proof))


DRILLED = [
    ("plated.drl", "X3.6Y8.75", "X3.605Y8.75", "no land around the plated hole"),
    ("plated.drl", "X3.6Y8.75\n", "", "no hole in drilled land of J1.1"),
    ("unplated.drl", "X11.5Y7.0", "X5.0Y7.0", "cuts into copper"),
    ("unplated.drl", "X11.5Y7.0", "X11.5Y0.5", "over the edge"),
    ("plated.drl", "T01C1.3", "T01C1.3000001", "not understood"),
    ("plated.drl", "METRIC", "INCH", "not understood"),
    ("plated.drl", "TF.Part,Single", "TF.Part,Array", "unlike"),
]


@pytest.mark.parametrize(
    ("part", "before", "after", "words"), DRILLED, ids=[d[1] + d[3] for d in DRILLED]
)
def test_holes_are_held_against_copper_and_edge_without_the_design(
    part: str, before: str, after: str, words: str
) -> None:
    files = files_of(built_of(BOARD))
    text = files[f"bar_{part}"].decode()
    assert before in text
    proof = prove({**files, f"bar_{part}": text.replace(before, after, 1).encode()})
    assert any(words in difference for difference in told(proof)), told(proof)


def test_an_outline_that_cuts_copper_is_seen_without_the_design() -> None:
    files = files_of(built_of(BOARD))
    name = "bar_profile.gbr"
    width = round(built_of(BOARD).design.board.outline.width_mm * 1e6)
    text = files[name].decode()
    for at in (width, width - 2_000_000):
        text = text.replace(f"Y{at}", f"Y{at - 1_000_000}")
    assert any("copper reaches the edge" in t for t in told(prove({**files, name: sealed(text)})))


@given(st.lists(st.sets(st.integers(0, 7), max_size=4), max_size=8))
def test_vias_are_shared_out_among_as_many_branches_as_can_be(near: list[set[int]]) -> None:
    """Held against scipy's matching of a bipartite graph."""
    wishes = {f"D{place}": sorted(wanted) for place, wanted in enumerate(near)}
    owned = shared_out(wishes)
    assert all(number in wishes[who] for number, who in owned.items())
    assert len(set(owned.values())) == len(owned)
    table = np.zeros((max(len(near), 1), 8))
    for place, wanted in enumerate(near):
        table[place, sorted(wanted)] = 1
    best = maximum_bipartite_matching(csr_matrix(table), perm_type="column")
    assert len(owned) == int((best >= 0).sum())


def test_a_chain_of_a_thousand_branches_is_shared_out() -> None:
    """The first via is missing: all hand on theirs, or one goes without."""
    near = {f"D{place}": [place, place + 1] for place in range(2_000)}
    assert len(shared_out(near)) == 2_000
    near = {f"D{place}": [place - 1, place] for place in range(1, 2_000)}
    assert len(shared_out(near)) == 1_999
