"""Gerber text → pygerber's syntax tree, statement by statement.

pygerber's grammar tries every word of the language at every statement, nearly half a millisecond of
it, and most statements are coordinates. So each different statement is parsed by pygerber once, and
the nodes of operations are made here of the numbers in them; a test holds the tree equal to the one
that pygerber makes of the whole text. Only texts whose form was judged come here: a line is a
statement, and nothing spans two.
"""

import re
import warnings
from collections.abc import Iterator
from functools import cache, lru_cache
from typing import Any

from pygerber.gerber.ast.nodes import (
    D01,
    D02,
    D03,
    CoordinateI,
    CoordinateJ,
    CoordinateX,
    CoordinateY,
    File,
)
from pygerber.gerber.ast.nodes.base import Node

_OPERATION = re.compile(r"X(-?[0-9]+)Y(-?[0-9]+)(?:I(-?[0-9]+)J(-?[0-9]+))?D0([123])\*")
_NODES = {"1": D01, "2": D02, "3": D03}
_KEPT = 4_096


def tree(text: str) -> File:
    """Parse a text of sound form; the nodes are made as they are visited."""
    return File.model_construct(nodes=_nodes(text))


def _nodes(text: str) -> Iterator[Node]:
    for line in text.splitlines():
        found = _OPERATION.fullmatch(line)
        if found:
            yield _operation(found)
        elif line:
            yield from _parsed(line)


def _operation(found: re.Match[str]) -> Node:
    x, y, i, j, code = found.groups()
    centre = {} if i is None else {"i": CoordinateI(value=i), "j": CoordinateJ(value=j)}
    return _NODES[code](
        x=CoordinateX(value=x), y=CoordinateY(value=y), is_standalone=True, **centre
    )


@lru_cache(_KEPT)
def _parsed(line: str) -> tuple[Node, ...]:
    with warnings.catch_warnings():
        # pygerber calls pyparsing by names that its version 4 will drop.
        warnings.simplefilter("ignore", DeprecationWarning)
        return tuple(_parser().parse(line).nodes)


@cache
def _parser() -> Any:  # noqa: ANN401 - the library's parser is untyped
    """One parser serves all files: building its grammar is most of the cost."""
    from pygerber.gerber.parser.pyparsing.parser import Parser  # noqa: PLC0415 - heavy

    return Parser()
