"""The pages of docs/: what is generated is fresh, and what is pointed to exists."""

import re
from pathlib import Path

import pytest
from click.testing import CliRunner

from boardgen.cli import main
from tests.conftest import ROOT

DOCS = ROOT / "docs"
SHIPPED = [
    path
    for folder in ("boardgen", "footprints")
    for path in sorted((ROOT / folder).rglob("*"))
    if path.suffix in {".py", ".toml"}
]
POINTED = re.compile(r"docs/sources\.md,\s+(?:\"\s*\n?\s*\")?([a-z][a-z -]*[a-z])")


@pytest.mark.parametrize(("page", "command"), [("rules.md", "rules"), ("parameters.md", "keys")])
def test_a_generated_page_is_what_the_command_prints(page: str, command: str) -> None:
    printed = CliRunner().invoke(main, [command, "--format", "markdown"]).stdout
    assert printed == (DOCS / page).read_text(encoding="utf-8")


def test_every_source_that_a_reader_is_pointed_to_exists() -> None:
    topics = re.findall(r"^##+ (.*)$", (DOCS / "sources.md").read_text("utf-8"), re.MULTILINE)
    told = " | ".join(topics).lower()
    pointed = {
        found.strip() for path in SHIPPED for found in POINTED.findall(path.read_text("utf-8"))
    }
    assert len(pointed) > 5
    missing = [one for one in sorted(pointed) if not any(part in told for part in _heads(one))]
    assert not missing, told


def _heads(words: str) -> list[str]:
    """Tell the first words of what follows a comma: the sentence goes on behind the topic."""
    parts = words.split()
    return [" ".join(parts[:count]) for count in range(1, len(parts) + 1)][:3]


@pytest.mark.parametrize("path", SHIPPED, ids=lambda path: path.name)
def test_nothing_points_to_pages_that_a_reader_does_not_have(path: Path) -> None:
    text = path.read_text(encoding="utf-8")
    assert not re.search(r"reference page|\bR\d\d?\b\.\d|shared/", text)


def test_the_readme_is_short() -> None:
    assert len((ROOT / "README.md").read_text(encoding="utf-8").splitlines()) < 150
