"""Rewrite the pictures of every example from what boardgen builds today."""

from pathlib import Path

import boardgen

for path in sorted(Path(__file__).parent.glob("*/*.toml")):
    (parameters,) = boardgen.read(path)
    for file in boardgen.build_board(parameters).files:
        if file.path.startswith("preview-"):
            (path.parent / file.path).write_bytes(file.content)
