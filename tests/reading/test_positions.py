"""The scanner of keys against the standard library's TOML reader."""

import tomllib
from typing import Any

from hypothesis import given
from hypothesis import strategies as st

from boardgen.reading.positions import key_lines

_KEYS = st.text("abcz-_09", min_size=1, max_size=4)
_ODD_KEYS = st.text('ab ."#=é\\[', min_size=0, max_size=4)
_STRINGS = st.text('ab"\\#[]{}=, é', max_size=8)
_SCALARS = st.one_of(st.integers(-9, 9), st.booleans(), _STRINGS, st.just(1.5))


def _quoted(text: str) -> str:
    return '"' + text.replace("\\", "\\\\").replace('"', '\\"') + '"'


def _key(text: str) -> str:
    plain = text and all(c.isascii() and (c.isalnum() or c in "-_") for c in text)
    return text if plain else _quoted(text)


def _value(value: Any) -> str:
    if isinstance(value, bool):
        return str(value).lower()
    if isinstance(value, str):
        return _quoted(value)
    if isinstance(value, list):
        return "[ # a comment ]\n  " + ",\n ".join(map(_value, value)) + "\n]"
    if isinstance(value, dict):
        return "{ " + ", ".join(f"{_key(k)} = {_value(v)}" for k, v in value.items()) + " }"
    return str(value)


_INLINE = st.recursive(
    _SCALARS, lambda inner: st.dictionaries(_KEYS | _ODD_KEYS, inner, max_size=3), max_leaves=5
)
_VALUES = st.one_of(_INLINE, st.lists(_INLINE, max_size=3))


def _paths(value: Any, path: tuple[Any, ...] = ()) -> set[tuple[Any, ...]]:
    found = {path} if path else set()
    if isinstance(value, dict):
        for key, part in value.items():
            found |= _paths(part, (*path, key))
    elif isinstance(value, list):
        for place, part in enumerate(value):
            found |= _paths(part, (*path, place))
    return found


def _named(paths: set[tuple[Any, ...]]) -> set[tuple[Any, ...]]:
    """Elements of lists have no line of their own; what is named inside them has."""
    return {path for path in paths if not isinstance(path[-1], int)}


@given(
    st.dictionaries(_KEYS | _ODD_KEYS, _VALUES, max_size=3),
    st.dictionaries(_KEYS, st.dictionaries(_KEYS | _ODD_KEYS, _VALUES, max_size=3), max_size=3),
    st.lists(st.dictionaries(_KEYS, _SCALARS, max_size=2), max_size=3),
)
def test_every_key_that_tomllib_finds_has_a_line(
    top: dict[str, Any], tables: dict[str, dict[str, Any]], array: list[dict[str, Any]]
) -> None:
    tables = {name: table for name, table in tables.items() if name not in top}
    lines = [f"{_key(key)} = {_value(value)}" for key, value in top.items()]
    for name, table in tables.items():
        lines.append(f"[ {_key(name)} ] # header")
        lines += [f"{_key(key)}={_value(value)}" for key, value in table.items()]
    for entry in array:
        lines.append("[[the-array.inner]]")
        lines += [f"{key} = {_value(value)}" for key, value in entry.items()]
    text = "\n".join(lines)
    found = key_lines(text)
    assert _named(set(found)) == _named(_paths(tomllib.loads(text)))
    assert all(1 <= line <= text.count("\n") + 1 for line in found.values())


def test_lines_are_counted_through_comments_and_long_strings() -> None:
    text = '# one\n[a]\nb = """\nx = 1\n"""\nc.d = 2\n'
    assert key_lines(text) == {("a",): 2, ("a", "b"): 3, ("a", "c"): 6, ("a", "c", "d"): 6}
