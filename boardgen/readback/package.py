"""A package on disk → file names and contents, within bounds, from a folder or a zip."""

import hashlib
import io
import json
import re
import zipfile
from dataclasses import dataclass, field
from pathlib import Path

from boardgen.errors import PackageError
from boardgen.model.proof import ProofItem

_BOARD_NAME = re.compile(r"[a-z0-9-]{1,40}")
MOST_FILES = 64
LARGEST_FILE_BYTES = 64_000_000
LARGEST_PACKAGE_BYTES = 256_000_000


@dataclass(frozen=True, slots=True, kw_only=True)
class Package:
    """The fabrication files of a package, and what its folder says of itself."""

    files: dict[str, bytes]
    items: tuple[ProofItem, ...] = field(default=())


def load_package(path: Path) -> Package:
    """Read a package.

    Parameters
    ----------
    path : Path
        A zip, a folder that a build wrote, or a plain folder of fabrication files.

    Raises
    ------
    PackageError
        When it cannot be read as a package; bounds are 64 files, 64 MB a file, 256 MB in all.
    """
    if path.is_dir():
        return _board_folder(path) if (path / "build.json").is_file() else _folder(path)
    try:
        if path.exists() and not path.is_file():
            raise PackageError(f"{path}: is no ordinary file")
        with path.open("rb") as file:
            content = file.read(LARGEST_PACKAGE_BYTES + 1)
        if len(content) > LARGEST_PACKAGE_BYTES:
            raise PackageError(f"{path}: is too large")
        return Package(files=_zip(path.name, content))
    except FileNotFoundError:
        raise PackageError(f"{path}: there is no such package") from None
    except OSError as error:
        raise PackageError(f"{path}: cannot be read: {error.strerror}") from None


def _zip(name: str, content: bytes) -> dict[str, bytes]:
    files: dict[str, bytes] = {}
    total = 0
    try:
        with zipfile.ZipFile(io.BytesIO(content)) as archive:
            entries = archive.infolist()
            if len(entries) > MOST_FILES:
                raise PackageError(f"{name}: holds {len(entries)} files; at most {MOST_FILES}")
            for entry in entries:
                if "/" in entry.filename or "\\" in entry.filename or entry.filename in files:
                    raise PackageError(f"{name}: {entry.filename!r} does not lie flat and alone")
                total += entry.file_size
                if entry.file_size > LARGEST_FILE_BYTES or total > LARGEST_PACKAGE_BYTES:
                    raise PackageError(f"{name}: {entry.filename} is too large")
                with archive.open(entry) as member:
                    # Read no more than was announced, whatever the stream would give.
                    files[entry.filename] = member.read(entry.file_size + 1)
    except (zipfile.BadZipFile, NotImplementedError, EOFError, RuntimeError, ValueError) as error:
        raise PackageError(f"{name}: is not a sound zip: {error}") from None
    return files


def _folder(path: Path) -> Package:
    return Package(files=_flat(path))


def _flat(path: Path) -> dict[str, bytes]:
    entries = sorted(path.iterdir())
    if len(entries) > MOST_FILES:
        raise PackageError(f"{path}: holds {len(entries)} entries; at most {MOST_FILES}")
    files = {}
    for entry in entries:
        if not entry.is_file():
            raise PackageError(f"{path}: {entry.name} is not a file")
        if entry.stat().st_size > LARGEST_FILE_BYTES:
            raise PackageError(f"{path}: {entry.name} is too large")
        files[entry.name] = entry.read_bytes()
    return files


def _board_folder(path: Path) -> Package:
    """Read a built board's folder: digests, and the zip against the folder beside it."""
    try:
        record = json.loads((path / "build.json").read_text(encoding="utf-8"))
        digests = {str(name): str(digest) for name, digest in record["files"].items()}
        board = _BOARD_NAME.fullmatch(str(record["board"]))
    except (ValueError, KeyError, TypeError, AttributeError, OSError, RecursionError):
        raise PackageError(f"{path}: its build.json cannot be read") from None
    if board is None:
        raise PackageError(f"{path}: its build.json cannot be read: it names no board")
    if not (path / "fabrication").is_dir():
        raise PackageError(f"{path}: holds no fabrication data; its findings say why")
    files = _flat(path / "fabrication")
    wrong = _digest_faults(path, digests)
    upload = f"{board.group()}-fabrication.zip"
    apart = []
    if (path / upload).is_file():
        inside = _zip(upload, (path / upload).read_bytes())
        apart = [
            f"{name} differs between {upload} and fabrication/"
            for name in sorted(set(inside) | set(files))
            if inside.get(name) != files.get(name)
        ]
    else:
        apart.append(f"{upload} is missing")
    return Package(
        files=files,
        items=(
            ProofItem(title="digests", compared=len(digests), differences=tuple(wrong)),
            ProofItem(title="zip and folder", compared=len(files), differences=tuple(apart)),
        ),
    )


def _digest_faults(path: Path, digests: dict[str, str]) -> list[str]:
    present = {
        entry.relative_to(path).as_posix() for entry in path.rglob("*") if not entry.is_dir()
    }
    wrong = [f"{name} is not listed" for name in sorted(present - {"build.json", *digests})]
    for name, digest in digests.items():
        file = path / name
        if name not in present or not file.is_file():
            wrong.append(f"{name} is missing")
        elif file.stat().st_size > LARGEST_FILE_BYTES:
            wrong.append(f"{name} is too large")
        elif hashlib.sha256(file.read_bytes()).hexdigest() != digest:
            wrong.append(f"{name} is not the file that the build wrote")
    return wrong
