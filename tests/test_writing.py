"""Writing is all or nothing."""

import hashlib
import os
import threading
from pathlib import Path

import pytest

from boardgen import writing
from boardgen.errors import OutputError
from boardgen.exchange import exchange
from boardgen.model.outputs import OutputFile, OutputFiles
from boardgen.writing import write_folder

FILES = (
    OutputFile(
        path="build.json",
        content=b'{"schema": "boardgen.build/1", "files": {"inner/a.txt": "'
        + hashlib.sha256(b"a").hexdigest().encode()
        + b'"}}',
    ),
    OutputFile(path="inner/a.txt", content=b"a"),
)


def names(folder: Path) -> set[str]:
    return {str(path.relative_to(folder)) for path in folder.rglob("*") if path.is_file()}


def test_a_folder_is_written_and_later_replaced_whole(tmp_path: Path) -> None:
    target = tmp_path / "deep" / "board"
    write_folder(target, FILES)
    assert names(target) == {"build.json", "inner/a.txt"}
    write_folder(target, FILES[:1])
    assert names(target) == {"build.json"}
    assert [path.name for path in target.parent.iterdir()] == ["board"]


def test_an_interrupted_write_leaves_the_previous_folder_untouched(tmp_path: Path) -> None:
    target = tmp_path / "board"
    write_folder(target, FILES)
    bad: OutputFiles = (FILES[0], OutputFile(path="x" * 300, content=b""))
    with pytest.raises(OutputError, match="cannot be written"):
        write_folder(target, bad)
    assert names(target) == {"build.json", "inner/a.txt"}
    assert [path.name for path in tmp_path.iterdir()] == ["board"]


@pytest.mark.parametrize("marker", ["", "nonsense", "[]", '{"schema": "other/1"}'])
def test_a_foreign_folder_is_left_alone(tmp_path: Path, marker: str) -> None:
    target = tmp_path / "board"
    target.mkdir()
    (target / "build.json").write_text(marker)
    with pytest.raises(OutputError, match="left alone"):
        write_folder(target, FILES)
    assert (target / "build.json").read_text() == marker


def test_an_empty_folder_may_be_taken_but_not_a_link(tmp_path: Path) -> None:
    target = tmp_path / "board"
    target.mkdir()
    write_folder(target, FILES)
    assert names(target) == {"build.json", "inner/a.txt"}
    link = tmp_path / "link"
    link.symlink_to(target)
    with pytest.raises(OutputError, match="left alone"):
        write_folder(link, FILES)


def test_a_folder_into_which_a_person_put_something_is_left_alone(tmp_path: Path) -> None:
    target = tmp_path / "board"
    write_folder(target, FILES)
    (target / "receipt.txt").write_text("mine")
    with pytest.raises(OutputError, match=r"receipt\.txt"):
        write_folder(target, FILES)
    assert names(target) == {"build.json", "inner/a.txt", "receipt.txt"}


@pytest.mark.parametrize("interrupt", [KeyboardInterrupt, OSError])
def test_an_interrupt_between_the_two_moves_brings_the_previous_folder_back(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, interrupt: type[BaseException]
) -> None:
    target = tmp_path / "board"
    write_folder(target, FILES)
    rename, calls = Path.rename, []

    def second_fails(self: Path, to: Path) -> Path:
        calls.append(to)
        if len(calls) == 2:
            raise interrupt
        return rename(self, to)

    monkeypatch.setattr(writing, "exchange", lambda *_: False)  # as where the system cannot
    monkeypatch.setattr(Path, "rename", second_fails)
    with pytest.raises((interrupt, OutputError)):
        write_folder(target, FILES[:1])
    monkeypatch.undo()
    assert names(target) == {"build.json", "inner/a.txt"}
    assert [path.name for path in tmp_path.iterdir()] == ["board"]


def test_a_record_that_nests_deep_is_no_record_of_ours(tmp_path: Path) -> None:
    target = tmp_path / "board"
    target.mkdir()
    (target / "build.json").write_text("[" * 200_000)
    with pytest.raises(OutputError):
        write_folder(target, ())
    assert (target / "build.json").is_file()


def test_a_note_that_a_person_wrote_into_a_file_is_not_lost(tmp_path: Path) -> None:
    target = tmp_path / "board"
    write_folder(target, FILES)
    (target / "inner/a.txt").write_text("a, and what the house said on the phone")
    with pytest.raises(OutputError, match=r"were changed \(inner/a\.txt\)"):
        write_folder(target, FILES)
    assert "phone" in (target / "inner/a.txt").read_text()


@pytest.mark.parametrize("stray", [".DS_Store", "inner/Thumbs.db", "._build.json"])
def test_what_desktops_leave_is_no_work_of_a_person(tmp_path: Path, stray: str) -> None:
    target = tmp_path / "board"
    write_folder(target, FILES)
    (target / stray).write_bytes(b"\0")
    write_folder(target, FILES)
    assert names(target) == {"build.json", "inner/a.txt"}


def test_what_a_killed_build_left_is_swept(tmp_path: Path) -> None:
    left = tmp_path / ".board~boardgen-new" / "inner"
    left.mkdir(parents=True)
    (left / "half.gbr").write_bytes(b"half")
    write_folder(tmp_path / "board", FILES)
    assert [path.name for path in tmp_path.iterdir()] == ["board"]


def test_rights_follow_umask(tmp_path: Path) -> None:
    before = os.umask(0o027)
    try:
        write_folder(tmp_path / "board", FILES)
    finally:
        os.umask(before)
    assert (tmp_path / "board").stat().st_mode & 0o777 == 0o750
    assert (tmp_path / "board/inner/a.txt").stat().st_mode & 0o777 == 0o640


def test_the_folder_is_never_absent_while_it_is_replaced(tmp_path: Path) -> None:
    """A reader in another thread always finds the one or the other whole."""
    target = tmp_path / "board"
    write_folder(target, FILES)
    missed, done = list[int](), threading.Event()

    def look() -> None:
        while not done.is_set():
            if not (target / "build.json").exists():
                missed.append(1)

    reader = threading.Thread(target=look)
    reader.start()
    for _ in range(50):
        write_folder(target, FILES)
    done.set()
    reader.join()
    if not exchange_works(tmp_path):
        pytest.skip("this system cannot exchange two folders")
    assert not missed


def exchange_works(tmp_path: Path) -> bool:
    one, other = tmp_path / "one", tmp_path / "other"
    one.mkdir()
    other.mkdir()
    return exchange(one, other)


def test_builds_into_one_folder_wait_for_one_another(tmp_path: Path) -> None:
    target = tmp_path / "board"
    builds = [threading.Thread(target=write_folder, args=(target, FILES)) for _ in range(8)]
    for build in builds:
        build.start()
    for build in builds:
        build.join()
    assert names(target) == {"build.json", "inner/a.txt"}
    assert [path.name for path in tmp_path.iterdir()] == ["board"]
