"""Hostile packages: a clear error or a judgement, in bounded time and memory, nothing written."""

import json
import os
import re
import struct
import subprocess
import sys
import xml.etree.ElementTree as ET
import zipfile
from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest
from click.testing import CliRunner, Result

from boardgen.cli import main
from boardgen.readback import package
from boardgen.readback.prove import prove
from tests.conftest import SMALLEST, built_of, packed
from tests.readback.editing import Files, items, points, refreshed, repeated
from tests.readback.test_proof import files_of, told

Pack = Callable[[Path], Path]


def run(*arguments: object) -> Result:
    return CliRunner().invoke(main, [str(argument) for argument in arguments])


def zip_bytes(files: Files) -> bytes:
    return packed(files)


def good() -> Files:
    return dict(files_of(built_of(SMALLEST)))


def truncated(folder: Path) -> Path:
    content = zip_bytes(good())
    (folder / "x.zip").write_bytes(content[: len(content) // 2])
    return folder / "x.zip"


def with_a_broken_member(folder: Path) -> Path:
    content = bytearray(zip_bytes(good()))
    content[200] ^= 0xFF
    (folder / "x.zip").write_bytes(bytes(content))
    return folder / "x.zip"


def encrypted(folder: Path) -> Path:
    content = bytearray(zip_bytes({"a_profile.gbr": b"x"}))
    for mark, at in ((b"PK\x03\x04", 6), (b"PK\x01\x02", 8)):
        content[content.index(mark) + at] |= 1
    (folder / "x.zip").write_bytes(bytes(content))
    return folder / "x.zip"


def with_a_lie_about_size(folder: Path) -> Path:
    """Announce a member as small that unpacks to much."""
    content = bytearray(zip_bytes({"a_profile.gbr": b"\0" * 10_000_000}))
    at = content.index(b"PK\x01\x02")
    content[at + 24 : at + 28] = struct.pack("<I", 100)
    (folder / "x.zip").write_bytes(bytes(content))
    return folder / "x.zip"


def with_twins(folder: Path) -> Path:
    with zipfile.ZipFile(folder / "x.zip", "w") as archive:
        archive.writestr("a_profile.gbr", b"1")
        with pytest.warns(UserWarning, match="Duplicate name"):
            archive.writestr("a_profile.gbr", b"2")
    return folder / "x.zip"


def packed_in_a_foreign_way(folder: Path) -> Path:
    with zipfile.ZipFile(folder / "x.zip", "w", zipfile.ZIP_LZMA) as archive:
        archive.writestr("a_profile.gbr", b"1" * 1000)
    return folder / "x.zip"


def of_many_members(folder: Path) -> Path:
    with zipfile.ZipFile(folder / "x.zip", "w") as archive:
        for count in range(5_000):
            archive.writestr(f"{count}.gbr", b"")
    return folder / "x.zip"


def a_bomb(folder: Path) -> Path:
    (folder / "x.zip").write_bytes(zip_bytes({"a_profile.gbr": b"\0" * 100_000_000}))
    return folder / "x.zip"


def outside(folder: Path) -> Path:
    (folder / "x.zip").write_bytes(zip_bytes({"../../evil_profile.gbr": b"x"}))
    return folder / "x.zip"


def a_text(folder: Path) -> Path:
    (folder / "x.zip").write_text("no zip")
    return folder / "x.zip"


def a_pipe(folder: Path) -> Path:
    os.mkfifo(folder / "pipe")
    return folder / "pipe"


def endless(folder: Path) -> Path:
    del folder
    return Path("/dev/zero")


def a_folder_with_a_link(folder: Path) -> Path:
    (folder / "x").mkdir()
    (folder / "x/a_profile.gbr").symlink_to("/etc/passwd")
    return folder / "x"


def a_folder_with_a_pipe(folder: Path) -> Path:
    (folder / "x").mkdir()
    os.mkfifo(folder / "x/a_profile.gbr")
    return folder / "x"


def a_folder_of_many_files(folder: Path) -> Path:
    (folder / "x").mkdir()
    for count in range(100):
        (folder / f"x/{count}.gbr").touch()
    return folder / "x"


def a_record_that_nests_deep(folder: Path) -> Path:
    (folder / "x").mkdir()
    (folder / "x/build.json").write_text("[" * 100_000)
    return folder / "x"


def a_record_that_points_outside(folder: Path) -> Path:
    (folder / "x").mkdir()
    record = {"board": "../../etc", "files": {"../../../etc/passwd": "0"}}
    (folder / "x/build.json").write_text(json.dumps(record))
    return folder / "x"


REFUSED: list[Pack] = [
    truncated, with_a_broken_member, encrypted, with_a_lie_about_size, with_twins,
    packed_in_a_foreign_way, of_many_members, a_bomb, outside, a_text, a_pipe, endless,
    a_folder_with_a_link, a_folder_with_a_pipe, a_folder_of_many_files, a_record_that_nests_deep,
    a_record_that_points_outside,
]  # fmt: skip


@pytest.mark.parametrize("pack", REFUSED, ids=lambda pack: pack.__name__)
def test_what_is_no_sound_package_is_refused_in_words(pack: Pack, tmp_path: Path) -> None:
    (tmp_path / "in").mkdir()
    path = pack(tmp_path / "in")
    before = sorted(tmp_path.rglob("*"))
    result = run("verify", path)
    assert result.exit_code == 2, result.output
    assert result.stderr.strip()
    assert "fault of boardgen" not in result.stderr
    assert sorted(tmp_path.rglob("*")) == before


GERBER = "bar_legend-top.gbr"


def _body(lines: list[str]) -> Files:
    """Put lines into the body of a drawing, sealed again."""
    files = good()
    text = files[GERBER].decode()
    at = text.index("%TF.MD5")
    files[GERBER] = (text[:at] + "\n".join(lines) + "\n" + text[at:]).encode()
    return refreshed(files)


def _crossing_strokes() -> Files:
    """Three thousand level and three thousand upright lines: nine million crossings."""
    pen = next(line for line in good()[GERBER].decode().split("\n") if line.startswith("D1"))
    lines = [pen]
    for at in range(3_000):
        lines += [f"X0Y{at * 4000}D02*", f"X12000000Y{at * 4000}D01*"]
        lines += [f"X{at * 4000}Y0D02*", f"X{at * 4000}Y12000000D01*"]
    return _body(lines)


def _contour_of_many_crossings() -> Files:
    """Draw a zigzag that crosses itself ten thousand times."""
    points = [((at % 2) * 10_000_000 + at * 10, (at * 7919) % 10_000_000) for at in range(20_000)]
    lines = ["%TD*%", "%TA.AperFunction,Material*%", "G36*", f"X{points[0][0]}Y{points[0][1]}D02*",
             *(f"X{x}Y{y}D01*" for x, y in (*points[1:], points[0])), "G37*",
             "%TD.AperFunction*%"]  # fmt: skip
    return _body(lines)


def _many_lines() -> Files:
    files = good()
    return {**files, GERBER: files[GERBER] + b"G01*\n" * 1_600_000}


def _long_line() -> Files:
    files = good()
    return {**files, GERBER: files[GERBER].replace(b"%MOMM*%", b"%MOMM" + b"M" * 5_000_000 + b"*%")}


def _records_without_end() -> Files:
    files = good()
    return {**files, "bar_netlist.ipc": b"C  x\n" * 100_000}


def _grid(count: int) -> list[str]:
    return [
        f"X{1_000_000 + at % 300 * 50_000}Y{1_000_000 + at // 300 * 50_000}" for at in range(count)
    ]


def _many_apertures() -> Files:
    files = good()
    text = files[GERBER].decode()
    said = re.search(r"%TA\.AperFunction,[^\n]*\n%ADD(\d+)C,[^\n]*\n%TD\*%\n", text)
    assert said
    more = [said[0].replace(f"%ADD{said[1]}C", f"%ADD{100 + at}C") for at in range(60_000)]
    return {**files, GERBER: text.replace(said[0], said[0] + "".join(more)).encode()}


def _many_names() -> Files:
    files = good()
    name = "bar_copper-top.gbr"
    text = files[name].decode()
    pen = re.search(r"\nD\d+\*\n", text)
    assert pen
    flashes = [f"%TO.N,net{at}*%\n{place}D03*" for at, place in enumerate(_grid(59_000))]
    at = text.index("%TF.MD5")
    return {
        **files,
        name: (text[:at] + pen[0][1:] + "\n".join(flashes) + "\n" + text[at:]).encode(),
    }


def _many_hits() -> Files:
    files = good()
    text = files["bar_plated.drl"].decode()
    hits = [f"X{1 + at % 300 * 0.05:.3f}Y{1 + at // 300 * 0.05:.3f}\n" for at in range(99_000)]
    at = text.rindex("M30")
    return {**files, "bar_plated.drl": (text[:at] + "".join(hits) + text[at:]).encode()}


def _many_records() -> Files:
    files = good()
    lines = files["bar_netlist.ipc"].decode().splitlines(keepends=True)
    record = next(line for line in lines if line.startswith("3"))
    return {
        **files, "bar_netlist.ipc": "".join([*lines[:-1], *[record] * 200_000, lines[-1]]).encode(),
    }  # fmt: skip


def _deep_job() -> Files:
    return {**good(), "bar_job.gbrjob": b'{"a":' * 100_000}


def _huge_numbers() -> Files:
    files = good()
    text = files["bar_job.gbrjob"].decode().replace('"X": 50.0', '"X": 1e999')
    return {**files, "bar_job.gbrjob": text.encode()}


def _nonsense_numbers() -> Files:
    files = good()
    text = files["bar_job.gbrjob"].decode().replace('"X": 50.0', '"X": NaN')
    return {**files, "bar_job.gbrjob": text.encode()}


def _another_encoding() -> Files:
    files = good()
    return {**files, GERBER: files[GERBER].decode().encode("utf-16")}


def _null_bytes() -> Files:
    return dict.fromkeys(good(), b"\0" * 1000)


WRONG: list[Callable[[], Files]] = [
    _crossing_strokes, _contour_of_many_crossings, _many_lines, _long_line, _records_without_end,
    _many_apertures, _many_names, _many_hits, _many_records,
    _deep_job, _huge_numbers, _nonsense_numbers, _another_encoding, _null_bytes,
]  # fmt: skip


@pytest.mark.parametrize("make", WRONG, ids=lambda make: make.__name__)
def test_what_would_keep_a_judge_busy_is_told_as_wrong(make: Callable[[], Files]) -> None:
    words = told(prove(make()))
    assert words
    assert all(word.startswith("form:") for word in words), words[:3]


def test_a_tree_of_empty_folders_is_not_walked_to_its_end(tmp_path: Path) -> None:
    (tmp_path / "x").mkdir()
    (tmp_path / "x/build.json").write_text("{}")
    deep = tmp_path / "x"
    for _ in range(300):
        deep = deep / "a"
        deep.mkdir()
    result = run("verify", tmp_path / "x")
    assert result.exit_code == 2
    assert "holds more than 64 files and folders" in result.stderr


def test_the_bounds_are_those_that_the_readme_states() -> None:
    assert (package.MOST_FILES, package.LARGEST_FILE_BYTES) == (64, 32_000_000)
    assert package.LARGEST_PACKAGE_BYTES == 128_000_000


@pytest.mark.thorough
def test_the_worst_that_is_still_read_stays_within_its_memory(tmp_path: Path) -> None:
    """Own bound: a gigabyte of address space above what importing takes, for the crossing lines."""
    (tmp_path / "x.zip").write_bytes(zip_bytes(_crossing_strokes()))
    code = (
        "import resource, sys\n"
        "import boardgen.readback.prove, boardgen.cli\n"
        "used = int(open('/proc/self/statm').read().split()[0]) * resource.getpagesize()\n"
        "resource.setrlimit(resource.RLIMIT_AS, (used + 2**30, used + 2**30))\n"
        f"sys.argv = ['boardgen', 'verify', {str(tmp_path / 'x.zip')!r}]\n"
        "boardgen.cli.main()\n"
    )
    done = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=False)
    assert done.returncode == 1, done.stderr
    assert "entangled" in done.stdout


def _job_with(change: Callable[[dict[str, Any]], None]) -> Files:
    files = good()
    job = json.loads(files["bar_job.gbrjob"])
    change(job)
    return {**files, "bar_job.gbrjob": json.dumps(job).encode()}


def _without_thickness() -> Files:
    return _job_with(lambda job: job["MaterialStackup"][3].pop("Thickness"))


def _without_colour() -> Files:
    return _job_with(lambda job: job["MaterialStackup"][0].pop("Color"))


def _without_material() -> Files:
    return _job_with(lambda job: job["MaterialStackup"][4].pop("Material"))


def _half_a_letter() -> Files:
    return _job_with(lambda job: job["FilesAttributes"][0].update(Path="\ud800"))


def _outline_of_two_points() -> Files:
    files = good()
    text = files["bar_profile.gbr"].decode()
    text = re.sub(r"(?s)X\S*D02\*.*?(?=%TF\.MD5)",
                  "X0Y0D02*\nX88000000Y14000000D01*\nX0Y0D01*\n", text)  # fmt: skip
    return refreshed({**files, "bar_profile.gbr": text.encode()})


def _reference_of_many_digits() -> Files:
    files = good()
    text = files["bar_copper-top.gbr"].decode().replace("%TO.P,D1,", f"%TO.P,D{'9' * 900},")
    return refreshed({**files, "bar_copper-top.gbr": text.encode()})


def _name_of_many_letters() -> Files:
    return _body([f"%TO.C,{'D' * 4_000_000}*%"])


def _erasing_and_drawing_for_ever() -> Files:
    pen = next(line for line in good()[GERBER].decode().split("\n") if line.startswith("D1"))
    lines = [pen]
    for at in range(2_000):
        lines += ["%LPC*%" if at % 2 else "%LPD*%", f"X{at * 1000}Y0D02*", f"X{at * 1000}Y9000D01*"]
    return _body([*lines, "%LPD*%"])


def _thousands_of_records_at_one_place() -> Files:
    files = good()
    lines = files["bar_netlist.ipc"].decode().split("\n")
    at = next(place for place, line in enumerate(lines) if line.startswith("367"))
    lines[at:at] = [lines[at]] * 8_000
    return {**files, "bar_netlist.ipc": "\n".join(lines).encode()}


def _thousands_of_signs() -> Files:
    files = good()
    text = files[GERBER].decode()
    plus = next(item for item in items(text) if item.function == "Other,Plus")
    x, y = points(text, plus)[0]
    lines = [
        line for at in range(4_000) for line in (f"X{x + at}Y{y}D02*", f"X{x + at}Y{y + 5}D01*")
    ]
    return refreshed({**files, GERBER: repeated(text, plus, lines).encode()})


SOUND_IN_FORM: list[Callable[[], Files]] = [
    _without_thickness, _without_colour, _without_material, _half_a_letter, _outline_of_two_points,
    _reference_of_many_digits, _name_of_many_letters, _erasing_and_drawing_for_ever,
    _thousands_of_records_at_one_place, _thousands_of_signs,
]  # fmt: skip


@pytest.mark.parametrize("make", SOUND_IN_FORM, ids=lambda make: make.__name__)
def test_nonsense_is_judged_and_told_in_words_that_can_be_written(
    make: Callable[[], Files], tmp_path: Path
) -> None:
    """Found by a reviewer's attack: each of these was a fault of ours or took minutes."""
    files = make()
    (tmp_path / "x.zip").write_bytes(zip_bytes(files))
    for way in ([], ["--format", "json"], ["--overlay", tmp_path / "x.svg"]):
        result = run("verify", tmp_path / "x.zip", *way)
        assert result.exit_code == 1, result.output
        assert "fault of boardgen" not in result.output
        assert result.output.encode()
    ET.parse(tmp_path / "x.svg")  # noqa: S314 - our own bytes
