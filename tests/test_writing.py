"""Writing is all or nothing."""

from pathlib import Path

import pytest

from boardgen.errors import OutputError
from boardgen.model.outputs import OutputFile, OutputFiles
from boardgen.writing import write_folder

FILES = (
    OutputFile(
        path="build.json",
        content=b'{"schema": "boardgen.build/1", "files": {"inner/a.txt": "digest"}}',
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
