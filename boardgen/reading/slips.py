"""Slips that people make in TOML, each told in a plain sentence with the line as it should read."""

import codecs
import re
import tomllib
from collections.abc import Callable, Iterator

from boardgen.errors import Problem
from boardgen.reading.meant import number_of
from boardgen.reading.validation import iso_day

_UNIT = r"(?:mm|cm|um|µm|mil|in|mV|V|mA|A|mW|W|R|ohm|Ω|kohm|k|K|degC|deg|lm|mcd|cd|oz|%)"
_KEY = r"""^(\s*[A-Za-z0-9_."'-]+\s*=\s*)"""
_TYPOGRAPHIC = "„“”‟«»‚‘’′″"


def decode(raw: bytes, file: str) -> str | Problem:
    """Turn a file's bytes into text; a byte-order mark is accepted, other encodings are named."""
    if raw.startswith((codecs.BOM_UTF16_LE, codecs.BOM_UTF16_BE)) or b"\x00" in raw[:200]:
        return Problem(
            what="the file is saved as UTF-16", remedy="save it again as UTF-8", file=file
        )
    try:
        text = raw.decode("utf-8-sig")
    except UnicodeDecodeError as error:
        line = raw.count(b"\n", 0, error.start) + 1
        return Problem(
            what="a letter here is not UTF-8; the file was saved in an older encoding",
            remedy="save it again as UTF-8",
            file=file,
            line=line,
        )
    return text.replace("\r\n", "\n")


def explain(text: str, error: tomllib.TOMLDecodeError, file: str) -> list[Problem]:
    """Tell what is wrong with a text that ``tomllib`` refuses.

    Parameters
    ----------
    text : str
        The whole text.
    error : tomllib.TOMLDecodeError
        What ``tomllib`` said.
    file : str
        Name for the message.

    Returns
    -------
    list of Problem
        Every slip that is recognised, or one problem with the reader's own place and words.
    """
    found = [
        Problem(what=what, remedy=remedy, file=file, line=number)
        for number, line in _outside_of_texts(text)
        for what, remedy in _slips(line)
    ]
    if found:
        return found
    place = re.search(r"\(at line (\d+)", str(error))
    line_number = int(place.group(1)) if place else text.count("\n") + 1
    reason = re.sub(r"\s*\(at .*\)$", "", str(error))
    return [_structural(text, reason, line_number, file)]


def _outside_of_texts(text: str) -> Iterator[tuple[int, str]]:
    """Give the lines, each with its number, that lie in no text of several lines."""
    inside = ""
    for number, line in enumerate(text.split("\n"), start=1):
        if not inside:
            yield number, line
        for quotes in re.findall(r'"""|\'\'\'', line):
            inside = "" if inside == quotes else inside or quotes


def _structural(text: str, reason: str, line_number: int, file: str) -> Problem:
    line = text.split("\n")[min(line_number, text.count("\n") + 1) - 1].strip()
    if "twice" in reason or "Cannot declare" in reason:
        what, remedy = f"the section {line} is opened twice", "put its lines under the first one"
    elif "overwrite" in reason:
        what, remedy = f"the key of this line is given twice: {line}", "keep one of them"
    elif "inline table" in reason or ("{" in line and "}" not in line):
        what = "the braces {…} of this line are broken"
        remedy = 'keep it on one line, like { min = "2.8 V", max = "3.3 V" }'
    else:
        what, remedy = f"this is not TOML: {reason}", f"the line reads: {line}" if line else ""
    return Problem(what=what, remedy=remedy, file=file, line=line_number)


def _slips(line: str) -> list[tuple[str, str]]:
    bare = line.split("#", maxsplit=1)[0] if '"' not in line and "'" not in line else line
    for detect in _DETECTORS:
        slip = detect(bare.rstrip())
        if slip:
            return [slip]
    return []


def _remark(line: str) -> tuple[str, str] | None:
    """Find a remark of another language, or a comma or semicolon at a line's end."""
    found = re.match(_KEY + r"""([^"'\[{#]+?|"[^"]*"|'[^']*')\s*(//.*|--.*|[,;])\s*$""", line)
    if not found:
        return None
    plain = f"{found.group(1).strip()} {found.group(2).strip()}"
    if len(found.group(3)) > 1:
        return "TOML's remarks begin with #", f"write: {plain}   # {found.group(3)[2:].strip()}"
    return f"{found.group(3)} at the end of the line", f"write: {plain}"


def _no_equals(line: str) -> tuple[str, str] | None:
    """Find a section without its brackets, or a key and a value without the sign between."""
    alone = re.match(r"^\s*([A-Za-z_]+)\s*(?:#.*)?$", line)
    if alone and alone.group(1) in _SECTIONS:
        return "a section stands in brackets", f"write: [{alone.group(1)}]"
    found = re.match(
        r"""^\s*([A-Za-z_.]+)\s+("[^"]*"|[+-]?\d[\w.]*|true|false)\s*(?:#.*)?$""", line
    )
    if found:
        return (
            "a key and its value want = between them",
            f"write: {found.group(1)} = {found.group(2)}",
        )
    return None


_SECTIONS = (
    "board", "supply", "light", "led", "resistor", "protection", "form", "connector", "mounting",
    "copper", "lands", "legend", "limits", "order", "stock", "built", "family",
)  # fmt: skip


def _backslash(line: str) -> tuple[str, str] | None:
    found = re.match(_KEY + r'"([^"]*\\[^"]*)"\s*(?:#.*)?$', line)
    if not found:
        return None
    plain = found.group(2).replace("\\", "/")
    return "\\ begins a special letter in TOML", f'write: {found.group(1).strip()} "{plain}"'


def _number_word(line: str) -> tuple[str, str] | None:
    """Find a number that is written as a word."""
    found = re.match(_KEY + r"([^\W\d_][\w \-.]*?)\.?\s*(?:#.*)?$", line)
    if not found or _key_of(found.group(1)) not in _WHOLE:
        return None
    start, words = found.group(1).strip(), found.group(2).split()
    for length in range(len(words), 0, -1):
        count = number_of(" ".join(words[:length]))
        if count is not None:
            rest = " ".join(words[length:])
            return "a number is written in digits", f"write: {start} {count}" + (
                f"   # {rest}" if rest else ""
            )
    return f"{found.group(2)} is no number that boardgen reads", "write it in digits, such as 12"


def _word_after(line: str) -> tuple[str, str] | None:
    """Find a word behind a number that counts."""
    found = re.match(_KEY + r"(\d+)\s+([A-Za-z][^#]*?)\s*(?:#.*)?$", line)
    if not found or re.fullmatch(_UNIT, found.group(3)):
        return None
    plain = f"{found.group(1).strip()} {found.group(2)}"
    return (
        "a number stands alone; what it counts is a remark",
        f"write: {plain}   # {found.group(3)}",
    )


def _equals_twice(line: str) -> tuple[str, str] | None:
    found = re.match(r"^\s*([A-Za-z0-9_.\"'-]+)\s*={2,}\s*([^=].*)$", line)
    return ("one = is enough", f"write: {found.group(1)} = {found.group(2)}") if found else None


def _typographic(line: str) -> tuple[str, str] | None:
    found = re.match(_KEY + rf"[{_TYPOGRAPHIC}]", line)
    if not found:
        return None
    plain = re.sub(rf"[{_TYPOGRAPHIC}]", '"', line)
    return "typographic quotes; TOML wants straight ones", f"write: {plain.strip()}"


def _unit_outside(line: str) -> tuple[str, str] | None:
    found = re.match(_KEY + rf'"([^"]*)"\s*({_UNIT})\s*(?:#.*)?$', line)
    if not found:
        return None
    return (
        "the unit stands outside the quotes",
        f'write: {found.group(1).strip()} "{found.group(2)} {found.group(3)}"',
    )


def _no_quotes(line: str) -> tuple[str, str] | None:
    found = re.match(_KEY + rf"([+-]?[\d.,]+)\s*({_UNIT})\s*(?:#.*)?$", line)
    if not found:
        return None
    number = found.group(2).replace(",", ".")
    return (
        "a value with a unit needs quotes",
        f'write: {found.group(1).strip()} "{number} {found.group(3)}"',
    )


def _decimal_comma(line: str) -> tuple[str, str] | None:
    found = re.match(_KEY + r"([+-]?\d+),(\d+)\s*(?:#.*)?$", line)
    if not found:
        return None
    if _key_of(found.group(1)) in _WHOLE:
        return "a whole number is wanted", f"write: {found.group(1).strip()} {found.group(2)}"
    number = f"{found.group(2)}.{found.group(3)}"
    return "decimal comma; TOML wants a point", f'write: {found.group(1).strip()} "{number} mm"'


def _key_of(start: str) -> str:
    """Tell the last part of the key with which a line starts."""
    return start.split("=", maxsplit=1)[0].strip().rpartition(".")[2]


_WHOLE = ("count", "in_series", "rows", "cells", "poles", "sides", "quantity", "per_branch",
          "format")  # fmt: skip


def _bare_day(line: str) -> tuple[str, str] | None:
    """Find a day that stands without quotes, as a calendar of another country has it."""
    found = re.match(_KEY + r"(\d{1,2}[./]\d{1,2}[./]\d{4})\s*(?:#.*)?$", line)
    if not found:
        return None
    day = iso_day(found.group(2))
    if not day:
        return f"{found.group(2)} is not in the calendar", 'write a real day, like "2026-01-31"'
    return "a day stands in quotes, the year first", f'write: {found.group(1).strip()} "{day}"'


def _missing_end_quote(line: str) -> tuple[str, str] | None:
    found = re.match(_KEY + r'"([^"]*)$', line) or re.match(_KEY + r"'([^']*)$", line)
    if not found or line.rstrip().endswith('"""'):
        return None
    words = found.group(2).split("#")[0].strip()
    return "the closing quote is missing", f'write: {found.group(1).strip()} "{words}"'


def _missing_start_quote(line: str) -> tuple[str, str] | None:
    found = re.match(_KEY + r'([^"\'\[{#]+)"\s*(?:#.*)?$', line)
    if not found:
        return None
    return (
        "the opening quote is missing",
        f'write: {found.group(1).strip()} "{found.group(2).strip()}"',
    )


def _bare_words(line: str) -> tuple[str, str] | None:
    found = re.match(_KEY + r"([A-Za-z][^\"'#=\[{]*?)\s*(?:#.*)?$", line)
    if not found or found.group(2) in ("true", "false", "inf", "nan"):
        return None
    word = found.group(2)
    if word.lower() in ("true", "false", "yes", "no"):
        plain = "true" if word.lower() in ("true", "yes") else "false"
        return f"{word} is not a TOML word", f"write: {found.group(1).strip()} {plain}"
    return "a word needs quotes", f'write: {found.group(1).strip()} "{word}"'


def _no_value(line: str) -> tuple[str, str] | None:
    found = re.match(r"^\s*([A-Za-z0-9_.-]+)\s*=\s*(?:#.*)?$", line)
    if not found:
        return None
    return f"{found.group(1)} has no value", 'write one, or "auto", or leave the line out'


def _colon(line: str) -> tuple[str, str] | None:
    found = re.match(r"^\s*([A-Za-z0-9_-]+)\s*:\s*(\S.*)$", line)
    if not found:
        return None
    return "a colon where TOML wants =", f"write: {found.group(1)} = {found.group(2)}"


def _open_header(line: str) -> tuple[str, str] | None:
    found = re.match(r"^\s*\[([A-Za-z0-9_ .\"'-]+)$", line)
    if not found:
        return None
    return "the closing bracket is missing", f"write: [{found.group(1).strip()}]"


_DETECTORS: tuple[Callable[[str], tuple[str, str] | None], ...] = (
    _typographic,
    _equals_twice,
    _number_word,
    _remark,
    _backslash,
    _unit_outside,
    _no_quotes,
    _bare_day,
    _decimal_comma,
    _missing_end_quote,
    _missing_start_quote,
    _word_after,
    _bare_words,
    _no_value,
    _colon,
    _open_header,
    _no_equals,
)
