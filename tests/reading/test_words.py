"""What a teacher writes at the end of a long day is answered with what to write instead."""

import subprocess
import sys
from pathlib import Path

import pytest
from click.testing import CliRunner

from boardgen.cli import main
from boardgen.doors import read, read_family
from boardgen.errors import Problem, RefusalError
from boardgen.reading.family import parse_family
from boardgen.reading.file_names import slug
from boardgen.reading.keys import keys
from tests.conftest import ROOT, SHELF, every


def refusal(text: str) -> str:
    with pytest.raises(RefusalError) as caught:
        parse_family(text, file="x.toml", name="x")
    return str(caught.value)


OWN_LED = """
[led.x]
size = "0805"
colour = "red"
vf = "3.1 V"
max_current = "20 mA"
cathode = "bar"
source = "me"
"""


@pytest.mark.parametrize(
    ("old", "new", "words"),
    [
        ("[light]", "light", "write: [light]"),
        ("count = 8", "count 8", "write: count = 8"),
        ("count = 8", "count = 8,", "write: count = 8"),
        ("count = 8", "count = 8 // remark", "write: count = 8   # remark"),
        ("count = 8", "count = eight", "write: count = 8"),
        ('title = "Shelf bar 8"', 'title = "C:\\users\\x"', 'write: title = "C:/users/x"'),
        ("[form]", OWN_LED + "[form]", 'typical = "3.1 V"'),
        ("[form]", '[resistor]\ndrawer = "150R, 220R"\n[form]', 'drawer = ["150R", "220R"]'),
        ("[form]", "[resistor]\ndrawer = [150, 220]\n[form]", 'write "150 ohm"'),
        ("[form]", "[connector]\nswitch = true\n[form]", 'such as "slide switch"'),
        ("[supply]", 'date = "27.11.2026"\n[supply]', 'write "2026-11-27"'),
        ("usb 5 V 500 mA", "12 V adapter", 'did you mean "adapter 12 V"?'),
        ("usb 5 V 500 mA", "12 V", '"adapter 12 V" or "battery 12 V"'),
        ("usb 5 V 500 mA", "AA", '"alkaline AA" or "NiMH AA"'),
        ("[form]", '[connector]\nkind = "screw terminal"\n[form]', '"terminal 3.5 mm"'),
        ('"white 2835"', '["red 0805", "green 0805"]', "[family.vary]"),
        ('kind  = "bar"', 'kind = "star"', "known: bar, grid, ring"),
        ("[form]", '[form]\npupil = ["a", "b"]', 'board.title = ["a", "b"]'),
        ('"white 2835"', '["red 0805", "green 0805"]', 'light.led = ["red 0805", "green 0805"]'),
        ("usb 5 V 500 mA", "9V battery", 'did you mean "alkaline 9 V block"?'),
        ("usb 5 V 500 mA", "12V adapter", 'did you mean "adapter 12 V"?'),
        ("usb 5 V 500 mA", "12V", '"adapter 12 V" or "battery 12 V"'),
        ("usb 5 V 500 mA", "AA battery", '"alkaline AA" or "NiMH AA"'),
        ("usb 5 V 500 mA", "2 AA", "cells = 2"),
        ("usb 5 V 500 mA", "2xAA", "cells = 2"),
        ("usb 5 V 500 mA", "AA x 4", "cells = 4"),
        ("usb 5 V 500 mA", "12 volts", '"adapter 12 V" or "battery 12 V"'),
        ("usb 5 V 500 mA", "cigarette lighter", "a vehicle's supply"),
        ("count = 8", "count = twenty-four", "write: count = 24"),
        ("count = 8", "count = two hundred", "write: count = 200"),
        ("count = 8", "count = ten LEDs", "write: count = 10"),
        ("[form]", "[order]\nthickness = 1.6\n[form]", 'write "1.6 mm"'),
        ("[form]", '[order]\nfinish = "shiny"\n[form]', 'known: "tin, lead-free", "gold"'),
        ("[form]", '[mounting]\nscrew = "M6"\n[form]', "known: M1.6, M2"),
        ("count = 8", "count = zwölf", "write it in digits"),
        ("[form]", "[protection]\nreverse = true\n[form]", "wants a word in quotes"),
        ("[form]", '[resistor]\nrating = "1/4 W"\n[form]', 'write "250 mW"'),
        ('"20 mm"', '"1/2 in"', 'write "0.5 in"'),
        ("usb 5 V 500 mA", "230 V", "only direct current up to 60 V"),
        ("usb 5 V 500 mA", "power bank", 'did you mean "usb 5 V 500 mA"?'),
        ('"white 2835"', '"white 5050"', '"white 2835" or "white 3528"'),
        ("count = 8", "count = hundred", "write: count = 100"),
        ("count = 8", "count = a dozen", "write: count = 12"),
        ("count = 8", "count = 8 LEDs", "write: count = 8   # LEDs"),
        ("count = 8", "count == 8", "write: count = 8"),
        ("count = 8", "count = 8 -- remark", "write: count = 8   # remark"),
        ("count = 8", 'count = "8"', "write 8"),
        ("count = 8", 'count = "eight"', "write 8"),
        ("[form]", "[connector]\nswitch = false\n[form]", 'write "none"'),
        ("[form]", '[connector]\nswitch = "yes"\n[form]', "known: slide switch, none"),
        ("[form]", "[built]\n[form]", 'date = "2026-01-31"'),
        ("[form]", "[family.vary]\nlight.count = [4, 8]\n[form]", 'file_name = "stick-'),
    ],
)
def test_a_slip_is_answered_with_what_to_write(old: str, new: str, words: str) -> None:
    assert old in SHELF
    assert words in refusal(SHELF.replace(old, new, 1))


@pytest.mark.parametrize(
    "name",
    ["laptop charger", "19 V charger", "12 V charger", "battery charger", "power bank 12 V",
     "18650 unprotected", "36 V battery", "e-bike battery", "battery 6 V", "button cell LR44",
     "9 V adapter", "48 V"],
)  # fmt: skip
def test_a_supply_of_other_volts_is_never_taken_for_one_of_the_catalogue(name: str) -> None:
    """A board for 5 V on a laptop's 20 V burns its resistors."""
    said = refusal(SHELF.replace("usb 5 V 500 mA", name))
    assert "did you mean" not in said
    assert "kind, low, nominal and high" in said


@pytest.mark.parametrize("name", ["halogen transformer", "wall socket", "bike dynamo", "12 V AC"])
def test_what_alternates_is_told_so(name: str) -> None:
    assert "alternating current or mains" in refusal(SHELF.replace("usb 5 V 500 mA", name))


@pytest.mark.parametrize(
    ("name", "meant"), [("12 V wall adapter", "adapter 12 V"), ("usb socket", "usb 5 V")]
)
def test_an_adapter_in_the_wall_is_no_mains(name: str, meant: str) -> None:
    assert f'did you mean "{meant}"' in refusal(SHELF.replace("usb 5 V 500 mA", name))


@pytest.mark.thorough
def test_every_example_of_the_list_of_keys_is_taken() -> None:
    """Once the list showed a vehicle's supply, and text for a day."""
    refused: dict[str, list[Problem]] = {}
    for key in keys():
        lines = f"{key.path.replace('NAME', 'x')} = {key.example}"
        lines += '\nsupply.from = "alkaline AA"' if key.path == "supply.cells" else ""
        round_ = key.path in {"mounting.circle", "mounting.count", "mounting.from"}
        lines += '\nmounting.at = "circle"' if round_ else ""
        try:
            parse_family(lines, file="x.toml", name="x")
        except RefusalError as refusal:
            told = [problem for problem in refusal.problems if problem.path == key.path]
            refused |= {key.path: told} if told else {}
    assert not refused


def test_no_key_says_that_more_than_extra_low_voltage_is_taken() -> None:
    told = {key.path: key.allowed for key in keys()}
    assert told["supply.high"] == told["supply.low"] == "0.1 V to 60 V"
    assert "stops at 60 V DC" in refusal(
        SHELF.replace('from = "usb 5 V 500 mA"', 'low = "90 V"\nnominal = "91 V"\nhigh = "92 V"')
    )


def test_a_bad_file_name_hides_no_other_error(tmp_path: Path) -> None:
    path = tmp_path / "Küche.toml"
    path.write_text(SHELF.replace("count = 8", "cuont = 8"), encoding="utf-8")
    with pytest.raises(RefusalError) as caught:
        read(path)
    assert "rename it to kueche.toml" in str(caught.value)
    assert "cuont" in str(caught.value)


@pytest.mark.parametrize(
    ("text", "name"),
    [("Küche", "kueche"), ("Straße 7", "strasse-7"), ("café", "cafe"), ("Šárka", "sarka")],
)
def test_names_of_files_are_made_of_letters_that_people_write(text: str, name: str) -> None:
    assert slug(text) == name


FAMILY = (
    SHELF
    + """
[family]
file_name = "bar-{what}"
[family.vary]
board.title = ["Küche", "Kueche"]
"""
)


def test_members_that_fall_together_are_told_with_both(tmp_path: Path) -> None:
    path = tmp_path / "bars.toml"
    path.write_text(FAMILY.replace("{what}", "{title}"), encoding="utf-8")
    with pytest.raises(RefusalError) as caught:
        read_family(path)
    assert "board.title = Küche and board.title = Kueche" in str(caught.value)
    path.write_text(FAMILY.replace("{what}", "{number}"), encoding="utf-8")
    assert [member.name for member in read_family(path).members] == ["bar-1", "bar-2"]


def test_python_reads_the_same_boards_as_the_command_line() -> None:
    """`read` ignored same_parts: 390 ohm where the command line said 330."""
    path = ROOT / "examples/colour-sticks/colour-sticks.toml"
    assert [board.resistor.drawer for board in read(path)] == [
        member.parameters.resistor.drawer
        for member in read_family(path).members
        if member.parameters
    ]
    assert all(board.resistor.drawer for board in read(path))


ENDLESS = {
    "a key of many parts": "a" + ".b" * 100_000 + " = 1\n",
    "a header of many parts": "[a" + ".b" * 100_000 + "]\n",
    "a key of many quoted parts": '"a"' + '."b"' * 100_000 + " = 1\n",
    "many tables": "".join(f"[t{number}]\nx = 1\n" for number in range(100_000)),
    "many arrays of tables": "[[a]]\n" * 100_000,
    "many wrong keys": "".join(f"k{number} = 1\n" for number in range(60_000)),
    "a key of many parts in single quotes": "'a'" + ".'b'" * 100_000 + " = 1\n",
    "a key of many parts in a table of one line": "x = { a" + ".b" * 5_000 + " = 1 }\n",
    "a long file": "# " + "x" * 2_000_000,
    "deep brackets": "a = " + "[" * 100_000,
    "a key of many letters": "a" * 900_000 + " = 1\n",
    "a value of many letters": '[light]\nled = "' + "a" * 900_000 + '"\n',
    "many values": "[light]\ncount = [" + "1, " * 300_000 + "1]\n",
    "many slips": "".join(f"k{number} = 1 mm\n" for number in range(50_000)),
}


@pytest.mark.parametrize("name", every(ENDLESS, lambda at: at in {0, 3, 6}))
def test_an_endless_file_is_refused_soon_in_little_memory(name: str, tmp_path: Path) -> None:
    path = tmp_path / "endless.toml"
    path.write_text(ENDLESS[name], encoding="utf-8")
    code = (
        "import resource, sys\n"
        "resource.setrlimit(resource.RLIMIT_AS, (2 << 30, 2 << 30))\n"
        "resource.setrlimit(resource.RLIMIT_CPU, (10, 10))\n"
        "from boardgen.cli import main\nmain(['check', sys.argv[1]])"
    )
    done = subprocess.run(
        [sys.executable, "-c", code, str(path)], capture_output=True, check=False, text=True
    )
    assert done.returncode == 2, done.stderr[-500:]
    assert len(done.stderr) < 20_000
    assert "Traceback" not in done.stderr


@pytest.mark.thorough
def test_of_very_many_errors_the_rest_is_counted(tmp_path: Path) -> None:
    path = tmp_path / "many.toml"
    path.write_text(SHELF + "".join(f"k{number} = 1\n" for number in range(1_000)), "utf-8")
    done = CliRunner().invoke(main, ["check", str(path)])
    assert "and 980 more like these" in done.stderr
