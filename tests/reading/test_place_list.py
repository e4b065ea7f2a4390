"""Places from a list beside the file: the same board as written out; faults with line and remedy.

The form of lists is RFC 4180 (from memory), with the byte-order mark that spreadsheets write.
"""

from pathlib import Path

import pytest

from boardgen import read
from boardgen.build import build_board
from boardgen.errors import RefusalError
from tests.conftest import ROOT

LIGHTS = (ROOT / "examples/village-lights/village-lights.toml").read_text("utf-8")
START, END = LIGHTS.index("places = ["), LIGHTS.index("]\n\n[connector]") + 2
NAMED = LIGHTS[:START] + 'places = "spots.csv"\n' + LIGHTS[END:]
SPOTS = "x_mm,y_mm,turn_deg\n0,0,0\n32,14,90\n26,-20,0\n58,-6,30\n84,18,-45\n94,-14,180\n"


@pytest.fixture
def file(tmp_path: Path) -> Path:
    path = tmp_path / "village.toml"
    path.write_text(NAMED, "utf-8")
    return path


@pytest.mark.parametrize("written", [SPOTS, "\ufeff" + SPOTS.replace("\n", "\r\n"), SPOTS + "\n"])
def test_a_list_is_read_like_places_that_are_written_out(file: Path, written: str) -> None:
    (file.parent / "spots.csv").write_bytes(written.encode())
    other = file.with_name("other.toml")
    other.write_text(LIGHTS, "utf-8")
    (listed,), (spelled,) = read(file), read(other)
    assert listed.form.places == spelled.form.places
    assert listed.meaning_sha256 != "", "identity follows the places, not the list's name"


@pytest.mark.thorough
def test_a_board_of_a_list_is_built_and_changed_with_it(file: Path) -> None:
    (file.parent / "spots.csv").write_text(SPOTS, "utf-8")
    (listed,) = read(file)
    assert build_board(listed).proof
    (file.parent / "spots.csv").write_text(SPOTS.replace("94,-14", "95,-14"), "utf-8")
    (moved,) = read(file)
    assert moved.meaning_sha256 != listed.meaning_sha256


BAD = {
    "no header": ("0,0,0\n32,14,90\n", "begins with"),
    "a word": (SPOTS.replace("26,-20,0", "26,up,0"), "line 4"),
    "too few": (SPOTS.replace("26,-20,0", "26"), "line 4"),
    "not a number": (SPOTS.replace("26,-20,0", "26,nan,0"), "line 4"),
}


@pytest.mark.parametrize("name", BAD)
def test_a_bad_list_is_told_by_line(file: Path, name: str) -> None:
    content, words = BAD[name]
    (file.parent / "spots.csv").write_text(content, "utf-8")
    with pytest.raises(RefusalError) as refused:
        read(file)
    assert words in str(refused.value)
    assert "x_mm,y_mm,turn_deg" in str(refused.value)


@pytest.mark.parametrize("name", ["spots.csv", "../spots.csv", "spots.txt"])
def test_a_list_that_is_not_there_or_elsewhere_is_refused(file: Path, name: str) -> None:
    file.write_text(NAMED.replace("spots.csv", name), "utf-8")
    with pytest.raises(RefusalError, match=r"form\.places"):
        read(file)
