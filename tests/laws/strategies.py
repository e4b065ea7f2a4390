"""Random parameter files: all of them valid in form, many of them boards."""

import math
from itertools import pairwise
from typing import Any

from hypothesis import strategies as st

from boardgen.forms.word import sites
from boardgen.model.led_data import RESISTOR_SIZES
from boardgen.model.sections import JOINT_LANDS
from boardgen.reading import catalogue, footprints
from boardgen.standards.screws import SCREWS
from tests.conftest import toml_text

GEOMETRY = (
    "gap.", "track.width", "track.loose-end", "track.acute", "edge.", "screw.", "relief.", "net.",
    "pour.", "hole.", "ring.", "profile.", "mask.", "paste.", "courtyard.", "connector.",
    "legend.", "polarity.", "heat.",
)  # fmt: skip
"""Families of rules that the layout answers for, whatever the circuit."""


def _tenths(low: float, high: float) -> st.SearchStrategy[str]:
    return st.integers(round(low * 10), round(high * 10)).map(lambda tenths: f"{tenths / 10:g} mm")


def _mils(low: int, high: int) -> st.SearchStrategy[str]:
    return st.integers(low, high).map(lambda mils: f"{mils} mil")


SUPPLIES: st.SearchStrategy[dict[str, Any]] = st.sampled_from(
    [
        {"from": "usb 5 V"},
        {"from": "adapter 12 V"},
        {"from": "alkaline AA", "cells": 3},
        {"from": "alkaline AAA", "cells": 4},
        {"kind": "adapter", "low": "20.4 V", "nominal": "24 V", "high": "28.8 V"},
        {"low": "8 V", "nominal": "9 V", "high": "9.6 V"},
    ]
)
_RARE = 7
"""One number of several: not the first, which is drawn more often than its share."""
COIN = "coin cell holder 20 mm"
HOUSES = ("ordinary", "ordinary", "fine", "first-time", "home-etched", "milled")
UNPLATED = ("home-etched", "milled")


@st.composite
def lights(draw: st.DrawFn, rows: int) -> dict[str, Any]:
    """Draw which LEDs, how many, how bright."""
    light: dict[str, Any] = {
        "led": draw(st.sampled_from(sorted(catalogue.leds()))),
        "count": rows * draw(st.one_of(st.integers(1, 14), st.integers(15, 60 // rows))),
    }
    if draw(st.booleans()):
        light["use"] = draw(st.sampled_from(["night-light", "indicator", "ambience", "task"]))
    else:
        light["current"] = f"{draw(st.integers(5, 300)) / 10:g} mA"
    return light


@st.composite
def forms(draw: st.DrawFn, rows: int, count: int) -> dict[str, Any]:
    """Draw the bar's measures; most are left to boardgen about as often as they are given."""
    form: dict[str, Any] = {
        "kind": "bar",
        "pitch": draw(st.one_of(_tenths(7, 25), _mils(300, 900))),
        "rows": rows,
    }
    if draw(st.integers(0, 8)) == _RARE:
        form["width"] = draw(_tenths(12 + 6 * rows, 20 + 16 * rows))
    if draw(st.integers(0, 9)) == _RARE:
        form["length"] = draw(_tenths(60 + 5 * count // rows, 90 + 25 * count // rows))
    if rows > 1 and draw(st.integers(0, 4)) == 0:
        form["row_pitch"] = draw(_tenths(8, 20))
    if draw(st.booleans()):
        form["corner"] = draw(_tenths(1, 3))
    return form


@st.composite
def connectors(draw: st.DrawFn, sides: int) -> dict[str, Any]:
    """Draw the connector, its place and side, and now and then a switch."""
    # Lands of joints are the ends of boards of which several are one.
    names = [name for name in footprints.connector_names() if name != JOINT_LANDS]
    kind = draw(st.sampled_from(names))
    connector: dict[str, Any] = {
        "kind": kind,
        "poles": draw(st.sampled_from(footprints.connector_poles(kind))),
        "at": draw(st.sampled_from(["left", "left", "right", "middle"])),
    }
    if sides == 2:
        connector["side"] = draw(st.sampled_from(["top", "top", "bottom"]))
    if draw(st.integers(0, 3)) == 0:
        connector["switch"] = "slide switch"
    return connector


@st.composite
def mountings(draw: st.DrawFn) -> dict[str, Any]:
    """Draw screws and where they sit."""
    mounting: dict[str, Any] = {
        "screw": draw(st.sampled_from(list(SCREWS))),
        "under": draw(st.sampled_from(["washer", "head", "none"])),
    }
    if draw(st.integers(0, 19)) == _RARE:
        places = draw(st.lists(st.tuples(_tenths(3, 80), _tenths(3, 30)), min_size=1, max_size=3))
        return {**mounting, "places": [list(place) for place in places]}
    return {**mounting, "at": draw(st.sampled_from(["ends", "ends", "corners", "none"]))}


def protections(
    connector: dict[str, Any], supply: dict[str, Any]
) -> st.SearchStrategy[dict[str, Any]]:
    """Draw guards in the supply line, now and then; a transistor only where it can work."""
    guards: list[dict[str, Any]] = [
        *({},) * 6,
        {"fuse": "500 mA resettable"},
        {"reverse": "schottky"},
        {"fuse": "750 mA resettable", "reverse": "schottky"},
    ]
    low_enough = "usb" in str(supply) or "alkaline" in str(supply)
    if connector.get("side", "bottom") == "top" and low_enough:
        guards.append({"reverse": "p-channel"})
    return st.sampled_from(guards)


@st.composite
def parameter_files(draw: st.DrawFn) -> str:
    """Draw a parameter file; sizes are left to boardgen about as often as they are given."""
    rows = draw(st.sampled_from([1, 1, 1, 2, 3]))
    light = draw(lights(rows))
    house = draw(st.sampled_from(HOUSES))
    sides = 1 if house in UNPLATED else draw(st.sampled_from([2, 2, 2, 1]))
    connector = draw(connectors(sides))
    copper: dict[str, Any] = {
        "sides": sides,
        "weight": draw(st.sampled_from(["0.5 oz", "35 um", "2 oz"])),
        "relief": draw(st.sampled_from(["all", "holes", "none"])),
        "test_points": draw(st.sampled_from([False, False, True])),
    }
    if draw(st.integers(0, 5)) == 0:
        copper["rail"] = draw(_tenths(0.5, 3))
    order: dict[str, Any] = {"house": house}
    if house not in UNPLATED:
        order["mask"] = draw(st.sampled_from(["white", "black", "green", "blue", "red", "none"]))
    letters = st.text("ABCxyz 0123-äöü+", min_size=1, max_size=24).filter(str.strip)
    box = order.get("mask", "none") != "none" and draw(st.booleans())
    coin: dict[str, Any] = {"from": "lithium coin 20 mm"}
    supply: dict[str, Any] = coin if connector["kind"] == COIN else draw(SUPPLIES)
    return toml_text(
        {
            "board": {"title": draw(letters), "date": "2026-11-25"},
            "supply": supply,
            "light": light,
            "resistor": {
                "size": draw(st.sampled_from((*RESISTOR_SIZES[:4] * 3, *RESISTOR_SIZES[4:]))),
                "per_branch": draw(st.sampled_from([1, 1, 1, 1, 2])),
                "series": draw(st.sampled_from(["E6", "E12", "E24", "E96"])),
                "round": draw(st.sampled_from(["up", "up", "nearest"])),
            },
            "protection": draw(protections(connector, supply)),
            "form": draw(forms(rows, light["count"])),
            "connector": connector,
            "mounting": draw(mountings()),
            "copper": copper,
            "legend": {"name_box": box},
            "order": order,
        }
    )


FORM_KINDS = ("bar", "grid", "ring", "arc", "path", "polygon", "disc", "word", "places")
_FEW = 9
"""Of LEDs that stand on lines of their own: tracks take long to find their ways."""


FACINGS = {
    **dict.fromkeys(("ring", "arc", "polygon", "disc"), ("one way", "inward", "outward")),
    "path": ("one way",), "word": ("along",),
}  # fmt: skip


@st.composite
def form_files(draw: st.DrawFn, kinds: tuple[str, ...] = FORM_KINDS) -> str:
    """Draw a parameter file of any form: most are boards, some have too little room.

    Bars are those that are joined to others: of the rest there are files of their own.
    """
    kind, house = draw(st.sampled_from(kinds)), draw(st.sampled_from(HOUSES))
    sides = 1 if house in UNPLATED else draw(st.sampled_from([2, 2, 1]))
    in_series = draw(st.sampled_from([1, 1, 1, 2, 3]))
    form, count = draw(SHAPES[kind](2 * (in_series - 1)))
    if kind in {"word", "places"}:
        form |= draw(_edges())
    elif kind == "grid" and draw(st.integers(0, 2)) == 0:
        form |= draw(_edges().filter(lambda edge: edge["outline"] != "rectangle"))
        count = form["rows"] * min(count // form["rows"], _FEW // form["rows"])
    facings = FACINGS.get(kind, ())
    if facings and draw(st.integers(0, 3)) == 0:
        form["facing"] = draw(st.sampled_from(facings))
        count = count if kind == "word" else min(count, _FEW)
    supply = draw(SUPPLIES)
    connector = draw(_ways_in(kind, sides, form.get("outline", "rectangle")))
    if connector["at"] == "centre" and draw(st.integers(0, 5)):
        form.pop("hole", None)
    tables: dict[str, Any] = {
        "board": {"title": "Form", "date": "2026-11-29"},
        "supply": supply,
        "light": {
            "led": draw(st.sampled_from(sorted(catalogue.leds()))),
            "count": count,
            "current": f"{draw(st.integers(5, 200)) / 10:g} mA",
        },
        "resistor": {"per_branch": in_series},
        "protection": draw(protections(connector, supply)),
        "form": {"kind": kind, **form},
        "connector": connector,
        "copper": {"sides": sides, "relief": draw(st.sampled_from(["all", "holes", "none"]))},
        "order": {"house": house},
    }
    lone = kind in {"disc", "word", "places"} or (kind == "grid" and "outline" in form)
    if sides == 2 and (lone or "facing" in form):
        tables["copper"]["pour"] = draw(st.sampled_from(["auto", "auto", "both", "split"]))
    has_ends = kind == "arc" or (kind == "path" and not form["closed"])
    if kind == "bar" or (has_ends and draw(st.integers(0, 3)) == 0):
        tables |= draw(_joints(tables))
    else:
        tables |= draw(_screws(kind, count))
    return toml_text(tables)


@st.composite
def _edges(draw: st.DrawFn) -> dict[str, Any]:
    """Draw the edge around LEDs that have places of their own."""
    outline = draw(st.sampled_from(["rectangle", "rectangle", "circle", "ring", "polygon"]))
    edge: dict[str, Any] = {"outline": outline}
    if outline == "polygon" and draw(st.booleans()):
        edge["sides"] = draw(st.integers(3, 12))
    if outline == "ring":
        edge["hole"] = draw(_tenths(5, draw(st.sampled_from([8, 8, 30]))))
    if draw(st.integers(0, 4)) == 0:
        edge["margin"] = draw(_tenths(6, 40))
    return edge


@st.composite
def _screws(draw: st.DrawFn, kind: str, count: int) -> dict[str, Any]:
    """Draw where screws sit, now and then: anywhere, which seldom does, or at sites."""
    if kind != "grid" and draw(st.integers(0, 19)) == _RARE:
        far = _tenths(-60, 60)
        places = draw(st.lists(st.tuples(far, far), min_size=1, max_size=2))
        return {"mounting": {"places": [list(place) for place in places]}}
    if kind in {"ring", "arc", "path", "polygon"} and draw(st.integers(0, 7)) == 0:
        return {"mounting": {"at": "sites", "every": draw(st.integers(2, max(2, count // 2)))}}
    return {}


@st.composite
def _joints(draw: st.DrawFn, tables: dict[str, Any]) -> dict[str, Any]:
    """Join a board to others: the first of them, one like all others, or one of those behind."""
    joint: dict[str, Any] = {"boards": draw(st.integers(2, 6))}
    way_in, guards = tables["connector"], tables["protection"]
    above = "top" if tables["copper"]["sides"] == 2 else "bottom"  # where there is one it is below
    connector = {**way_in, "at": draw(st.sampled_from(["left", "left", "right"])), "side": above}
    if draw(st.booleans()):
        connector = {"kind": JOINT_LANDS, "poles": 2, "at": connector["at"], "side": above}
        joint["first"] = draw(st.sampled_from(["alike", "another"]))
        guards = guards if joint["first"] == "another" else {}
    mounting = {"mounting": {"at": "none"}} if tables["form"]["kind"] == "bar" else {}
    return {"joint": joint, "connector": connector, "protection": guards, **mounting}


@st.composite
def _ways_in(draw: st.DrawFn, kind: str, sides: int, outline: str) -> dict[str, Any]:
    kinds = ["wire pads", "wire pads", "pin header 2.54 mm", "terminal 3.5 mm", "terminal 5.08 mm"]
    connector = draw(st.sampled_from(kinds))
    ends = ["left", "left", "right"] if kind in {"arc", "path"} else ["left", "right", "middle"]
    in_rows = kind == "bar" or (kind == "grid" and outline == "rectangle")
    ends += [] if in_rows or kind in {"arc", "path"} else ["bottom"]
    turned = kind in {"ring", "polygon", "disc"} or outline != "rectangle"
    ends += [f"{draw(st.integers(-360, 360))} deg"] if turned else []
    ends += ["centre"] if kind in {"ring", "polygon"} else []
    at = draw(st.sampled_from(ends))
    if at == "centre" and draw(st.integers(0, 5)):
        connector = "pin header 2.54 mm"
    way_in: dict[str, Any] = {
        "kind": connector,
        "poles": draw(st.sampled_from(footprints.connector_poles(connector))),
        "at": at,
        "side": draw(st.sampled_from(["top", "top", "bottom"])) if sides == 2 else "bottom",
    }
    if draw(st.integers(0, 5)) == 0:
        way_in["switch"] = "slide switch"
    return way_in


_Shape = tuple[dict[str, Any], int]
"""The keys of a form, and how many LEDs it has; pitches are ``wider`` for ballasts in series."""


@st.composite
def _bars(draw: st.DrawFn, wider: int) -> _Shape:
    return {"pitch": draw(_tenths(10 + wider, 28))}, draw(st.integers(2, 16))


@st.composite
def _grids(draw: st.DrawFn, wider: int) -> _Shape:
    rows, pitch = draw(st.integers(2, 5)), draw(_tenths(9 + wider, 25))
    form: dict[str, Any] = {"pitch": pitch, "rows": rows}
    if draw(st.booleans()):
        form["row_pitch"] = draw(_tenths(10, 25))
    return form, rows * draw(st.integers(2, 8))


@st.composite
def _rings(draw: st.DrawFn, wider: int) -> _Shape:
    count = draw(st.sampled_from([3, 4, 5, 6, 8, 10, 12, 16, 20, 24, 32]))
    pitch = draw(st.integers(130 + 10 * wider, 300)) / 10
    form, across = {"pitch": f"{pitch:g} mm"}, int(pitch * count / math.pi)
    # Some of these openings and edges leave too little room.
    if across > 24 and draw(st.booleans()):
        form["hole"] = draw(_tenths(5, across - 16))
    if draw(st.integers(0, 4)) == 0:
        form["diameter"] = draw(_tenths(across + 25, across + 90))
    return form, count


@st.composite
def _polygons(draw: st.DrawFn, wider: int) -> _Shape:
    form, count = draw(_rings(wider))
    form["sides"] = draw(st.integers(3, 12))
    rounder = int(float(form["pitch"].removesuffix(" mm")) * count / math.tau)
    if rounder > _SHARP_MM and draw(st.booleans()):
        form["fillet"] = draw(_tenths(_SHARP_MM, rounder + 2))
    return form, count


_SHARP_MM = 8


@st.composite
def _arcs(draw: st.DrawFn, wider: int) -> _Shape:
    start = draw(st.integers(-6, 6)) * 10
    sweep = draw(st.integers(6, 30)) * 10 * draw(st.sampled_from([-1, 1]))
    form = {
        "pitch": draw(_tenths(12 + wider, 28)),
        "from": f"{start} deg",
        "to": f"{start + sweep} deg",
    }
    if draw(st.integers(0, 5)) == 0:
        form["width"] = draw(_tenths(16, 40))
    return form, draw(st.integers(4, 24))


@st.composite
def _paths(draw: st.DrawFn, wider: int) -> _Shape:
    """Draw a walk of a few legs, or corners around a middle that enclose it."""
    closed = draw(st.booleans())
    turned, x, y, points = 0.0, 0.0, 0.0, [(0.0, 0.0)]
    corners = draw(st.integers(3, 6))
    for corner in range(corners):
        leg = draw(st.integers(40, 160))
        if closed:
            turned = math.tau * (corner + draw(st.integers(0, 3)) / 10) / corners
            points.append((leg * math.cos(turned), leg * math.sin(turned)))
            continue
        x, y = x + leg * math.cos(turned), y + leg * math.sin(turned)
        points.append((x, y))
        turned += math.radians(draw(st.integers(2, 12)) * 10 * draw(st.sampled_from([-1, 1])))
    written = [[f"{x:.1f} mm", f"{y:.1f} mm"] for x, y in (points[1:] if closed else points)]
    pitch = draw(st.integers(100 + 10 * wider, 250)) / 10
    form: dict[str, Any] = {"pitch": f"{pitch:g} mm", "points": written, "closed": closed}
    if draw(st.booleans()):
        form["fillet"] = draw(_tenths(8, 25))
    long = sum(math.dist(*ends) for ends in pairwise(points[1:] if closed else points))
    # Some paths are too short for their LEDs all the same: bends cut corners.
    return form, draw(st.integers(2, max(2, min(24, int(long / pitch)))))


@st.composite
def _discs(draw: st.DrawFn, wider: int) -> _Shape:
    filling = draw(st.sampled_from(["hexagonal", "concentric"]))
    return {"pitch": draw(_tenths(12 + wider, 25)), "filling": filling}, draw(st.integers(1, _FEW))


@st.composite
def _words(draw: st.DrawFn, wider: int) -> _Shape:
    """Draw a word of one letter or two, most often with the number of LEDs that it takes."""
    text = draw(st.text("AHILTUVX17", min_size=1, max_size=2))
    height, pitch = draw(st.integers(30, 60)), draw(st.integers(16 + wider, 30))
    form = {"text": text, "height": f"{height} mm", "pitch": f"{pitch} mm"}
    if draw(st.integers(0, 5)) == 0:
        return form, draw(st.integers(3, 6)) * len(text)
    return form, len(sites(text, height, pitch, catalogue.lettering()))


@st.composite
def _places(draw: st.DrawFn, wider: int) -> _Shape:
    apart, count = draw(st.integers(12 + wider, 30)), draw(st.integers(1, _FEW))
    cells = st.tuples(st.integers(0, 3), st.integers(0, 3))
    taken = draw(st.lists(cells, min_size=count, max_size=count, unique=True))
    places = [
        [f"{column * apart} mm", f"{row * apart} mm", f"{draw(st.integers(-9, 9)) * 10} deg"]
        for column, row in taken
    ]
    return {"places": places}, count


SHAPES = {
    "bar": _bars, "grid": _grids, "ring": _rings, "arc": _arcs, "path": _paths,
    "polygon": _polygons, "disc": _discs, "word": _words, "places": _places,
}  # fmt: skip
