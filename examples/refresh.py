"""Rewrite the pictures of every example from what boardgen builds today."""

from pathlib import Path

import boardgen

SHOWN = ("preview-", "film-positive", "assembled")
"""What an example's README shows; of a family the first and the last member."""

for path in sorted(Path(__file__).parent.glob("*/*.toml")):
    family = boardgen.read_family(path)
    boards = [member.parameters for member in family.members if member.parameters]
    for parameters in {board.name: board for board in (boards[0], boards[-1])}.values():
        prefix = f"{parameters.name}-" if family.many else ""
        for file in boardgen.build_board(parameters).files:
            if file.path.startswith(SHOWN):
                (path.parent / f"{prefix}{file.path}").write_bytes(file.content)
