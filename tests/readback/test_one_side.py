"""Proof of packages with one copper side: what is missing there must not be missed."""

import re

import pytest

from boardgen.readback.prove import prove
from tests.conftest import SMALLEST, built_of, merged
from tests.readback.damage import damaged, objects, sealed
from tests.readback.test_proof import files_of, items_of, told

ETCHED = merged(SMALLEST, {"order": {"house": "home-etched"}, "light": {"count": 2}})


@pytest.fixture
def files() -> dict[str, bytes]:
    return dict(files_of(built_of(ETCHED)))


def test_the_package_holds_by_itself_and_against_its_design(files: dict[str, bytes]) -> None:
    assert set(files) == {f"bar_{part}" for part in (
        "copper-top.gbr", "paste-top.gbr", "profile.gbr", "unplated.drl", "netlist.ipc",
        "job.gbrjob",
    )}  # fmt: skip
    assert prove(files).holds
    assert prove(files, built_of(ETCHED).design).holds


def test_every_gerber_file_says_which_files_belong_together(files: dict[str, bytes]) -> None:
    for name, content in files.items():
        if name.endswith(".gbr"):
            assert b"%TFFiles,copper-top,paste-top,profile,unplated,netlist,job*%" in content
            del_one = {key: value for key, value in files.items() if key != name}
            assert not prove(del_one).holds
    assert not prove({k: v for k, v in files.items() if not k.endswith(".drl")}).holds


def test_a_list_that_was_shortened_in_one_file_is_seen(files: dict[str, bytes]) -> None:
    text = files["bar_profile.gbr"].decode()
    files["bar_profile.gbr"] = sealed(text.replace(",paste-top", ""))
    assert items_of(prove(files), "attributes") == [False]


def test_a_list_that_was_shortened_everywhere_is_seen_against_the_design(
    files: dict[str, bytes],
) -> None:
    del files["bar_paste-top.gbr"]
    for name in list(files):
        if name.endswith(".gbr"):
            files[name] = sealed(files[name].decode().replace(",paste-top", ""))
    assert not prove(files, built_of(ETCHED).design).holds


@pytest.mark.parametrize("way", ["removed", "moved", "doubled"])
def test_a_bar_in_copper_does_not_change_unseen(files: dict[str, bytes], way: str) -> None:
    text = files["bar_copper-top.gbr"].decode()
    bar = next(f for f in objects(text) if f.function == "OtherCopper,Cathode")
    files["bar_copper-top.gbr"] = damaged(text, bar, way)
    assert not prove(files, built_of(ETCHED).design).holds
    if way != "moved":  # by so little that only the design tells
        assert items_of(prove(files), "cathode marks") == [False]


def test_a_letter_that_touches_a_net_is_seen_without_the_design(files: dict[str, bytes]) -> None:
    text = files["bar_copper-top.gbr"].decode()
    letter = next(f for f in objects(text) if f.function == "NonConductor")
    lines = text.split("\n")
    led = built_of(ETCHED).design.board.part("D1")
    x, y = led.land_place(led.pattern.land("1"))
    lines[letter.last] = f"X{round(x * 1e6)}Y{round(y * 1e6)}D01*"
    files["bar_copper-top.gbr"] = sealed("\n".join(lines))
    assert "letters in copper" in " ".join(told(prove(files)))


def test_a_lead_without_its_hole_is_seen_without_the_design(files: dict[str, bytes]) -> None:
    text = files["bar_unplated.drl"].decode()
    pin = built_of(ETCHED).design.board.part("J1")
    x, y = pin.land_place(pin.pattern.land("1"))
    hit = next(line for line in text.split("\n") if re.fullmatch(r"X.*Y.*", line)
               and abs(float(line[1:].split("Y")[0]) - x) < 1e-6
               and abs(float(line.split("Y")[1]) - y) < 1e-6)  # fmt: skip
    files["bar_unplated.drl"] = text.replace(f"{hit}\n", "").encode()
    words = " ".join(told(prove(files)))
    assert "no hole at the netlist's record 317 of J1.1" in words
    assert "no hole in drilled land of J1.1" in words


def test_two_sides_cannot_be_passed_off_as_one() -> None:
    """Without its bottom copper a package of two sides has plated holes that join nothing."""
    files = dict(files_of(built_of(SMALLEST)))
    del files["bar_copper-bottom.gbr"]
    for name in list(files):
        if name.endswith(".gbr"):
            files[name] = sealed(files[name].decode().replace(",copper-bottom", ""))
    assert "plated" in " ".join(told(prove(files)))
