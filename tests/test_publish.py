"""A published folder: whole, made anew byte for byte, a person's own words kept, gaps named."""

import json
from pathlib import Path

import pytest
from click.testing import CliRunner, Result

from boardgen.cli import main
from tests.conftest import ROOT, SHELF, SMALLEST, merged


def run(*arguments: object) -> Result:
    return CliRunner().invoke(main, [str(argument) for argument in arguments])


@pytest.fixture
def file(tmp_path: Path) -> Path:
    path = tmp_path / "lamp.toml"
    path.write_text(SMALLEST, encoding="utf-8")
    return path


@pytest.fixture
def published(file: Path, tmp_path: Path) -> Path:
    result = run("publish", file, "-o", tmp_path / "out")
    assert result.exit_code == 0, result.output
    return tmp_path / "out/lamp"


def test_a_stranger_makes_it_anew_with_its_one_command(published: Path) -> None:
    (line,) = [one for one in (published / "README.md").read_text("utf-8").splitlines()
               if one.startswith("boardgen verify --reproduce")]  # fmt: skip
    _, *words = line.split()
    places = [published / word if (published / word).exists() else word for word in words]
    result = run(*places)
    assert result.exit_code == 0, result.output
    assert "identical" in result.output


def test_every_file_that_the_page_links_is_there(published: Path) -> None:
    text = (published / "README.md").read_text("utf-8")
    links = [part.split(")")[0] for part in text.split("](")[1:]]
    assert len(links) == 8
    for link in links:
        assert (published / link).is_file(), link


@pytest.mark.thorough
def test_the_lock_has_versions_and_digests(published: Path) -> None:
    lock = json.loads((published / "lock.json").read_text("utf-8"))
    record = json.loads((published / "boards/lamp/build.json").read_text("utf-8"))
    assert lock["program"] == record["program"]
    digests = {
        name: value for name, value in lock["boards"]["lamp"].items() if name != "build.json"
    }
    assert digests == record["files"]


@pytest.mark.thorough
def test_a_persons_own_words_are_kept(file: Path, published: Path) -> None:
    readme = published / "README.md"
    readme.write_text("# Our lamp\n", encoding="utf-8")
    result = run("publish", file, "-o", published.parent)
    assert result.exit_code == 0, result.output
    assert readme.read_text("utf-8") == "# Our lamp\n"
    (published / "LICENCES.md").write_text("mine", encoding="utf-8")
    refused = run("publish", file, "-o", published.parent)
    assert refused.exit_code == 2
    assert "LICENCES.md" in refused.output


def test_what_people_add_stays_and_closes_its_points(file: Path, published: Path) -> None:
    (published / "LICENCE-hardware.txt").write_text("text", encoding="utf-8")
    (published / "photo.jpg").write_bytes(b"jpg")
    for _ in range(2):
        result = run("publish", file, "-o", published.parent)
        assert result.exit_code == 0, result.output
        assert (published / "photo.jpg").read_bytes() == b"jpg"
        listed = (published / "CHECKLIST.md").read_text("utf-8")
        assert "[x] a photograph" in listed
        assert "[x] the licences' full texts" in listed


@pytest.mark.thorough
def test_a_kept_page_is_said_to_be_of_another_day(file: Path, published: Path) -> None:
    (published / "README.md").write_text("# Ours\n", encoding="utf-8")
    assert "README.md is yours" in run("publish", file, "-o", published.parent).output


def test_what_has_errors_is_not_published(file: Path, tmp_path: Path) -> None:
    file.write_text(
        merged(SMALLEST, {"light": {"current": "24 mA"}, "resistor": {"rating": "10 mW"}})
    )
    result = run("publish", file, "-o", tmp_path / "out")
    assert result.exit_code == 1
    assert "nothing is published" in result.output
    assert not (tmp_path / "out").exists()


OPEN = {"hardware": "CERN-OHL-S-2.0", "software": "MIT", "documents": "CC-BY-SA-4.0"}


@pytest.mark.thorough
@pytest.mark.parametrize(
    ("licence", "point"),
    [(OPEN, "[x] a licence each"), ({**OPEN, "documents": "CC-BY-NC-4.0"}, "[ ] a licence each"),
     ({"hardware": "CERN-OHL-S-2.0"}, "[ ] a licence each")],
)  # fmt: skip
def test_gaps_are_named(licence: dict[str, str], point: str, file: Path, tmp_path: Path) -> None:
    """Licences that forbid selling are not open: a page of an open-hardware association, read."""
    file.write_text(merged(SMALLEST, {"board": {"licence": licence}}), encoding="utf-8")
    assert run("publish", file, "-o", tmp_path / "out").exit_code == 0
    assert point in (tmp_path / "out/lamp/CHECKLIST.md").read_text("utf-8")
    listed = (tmp_path / "out/lamp/LICENCES.md").read_text("utf-8")
    assert all(name in listed for name in licence.values())


@pytest.mark.thorough
def test_a_house_of_ones_own_goes_with_it(tmp_path: Path) -> None:
    house = (ROOT / "boardgen/catalogue/houses/ordinary.toml").read_text("utf-8")
    (tmp_path / "school.toml").write_text(house, encoding="utf-8")
    (tmp_path / "lamp.toml").write_text(
        merged(SHELF, {"order": {"house": "school.toml"}}), encoding="utf-8"
    )
    result = run("publish", tmp_path / "lamp.toml", "-o", tmp_path / "out")
    assert result.exit_code == 0, result.output
    assert (tmp_path / "out/lamp/school.toml").read_text("utf-8") == house


@pytest.mark.thorough
def test_a_title_is_text_in_the_page_too(file: Path, tmp_path: Path) -> None:
    file.write_text(
        merged(SMALLEST, {"board": {"title": "A [b](c) & d", "author": "e"}}), encoding="utf-8"
    )
    result = run("publish", file, "-o", tmp_path / "out")
    assert result.exit_code == 0, result.output
    assert "# A \\[b\\](c) & d" in (tmp_path / "out/lamp/README.md").read_text("utf-8")


@pytest.mark.thorough
def test_texts_of_chosen_licences_come_along(file: Path, tmp_path: Path) -> None:
    """First lines of the texts: as the licences themselves begin (read in the SPDX list)."""
    file.write_text(merged(SMALLEST, {"board": {"licence": OPEN}}), encoding="utf-8")
    assert run("publish", file, "-o", tmp_path).exit_code == 0
    texts = {path.stem: path.read_text("utf-8") for path in (tmp_path / "lamp/licences").iterdir()}
    assert sorted(texts) == sorted(OPEN.values())
    assert texts["CERN-OHL-S-2.0"].startswith("CERN Open Hardware Licence Version 2 - Strongly")
    assert texts["CC-BY-SA-4.0"].startswith("Creative Commons Attribution-ShareAlike 4.0")
    listed = (tmp_path / "lamp/CHECKLIST.md").read_text("utf-8")
    assert "[x] the licences' full texts" in listed
    assert run("publish", file, "-o", tmp_path).exit_code == 0, "again over what it wrote"


@pytest.mark.thorough
def test_a_licence_whose_text_is_not_known_stays_an_open_point(file: Path, tmp_path: Path) -> None:
    other = OPEN | {"hardware": "TAPR-OHL-1.0"}
    file.write_text(merged(SMALLEST, {"board": {"licence": other}}), encoding="utf-8")
    assert run("publish", file, "-o", tmp_path).exit_code == 0
    assert "[ ] the licences' full texts" in (tmp_path / "lamp/CHECKLIST.md").read_text("utf-8")
