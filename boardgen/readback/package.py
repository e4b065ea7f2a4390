"""A package on disk → file names and contents, within bounds, from a folder or a zip."""

import hashlib
import io
import json
import re
import struct
import zipfile
import zlib
from dataclasses import dataclass, field
from itertools import islice
from pathlib import Path

from boardgen.errors import PackageError
from boardgen.model.outputs import stray
from boardgen.model.proof import Difference, Kind, ProofItem

_BOARD_NAME = re.compile(r"[a-z0-9-]{1,40}")
MOST_FILES = 64
LARGEST_FILE_BYTES = 32_000_000
LARGEST_PACKAGE_BYTES = 128_000_000
"""Bounds on what is read; a board of the most LEDs stays within them."""

_MARKER = "build.json"
_NAME = re.compile(r"[ -~]{1,300}")
_ENTRY = b"PK\x01\x02"
"""Begins each entry of a zip's directory, which is counted before it is believed."""

_ENCRYPTED = 0x1
_PACKED = (zipfile.ZIP_STORED, zipfile.ZIP_DEFLATED)


@dataclass(frozen=True, slots=True, kw_only=True)
class Package:
    """The fabrication files of a package, what its folder says of itself, and its papers."""

    files: dict[str, bytes]
    items: tuple[ProofItem, ...] = field(default=())
    papers: dict[str, bytes] = field(default_factory=dict)


def load_package(path: Path) -> Package:
    """Read the fabrication files of a package, and hold a board's folder against its own record.

    Parameters
    ----------
    path : Path
        A zip, a folder that a build wrote, or a plain folder of fabrication files.

    Raises
    ------
    PackageError
        When it cannot be read as a package; bounds are 64 files, 32 MB a file, 128 MB in all.
    """
    files = load_files(path)
    if _MARKER not in files:
        return Package(files=files)
    return _board_folder(path, files)


def load_files(path: Path) -> dict[str, bytes]:
    """Read all files of a package by their names, with ``/`` below a board's folder.

    Raises
    ------
    PackageError
        As ``load_package``.
    """
    try:
        if path.is_dir():
            return _tree(path)
        if path.exists() and not path.is_file():
            raise PackageError(f"{path}: is no ordinary file")
        return _zip(path.name, _bounded(path, LARGEST_PACKAGE_BYTES, str(path)))
    except FileNotFoundError:
        raise PackageError(f"{path}: there is no such package") from None
    except OSError as error:
        raise PackageError(f"{path}: cannot be read: {error.strerror}") from None


def _bounded(path: Path, most: int, name: str) -> bytes:
    with path.open("rb") as file:
        content = file.read(most + 1)
    if len(content) > most:
        raise PackageError(f"{name}: is larger than {most:,} bytes")
    return content


def _tree(path: Path) -> dict[str, bytes]:
    """Read a folder: a board's with what lies below it, any other flat."""
    below = (path / _MARKER).is_file()
    found = path.rglob("*") if below else path.iterdir()
    # Folders count while walking, so that a deep tree of empty ones ends too.
    walked = list(islice(found, 2 * MOST_FILES))
    entries = sorted(
        entry for entry in walked if not (below and entry.is_dir()) and not stray(entry.name)
    )
    if len(entries) > MOST_FILES or len(walked) == 2 * MOST_FILES:
        raise PackageError(f"{path}: holds more than {MOST_FILES} files and folders")
    files: dict[str, bytes] = {}
    left = LARGEST_PACKAGE_BYTES
    for entry in entries:
        name = entry.relative_to(path).as_posix()
        _refuse_name(str(path), name)
        if entry.is_dir():
            raise PackageError(
                f"{path}: holds folders ({name} …) and no build.json: name one board's folder, its"
                " fabrication folder or its zip"
            )
        if entry.is_symlink() or not entry.is_file():
            raise PackageError(f"{path}: {name} is not an ordinary file")
        files[name] = _bounded(entry, min(LARGEST_FILE_BYTES, left), f"{path}: {name}")
        left -= len(files[name])
    return files


def _refuse_name(where: str, name: str) -> None:
    """Refuse names that no file of a package has, before they are told on."""
    if not _NAME.fullmatch(name):
        raise PackageError(f"{where}: {name[:60]!a} is no name of a file in a package")


def _zip(name: str, content: bytes) -> dict[str, bytes]:
    """Read a zip as boardgen packs it: entries end to end from its first byte, and nothing else.

    A reader that streams and one that looks into the directory then see the same files, because the
    whole is packed again and has to be the same bytes.
    """
    if not zipfile.is_zipfile(io.BytesIO(content)):
        cut = content.startswith(b"PK\x03\x04")
        said = "is empty" if not content else "breaks off: fetch it again" if cut else "is no zip"
        raise PackageError(f"{name}: {said}; name a board's folder or its -fabrication.zip")
    if content.count(_ENTRY) > MOST_FILES:
        raise PackageError(f"{name}: holds more than {MOST_FILES} files")
    try:
        files = _members(name, content)
    except (zipfile.BadZipFile, zlib.error, NotImplementedError, EOFError, RuntimeError,
            ValueError, OSError, LookupError, struct.error) as error:  # fmt: skip
        raise PackageError(f"{name}: is not a sound zip: {error}") from None
    if _packed(files) != content:
        raise PackageError(
            f"{name}: is not packed as boardgen packs: there is more in it than its files, or they"
            " are compressed, linked or described otherwise, and who unpacks it may see another"
            " board; upload the zip that boardgen wrote, or unpack it and name the folder"
        )
    return files


def _members(name: str, content: bytes) -> dict[str, bytes]:
    files: dict[str, bytes] = {}
    total = 0
    with zipfile.ZipFile(io.BytesIO(content)) as archive:
        for entry in archive.infolist():
            _refuse_name(name, entry.filename)
            if "/" in entry.filename or "\\" in entry.filename:
                raise PackageError(
                    f"{name}: {entry.filename!r} lies in a folder inside the zip; a package is"
                    " flat: pack the files themselves, nothing else"
                )
            if entry.filename in files:
                raise PackageError(f"{name}: {entry.filename!r} is in it twice")
            if entry.flag_bits & _ENCRYPTED or entry.compress_type not in _PACKED:
                raise PackageError(f"{name}: {entry.filename!r} is packed in a foreign way")
            total += entry.file_size
            if entry.file_size > LARGEST_FILE_BYTES or total > LARGEST_PACKAGE_BYTES:
                raise PackageError(f"{name}: {entry.filename!r} is too large")
            with archive.open(entry) as member:
                # Read no more than was announced, whatever the stream would give.
                files[entry.filename] = member.read(entry.file_size + 1)
            if len(files[entry.filename]) != entry.file_size:
                raise PackageError(f"{name}: {entry.filename!r} is not as long as announced")
    return files


_NEEDS, _MADE_BY_UNIX, _PLAIN_FILE = 20, 3 << 8 | 20, 0o100644 << 16
_MIDNIGHT, _DAY_ONE = 0, 1 << 5 | 1
"""The earliest moment that a zip can say: 1980-01-01."""


def _packed(files: dict[str, bytes]) -> bytes:
    """Pack files as a package has them: stored, in their order, by the layout of the format.

    Source: the published description of the format (local file header, central directory header,
    end of central directory), from memory, confident.
    """
    body, directory = bytearray(), bytearray()
    for name, content in files.items():
        raw, at = name.encode("ascii"), len(body)
        facts = struct.pack("<HHHHHIII", _NEEDS, 0, 0, _MIDNIGHT, _DAY_ONE, zlib.crc32(content),
                            len(content), len(content))  # fmt: skip
        body += b"PK\x03\x04" + facts + struct.pack("<HH", len(raw), 0) + raw + content
        directory += b"PK\x01\x02" + struct.pack("<H", _MADE_BY_UNIX) + facts
        directory += struct.pack("<HHHHHII", len(raw), 0, 0, 0, 0, _PLAIN_FILE, at) + raw
    count, start = len(files), len(body)
    end = struct.pack("<HHHHIIH", 0, 0, count, count, len(directory), start, 0)
    return bytes(body + directory + b"PK\x05\x06" + end)


def _board_folder(path: Path, files: dict[str, bytes]) -> Package:
    """Hold a built board's folder against its record: digests, and the zip against the folder."""
    try:
        record = json.loads(files[_MARKER].decode())
        digests = {str(name): str(digest) for name, digest in record["files"].items()}
        board = _BOARD_NAME.fullmatch(str(record["board"]))
    except (ValueError, KeyError, TypeError, AttributeError, RecursionError):
        raise PackageError(f"{path}: its build.json cannot be read") from None
    if board is None:
        raise PackageError(f"{path}: its build.json cannot be read: it names no board")
    inside = {name.removeprefix("fabrication/"): content for name, content in files.items()
              if name.startswith("fabrication/")}  # fmt: skip
    if not inside:
        if any(name.startswith("fabrication/") for name in digests):
            raise PackageError(f"{path}: its folder fabrication/ is missing")
        raise PackageError(f"{path}: holds no fabrication data; its findings say why")
    wrong = _digest_faults(files, digests)
    upload = f"{board.group()}-fabrication.zip"
    apart = []
    if upload in files:
        packed = _zip(upload, files[upload])
        apart = [
            f"{name} differs between {upload} and fabrication/"
            for name in sorted(set(packed) | set(inside))
            if packed.get(name) != inside.get(name)
        ]
    else:
        apart.append(f"{upload} is missing")
    papers = {name: content for name, content in files.items()
              if not name.startswith("fabrication/")}  # fmt: skip
    return Package(
        files=inside,
        papers=papers,
        items=(
            _item("digests", len(digests), wrong),
            _item("zip and folder", len(inside), apart),
        ),
    )


def _item(title: str, compared: int, texts: list[str]) -> ProofItem:
    found = tuple(Difference(kind=Kind.DIGEST, text=text) for text in texts)
    return ProofItem(title=title, compared=compared, differences=found)


def _digest_faults(files: dict[str, bytes], digests: dict[str, str]) -> list[str]:
    wrong = [f"{name} is not listed" for name in sorted(set(files) - {_MARKER, *digests})]
    for name, digest in digests.items():
        if name not in files:
            wrong.append(f"{name} is missing")
        elif hashlib.sha256(files[name]).hexdigest() != digest:
            wrong.append(f"{name} is not the file that the build wrote")
    return wrong
