"""Opens what the other readers read: shipped data and the user's file."""

import tomllib
from importlib import resources
from importlib.resources.abc import Traversable
from pathlib import Path
from typing import Any

from boardgen.errors import Problem, RefusalError

_MARKER = "README.md"
LARGEST_FILE_BYTES = 1_000_000


def footprints_folder() -> Traversable:
    """Locate the land patterns: inside the installed package, else beside it in a checkout."""
    shipped = resources.files("boardgen") / "footprints"
    if (shipped / _MARKER).is_file():
        return shipped
    checkout = Path(__file__).resolve().parents[2]
    beside = checkout / "footprints"
    if (beside / _MARKER).is_file() and (checkout / "pyproject.toml").is_file():
        return beside
    raise RefusalError(
        Problem(what=f"land patterns not found, neither in {shipped} nor in {beside}")
    )


def catalogue_folder() -> Traversable:
    """Locate the catalogue, which always lies inside the package."""
    return resources.files("boardgen") / "catalogue"


def load_shipped(folder: Traversable, name: str) -> dict[str, Any]:
    """Read one of the TOML files that ship with boardgen."""
    return tomllib.loads((folder / name).read_text(encoding="utf-8"))


def read_user_file(path: Path) -> bytes:
    """Read the user's file, or refuse in words: missing, a folder, too large, not readable."""
    if path.is_dir():
        raise RefusalError(
            Problem(what="is a folder, not a parameter file", remedy="name the .toml file in it",
                    file=path.name or str(path))
        )  # fmt: skip
    try:
        if path.exists() and not path.is_file():
            raise RefusalError(Problem(what="is no ordinary file", file=str(path)))
        with path.open("rb") as file:
            content = file.read(LARGEST_FILE_BYTES + 1)
    except FileNotFoundError:
        near = sorted(other.name for other in path.parent.glob("*.toml"))[:5]
        remedy = f"in that folder: {', '.join(near)}" if near else ""
        raise RefusalError(
            Problem(what="there is no such file", remedy=remedy, file=str(path))
        ) from None
    except OSError as error:
        raise RefusalError(
            Problem(what=f"cannot be read: {error.strerror}", file=path.name)
        ) from None
    if len(content) > LARGEST_FILE_BYTES:
        raise RefusalError(
            Problem(what="is larger than 1 MB; no parameter file is", file=path.name)
        )
    return content
