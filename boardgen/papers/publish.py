"""A folder that a stranger can use: source, packages, papers, licences, and how to make it anew."""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass

from boardgen.export.json_text import json_bytes
from boardgen.export.records import versions
from boardgen.model.cautions import CLAIM
from boardgen.model.design import Design
from boardgen.model.outputs import OutputFile, OutputFiles
from boardgen.model.parameters import Parameters
from boardgen.pages.words import WORDS

LOCK_SCHEMA = "boardgen.lock/1"
YOURS = ("README.md", "CHANGELOG.md")
"""Files that are written once, and then a person's."""
LICENCES = "licences/"
_PICTURE = "finished-top.svg"
_PHOTOS = (".jpg", ".jpeg", ".png", ".webp")


@dataclass(frozen=True, slots=True, kw_only=True)
class Published:
    """A board with its files and its six lines."""

    design: Design
    files: OutputFiles
    short: tuple[tuple[str, str], ...]

    @property
    def name(self) -> str:
        """The board's name."""
        return self.design.parameters.name


def published_files(
    source: str, boards: Sequence[Published], beside: OutputFiles = (), added: Sequence[str] = ()
) -> OutputFiles:
    """Gather a folder to publish.

    Parameters
    ----------
    source : str
        Name of the parameter file.
    boards : sequence of Published
        All made and proven.
    beside : OutputFiles
        What the parameter file names: a house of one's own, texts of licences.
    added : sequence of str
        Names of files that people have put into the folder.
    """
    parameters = boards[0].design.parameters
    packages = tuple(
        OutputFile(path=f"boards/{board.name}/{file.path}", content=file.content)
        for board in boards
        for file in board.files
    )
    text = parameters.written.text
    return (
        OutputFile(path=source, content=text.encode()),
        *beside,
        *packages,
        OutputFile(path="lock.json", content=json_bytes(_lock(source, boards))),
        OutputFile(path="requirements.txt", content=_requirements(boards[0].design)),
        _markdown("README.md", _readme(source, boards)),
        _markdown("CHANGELOG.md", _changes(parameters)),
        _markdown("LICENCES.md", _licences(parameters)),
        _markdown("CHECKLIST.md", _checklist(parameters, [*added, *(x.path for x in beside)])),
    )


def _markdown(path: str, lines: Iterator[str]) -> OutputFile:
    return OutputFile(path=path, content=("\n".join(lines) + "\n").encode())


def _lock(source: str, boards: Sequence[Published]) -> dict[str, object]:
    parameters = boards[0].design.parameters
    return {
        "schema": LOCK_SCHEMA,
        "parameters": {"file": source, "sha256": parameters.text_sha256},
        "program": versions(boards[0].design),
        "boards": {
            board.name: {file.path: file.sha256 for file in board.files} for board in boards
        },
    }


def _requirements(design: Design) -> bytes:
    found = {name: value for name, value in versions(design).items() if name != "geos"}
    return "".join(f"{name}=={value}\n" for name, value in found.items()).encode()


def _escaped(text: str) -> str:
    """Keep a user's text from being read as marks of a page."""
    for mark in "\\`*_[]<>#|":
        text = text.replace(mark, f"\\{mark}")
    return text


def _readme(source: str, boards: Sequence[Published]) -> Iterator[str]:
    parameters = boards[0].design.parameters
    yield f"# {_escaped(parameters.board.title)}"
    yield ""
    yield WORDS["publish.lead"].format(revision=parameters.board.revision)
    for board in boards:
        yield ""
        yield f"## {board.name}"
        yield ""
        yield f"![{board.name}](boards/{board.name}/{_PICTURE})"
        yield ""
        yield "| | |"
        yield "|---|---|"
        for word, sentence in board.short:
            yield f"| {word} | {_escaped(sentence)} |"
        yield ""
        for path, key in _LINKS:
            if any(path.format(name=board.name) == file.path for file in board.files):
                target = f"boards/{board.name}/{path.format(name=board.name)}"
                yield f"- [{WORDS[key]}]({target})"
    yield from _chapters(source, boards, parameters)


_LINKS = (
    ("{name}-fabrication.zip", "publish.link_zip"),
    ("order.md", "publish.link_order"),
    ("assembly/bom.csv", "publish.link_bom"),
    ("assembly/guide.html", "publish.link_guide"),
    ("assembly/test-sheet.html", "publish.link_sheet"),
    ("schematic.svg", "publish.link_diagram"),
    ("report.html", "publish.link_report"),
)


def _chapters(source: str, boards: Sequence[Published], parameters: Parameters) -> Iterator[str]:
    yield ""
    yield f"## {WORDS['publish.again']}"
    yield ""
    made = versions(boards[0].design)
    yield WORDS["publish.again_lead"].format(program=made["boardgen"])
    yield ""
    yield "```sh"
    yield "python -m pip install -r requirements.txt && \\"
    yield " && \\\n".join(
        f"boardgen verify --reproduce {source} boards/{board.name}" for board in boards
    )
    yield "```"
    yield ""
    yield f"## {WORDS['publish.status']}"
    yield ""
    yield WORDS["publish.built" if parameters.built else "publish.not_built"]
    yield ""
    yield f"## {WORDS['publish.licences']}"
    yield ""
    yield WORDS["publish.see_licences"]
    yield ""
    yield f"## {WORDS['publish.safety']}"
    yield ""
    yield WORDS["publish.not_for"]
    yield ""
    yield CLAIM


def _changes(parameters: Parameters) -> Iterator[str]:
    board = parameters.board
    yield f"# {WORDS['publish.changes']}"
    yield ""
    day = f", {parameters.date}" if parameters.date_given else ""
    yield f"## {WORDS['page.revision'].format(revision=board.revision)}{day}"
    yield ""
    yield f"- {WORDS['publish.first']}"


def _chosen(parameters: Parameters) -> dict[str, str]:
    licence = parameters.board.licence
    return {
        "hardware": (licence.hardware if licence else None) or "",
        "software": (licence.software if licence else None) or "",
        "documents": (licence.documents if licence else None) or "",
    }


def _licences(parameters: Parameters) -> Iterator[str]:
    yield f"# {WORDS['publish.licences']}"
    yield ""
    yield WORDS["publish.licences_lead"]
    yield ""
    yield "| | SPDX |"
    yield "|---|---|"
    for what, name in _chosen(parameters).items():
        yield f"| {WORDS[f'publish.licence_{what}']} | {name or WORDS['publish.none_chosen']} |"


def _told_in_full(chosen: set[str], added: Sequence[str]) -> bool:
    """Tell whether the texts of the licences are there: ours, or what people have added."""
    own = [name for name in added if not name.startswith(LICENCES)]
    return any("licen" in name.lower() for name in own) or (
        all(chosen) and all(f"{LICENCES}{name}.txt" in added for name in chosen)
    )


def _checklist(parameters: Parameters, added: Sequence[str]) -> Iterator[str]:
    """List what open-hardware practice asks, with the gaps named."""
    chosen = _chosen(parameters)
    closed = [name for name in chosen.values() if "-NC" in name or "-ND" in name]
    points = {
        "source": True,
        "packages": True,
        "pictures": True,
        "parts": True,
        "guide": True,
        "again": True,
        "safety": True,
        "licence": all(chosen.values()) and not closed,
        "licence_text": _told_in_full(set(chosen.values()), added),
        "author": bool(parameters.board.author),
        "date": parameters.date_given,
        "built": parameters.built is not None,
        "photo": any(name.lower().endswith(_PHOTOS) for name in added),
    }
    yield f"# {WORDS['publish.checklist']}"
    yield ""
    yield WORDS["publish.checklist_lead"]
    yield ""
    for key, done in points.items():
        gap = "" if done else f": **{WORDS[f'publish.gap_{key}']}**"
        yield f"- [{'x' if done else ' '}] {WORDS[f'publish.ask_{key}']}{gap}"
