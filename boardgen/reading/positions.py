"""Where each key of a TOML text stands: dotted path → line.

``tomllib`` gives values without positions. This scanner knows just enough of TOML to find headers
and keys; it runs only on texts that ``tomllib`` has accepted.
"""

import re
from bisect import bisect_left
from collections.abc import Callable

Path = tuple[str | int, ...]

_BARE_KEY = re.compile(r"[A-Za-z0-9_-]+")
_BLANK = re.compile(r"[ \t]*")
_SKIP = re.compile(r"(?:[ \t\r\n]|#[^\n]*)*")
_PLAIN_VALUE = re.compile(r"[^,\]}\n#]+")
_ESCAPE = re.compile(r"\\(u[0-9A-Fa-f]{4}|U[0-9A-Fa-f]{8}|.)")
_SHORT_ESCAPES = {"b": "\b", "t": "\t", "n": "\n", "f": "\f", "r": "\r"}


def key_lines(text: str) -> dict[Path, int]:
    r"""Map every key's path to the line on which it is written.

    Parameters
    ----------
    text : str
        A valid TOML text.

    Returns
    -------
    dict
        Path (names; numbers for elements of arrays of tables) → line, counted from 1.

    Examples
    --------
    >>> key_lines('[a]\nb = 1\n[[c]]\nd = {e = 2}')[("c", 0, "d", "e")]
    4
    """
    return _Scanner(text).scan()


class _Scanner:
    def __init__(self, text: str) -> None:
        self.text = text
        self.breaks = [found.start() for found in re.finditer("\n", text)]
        self.at = 0
        self.lines: dict[Path, int] = {}
        self.counts: dict[Path, int] = {}

    def scan(self) -> dict[Path, int]:
        table: Path = ()
        while self._skip():
            if self.text.startswith("[[", self.at):
                table = self._header(2, array=True)
            elif self.text[self.at] == "[":
                table = self._header(1, array=False)
            else:
                self._key_value(table)
        return self.lines

    def _skip(self) -> bool:
        self.at = self._match(_SKIP).end()
        return self.at < len(self.text)

    def _match(self, pattern: re.Pattern[str]) -> re.Match[str]:
        found = pattern.match(self.text, self.at)
        if found is None:
            raise AssertionError(f"not TOML at character {self.at}")
        return found

    def _note(self, path: Path, start: int) -> None:
        self.lines.setdefault(path, bisect_left(self.breaks, start) + 1)

    def _header(self, brackets: int, *, array: bool) -> Path:
        start = self.at
        self.at += brackets
        path: Path = ()
        names = self._key()
        for place, name in enumerate(names):
            path = (*path, name)
            self._note(path, start)
            last = place == len(names) - 1
            if last and array:
                self.counts[path] = self.counts.get(path, -1) + 1
            if path in self.counts:
                path = (*path, self.counts[path])
                self._note(path, start)
        self.at += brackets
        return path

    def _key(self) -> tuple[str, ...]:
        names = []
        while True:
            self.at = self._match(_BLANK).end()
            if self.text[self.at] in "\"'":
                names.append(self._string())
            else:
                found = self._match(_BARE_KEY)
                self.at = found.end()
                names.append(found.group())
            self.at = self._match(_BLANK).end()
            if self.text[self.at : self.at + 1] != ".":
                return tuple(names)
            self.at += 1

    def _key_value(self, table: Path) -> None:
        start = self.at
        path = table
        for name in self._key():
            path = (*path, name)
            self._note(path, start)
        self.at += 1  # the equals sign
        self._value(path)

    def _value(self, path: Path) -> None:
        self._skip()
        first = self.text[self.at]
        if first in "\"'":
            self._string()
        elif first == "[":
            self._list("]", lambda place: self._value((*path, place)))
        elif first == "{":
            self._list("}", lambda _: self._key_value(path))
        else:
            self.at = self._match(_PLAIN_VALUE).end()

    def _list(self, closing: str, element: Callable[[int], None]) -> None:
        self.at += 1
        place = 0
        while self._skip() and self.text[self.at] != closing:
            element(place)
            place += 1
            self._skip()
            if self.text[self.at] == ",":
                self.at += 1
        self.at += 1

    def _string(self) -> str:
        quote = self.text[self.at]
        long = self.text.startswith(quote * 3, self.at)
        mark = quote * 3 if long else quote
        start = self.at + len(mark)
        end = start
        while not self.text.startswith(mark, end):
            end += 2 if quote == '"' and self.text[end] == "\\" else 1
        if long:  # up to two more quotes may belong to the text
            while self.text.startswith(mark, end + 1):
                end += 1
        self.at = end + len(mark)
        raw = self.text[start:end]
        return _ESCAPE.sub(_unescape, raw) if quote == '"' else raw


def _unescape(found: re.Match[str]) -> str:
    code = found.group(1)
    if code[0] in "uU" and len(code) > 1:
        return chr(int(code[1:], 16))
    return _SHORT_ESCAPES.get(code, code)
