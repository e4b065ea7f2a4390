"""A written package read back and judged, by itself or against a parameter file."""

import json
from collections.abc import Mapping, Sequence
from dataclasses import replace
from pathlib import Path

from boardgen.build import build_board
from boardgen.designing import design_board
from boardgen.errors import PackageError
from boardgen.model.parameters import Parameters
from boardgen.model.proof import OTHER_VERSIONS, Difference, Kind, Proof, ProofItem
from boardgen.readback.names import KNOWN
from boardgen.readback.package import load_package
from boardgen.readback.papers import ALWAYS, paper_items
from boardgen.readback.prove import prove
from boardgen.reading import catalogue
from boardgen.reproduce import as_packed, compared, meant_by, other_board


def verify_package(path: Path, against: Sequence[Parameters] = ()) -> Proof:
    """Read a written package back and judge it, by itself or against a parameter file's boards.

    Of several boards the one that the package is named after is taken, else the first.

    Raises
    ------
    PackageError
        When it cannot be read as a package.
    """
    loaded = load_package(path)
    names = {name.rpartition("_")[0] for name in loaded.files}
    if not any(name.rpartition("_")[2] in KNOWN for name in loaded.files):
        raise PackageError(
            f"{path}: holds none of the files that boardgen makes; name a board's folder or its"
            " -fabrication.zip"
        )
    meant = meant_by(names, against) if against else None
    if meant and meant.name not in names:
        return replace(prove(loaded.files), items=(other_board(names, meant), *loaded.items))
    design = design_board(meant) if meant else None
    proof = prove(loaded.files, design)
    papers: tuple[ProofItem, ...] = ()
    if loaded.papers:
        papers = tuple(paper_items(loaded.papers, proof, catalogue.lettering(), design))
        papers += (_word_for_word(loaded.papers, meant),) if meant else ()
    return replace(proof, items=(*loaded.items, *proof.items, *papers))


_ALWAYS_SAID = {"boardgen", "geos", "numpy", "pygerber", "shapely", "svgwrite"}
"""What every version has said of itself in its record."""


def _word_for_word(papers: Mapping[str, bytes], meant: Parameters) -> ProofItem:
    """Hold papers against those made anew, when the same versions made them.

    Their meaning is judged apart, by code of the proof's own; this finds the rest: a sentence of
    the order sheet, a remark in a list, what a picture shows besides the letters.
    """
    built = build_board(as_packed(meant, papers["build.json"]))
    anew = {file.path: file.content for file in built.files}
    ours, theirs = _program(anew), _program(papers)
    # Another version of boardgen may have used fewer libraries; the same one has not.
    told = set(theirs or ())
    same = bool(theirs and ours and theirs.get("boardgen") == ours["boardgen"])
    if not ours or not told >= _ALWAYS_SAID or (same and told != set(ours)):
        fault = Difference(kind=Kind.LIST, text="build.json does not say which versions made it")
        return ProofItem(title="versions", compared=1, differences=(fault,))
    if theirs != ours:
        lacking = sorted({*ALWAYS} - papers.keys())
        return ProofItem(
            title=OTHER_VERSIONS,
            compared=len(ALWAYS),
            differences=tuple(
                Difference(kind=Kind.LIST, text=f"{name} is missing") for name in lacking
            ),
        )
    judged = ("fabrication/", f"{meant.name}-fabrication.zip")
    names = sorted(name for name in {*papers, *anew} if not name.startswith(judged))
    return ProofItem(
        title="papers, word for word",
        compared=len(names),
        differences=tuple(
            replace(found, text=f"{name}: {found.text}")
            for name in names
            for found in compared(name, papers.get(name), anew.get(name))
        ),
    )


def _program(papers: Mapping[str, bytes]) -> dict[str, str] | None:
    """Read the versions that made a package, None when it does not say; its record is readable."""
    said = json.loads(papers["build.json"]).get("program")
    named = isinstance(said, dict) and all(isinstance(one, str) for one in said.values())
    return said if named else None
