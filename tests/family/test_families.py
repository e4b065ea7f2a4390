"""Families: from one file to many boards, one bad one not hiding the others."""

import json
from pathlib import Path
from typing import Any

import pytest
from click.testing import CliRunner, Result

from boardgen.cli import main
from boardgen.doors import read_family
from boardgen.electrical.same_parts import _fewest, with_same_parts
from boardgen.electrical.size import size
from boardgen.errors import RefusalError
from boardgen.model.family import Family
from boardgen.reading.family import parse_family
from boardgen.reading.parameters import parse
from tests.conftest import ROOT

STICKS = (ROOT / "examples/colour-sticks/colour-sticks.toml").read_text(encoding="utf-8")
BAD_CELL = """
[[family.change]]
where      = { light.count = 16, light.led = "white 0805" }
form.width = "8 mm"
"""
SKIP = """
[[family.skip]]
where  = { light.count = 16, light.led = "green 0805" }
reason = "not wanted"
"""


def family(text: str) -> Family:
    return parse_family(text, file="sticks.toml", name="sticks")


def refused(text: str) -> str:
    with pytest.raises(RefusalError) as caught:
        family(text)
    return str(caught.value)


def run(*arguments: object) -> Result:
    return CliRunner().invoke(main, [str(argument) for argument in arguments])


def test_twelve_members_come_from_three_colours_and_four_lengths() -> None:
    found = family(STICKS)
    assert [member.name for member in found.members] == [
        f"stick-{colour}-{count}"
        for colour in ("red", "green", "white")
        for count in (4, 8, 12, 16)
    ]
    assert found.many
    boards = [member.parameters for member in found.members if member.parameters]
    assert len(boards) == 12
    assert [board.legend.name_box for board in boards] == [False, False, False, True] * 3
    assert boards[5].legend_text == "Colour stick green 8"
    assert len({board.name for board in boards}) == 12


def test_keys_to_vary_may_be_quoted() -> None:
    quoted = STICKS.replace("light.count =", '"light.count" =')
    assert quoted != STICKS
    plain, other = (
        [(one.name, one.parameters and (one.parameters.light, one.parameters.legend))
         for one in family(text).members]
        for text in (STICKS, quoted)
    )  # fmt: skip
    assert other == plain
    assert len({str(values) for _, values in plain}) == 12


def test_a_value_that_varies_points_at_its_line() -> None:
    line = STICKS[: STICKS.index("light.count = [4")].count("\n") + 1
    found = family(STICKS).members[0].parameters
    assert found
    assert found.origin("light.count").line == line


def test_same_parts_finds_two_values_for_twelve_boards() -> None:
    """Two values, 330 ohm for red and 220 ohm for green and white.

    Own calculation with fixed forward voltages; at 9 mA green and white LEDs need some 0.13 V less
    than at 20 mA, so that 246 ohm are wanted, and 270 is nearer than 220.
    """
    shared = with_same_parts(family(STICKS))
    values: dict[str, set[float]] = {}
    currents: dict[str, set[tuple[float, ...]]] = {}
    for member in shared.members:
        assert member.parameters
        (kind,) = size(member.parameters).kinds
        values.setdefault(member.parameters.parts.emitters[0].led.name, set()).add(
            kind.ballast.value_ohm
        )
        corners = (kind.low, kind.nominal, kind.high)
        currents[member.parameters.parts.emitters[0].led.name] = {
            tuple(round(corner.current_a * 1000, 1) for corner in corners)
        }
    assert values["red 0805"] == {330.0}
    assert values["green 0805"] == values["white 0805"] == {270.0}
    ((low, nominal, high),) = currents["red 0805"]
    # The page has 6.0 / 9.1 / 11.3: the curve gives 0.2 mA more, warmth a little more again.
    assert (low, nominal, high) == pytest.approx((7.2, 9.3, 11.6), abs=0.06)  # 4.75 V lowest


def test_the_fewest_values_are_taken_and_of_those_the_nearest() -> None:
    assert _fewest([110.0, 118.0], "E12") == (120.0,)
    assert _fewest([100.0, 202.0], "E12") == (100.0, 220.0)  # 180 is more than 11 % too little
    assert _fewest([100.0, 120.0, 210.0], "E12") == (120.0, 220.0)
    assert _fewest([100.0, 120.0, 210.0], "E12", 1.0) == (120.0, 220.0)
    assert _fewest([214.0, 600.0], "E3") == (220.0,)  # nothing serves 600: it keeps its own


def test_a_member_that_no_shared_value_serves_keeps_its_own() -> None:
    text = (
        STICKS.replace('series = "E12"', 'series = "E3"')
        .replace(
            'light.led   = ["red 0805", "green 0805", "white 0805"]',
            'light.current = ["14 mA", "5 mA"]',
        )
        .replace('current = "9 mA"', 'current = "5 mA"')
        .replace("{colour}-", "{current}-")
    )
    shared = with_same_parts(family(text))
    for member in shared.members:
        assert member.parameters
        (kind,) = size(member.parameters).kinds
        assert kind.nominal.current_a <= 1.12 * member.parameters.parts.emitters[0].current_a


def test_sharing_overloads_nothing() -> None:
    text = STICKS.replace('series = "E12"', 'series = "E96"').replace('"9 mA"', '"19 mA"')
    text = text.replace('"green 0805", "white 0805"', '"white 2835"')
    text += '[[family.change]]\nwhere = { light.led = "white 2835" }\nlight.current = "16 mA"\n'
    for member in with_same_parts(family(text)).members:
        assert member.parameters
        (kind,) = size(member.parameters).kinds
        assert kind.high.current_a <= member.parameters.parts.emitters[0].led.data.max_current_a


def test_up_written_in_the_file_is_kept_to() -> None:
    text = STICKS.replace('series = "E12"', 'series = "E12"\nround = "up"')
    for member in with_same_parts(family(text)).members:
        assert member.parameters
        (kind,) = size(member.parameters).kinds
        assert kind.ballast.value_ohm >= kind.ballast.wanted_ohm


def test_changes_of_one_member_do_not_leak_into_others() -> None:
    text = STICKS.replace("[family.vary]", "[family.vary]\nlegend = [{ name_box = false }]")
    text = text.replace('text = "{title} {colour} {count}"', "")
    boxes = [m.parameters.legend.name_box for m in family(text).members if m.parameters]
    assert boxes == [False, False, False, True] * 3


def test_names_tell_what_a_change_made_of_a_member() -> None:
    text = STICKS.replace("legend.name_box = true", "light.count = 15")
    names = [member.name for member in family(text).members]
    assert names[3] == "stick-red-15"


@pytest.mark.thorough
def test_the_twelve_build_with_one_bad_cell_refused_and_eleven_proven(tmp_path: Path) -> None:
    file = tmp_path / "sticks.toml"
    file.write_text(STICKS + BAD_CELL, encoding="utf-8")
    done = run("build", file, "-o", tmp_path / "out")
    assert done.exit_code == 2  # the worst of all
    assert "stick-white-16: refused" in done.stderr
    assert "form.width" in done.stderr
    folders = sorted(path.name for path in (tmp_path / "out").iterdir())
    assert len(folders) == 11
    assert "stick-white-16" not in folders
    for name in folders:
        record = json.loads((tmp_path / "out" / name / "build.json").read_text(encoding="utf-8"))
        assert all(item["holds"] for item in record["proof"])
        assert (tmp_path / "out" / name / f"{name}-fabrication.zip").is_file()
    table = done.stdout[done.stdout.index("member ") :].splitlines()
    assert len(table) == 14
    assert table[0].split() == (
        ["member", "verdict", "nominal", "worst", "smallest", "gap", "size"]
    )
    assert table[-2].split() == ["stick-white-16", "refused", "-", "-", "-", "-"]
    assert "Next: upload" in table[-1]
    # Of the twelve the one that the package is named after is taken.
    against = run("verify", tmp_path / "out/stick-red-8", "--against", file)
    assert against.exit_code == 0, against.stdout
    assert "its files are what sticks.toml describes" in against.stdout


@pytest.mark.thorough
def test_only_some_members_are_built_and_checked(tmp_path: Path) -> None:
    file = tmp_path / "sticks.toml"
    file.write_text(STICKS, encoding="utf-8")
    done = run("build", file, "-o", tmp_path / "out", "--only", "stick-*-4")
    assert done.exit_code == 0, done.stderr
    assert len(list((tmp_path / "out").iterdir())) == 3
    none = run("check", file, "--only", "stick-blue-*")
    assert none.exit_code == 2
    assert "stick-red-4" in none.stderr
    record = json.loads(run("check", file, "--only", "stick-red-*", "--format", "json").stdout)
    assert record["schema"] == "boardgen.family/3"
    assert [board["board"] for board in record["boards"]] == [
        f"stick-red-{count}" for count in (4, 8, 12, 16)
    ]
    assert record["members"][0]["nominal_a"] == pytest.approx(0.0372, abs=0.0001)


def test_a_member_is_skipped_with_its_reason(tmp_path: Path) -> None:
    file = tmp_path / "sticks.toml"
    file.write_text(STICKS + SKIP, encoding="utf-8")
    done = run("check", file, "--only", "stick-green-16")
    assert done.exit_code == 0
    assert "stick-green-16: skipped: not wanted" in done.stdout
    skipped = [member for member in read_family(file).members if member.skipped]
    assert [member.name for member in skipped] == ["stick-green-16"]


@pytest.mark.parametrize(
    ("old", "new", "words"),
    [
        ("light.count = [4, 8, 12, 16]", "light.count = 4", "wants a list of values"),
        ("light.count = [4, 8, 12, 16]", "light.count = [4, 4]", "names one value twice"),
        ("light.count = [4, 8, 12, 16]", "light.cuont = [4, 8]", 'did you mean "count"'),
        ("stick-{colour}-{count}", "stick-{colour}", "gives several members one name"),
        ("stick-{colour}-{count}", "Stick {colour} {count}", "names hold a-z"),
        ("stick-{colour}-{count}", "stick-{color}-{count}", "{color} cannot be filled in"),
        ("{title} {colour} {count}", "{title} {hue}", "{hue} cannot be filled in"),
        ("where           = { light.count = 16 }", "where = { light.count = 17 }", "no member"),
        ("where           = { light.count = 16 }", "where = { }", "does not say where"),
        ("same_parts = true", "same_part = true", 'did you mean "same_parts"'),
        ("light.count = [4, 8, 12, 16]", '"" = [4, 8]', "is not a dotted key"),
        ("light.count = [4, 8, 12, 16]", '"..." = [4, 8]', "is not a dotted key"),
        ("light.count = [4, 8, 12, 16]", "count = [4, 8]", "count is not a known key"),
        ("legend.name_box = true", "name_box = true", "name_box is not a known key"),
        ("legend.name_box = true", "board.title.x = 1", "points below a plain"),
        ("where           = { light.count = 16 }", "where = { light = {} }", "does not say where"),
        ("where           = { light.count = 16 }", "where = { light.count = true }", "no member"),
    ],
)  # fmt: skip
def test_what_a_family_cannot_mean_is_refused(old: str, new: str, words: str) -> None:
    assert old in STICKS
    told = refused(STICKS.replace(old, new))
    assert any(word in told for word in words.split("|")), told
    assert "sticks.toml:" in told


def test_a_fault_that_all_members_share_is_told_once() -> None:
    told = refused(STICKS.replace('width = "11 mm"', 'widht = "11 mm"'))
    assert told.count("is not a known key") == 1


def test_too_many_members_are_refused_before_they_are_made() -> None:
    many = ", ".join(str(number) for number in range(1, 400))
    told = refused(STICKS.replace("[4, 8, 12, 16]", f"[{many}]"))
    assert "at most 1000" in told


def test_one_board_is_wanted_where_a_family_is_given() -> None:
    with pytest.raises(RefusalError, match="describes many boards"):
        parse(STICKS, file="sticks.toml", name="sticks")


@pytest.mark.thorough
def test_two_files_that_make_one_name_are_not_both_built(tmp_path: Path) -> None:
    for name in ("one", "two"):
        (tmp_path / f"{name}.toml").write_text(STICKS, encoding="utf-8")
    files: list[Any] = [tmp_path / "one.toml", tmp_path / "two.toml"]
    done = run("build", *files, "-o", tmp_path / "out", "--only", "stick-red-4")
    assert done.exit_code == 2
    assert "is called stick-red-4 too" in done.stderr
