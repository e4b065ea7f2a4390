"""A judge in a process of its own, in which nothing that makes files can be imported.

Reads pickled (files, design) from its input, each after its length in eight bytes; answers each
with a line: ``holds`` or ``wrong``.
"""

import pickle
import sys
from collections.abc import Sequence
from importlib.abc import MetaPathFinder
from importlib.machinery import ModuleSpec
from types import MappingProxyType, ModuleType

MAKERS = ("boardgen.export", "boardgen.layout", "boardgen.artwork", "boardgen.geometry")


def proxy(pairs: dict[str, object]) -> MappingProxyType[str, object]:
    """Make a fixed mapping of what was pickled of one."""
    return MappingProxyType(pairs)


class Refusing(MetaPathFinder):
    """Refuses to find what makes files."""

    def find_spec(
        self,
        name: str,
        path: Sequence[str] | None,  # noqa: ARG002 - the importer's hook
        target: ModuleType | None = None,  # noqa: ARG002
    ) -> ModuleSpec | None:
        """Raise for a maker's name, know nothing of others."""
        if name.startswith(MAKERS):
            raise ImportError(f"{name} is not for judges")
        return None


def main() -> None:
    """Judge until the input ends."""
    sys.meta_path.insert(0, Refusing())
    from boardgen.readback.prove import prove  # noqa: PLC0415 - after the gate was put up

    while length := sys.stdin.buffer.read(8):
        files, design = pickle.loads(sys.stdin.buffer.read(int.from_bytes(length, "big")))  # noqa: S301
        print("holds" if prove(files, design).holds else "wrong", flush=True)  # noqa: T201


if __name__ == "__main__":
    main()
