"""The parameter file: what is understood, what is refused and in which words."""

from pathlib import Path
from typing import Any

import pytest

from boardgen.doors import read
from boardgen.errors import RefusalError
from boardgen.model.parameters import OriginKind
from boardgen.reading.parameters import LATER_SECTIONS, parse
from tests.conftest import SHELF, Make, merged


def refused(text: str) -> list[str]:
    with pytest.raises(RefusalError) as caught:
        parse(text, file="bar.toml", name="bar")
    return [str(problem) for problem in caught.value.problems]


def test_the_eleven_line_shelf_bar_is_complete(parameters: Make) -> None:
    found = parameters()
    supply = found.parts.supply
    assert (supply.low_v, supply.nominal_v, supply.high_v) == (
        4.75,
        5.0,
        5.5,
    )
    assert found.parts.emitters[0].current_a == 0.015
    assert found.form.pitch_mm == 20.0
    assert found.parts.connector.name == "terminal 3.5 mm"
    assert found.parts.limits.house == "ordinary"


def test_every_value_knows_where_it_came_from(parameters: Make) -> None:
    found = parameters()
    assert found.origin("form.pitch").kind is OriginKind.FILE
    assert found.origin("form.pitch").line == SHELF.split("\n").index('pitch = "20 mm"') + 1
    assert found.origin("resistor.size").kind is OriginKind.DEFAULT
    assert found.origin("led").kind is OriginKind.CATALOGUE
    assert found.origin("light.current").kind is OriginKind.CATALOGUE


def test_auto_is_the_same_as_leaving_the_key_out(parameters: Make) -> None:
    with_auto = parameters(
        form={"length": "auto", "width": "auto", "rows": "auto"}, light={"in_series": "auto"}
    )
    assert with_auto.form == parameters().form
    assert with_auto.light == parameters().light


@pytest.mark.parametrize(
    "name", ["WHITE 2835", "white2835", "White-2835", " white  2835 "], ids=repr
)
def test_catalogue_names_are_matched_without_case_spaces_and_hyphens(
    parameters: Make, name: str
) -> None:
    assert parameters(light={"led": name}).parts.emitters[0].led.name == "white 2835"


@pytest.mark.parametrize("section", sorted(LATER_SECTIONS))
def test_sections_of_later_versions_are_refused_in_words(section: str) -> None:
    (text,) = refused(f"{SHELF}[{section}]\nx = 1\n")
    assert "reserved for a later version" in text
    assert f"bar.toml:{SHELF.count(chr(10)) + 1}" in text


@pytest.mark.parametrize(
    ("changes", "words"),
    [
        ({"form": {"ptich": "20 mm"}}, 'did you mean "pitch"'),
        ({"form": {"pitch": 20}}, '20 has no unit; write "20 mm"'),
        ({"form": {"pitch": "20"}}, "no unit"),
        ({"form": {"pitch": "-5 mm"}}, "outside 1 mm to 500 mm"),
        ({"form": {"pitch": "0 mm"}}, "outside"),
        ({"form": {"pitch": "20 km"}}, "does not make a length"),
        ({"form": {"width": "9 m"}}, "outside 3 mm to 2147 mm"),
        ({"form": {"rows": 3}}, "take 6 or 9 LEDs"),
        ({"form": {"rows": 0}}, "outside 1 to 50"),
        ({"form": {"row_pitch": "9 mm"}}, "one row has no row pitch"),
        ({"light": {"count": 0}}, "outside 1 to 2000"),
        ({"light": {"count": -3}}, "outside 1 to 2000"),
        ({"light": {"count": 10**12}}, "outside 1 to 2000"),
        ({"light": {"count": "8"}}, "whole number without quotes"),
        ({"light": {"count": 8.5}}, "whole number"),
        ({"light": {"count": True}}, "whole number"),
        ({"light": {"led": "wite 2835"}}, 'did you mean "white 2835"'),
        ({"light": {"use": "tsk"}}, 'did you mean "task"'),
        ({"light": {"in_series": 9}}, "9 in series, but only 8 LEDs"),
        ({"supply": {"low": "4 V"}}, "both from and low"),
        ({"supply": {"cells": 3}}, "no cells to count"),
        ({"supply": {"from": "alkaline AA"}}, "cells = 3"),
        ({"supply": {"from": "12 V AC"}}, "alternating"),
        ({"supply": {"from": "mains"}}, "alternating"),
        ({"supply": {"from": None, "low": "5 V"}}, "lacks nominal, high"),
        ({"supply": {"from": None, "low": "6 V", "nominal": "5 V", "high": "7 V"}}, "order"),
        ({"supply": {"from": None, "low": "50 V", "nominal": "58 V", "high": "60.1 V"}}, "60 V DC"),
        ({"connector": {"kind": "terminal 3.6 mm"}}, 'did you mean "terminal 3.5 mm"'),
        ({"mounting": {"screw": "M30"}}, "known: M1.6, M2, M2.5, M3"),
        ({"order": {"house": "ordnary"}}, 'did you mean "ordinary"'),
        ({"order": {"thickness": "1.5 mm"}}, "usual are 0.8, 1, 1.2, 1.6, 2 mm"),
        ({"board": {"date": "25.11.2026"}}, "a day such as 2026-01-31"),
        ({"board": {"date": "2026-02-30"}}, "not in the calendar"),
        ({"form": {"corner": "4 mm"}}, "outside 1 mm to 3 mm"),
        ({"board": {"revision": "A/B"}}, "letters, digits and points"),
        ({"legend": {"name_box": "yes"}}, "true or false"),
        ({"resistor": {"drawer": "150R"}}, "wants a list"),
        ({"resistor": {"drawer": ["150R"], "series": "E24"}}, "unused beside a drawer"),
        ({"resistor": {"tolerance": "50 %"}}, "outside 0 % to 20 %"),
    ],
    ids=lambda value: str(value)[:40],
)
def test_wrong_values_are_refused_with_what_would_be_right(
    changes: dict[str, dict[str, Any]], words: str
) -> None:
    (text,) = refused(merged(SHELF, changes))
    assert words in text
    assert text.startswith("bar.toml:")


@pytest.mark.parametrize(
    ("title", "words"),
    [
        ("50 % light", "holds %"),
        ("star *", "holds *"),
        ("<b>", "holds < >"),
        ("a/b", "holds /"),
        ("..", "holds .."),
        ("two\\nlines", "line break"),
        ("灯 bar", "lack 灯"),
        ("smile ☺", "lack ☺"),
        ("", "is empty"),
        ("x" * 41, "at most 40"),
    ],
)
def test_a_title_that_cannot_be_printed_is_refused(title: str, words: str) -> None:
    text = SHELF.replace("Shelf bar 8", title)
    (told,) = refused(text)
    assert words in told
    assert "board.title" in told


def test_letters_of_many_languages_can_be_printed(parameters: Make) -> None:
    title = "Küche Łódź Éco Señal Žárovka"
    assert parameters(board={"title": title}).board.title == title


def test_all_errors_of_a_file_are_told_at_once_in_the_order_of_its_lines() -> None:
    text = merged(
        SHELF,
        {
            "board": {"revision": "A/B"},
            "supply": {"from": "usv 5 V"},
            "light": {"led": "wite 2835", "count": 0},
            "form": {"pitch": 20, "widht": "9 mm"},
            "panel": {"rows": 1},
        },
    )
    told = refused(text)
    paths = [line.split(": ")[1] for line in told]
    assert sorted(paths) == [
        "board.revision",
        "form.pitch",
        "form.widht",
        "light.count",
        "light.led",
        "panel",
        "supply.from",
    ]
    numbers = [int(line.split(":")[1]) for line in told]
    assert numbers == sorted(numbers)


def test_a_missing_section_is_named() -> None:
    assert any("form: is missing" in text for text in refused(SHELF.partition("[form]")[0]))


OWN_LED = """
[led."mine"]
size = "2835"
colour = "white"
vf = { at = "20 mA", min = "2.8 V", typical = "3.0 V", max = "3.3 V" }
max_current = "60 mA"
cathode = "notched corner"
source = "data sheet"
"""


def test_an_own_led_is_taken_like_one_of_the_catalogue() -> None:
    text = SHELF.replace('"white 2835"', '"mine"') + OWN_LED
    assert (
        parse(text, file="x.toml", name="x").parts.emitters[0].led.data.cathode == "notched corner"
    )


def test_an_own_led_goes_before_one_of_the_catalogue_however_it_is_spelt() -> None:
    text = SHELF + OWN_LED.replace('"mine"', '"White-2835"')
    assert parse(text, file="x.toml", name="x").parts.emitters[0].led.data.source == "data sheet"


def test_own_leds_whose_names_count_as_one_are_refused() -> None:
    text = SHELF + OWN_LED + OWN_LED.replace('"mine"', '"MINE"')
    (told,) = refused(text)
    assert "count as one name" in told


@pytest.mark.parametrize(
    ("line", "words"),
    [
        ("board = 3", "wants a table"),
        ("led = 3", ""),
        ("led.x = 3", "wants a table"),
        ("form = [1, 2]", "wants a table"),
        ("format = 2", "only 1 is"),
        ("light = 1979-05-27", "wants a table"),
    ],
)
def test_values_in_the_place_of_sections_are_refused_in_words(line: str, words: str) -> None:
    key = line.split(" ", maxsplit=1)[0].split(".", maxsplit=1)[0]
    rest = SHELF.split("[")
    kept = "[".join(part for part in rest if not part.startswith(f"{key}]"))
    told = refused(f"{line}\n{kept}")
    assert any(words in text and key in text for text in told)


def test_a_day_without_quotes_is_told_to_take_them() -> None:
    told = refused(SHELF.replace("[supply]", "date = 2026-11-25\n[supply]"))
    assert told == ['bar.toml:3: board.date: wants text in quotes, like "2026-11-25"']


@pytest.mark.parametrize(
    "value", ["nan", "inf", "-inf", "1e400", "9999999999999999999", "9" * 400, "0x" + "f" * 4000]
)
def test_odd_numbers_are_refused(value: str) -> None:
    assert refused(SHELF.replace("count = 8", f"count = {value}"))
    assert refused(SHELF.replace('pitch = "20 mm"', f"pitch = {value}"))
    assert refused(SHELF.replace('pitch = "20 mm"', f'pitch = "{value} mm"'))


def test_an_led_without_a_declared_cathode_is_refused() -> None:
    text = SHELF.replace('"white 2835"', '"mine"') + OWN_LED.replace(
        'cathode = "notched corner"\n', ""
    )
    (told,) = refused(text)
    assert told.startswith("bar.toml:13: led.mine: does not say where the cathode is")
    assert "never guess" in told
    (told,) = refused(text + 'cathode = "notch"\nanode = "dot"\n')
    assert "both cathode and anode" in told


def test_contradicting_forward_voltages_are_refused() -> None:
    (told,) = refused(SHELF + OWN_LED.replace('typical = "3.0 V"', 'typical = "3.4 V"'))
    assert "not in this order" in told


@pytest.mark.parametrize("name", ["Shelf Bar.toml", "x" * 41 + ".toml", "größe.toml"])
def test_a_file_name_that_cannot_name_files_is_refused_with_one_that_can(
    tmp_path: Path, name: str
) -> None:
    path = tmp_path / name
    path.write_text(SHELF)
    with pytest.raises(RefusalError, match="rename it to"):
        read(path)


def test_a_folder_and_a_missing_file_are_refused(tmp_path: Path) -> None:
    with pytest.raises(RefusalError, match="is a folder"):
        read(tmp_path)
    with pytest.raises(RefusalError, match="no such file"):
        read(tmp_path / "none.toml")


def test_an_enormous_file_is_refused_at_once(tmp_path: Path) -> None:
    path = tmp_path / "big.toml"
    path.write_bytes(b"#" * 2_000_000)
    with pytest.raises(RefusalError, match="larger than 1 MB"):
        read(path)


def test_a_number_of_thousands_of_digits_is_refused() -> None:
    (told,) = refused(SHELF.replace("count = 8", "count = " + "9" * 5000))
    assert "thousands of digits" in told


def test_deep_nesting_is_refused() -> None:
    (told,) = refused("x = " + "[" * 5000 + "]" * 5000)
    assert "brackets in one line" in told
