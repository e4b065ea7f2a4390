"""Slips in TOML get plain sentences."""

from pathlib import Path

import pytest

from boardgen.doors import read
from boardgen.errors import RefusalError
from boardgen.reading.keys import keys
from boardgen.reading.meant import _EVERYDAY
from boardgen.reading.parameters import parse
from tests.conftest import SHELF, merged


@pytest.mark.parametrize(
    ("line", "what", "remedy"),
    [
        ("pitch = 20 mm", "needs quotes", 'pitch = "20 mm"'),
        ("pitch = 20,5 mm", "needs quotes", 'pitch = "20.5 mm"'),
        ('pitch = "20" mm', "outside the quotes", 'pitch = "20 mm"'),
        ("pitch = „20 mm“", "typographic", 'pitch = "20 mm"'),
        ("pitch = “20 mm”", "typographic", 'pitch = "20 mm"'),
        ("kind = bar", "a word needs quotes", 'kind = "bar"'),
        ("kind = white bar", "a word needs quotes", 'kind = "white bar"'),
        ('pitch = "20 mm', "closing quote is missing", 'pitch = "20 mm"'),
        ('pitch = 20 mm"', "opening quote is missing", 'pitch = "20 mm"'),
        ("pitch = 20,5", "decimal comma", '"20.5 mm"'),
        ("pitch =", "has no value", '"auto"'),
        ("pitch: 20", "colon", "pitch = 20"),
        ("name_box = True", "not a TOML word", "name_box = true"),
        ("name_box = yes", "not a TOML word", "name_box = true"),
        ("[form", "closing bracket", "[form]"),
        ("date = 27.11.2026", "the year first", 'date = "2026-11-27"'),
        ("date = 31.02.2026", "not in the calendar", "a real day"),
        ("count = 9,5", "a whole number", "count = 9"),
        ("count = thirteen", "in digits", "count = 13"),
    ],
)
def test_a_slip_is_named_with_its_line_and_the_line_as_it_should_read(
    line: str, what: str, remedy: str
) -> None:
    text = f"[board]\n{line}\n"
    with pytest.raises(RefusalError) as caught:
        parse(text, file="x.toml", name="x")
    (problem,) = caught.value.problems
    assert what in problem.what
    assert remedy in problem.remedy
    assert problem.line == 2


@pytest.mark.parametrize(
    ("section", "line", "meant"),
    [
        ("light", 'brightness = "high"', "light.use (what the light is for) or light.current"),
        ("light", "leds = 8", "light.count (how many LEDs)?"),
        ("light", "quantity = 8", "light.count (how many LEDs)?"),
        ("light", 'amps = "20 mA"', "light.current ("),
        ("supply", 'amps = "1 A"', "supply.max_current ("),
        ("form", "holes = 4", "mounting.at (where they sit) or mounting.screw"),
        ("resistor", 'power = "1 W"', "resistor.rating ("),
        ("connector", "size = 5", "connector.kind ("),
        ("light", 'height = "3 mm"', "light.plane ("),
        ("form", "columns = 4", "light.count (how many LEDs) or form.rows"),
        ("board", 'mask = "green"', "order.mask (colour of the mask)?"),
        ("form", "count = 8", "light.count (how many LEDs)?"),
        ("form", 'widht = "9 mm"', '"width"?'),
        ("form", 'kid = "bar"', '"kind"?'),
    ],
)
def test_a_key_under_another_name_or_in_another_section_leads_to_the_right_one(
    section: str, line: str, meant: str
) -> None:
    with pytest.raises(RefusalError) as caught:
        parse(f"[{section}]\n{line}\n", file="x.toml", name="x")
    (told,) = [found for found in caught.value.problems if "not a known key" in found.what]
    assert meant in told.remedy


def test_every_key_that_an_everyday_word_leads_to_exists() -> None:
    known = {key.path for key in keys()}
    assert {path for paths in _EVERYDAY.values() for path in paths.split()} <= known
    sections = {path.partition(".")[0] for path in known}
    assert {word.partition(".")[0] for word in _EVERYDAY if "." in word} <= sections


def test_words_within_a_text_of_several_lines_are_no_slips() -> None:
    text = '[board]\nremark = """\nkind = bar\ncount 8\n"""\ncount = eight\n'
    with pytest.raises(RefusalError) as caught:
        parse(text, file="x.toml", name="x")
    assert [problem.line for problem in caught.value.problems] == [6]


def test_what_is_missing_is_told_with_what_to_write() -> None:
    text = '[board]\ntitle = "x"\n[supply]\nfrom = "usb 5 V"\n[form]\nkind = "bar"\n'
    with pytest.raises(RefusalError) as caught:
        parse(text, file="x.toml", name="x")
    told = {problem.path: problem.remedy for problem in caught.value.problems}
    assert told["form.pitch"] == 'write a line like: pitch = "20 mm"'
    assert told["light"] == "add a section [light]"


def test_an_impossible_day_is_not_offered() -> None:
    with pytest.raises(RefusalError) as caught:
        parse(merged(SHELF, {"board": {"date": "31.02.2026"}}), file="x.toml", name="x")
    assert "2026-02-31" not in str(caught.value)


def test_all_slips_of_a_file_are_told_at_once() -> None:
    text = "[form]\npitch = 20 mm\nwidth = 14 mm\nkind = bar\n"
    with pytest.raises(RefusalError) as caught:
        parse(text, file="x.toml", name="x")
    assert [problem.line for problem in caught.value.problems] == [2, 3, 4]


@pytest.mark.parametrize(
    ("text", "what"),
    [
        ("[form]\na = 1\n[form]\nb = 2\n", "opened twice"),
        ("[form]\na = 1\na = 2\n", "given twice"),
        ('[led."x"]\nvf = { at = "20 mA", min = "2 V"\n', "braces"),
    ],
)
def test_structural_slips_are_named(text: str, what: str) -> None:
    with pytest.raises(RefusalError) as caught:
        parse(text, file="x.toml", name="x")
    assert what in caught.value.problems[0].what


@pytest.mark.parametrize("encoding", ["utf-16", "utf-16-le"])
def test_utf_16_is_named(tmp_path: Path, encoding: str) -> None:
    path = tmp_path / "x.toml"
    path.write_bytes(SHELF.encode(encoding))
    with pytest.raises(RefusalError, match="UTF-16"):
        read(path)


def test_an_old_encoding_is_named_with_its_line(tmp_path: Path) -> None:
    path = tmp_path / "x.toml"
    path.write_bytes('[board]\ntitle = "Küche"\n'.encode("latin-1"))
    with pytest.raises(RefusalError, match=r"x\.toml:2.*UTF-8"):
        read(path)


def test_a_byte_order_mark_and_carriage_returns_are_simply_accepted(tmp_path: Path) -> None:
    path = tmp_path / "shelf.toml"
    path.write_bytes(SHELF.replace("\n", "\r\n").encode("utf-8-sig"))
    (found,) = read(path)
    assert found.board.title == "Shelf bar 8"
