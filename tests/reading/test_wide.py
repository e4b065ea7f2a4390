"""Houses, limits, lands, sizes and orders: what the wider parameter file takes and refuses."""

from pathlib import Path
from typing import Any

import pytest

from boardgen.checks.table import check
from boardgen.designing import design_board
from boardgen.doors import read
from boardgen.errors import RefusalError
from boardgen.model.parameters import OriginKind, Parameters
from boardgen.reading.parameters import parse
from tests.checks.planting import corner_mm
from tests.conftest import SHELF, Make, design_of, merged

OWN_BODY = {
    "colour": "amber",
    "vf": {"at": "10 mA", "min": "1.9 V", "typical": "2.0 V", "max": "2.2 V"},
    "max_current": "40 mA",
    "cathode": "bar",
    "source": "test",
    "body": {"length": "3 mm", "width": "1.6 mm", "height": "1 mm"},
}


def taken(**changes: dict[str, Any]) -> Parameters:
    return parse(merged(SHELF, changes), file="bar.toml", name="bar")


def refused(**changes: dict[str, Any]) -> str:
    with pytest.raises(RefusalError) as caught:
        taken(**changes)
    return str(caught.value)


# -- sizes: two codes that look alike ----------------------------------------------------------


@pytest.mark.parametrize(("metric", "inch"), [("2012", "0805"), ("1608", "0603"), ("1005", "0402")])
def test_a_metric_code_is_told_with_its_inch_code(metric: str, inch: str) -> None:
    """EIA inch and metric codes (read)."""
    told = refused(resistor={"size": metric})
    assert f'{metric} is the metric code of {inch}: write "{inch}"' in told


# -- own LEDs, resistors and lands -------------------------------------------------------------


def test_an_led_comes_wholly_from_its_data_sheet() -> None:
    lands = {"length": "1.1 mm", "width": "1.7 mm", "gap": "1.2 mm", "plain_length": "1.6 mm"}
    found = (
        taken(led={"mine": {**OWN_BODY, "lands": lands}}, light={"led": "mine"})
        .parts.emitters[0]
        .led.pattern
    )
    k, a = found.lands
    assert (k.width_mm, k.height_mm, a.width_mm) == (1.1, 1.7, 1.6)
    assert a.x_mm - a.width_mm / 2 - (k.x_mm + k.width_mm / 2) == pytest.approx(1.2)
    assert a.x_mm + a.width_mm / 2 == pytest.approx(-(k.x_mm - k.width_mm / 2))  # centred
    assert not found.typical


def test_lands_follow_from_an_own_body_with_terminations() -> None:
    """The equations of the chips, with the body of 1206 put in: the same lands come out."""
    body = {
        "length": "3.1 mm", "width": "1.575 mm", "height": "0.65 mm", "tolerance": "0.15 mm",
        "termination": "0.45 mm", "termination_tolerance": "0.2 mm",
    }  # fmt: skip
    own = taken(resistor={"body": body, "rating": "0.25 W"}).parts.resistor.pattern
    shipped = taken(resistor={"size": "1206"}).parts.resistor.pattern
    assert [land.x_mm for land in own.lands] == pytest.approx(
        [land.x_mm for land in shipped.lands], abs=0.002
    )
    assert own.lands[0].width_mm == pytest.approx(shipped.lands[0].width_mm, abs=0.002)


@pytest.mark.parametrize(
    ("changes", "words"),
    [
        ({"led": {"mine": OWN_BODY}, "light": {"led": "mine"}}, "neither termination nor lands"),
        ({"led": {"mine": {**OWN_BODY, "size": "0805"}}, "light": {"led": "mine"}}, "both size"),
        ({"resistor": {"body": OWN_BODY["body"]}}, "comes without a rating"),
        ({"lands": {"connector": {"hole": "2 mm", "land": "2 mm"}}}, "leaves no ring"),
        ({"lands": {"connector": {"hole": "1.3 mm", "land": "3.4 mm"}}}, "this house asks"),
        ({"connector": {"kind": "coin cell holder 20 mm"}}, "holds one lithium coin 20 mm"),
        ({"connector": {"kind": "coin cell holder 20 mm", "poles": 3}}, "does not come with 3"),
        ({"copper": {"sides": 1}, "connector": {"side": "top"}}, "no copper"),
        ({"copper": {"sides": 2}, "order": {"house": "home-etched"}}, "plates no holes"),
        ({"order": {"house": "milled"}, "resistor": {"size": "0402"},
          "copper": {"weight": "2 oz"}}, "too small for this house"),
        ({"order": {"mask": "none", "legend": "white"}}, "needs a mask"),
        ({"order": {"mask": "white", "legend": "white"}}, "cannot be read on"),
        ({"order": {"drill_span": "1,2"}}, "one copper side only"),
        ({"order": {"house": "home-etched"}, "legend": {"name_box": True}}, "needs print"),
        ({"mounting": {"at": "none", "places": [["9 mm", "9 mm"]]}}, "both places and at"),
        ({"mounting": {"places": [["9 mm"]]}}, "wants two values"),
        ({"limits": {"trakc": "1 mm"}}, 'did you mean "track"'),
        ({"built": {"date": "2026-02-31", "supply": "5 V", "current": "9 mA"}}, "calendar"),
        ({"mounting": {"places": [["9 mm", "9 mm"]] * 101}}, "at most 100"),
        ({"mounting": {"places": "x"}}, "square brackets"),
        ({"limits": {"track": 1}}, "has no unit"),
        ({"order": {"house": "hobbyist"}}, "is not known here"),
    ],
)  # fmt: skip
def test_what_does_not_go_together_is_told(changes: dict[str, dict[str, Any]], words: str) -> None:
    told = refused(**changes)
    assert words in told
    assert "\n    " in told or "like [" in told or "write " in told  # what would be right


def test_own_lands_need_no_comparison_and_typical_ones_do(design: Make) -> None:
    lands = {"length": "1.2 mm", "width": "2.4 mm", "gap": "0.7 mm", "plain_length": "2.6 mm"}
    for changes, expected in (({}, True), ({"lands": {"led": lands}}, False)):
        found = [f.message for f in check(design(**changes)) if f.code == "lands.typical"]
        assert any("white 2835" in message for message in found) == expected


def test_own_lands_are_what_is_drawn(design: Make) -> None:
    made = design(lands={"resistor": {"length": "1.6 mm", "width": "1.8 mm", "gap": "1.7 mm"},
                         "connector": {"hole": "1.5 mm", "land": "2.6 mm"}})  # fmt: skip
    assert [land.width_mm for land in made.board.part("R1").pattern.lands] == [1.6, 1.6]
    pin = made.board.part("J1").pattern.lands[0]
    assert (pin.hole_mm, pin.width_mm) == (1.5, 2.6)


@pytest.mark.parametrize(
    "text", ["{title.__class__}", "{0}", "{", "}", "{}", "{title!r}", "{title:{foo}}", "{title:>9}"]
)
def test_a_pattern_holds_plain_names_only(text: str) -> None:
    told = refused(legend={"text": text})
    assert "cannot be filled in" in told
    assert "{title}, {revision}" in told


# -- houses and limits -------------------------------------------------------------------------


def test_a_house_presets_what_it_cannot_do() -> None:
    found = taken(order={"house": "home-etched"})
    assert (found.copper.sides, found.order.mask, found.order.legend) == (1, "none", "none")
    assert (found.parts.connector.name, found.connector.side) == ("wire pads", "bottom")
    origin = found.origin("copper.sides")
    assert (origin.kind, origin.place) == (OriginKind.DEFAULT, "of home-etched")


def test_single_limits_are_replaced_and_aims_follow() -> None:
    found = taken(limits={"track": "0.7 mm", "gap": "0.6 mm"})
    assert (found.parts.limits.track_mm, found.parts.limits.gap_mm) == (0.7, 0.6)
    assert found.parts.limits.aims.track_mm >= 0.7
    assert found.parts.limits.aims.pour_gap_mm > 0.6
    assert found.origin("limits.track").kind is OriginKind.FILE
    codes = {f.code for f in check(design_board(found)) if f.severity.value == "error"}
    assert not codes


def test_two_ounces_of_copper_ask_for_more() -> None:
    thin, thick = taken().parts.limits, taken(copper={"weight": "2 oz"}).parts.limits
    assert thick.gap_mm == thick.gap_heavy_mm > thin.gap_mm


def test_a_house_of_the_users_own_stands_beside_the_file(tmp_path: Path) -> None:
    (tmp_path / "school.toml").write_text(
        'based_on = "fine"\nsource = "asked the shop"\n[limits]\ntrack = "0.33 mm"\n'
        '[aims]\ncorner = "1.5 mm"\n',
        encoding="utf-8",
    )
    file = tmp_path / "bar.toml"
    file.write_text(merged(SHELF, {"order": {"house": "school.toml"}}), encoding="utf-8")
    (found,) = read(file)
    assert found.parts.limits.track_mm == 0.33
    assert found.parts.limits.gap_mm == 0.15  # of "fine"
    assert found.parts.limits.house == "school, based on fine"
    assert corner_mm(design_board(found).board.outline) == 1.5
    (tmp_path / "school.toml").write_text('based_on = "home-etched"\n', encoding="utf-8")
    (etched,) = read(file)
    assert (etched.copper.sides, etched.printed) == (1, False)  # with all that it presets


@pytest.mark.parametrize(
    ("text", "words"),
    [
        (None, "no such file"),
        ("x = ", "cannot be read"),
        ('[limits]\ntrakc = "1 mm"\n', "limits.trakc is not a known key"),
        ("[limits]\ntrack = 1\n", "has no unit"),
        ('based_on = "finest"\n', 'did you mean "fine"'),
        ("colour = 1\n", "colour is not a known key"),
    ],
)
def test_a_wrong_house_of_the_users_is_told(text: str | None, words: str, tmp_path: Path) -> None:
    if text is not None:
        (tmp_path / "school.toml").write_text(text, encoding="utf-8")
    file = tmp_path / "bar.toml"
    file.write_text(merged(SHELF, {"order": {"house": "school.toml"}}), encoding="utf-8")
    with pytest.raises(RefusalError) as caught:
        read(file)
    assert words in str(caught.value)
    assert "bar.toml:" in str(caught.value)


def test_a_house_is_looked_for_beside_the_file_only() -> None:
    assert "is not looked for" in refused(order={"house": "../school.toml"})


# -- screws at given places --------------------------------------------------------------------


@pytest.mark.parametrize(
    ("place", "words"),
    [
        (["40 mm", "15 mm"], "meets"),
        (["3 mm", "15 mm"], "comes too near to the edge|meets J1"),
        (["500 mm", "15 mm"], "comes too near to the edge"),
    ],
)
def test_a_screw_in_the_way_is_refused_with_numbers(place: list[str], words: str) -> None:
    text = merged(SHELF, {"mounting": {"places": [place]}, "form": {"width": "30 mm"}})
    with pytest.raises(RefusalError) as caught:
        design_of(text)
    assert any(word in str(caught.value) for word in words.split("|"))
    assert " mm" in str(caught.value)


def test_a_screw_moves_by_what_was_told_and_passes() -> None:
    """Between two LEDs, pushed down until the told overlap is gone: one hundredth less is not."""

    def change(level: float) -> str:
        places = [["30 mm", f"{level:.3f} mm"]]
        return merged(SHELF, {"mounting": {"places": places, "screw": "M2"},
                              "form": {"width": "34 mm"}})  # fmt: skip

    with pytest.raises(RefusalError) as caught:
        design_of(change(13.0))
    deep = max(float(part.split(" mm")[0]) for part in str(caught.value).split(" by ")[1:]
               if part[0].isdigit())  # fmt: skip
    assert design_of(change(13.0 - deep - 0.01)).board.holes[0].y_mm == pytest.approx(12.99 - deep)
    with pytest.raises(RefusalError):
        design_of(change(13.0 - deep + 0.02))


# -- stock and built ---------------------------------------------------------------------------


def test_the_buyers_texts_reach_the_list(built: Make) -> None:
    made = built(stock={"white 2835": "bag 7", "150R": "drawer 3"})
    (bom,) = [f.content.decode() for f in made.files if f.path.endswith("bom.csv")]
    assert "own_text_unchecked" in bom.splitlines()[0]
    assert [line.rsplit(",", 1)[-1] for line in bom.splitlines()[1:]] == ["bag 7", "drawer 3", ""]


@pytest.mark.parametrize(
    ("ohms", "differs"),
    [(47, True), (145, True), (146, False), (150, False), (154, False), (155, True)],
)
def test_a_wrong_resistor_is_found_by_its_ohms(design: Make, ohms: int, *, differs: bool) -> None:
    """150 ohm of 1 %, and 2 % for the meter: 145.5 to 154.5 ohm (own sum)."""
    others = ["150R"] * 7
    made = design(
        built={"date": "2026-11-20", "supply": "5 V", "current": "105 mA",
               "ballasts": ["2 V"] * 8, "resistors": [*others, f"{ohms}R"]},
    )  # fmt: skip
    told = [f for f in check(made) if f.code == "built.differs"]
    assert [f.subjects for f in told] == [("R8",)] * differs
    assert all("150 ohm belongs there" in f.message for f in told)


@pytest.mark.parametrize(("current", "differs"), [("105 mA", False), ("40 mA", True)])
def test_what_was_measured_is_held_against_the_sums(
    design: Make, current: str, differs: bool
) -> None:
    made = design(built={"date": "2026-11-20", "supply": "5 V", "current": current})
    assert ("built.differs" in {f.code for f in check(made)}) == differs
