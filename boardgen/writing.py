"""Named bytes → a folder, all or nothing; the only module that writes."""

import hashlib
import json
import os
import shutil
import tempfile
import zipfile
from collections.abc import Iterator
from contextlib import contextmanager, suppress
from dataclasses import replace
from pathlib import Path

from boardgen.errors import OutputError
from boardgen.exchange import exchange
from boardgen.model.outputs import OutputFile, OutputFiles, stray

_MARKER = "build.json"
_SCHEMA = "boardgen.build/"
_PACKED = "fabrication/"
EDITABLE = "yours to edit"
"""Stands for the digest of a file that people go on writing."""
_WAIT_S = 120.0
"""So long another build into the same folder is waited for."""


def write_folder(target: Path | str, files: OutputFiles) -> None:
    """Write a board's folder.

    The files go to a neighbour folder first; it takes the target's place only when all of them
    are there. What stood there before, if a build wrote it and nobody changed it, is replaced
    whole; at no moment is the target absent where the system can exchange two folders. Builds into
    one target wait for one another, and sweep what a killed one left.

    Raises
    ------
    OutputError
        When the target is not ours to replace, or cannot be written; nothing is changed then.
    """
    target = Path(target)
    made = target.with_name(f".{target.name}~boardgen-new")
    try:
        with _alone(target):
            _refuse_foreign(target)
            target.parent.mkdir(parents=True, exist_ok=True)
            _sweep(made)
            try:
                _fill(made, files)
                _take_place(made, target)
            finally:
                _sweep(made)
    except OSError as error:
        raise OutputError(f"{target}: cannot be written: {error.strerror or error}") from None


@contextmanager
def _alone(target: Path) -> Iterator[None]:
    """Hold a lock on a target, outside of the folder that people look into."""
    from filelock import FileLock, Timeout  # noqa: PLC0415 - only writers need it

    # Few names: the empty files stay, and targets that share one wait for each other a moment.
    name = hashlib.sha256(os.fsencode(target.resolve())).hexdigest()[:2]
    lock = FileLock(Path(tempfile.gettempdir()) / f"boardgen-{name}.lock", mode=0o666)
    try:
        with lock.acquire(timeout=_WAIT_S):
            yield
    except Timeout:
        raise OutputError(f"{target}: another build is writing there; try again later") from None


def _sweep(made: Path) -> None:
    """Take away a neighbour folder: what was exchanged, or what a killed build left."""
    if made.is_symlink():
        made.unlink()
    shutil.rmtree(made, ignore_errors=True)


def _fill(made: Path, files: OutputFiles) -> None:
    made.mkdir()
    for file in files:
        path = made / file.path
        path.parent.mkdir(parents=True, exist_ok=True)
        path.write_bytes(file.content)
    _reopen(made, files)


def _reopen(made: Path, files: OutputFiles) -> None:
    """Read everything back from the disk, zips member by member, before it is put in place."""
    for file in files:
        if (made / file.path).read_bytes() != file.content:
            raise OutputError(f"{file.path}: the disk does not give back what was written")
        if file.path.endswith(".zip"):
            with zipfile.ZipFile(made / file.path) as archive:
                broken = archive.testzip()
                packed = {name: archive.read(name) for name in archive.namelist()}
            beside = f"{file.path.rpartition('/')[0]}/{_PACKED}".lstrip("/")
            inside = {
                other.path.removeprefix(beside): other.content
                for other in files
                if other.path.startswith(beside)
            }
            if broken or packed != inside:
                raise OutputError(f"{file.path}: does not hold what is in {beside}")


def edited(target: Path, files: OutputFiles) -> OutputFiles:
    """Take people's own text of files that they may edit, and what they have put beside them."""
    listed = _listed(target)
    if listed is None:
        return files
    kept = tuple(
        replace(file, content=(target / file.path).read_bytes())
        if listed.get(file.path) == EDITABLE and (target / file.path).is_file()
        else file
        for file in files
    )
    known = {_MARKER, *listed, *(file.path for file in files)}
    added = sorted(
        path.relative_to(target).as_posix() for path in target.rglob("*") if path.is_file()
    )
    own = (name for name in added if listed.get(name) == EDITABLE or name not in known)
    mine = {file.path for file in files}
    return kept + tuple(
        OutputFile(path=name, content=(target / name).read_bytes())
        for name in own
        if name not in mine and not stray(name)
    )


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
            _refuse_touched(target, listed)
            return
    raise OutputError(
        f"{target}: exists and was not written by boardgen, so it is left alone; name another"
        " folder with -o, or move it away"
    )


def _is_empty(target: Path) -> bool:
    with suppress(OSError):
        return not any(target.iterdir())
    return False


def _listed(target: Path) -> dict[str, str] | None:
    """List the files that a build wrote here with their digests; None when none did."""
    with suppress(OSError, ValueError, AttributeError, TypeError, RecursionError):
        record = json.loads((target / _MARKER).read_text(encoding="utf-8"))
        if str(record.get("schema", "")).startswith(_SCHEMA):
            return {str(name): str(digest) for name, digest in record.get("files", {}).items()}
    return None


def _refuse_touched(target: Path, listed: dict[str, str]) -> None:
    """Leave a board's folder alone when a person has put or written something into it."""
    present = {
        path.relative_to(target).as_posix() for path in target.rglob("*") if not path.is_dir()
    }
    open_to_people = EDITABLE in listed.values()
    added = sorted(
        name for name in present - {_MARKER, *listed} if not stray(name) and not open_to_people
    )
    changed = sorted(
        name
        for name in present & set(listed)
        if listed[name] != EDITABLE and _changed(target / name, listed[name])
    )
    for names, what in ((added, "that boardgen did not write"), (changed, "that were changed")):
        if names:
            raise OutputError(
                f"{target}: holds files {what} ({', '.join(names[:3])}), so it is left alone; move"
                " them away, or name another folder with -o"
            )


def _changed(path: Path, digest: str) -> bool:
    """Tell whether a file is no longer the one that a build wrote."""
    with suppress(OSError):
        return hashlib.sha256(path.read_bytes()).hexdigest() != digest
    return True


def _take_place(made: Path, target: Path) -> None:
    """Put the new folder into the target's place; the old one is then where the new one was."""
    if not target.exists():
        made.rename(target)
        return
    if exchange(made, target):
        return
    old = target.with_name(f".{target.name}~boardgen-old")
    _sweep(old)
    try:
        target.rename(old)
        made.rename(target)
    except BaseException:  # an interrupt from the keyboard too
        if old.exists() and not target.exists():
            old.rename(target)
        raise
    finally:
        if target.exists():
            _sweep(old)
