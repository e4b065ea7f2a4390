"""Named bytes → a folder, all or nothing; the only module that writes."""

import json
import shutil
import tempfile
import zipfile
from contextlib import suppress
from pathlib import Path

from boardgen.errors import OutputError
from boardgen.model.outputs import OutputFiles

_MARKER = "build.json"
_SCHEMA = "boardgen.build/"
_PACKED = "fabrication/"


def write_folder(target: Path | str, files: OutputFiles) -> None:
    """Write a board's folder.

    The files go to a neighbour folder first; it takes the target's place only when all of them
    are there. What stood there before, if a build wrote it, is replaced whole.

    Raises
    ------
    OutputError
        When the target is not ours to replace, or cannot be written; nothing is changed then.
    """
    target = Path(target)
    _refuse_foreign(target)
    made: Path | None = None
    try:
        target.parent.mkdir(parents=True, exist_ok=True)
        made = Path(tempfile.mkdtemp(dir=target.parent, prefix=f".{target.name}-"))
        for file in files:
            path = made / file.path
            path.parent.mkdir(parents=True, exist_ok=True)
            path.write_bytes(file.content)
        _reopen(made, files)
        made.chmod(0o755)
        _take_place(made, target)
    except OSError as error:
        raise OutputError(f"{target}: cannot be written: {error.strerror or error}") from None
    finally:
        if made is not None:
            shutil.rmtree(made, ignore_errors=True)


def _reopen(made: Path, files: OutputFiles) -> None:
    """Read everything back from the disk, zips member by member, before it is put in place."""
    for file in files:
        if (made / file.path).read_bytes() != file.content:
            raise OutputError(f"{file.path}: the disk does not give back what was written")
        if file.path.endswith(".zip"):
            with zipfile.ZipFile(made / file.path) as archive:
                broken = archive.testzip()
                packed = {name: archive.read(name) for name in archive.namelist()}
            inside = {
                other.path.removeprefix(_PACKED): other.content
                for other in files
                if other.path.startswith(_PACKED)
            }
            if broken or packed != inside:
                raise OutputError(f"{file.path}: does not hold what is in {_PACKED}")


def write_new(target: Path, text: str) -> None:
    """Write a file that was not there before.

    Raises
    ------
    OutputError
        When there is one already, or it cannot be written.
    """
    try:
        with target.open("x", encoding="utf-8", newline="\n") as file:
            file.write(text)
    except FileExistsError:
        raise OutputError(
            f"{target}: exists already and is left alone; take another name"
        ) from None
    except OSError as error:
        raise OutputError(f"{target}: cannot be written: {error.strerror or error}") from None


def _refuse_foreign(target: Path) -> None:
    if not target.exists() and not target.is_symlink():
        return
    if target.is_dir() and not target.is_symlink():
        if _is_empty(target):
            return
        listed = _listed(target)
        if listed is not None:
            _refuse_added(target, listed)
            return
    raise OutputError(
        f"{target}: exists and was not written by boardgen, so it is left alone; name another"
        " folder with -o, or move it away"
    )


def _is_empty(target: Path) -> bool:
    with suppress(OSError):
        return not any(target.iterdir())
    return False


def _listed(target: Path) -> set[str] | None:
    """List the files that a build wrote here; None when none did."""
    with suppress(OSError, ValueError, AttributeError, TypeError, RecursionError):
        record = json.loads((target / _MARKER).read_text(encoding="utf-8"))
        if str(record.get("schema", "")).startswith(_SCHEMA):
            return {_MARKER, *map(str, record.get("files", {}))}
    return None


def _refuse_added(target: Path, listed: set[str]) -> None:
    """Leave a board's folder alone when a person has put files into it."""
    present = {
        path.relative_to(target).as_posix() for path in target.rglob("*") if not path.is_dir()
    }
    added = sorted(present - listed)
    if added:
        raise OutputError(
            f"{target}: holds files that boardgen did not write ({', '.join(added[:3])}), so it is"
            " left alone; move them away, or name another folder with -o"
        )


def _take_place(made: Path, target: Path) -> None:
    if not target.exists():
        made.rename(target)
        return
    old = Path(tempfile.mkdtemp(dir=target.parent, prefix=f".{target.name}-old-"))
    try:
        target.rename(old / target.name)
        made.rename(target)
    except BaseException:  # an interrupt from the keyboard too
        if (old / target.name).exists() and not target.exists():
            (old / target.name).rename(target)
        raise
    finally:
        if target.exists():
            shutil.rmtree(old, ignore_errors=True)
