"""A package held against a new build of its parameter file, byte for byte."""

import io
import json
import zipfile
from collections.abc import Container, Iterable, Iterator, Mapping, Sequence
from itertools import takewhile
from pathlib import Path
from typing import Any

from boardgen.build import build_board
from boardgen.errors import PackageError
from boardgen.model.parameters import Parameters
from boardgen.model.proof import Difference, Kind, Proof, ProofItem

_SHOWN = 60
_MOST_FIELDS = 10


def reproduce(path: Path, boards: Sequence[Parameters]) -> Proof:
    """Build a package's board anew and compare all files of the package.

    Parameters
    ----------
    path : Path
        A zip, a board's folder, or a plain folder of fabrication files.
    boards : sequence of Parameters
        Of the parameter file; the one that the package is named after is built.

    Returns
    -------
    Proof
        One item for each file that either has, with what is different in it.

    Raises
    ------
    PackageError, RefusalError, ProofError
        When the package cannot be read, or no board follows.
    """
    from boardgen.readback.package import load_files

    there = load_files(path)
    names = {name.rpartition("/")[2].rpartition("_")[0] for name in there}
    meant = meant_by(names, boards)
    if meant.name not in names:
        return Proof(items=(other_board(names, meant),))
    built = build_board(as_packed(meant, there.get("build.json")))
    if built.proof is None:
        raise PackageError(
            f"{built.design.parameters.file}: the rules find errors, so no fabrication data is"
            " made of it; boardgen check tells them"
        )
    anew = {file.path: file.content for file in built.files}
    if not any("/" in name or name == "build.json" for name in there):
        there = {f"fabrication/{name}": content for name, content in there.items()}
        anew = {name: content for name, content in anew.items() if name.startswith("fabrication/")}
    return Proof(
        items=tuple(
            ProofItem(
                title=name,
                compared=1,
                differences=tuple(compared(name, there.get(name), anew.get(name))),
            )
            for name in sorted(set(there) | set(anew))
        )
    )


def other_board(names: Iterable[str], meant: Parameters) -> ProofItem:
    """Say that package and parameter file are of two boards, before all that follows from it."""
    there = ", ".join(sorted(name for name in set(names) if name)) or "another board"
    text = f"the package is {there}, but {meant.file} describes {meant.name}"
    text += ": take its own file"
    found = Difference(kind=Kind.PROJECT, text=text, subjects=(meant.name,))
    return ProofItem(title="board", compared=1, differences=(found,))


def meant_by(names: Container[str], boards: Sequence[Parameters]) -> Parameters:
    """Choose the board that files are named after; the first when none is."""
    return next((board for board in boards if board.name in names), boards[0])


def as_packed(meant: Parameters, record: bytes | None) -> Parameters:
    """Leave out what was measured later on a package than it was built.

    Parameters
    ----------
    record : bytes, optional
        The package's ``build.json``.
    """
    said = _parsed(record) if record else None
    if meant.built is None or not isinstance(said, dict) or said.get("built") is not None:
        return meant
    return meant.unmeasured()


def compared(name: str, there: bytes | None, anew: bytes | None) -> Iterator[Difference]:
    """Tell how a file of a package differs from the one built anew."""
    if there == anew:
        return
    if there is None or anew is None:
        kind, said = (Kind.MISSING_FILE, "is missing in the package") if there is None else \
            (Kind.FOREIGN_FILE, "is not made by this build")  # fmt: skip
        yield Difference(kind=kind, text=f"{name} {said}", subjects=(name,))
        return
    if name.endswith(".zip"):
        texts: Iterator[str] = _members(there, anew)
    elif name.endswith((".json", ".gbrjob")):
        texts = _fields(_parsed(there), _parsed(anew), "")
    else:
        texts = _lines(there, anew)
    told = list(texts)
    more = [f"and {len(told) - _MOST_FIELDS} more"] if len(told) > _MOST_FIELDS else []
    for text in (*told[:_MOST_FIELDS], *more):
        yield Difference(kind=Kind.DIGEST, text=text, subjects=(name,))


def _parsed(content: bytes) -> Any:  # noqa: ANN401 - JSON
    try:
        return json.loads(content)
    except (ValueError, RecursionError):
        return content.decode("utf-8", "replace")


def _fields(there: Any, anew: Any, path: str) -> Iterator[str]:  # noqa: ANN401 - JSON
    """Name the fields in which two JSON texts differ, by their paths."""
    if isinstance(there, dict) and isinstance(anew, dict):
        for key in dict.fromkeys((*there, *anew)):
            yield from _fields(there.get(key), anew.get(key), f"{path}.{key}".lstrip("."))
    elif isinstance(there, list) and isinstance(anew, list) and len(there) == len(anew):
        for at, pair in enumerate(zip(there, anew, strict=True)):
            yield from _fields(*pair, f"{path}[{at}]")
    elif there != anew or not path:
        was, now = (_short(json.dumps(value, ensure_ascii=False)) for value in (there, anew))
        yield f"{path or 'its layout'} is {was}, built anew {now}"


def _short(text: str) -> str:
    return text if len(text) <= _SHOWN else f"{text[:_SHOWN]}…"


def _lines(there: bytes, anew: bytes) -> Iterator[str]:
    """Show the first line in which two texts differ, around the place where they do."""
    before, after = (content.decode("utf-8", "replace").split("\n") for content in (there, anew))
    for at, (was, now) in enumerate(zip(before, after, strict=False), start=1):
        if was != now:
            start = max(0, _same(was, now) - 10)
            yield f"line {at} is {_part(was, start)}, built anew {_part(now, start)}"
            break
    if len(before) != len(after):
        yield f"has {len(before)} lines, built anew {len(after)}"
    elif before == after:
        yield "the bytes differ, though the lines are alike"


def _part(line: str, start: int) -> str:
    """Quote a line around a place, with a mark where something is left out."""
    before = "…" if start else ""
    return repr(f"{before}{_short(line[start:])}")


def _same(was: str, now: str) -> int:
    """Count the letters that two lines share at their beginning."""
    return sum(1 for _ in takewhile(lambda pair: pair[0] == pair[1], zip(was, now, strict=False)))


def _members(there: bytes, anew: bytes) -> Iterator[str]:
    """Name the members in which two zips differ."""
    if not zipfile.is_zipfile(io.BytesIO(there)):
        yield "is no zip"
        return
    before, after = _unpacked(there), _unpacked(anew)
    names = [name for name in sorted(set(before) | set(after))
             if before.get(name) != after.get(name)]  # fmt: skip
    yield from (f"{name} in it differs" for name in names)
    if not names:
        yield "its members are alike, but packed in another way"


def _unpacked(content: bytes) -> Mapping[str, int]:
    """Map the members of a zip to their checksums, without reading them."""
    try:
        with zipfile.ZipFile(io.BytesIO(content)) as archive:
            return {entry.filename: entry.CRC for entry in archive.infolist()}
    except (zipfile.BadZipFile, ValueError, NotImplementedError, EOFError):
        return {}
