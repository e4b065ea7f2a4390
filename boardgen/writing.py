"""Named bytes → a folder, all or nothing; the only module that writes."""

import json
import shutil
import tempfile
from contextlib import suppress
from pathlib import Path

from boardgen.errors import OutputError
from boardgen.model.outputs import OutputFiles

_MARKER = "build.json"
_SCHEMA = "boardgen.build/"


def write_folder(target: Path, files: OutputFiles) -> None:
    """Write a board's folder.

    The files go to a neighbour folder first; it takes the target's place only when all of them
    are there. What stood there before, if a build wrote it, is replaced whole.

    Raises
    ------
    OutputError
        When the target is not ours to replace, or cannot be written; nothing is changed then.
    """
    _refuse_foreign(target)
    made: Path | None = None
    try:
        target.parent.mkdir(parents=True, exist_ok=True)
        made = Path(tempfile.mkdtemp(dir=target.parent, prefix=f".{target.name}-"))
        for file in files:
            path = made / file.path
            path.parent.mkdir(parents=True, exist_ok=True)
            path.write_bytes(file.content)
        made.chmod(0o755)
        _take_place(made, target)
    except OSError as error:
        raise OutputError(f"{target}: cannot be written: {error.strerror or error}") from None
    finally:
        if made is not None:
            shutil.rmtree(made, ignore_errors=True)


def _refuse_foreign(target: Path) -> None:
    if not target.exists() and not target.is_symlink():
        return
    if target.is_dir() and not target.is_symlink() and (_is_ours(target) or _is_empty(target)):
        return
    raise OutputError(
        f"{target}: exists and was not written by boardgen, so it is left alone; name another"
        " folder with -o, or move it away"
    )


def _is_empty(target: Path) -> bool:
    with suppress(OSError):
        return not any(target.iterdir())
    return False


def _is_ours(target: Path) -> bool:
    with suppress(OSError, ValueError, AttributeError):
        record = json.loads((target / _MARKER).read_text(encoding="utf-8"))
        return str(record.get("schema", "")).startswith(_SCHEMA)
    return False


def _take_place(made: Path, target: Path) -> None:
    if not target.exists():
        made.rename(target)
        return
    old = Path(tempfile.mkdtemp(dir=target.parent, prefix=f".{target.name}-old-"))
    try:
        target.rename(old / target.name)
        try:
            made.rename(target)
        except OSError:
            (old / target.name).rename(target)
            raise
    finally:
        shutil.rmtree(old, ignore_errors=True)
