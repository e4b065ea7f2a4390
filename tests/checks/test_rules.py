"""Every rule finds its fault, and nothing else; just at the limit it is silent.

Faults are planted into whole designs; 1 µm decides where a length is the limit.
"""

from collections.abc import Callable
from dataclasses import replace
from typing import Any

import pytest

from boardgen.artwork.draw import draw
from boardgen.checks.files import CODE, check_files
from boardgen.checks.table import RULES, check
from boardgen.export.table import export
from boardgen.model.artwork import Hole, HoleKind, Item, Layer, LayerKind, Purpose
from boardgen.model.board import MarkRole, Side, TextRole, Track
from boardgen.model.design import Design
from boardgen.model.findings import Severity
from boardgen.model.operation import Illumination, Operation
from boardgen.model.shapes import Disc, Stroke
from boardgen.model.verdicts import holds_a
from boardgen.units import Nm, snap
from tests.conftest import SHELF, design_of, merged

UM = 0.001
BASE = merged(
    SHELF,
    {
        "board": {"date": "2026-11-25"},
        # No more than an LED bears the wrong way round, and of no kind that may switch itself off.
        "supply": {"from": None, "low": "4.5 V", "nominal": "4.8 V", "high": "5 V"},
        "light": {"count": 3, "lands_compared": True},
        "connector": {"kind": "wire pads"},
    },
)


def codes(design: Design) -> set[str]:
    return {finding.code for finding in check(design)}


def base(**changes: dict[str, Any]) -> Design:
    return design_of(merged(BASE, changes))


def redrawn(design: Design, **changes: Any) -> Design:
    board = replace(design.board, **changes)
    return replace(design, board=board, artwork=draw(design.parameters, board))


def with_layer(design: Design, layer: Layer) -> Design:
    old = design.artwork.layer(layer.kind, layer.side)
    layers = tuple(layer if each is old else each for each in design.artwork.layers)
    return replace(design, artwork=replace(design.artwork, layers=layers))


def with_items(
    design: Design, kind: LayerKind, change: Callable[[tuple[Item, ...]], tuple[Item, ...]]
) -> Design:
    layer = design.artwork.layer(kind, Side.TOP)
    return with_layer(design, replace(layer, items=change(layer.items)))


def with_holes(design: Design, change: Callable[[tuple[Hole, ...]], tuple[Hole, ...]]) -> Design:
    return replace(design, artwork=replace(design.artwork, holes=change(design.artwork.holes)))


def with_parts(design: Design, reference: str, **changes: Any) -> Design:
    parts = tuple(
        replace(part, **changes) if part.reference == reference else part
        for part in design.board.parts
    )
    return replace(design, board=replace(design.board, parts=parts))


def with_kind(design: Design, **changes: Any) -> Design:
    (kind,) = design.circuit.kinds
    new = replace(kind, **changes)
    branches = tuple(replace(branch, kind=new) for branch in design.circuit.branches)
    return replace(design, circuit=replace(design.circuit, kinds=(new,), branches=branches))


# -- one planter a rule: `beyond` is how far past the limit, 0 just at it --------------------------


def gap_copper(beyond_mm: float) -> Design:
    design = base()
    limit = design.limits.gap_mm
    r1 = design.board.part("R1")
    x, y = r1.land_place(r1.pattern.land("2"))
    rail = next(t for t in design.board.tracks if t.points[0][1] == t.points[1][1])
    edge = rail.points[0][1] - rail.width_mm / 2
    end = edge - limit - 0.25 + beyond_mm
    stub = Track(net="B01.1", side=Side.TOP, width_mm=0.5, points=((x, y), (x, end)))
    return redrawn(design, tracks=(*design.board.tracks, stub))


def track_width(beyond_mm: float) -> Design:
    design = base()
    link = next(track for track in design.board.tracks if track.net == "B02.1")
    thin = replace(link, width_mm=design.limits.track_mm - 2 * beyond_mm)
    return redrawn(design, tracks=(*design.board.tracks, thin))


def track_heat(beyond_mm: float) -> Design:
    design = base()
    width = design.circuit.rail.heat_mm - beyond_mm
    return replace(design, operation=with_rails(design, width_mm=width))


def with_rails(design: Design, **changes: Any) -> Operation:
    return replace(design.operation, rails=replace(design.operation.rails, **changes))


def edge_copper(beyond_mm: float) -> Design:
    design = base()
    edge = design.limits.copper_edge_mm - beyond_mm
    return redrawn(design, pours=tuple(replace(pour, edge_mm=edge) for pour in design.board.pours))


def screw_room(beyond_mm: float) -> Design:
    design = base()
    holes = tuple(
        replace(hole, room_mm=hole.room_mm + 2 * beyond_mm) for hole in design.board.holes
    )
    return replace(design, board=replace(design.board, holes=holes))


def relief_spokes(beyond_mm: float) -> Design:
    design = base()
    keep = design.limits.spokes - (1 if beyond_mm > 0 else 0)

    def fewer(items: tuple[Item, ...]) -> tuple[Item, ...]:
        land = next(i for i in items if i.owner and i.owner.reference == "J1" and i.net == "0V")
        assert isinstance(land.shape, Disc)
        spokes = [
            item
            for item in items
            if item.purpose is Purpose.SPOKE
            and isinstance(item.shape, Stroke)
            and item.shape.points[0] == land.shape.centre
        ]
        gone = spokes[keep:]
        return tuple(item for item in items if item not in gone)

    return with_items(design, LayerKind.COPPER, fewer)


def net_whole(beyond_mm: float) -> Design:
    if beyond_mm <= 0:
        return base()

    def cut(items: tuple[Item, ...]) -> tuple[Item, ...]:
        return tuple(i for i in items if i.net != "B02.1" or i.purpose is not Purpose.TRACK)

    return with_items(base(), LayerKind.COPPER, cut)


def hole_size(beyond_mm: float) -> Design:
    design = base()
    size = Nm(snap(design.limits.hole_mm - 2 * beyond_mm))
    return with_holes(
        design,
        lambda holes: tuple(
            replace(hole, diameter_nm=size) if hole.kind is HoleKind.VIA else hole for hole in holes
        ),
    )


def ring_plated(beyond_mm: float) -> Design:
    design = base()
    via = design.board.vias[0]
    size = Nm(snap(via.land_mm - 2 * design.limits.ring_mm + 2 * beyond_mm))
    return with_holes(
        design,
        lambda holes: tuple(
            replace(hole, diameter_nm=size) if hole.kind is HoleKind.VIA else hole for hole in holes
        ),
    )


def _extra_hole(design: Design, x_mm: float, y_mm: float, size_mm: float = 1.0) -> Design:
    hole = Hole(centre=(snap(x_mm), snap(y_mm)), diameter_nm=snap(size_mm), kind=HoleKind.SCREW,
                plated=False)  # fmt: skip
    return with_holes(design, lambda holes: (*holes, hole))


def hole_spacing(beyond_mm: float) -> Design:
    # Inside a screw's room, where there is no copper that the hole would come too near to.
    design = base()
    screw = design.board.holes[0]
    away = screw.hole_mm / 2 + 0.5 + design.limits.hole_hole_mm - beyond_mm
    return _extra_hole(design, screw.x_mm + away, screw.y_mm)


def edge_hole(beyond_mm: float) -> Design:
    design = base()
    inset = 0.5 + design.limits.hole_edge_mm - beyond_mm
    return _extra_hole(design, design.board.outline.length_mm - inset, design.board.holes[1].y_mm)


def ring_unplated(beyond_mm: float) -> Design:
    design = base(copper={"sides": 1})
    land = design.board.part("J1").pattern.lands[0].width_mm
    size = Nm(snap(land - 2 * design.limits.ring_unplated_mm + 2 * beyond_mm))
    return with_holes(
        design,
        lambda holes: tuple(
            replace(hole, diameter_nm=size) if hole.kind is HoleKind.COMPONENT else hole
            for hole in holes
        ),
    )


def hole_copper(beyond_mm: float) -> Design:
    design = base()
    hair = 0.0005  # arcs are chords in areas, within a quarter micrometre
    size = design.board.holes[0].room_mm - 2 * (design.limits.hole_copper_mm + hair - beyond_mm)
    return with_holes(
        design,
        lambda holes: tuple(
            replace(hole, diameter_nm=snap(size))
            if hole.owner and hole.owner.reference == "MH1"
            else hole
            for hole in holes
        ),
    )


def heat_chip(beyond: float) -> Design:
    return base(light={"led": "red 0805"}, copper={"relief": "holes" if beyond > 0 else "all"})


def lands_reach(beyond_mm: float) -> Design:
    half = base().board.part("R1").pattern.body.right_mm
    gap = 2 * half + 2 * (beyond_mm - UM / 2)
    lands = {"length": "1.2 mm", "width": "1.8 mm", "gap": f"{gap:.4f} mm"}
    return base(lands={"resistor": lands})


def current_switch(beyond: float) -> Design:
    design = base(connector={"kind": "wire pads", "switch": "slide switch"})
    part = design.parameters.switch_part
    assert part
    most = design.limits.connector_share * part.rating_a
    return replace(design, circuit=replace(design.circuit, worst_a=most * (1 + beyond)))


def current_supply(beyond: float) -> Design:
    design = base()
    most = design.circuit.worst_a / design.limits.supply_share / (1 + beyond)
    supply = replace(design.parameters.supply, max_current_a=most)
    return replace(design, parameters=replace(design.parameters, supply=supply))


def built_differs(beyond: float) -> Design:
    design = base(built={"date": "2026-11-20", "supply": "5 V", "current": "1 mA"})
    built = design.parameters.built
    assert built
    measured = replace(built, current_a=design.operation.measured_low_a * (1 - beyond))
    return replace(design, parameters=replace(design.parameters, built=measured))


def stock_unused(beyond: float) -> Design:
    return base(stock={"white 2836" if beyond > 0 else "White-2835": "bag 12"})


def courtyard_overlap(beyond_mm: float) -> Design:
    design = base()
    r1, d1 = design.board.part("R1"), design.board.part("D1")
    touching = (
        d1.x_mm - d1.pattern.courtyard.right_mm - r1.pattern.courtyard.right_mm
    )  # D1 is turned by half, so its right courtyard edge lies left
    return with_parts(design, "R1", x_mm=touching + beyond_mm)


def courtyard_edge(beyond_mm: float) -> Design:
    design = base()
    r1 = design.board.part("R1")
    top = design.board.outline.width_mm - r1.pattern.courtyard.top_mm
    return with_parts(design, "R1", y_mm=top + beyond_mm)


def legend_land(beyond_mm: float) -> Design:
    design = base()
    r1 = design.board.part("R1")
    x, y = r1.land_place(r1.pattern.land("1"))
    reach = r1.pattern.land("1").height_mm / 2 + design.limits.mask_expansion_mm
    level = y - reach - design.limits.legend_land_mm - 0.075 + beyond_mm
    line = Stroke(((snap(x), snap(level)), (snap(x + 0.5), snap(level))), snap(0.075))
    mark = Item(shape=line, purpose=Purpose.MARK)
    return with_items(design, LayerKind.LEGEND, lambda items: (*items, mark))


def legend_fine(beyond_mm: float) -> Design:
    design = base()
    line = Stroke(
        ((snap(60), snap(2)), (snap(61), snap(2))),
        Nm(snap(design.limits.legend_stroke_mm - 2 * beyond_mm) // 2),
    )
    mark = Item(shape=line, purpose=Purpose.MARK)
    return with_items(design, LayerKind.LEGEND, lambda items: (*items, mark))


def legend_names(beyond_mm: float) -> Design:
    design = base()
    if beyond_mm <= 0:
        return design
    texts = tuple(text for text in design.board.texts if not text.text.startswith("R"))
    return replace(design, board=replace(design.board, texts=texts))


def legend_trimmed(beyond_mm: float) -> Design:
    design = base()
    cut = ('note "current →" of ',) if beyond_mm > 0 else ()
    return replace(design, artwork=replace(design.artwork, trimmed=cut))


def polarity_mark(beyond_mm: float) -> Design:
    design = base()
    if beyond_mm <= 0:
        return design
    d2 = design.board.part("D2")
    marks = tuple(
        replace(mark, points=tuple((2 * d2.x_mm - x, y) for x, y in mark.points))
        if mark.role is MarkRole.CATHODE and mark.owner == "D2"
        else mark
        for mark in design.board.marks
    )
    return redrawn(design, marks=marks)


def polarity_signs(beyond_mm: float) -> Design:
    design = base()
    least = design.limits.aims.sign_mm - beyond_mm
    texts = tuple(
        replace(text, height_mm=least) if text.role is TextRole.SIGN else text
        for text in design.board.texts
    )
    return replace(design, board=replace(design.board, texts=texts))


def power_ballast(beyond: float) -> Design:
    design = base()
    ballast = design.circuit.kinds[0].ballast
    allowed = design.limits.resistor_share * ballast.derated_w
    return with_kind(design, ballast=replace(ballast, worst_w=allowed * (1 + beyond)))


def current_led(beyond: float) -> Design:
    design = base()
    most = design.limits.led_share * design.circuit.kinds[0].most_a
    high = replace(design.circuit.kinds[0].high, current_a=most * (1 + beyond))
    return with_kind(design, high=high)


def current_connector(beyond: float) -> Design:
    design = base()
    most = design.limits.connector_share * design.parameters.connector_part.rating_a
    return replace(design, circuit=replace(design.circuit, worst_a=most * (1 + beyond)))


def headroom_branch(beyond: float) -> Design:
    return with_kind(base(), headroom_low_v=1.0 - beyond)


def rail_drop(beyond: float) -> Design:
    design = base()
    return replace(design, operation=with_rails(design, spread=0.05 * (1 + beyond)))


def supply_touch(beyond: float) -> Design:
    design = base()
    supply = replace(design.parameters.supply, high_v=30.0 + beyond)
    return replace(design, parameters=replace(design.parameters, supply=supply))


def lands_typical(beyond: float) -> Design:
    return base(light={"lands_compared": beyond <= 0})


def guarded(beyond: float, **protection: str) -> tuple[Design, float]:
    """Plant a worst current so that beyond 0 it is too much for a part in the supply line."""
    design = base(protection=protection, light={"led": "red 0805"})
    parameters = design.parameters
    most = (
        holds_a(parameters, parameters.fuse_part)
        if parameters.fuse_part
        else design.limits.connector_share * parameters.guards[0].rating_a
    )
    return replace(design, circuit=replace(design.circuit, worst_a=most * (1 + beyond))), most


def current_guard(beyond: float) -> Design:
    return guarded(beyond, reverse="schottky")[0]


def fuse_trips(beyond: float) -> Design:
    return guarded(beyond, fuse="500 mA resettable")[0]


def supply_fuse(beyond: float) -> Design:
    """Let the supply deliver much: at 5 V eight amperes come before a hundred volt-amperes."""
    return base(supply={"delivers": f"{8 + max(beyond, 0):.3f} A"})


def fuse_drop(beyond: float) -> Design:
    design = base(protection={"fuse": "500 mA resettable"}, light={"led": "red 0805"})
    fuse = design.parameters.fuse_part
    assert fuse
    most = design.limits.fuse_drop_v / fuse.resistance_ohm[2]
    return replace(design, circuit=replace(design.circuit, nominal_a=most * (1 + beyond)))


def fuse_fault(beyond: float) -> Design:
    design = base(protection={"fuse": "500 mA resettable"}, light={"led": "red 0805"})
    fuse = design.parameters.fuse_part
    assert fuse
    supply = replace(design.parameters.supply, delivers_a=fuse.max_fault_a * (1 + beyond))
    return replace(design, parameters=replace(design.parameters, supply=supply))


def gate_low(beyond: float) -> Design:
    design = base(protection={"reverse": "p-channel"}, light={"led": "red 0805"})
    feed = replace(design.circuit.feed, low_v=2.5 - beyond)
    return replace(design, circuit=replace(design.circuit, feed=feed))


def light_unlike(beyond: float) -> Design:
    design = base()
    (kind,) = design.circuit.kinds
    share = 1 - design.limits.rail_share * (1 + beyond)
    dim = replace(kind.nominal, current_a=kind.nominal.current_a * share)
    kinds = (kind, replace(kind, leds=2, nominal=dim))
    return replace(design, circuit=replace(design.circuit, kinds=kinds))


def supply_idle(beyond: float) -> Design:
    design = base()
    supply = replace(design.parameters.supply, idle_a=design.circuit.nominal_a * (1 + beyond))
    return replace(design, parameters=replace(design.parameters, supply=supply))


def reverse_led(beyond: float) -> Design:
    return base(supply={"high": f"{5 + max(beyond, 0):.3f} V"})


def light_uneven(beyond: float) -> Design:
    design = base(light={"diffuser": "20 mm", "evenness": "90 %"})
    light = Illumination(
        axis_cd=1.0, flux_lm=3.0, diffuser_mm=20.0, evenness=0.9 - beyond, end_share=0.8,
        pitch_for_evenness_mm=22.8, diffuser_for_evenness_mm=17.6,
    )  # fmt: skip
    return replace(design, operation=replace(design.operation, illumination=light))


def date_unset(beyond: float) -> Design:
    return base(board={"date": None if beyond > 0 else "2026-11-25"})


PLANTERS: dict[str, tuple[Callable[[float], Design], set[str]]] = {
    "gap.copper": (gap_copper, set()),
    "track.width": (track_width, set()),
    "track.heat": (track_heat, set()),
    "edge.copper": (edge_copper, set()),
    "screw.room": (screw_room, set()),
    "relief.spokes": (relief_spokes, set()),
    "net.whole": (net_whole, set()),
    "hole.size": (hole_size, set()),
    "ring.plated": (ring_plated, set()),
    "ring.unplated": (ring_unplated, set()),
    "hole.copper": (hole_copper, set()),
    "heat.chip": (heat_chip, set()),
    "lands.reach": (lands_reach, set()),
    "current.switch": (current_switch, {"lands.typical"}),
    "current.supply": (current_supply, set()),
    "built.differs": (built_differs, set()),
    "stock.unused": (stock_unused, set()),
    "hole.spacing": (hole_spacing, set()),
    "edge.hole": (edge_hole, set()),
    "courtyard.overlap": (courtyard_overlap, set()),
    "courtyard.edge": (courtyard_edge, set()),
    "legend.land": (legend_land, set()),
    "legend.fine": (legend_fine, set()),
    "legend.names": (legend_names, set()),
    "legend.trimmed": (legend_trimmed, set()),
    "polarity.mark": (polarity_mark, set()),
    "polarity.signs": (polarity_signs, set()),
    "power.ballast": (power_ballast, set()),
    "current.led": (current_led, set()),
    "current.connector": (current_connector, set()),
    "headroom.branch": (headroom_branch, set()),
    "rail.drop": (rail_drop, set()),
    "supply.touch": (supply_touch, {"reverse.led"}),
    "current.guard": (current_guard, {"lands.typical"}),
    "fuse.trips": (fuse_trips, {"lands.typical"}),
    "supply.fuse": (supply_fuse, set()),
    "supply.idle": (supply_idle, set()),
    "fuse.fault": (fuse_fault, {"lands.typical"}),
    "gate.low": (gate_low, {"lands.typical"}),
    "light.unlike": (light_unlike, set()),
    "fuse.drop": (fuse_drop, {"lands.typical"}),
    "reverse.led": (reverse_led, set()),
    "light.uneven": (light_uneven, set()),
    "lands.typical": (lands_typical, set()),
    "date.unset": (date_unset, set()),
}
"""Each rule with a fault of its own, and the codes that the same fault brings along."""


def test_every_rule_of_the_table_has_a_fault_here() -> None:
    assert set(PLANTERS) == {rule.code for rule in RULES}
    assert len(RULES) == len({rule.code for rule in RULES})


def test_the_board_without_a_fault_is_clean() -> None:
    assert codes(base()) == set()


@pytest.mark.parametrize("code", sorted(PLANTERS))
def test_a_micrometre_beyond_the_limit_is_found_and_nothing_else(code: str) -> None:
    plant, implied = PLANTERS[code]
    assert codes(plant(UM)) == {code} | implied


@pytest.mark.parametrize("code", sorted(PLANTERS))
def test_exactly_at_the_limit_is_allowed(code: str) -> None:
    plant, _ = PLANTERS[code]
    assert code not in codes(plant(0.0))


def severities(design: Design, code: str) -> set[Severity]:
    return {finding.severity for finding in check(design) if finding.code == code}


def test_over_the_rating_is_an_error_over_the_share_a_warning() -> None:
    assert severities(power_ballast(0.5), "power.ballast") == {Severity.WARNING}
    assert severities(power_ballast(1.1), "power.ballast") == {Severity.ERROR}
    assert severities(current_led(0.1), "current.led") == {Severity.WARNING}
    assert severities(current_led(0.5), "current.led") == {Severity.ERROR}
    assert severities(current_connector(0.1), "current.connector") == {Severity.WARNING}
    assert severities(current_connector(0.7), "current.connector") == {Severity.ERROR}


@pytest.mark.parametrize("kind", ["cathode of D1", 'polarity "K" of D1', 'sign "+" of J1'])
def test_a_trimmed_polarity_mark_is_an_error(kind: str) -> None:
    design = base()
    design = replace(design, artwork=replace(design.artwork, trimmed=(kind,)))
    assert severities(design, "legend.trimmed") == {Severity.ERROR}


def test_signs_that_changed_places_and_short_marks_are_found() -> None:
    design = base()
    swap = {"+": "−", "−": "+"}
    texts = tuple(replace(t, text=swap.get(t.text, t.text)) for t in design.board.texts)
    assert codes(replace(design, board=replace(design.board, texts=texts))) == {"polarity.signs"}
    short = tuple(
        replace(mark, points=((mark.points[0][0], 6.9), (mark.points[0][0], 7.1)))
        if mark.role is MarkRole.CATHODE
        else mark
        for mark in design.board.marks
    )
    assert codes(redrawn(design, marks=short)) == {"polarity.mark"}


def test_small_letters_are_found() -> None:
    design = base()
    texts = tuple(
        replace(text, height_mm=text.height_mm - UM) if text.height_mm == 1.0 else text
        for text in design.board.texts
    )
    assert codes(replace(design, board=replace(design.board, texts=texts))) == {"legend.fine"}


def test_two_nets_that_are_joined_are_found() -> None:
    design = base()
    d1 = design.board.part("D1")
    k, a = (d1.land_place(d1.pattern.land(name)) for name in ("1", "2"))
    bridge = Track(net="B01.1", side=Side.TOP, width_mm=0.3, points=(a, k))
    assert codes(redrawn(design, tracks=(*design.board.tracks, bridge))) >= {
        "net.whole",
        "gap.copper",
    }


@pytest.mark.parametrize("rule", RULES, ids=lambda rule: rule.code)
def test_every_rule_says_why_how_and_how_to_mend_it(rule: Any) -> None:
    text = rule.check.__doc__
    for heading in ("Why it matters", "How it is measured", "How to mend it"):
        assert heading in text
    assert rule.title.endswith(".")
    assert rule.source


def test_identities_do_not_depend_on_places() -> None:
    first, second = ([f.id for f in check(plant)] for plant in (gap_copper(UM), gap_copper(3 * UM)))
    assert first == second


def test_a_missing_or_empty_file_is_found() -> None:
    design = base()
    files = export(design, fabrication=True)
    assert list(check_files("bar", design.artwork, files)) == []
    for place, file in enumerate(files):
        lacking = files[:place] + files[place + 1 :]
        (finding,) = check_files("bar", design.artwork, lacking)
        assert (finding.code, finding.subjects) == (CODE, (file.path,))
        hollow = (*lacking, replace(file, content=b"M48\nM30\n"))
        (finding,) = check_files("bar", design.artwork, hollow)
        assert finding.subjects == (file.path,)
