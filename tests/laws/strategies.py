"""Random parameter files: all of them valid in form, many of them boards."""

from typing import Any

from hypothesis import strategies as st

from boardgen.reading import catalogue, footprints
from tests.conftest import toml_text

GEOMETRY = (
    "gap.", "track.width", "edge.", "screw.", "relief.", "net.", "hole.", "ring.", "courtyard.",
    "legend.", "polarity.",
)  # fmt: skip
"""Families of rules that the layout answers for, whatever the circuit."""


def _tenths(low: float, high: float) -> st.SearchStrategy[str]:
    return st.integers(round(low * 10), round(high * 10)).map(lambda tenths: f"{tenths / 10:g} mm")


def _mils(low: int, high: int) -> st.SearchStrategy[str]:
    return st.integers(low, high).map(lambda mils: f"{mils} mil")


SUPPLIES = st.sampled_from(
    [
        {"from": "usb 5 V"},
        {"from": "adapter 12 V"},
        {"from": "alkaline AA", "cells": 3},
        {"from": "alkaline AAA", "cells": 4},
        {"low": "20.4 V", "nominal": "24 V", "high": "28.8 V"},
        {"low": "8 V", "nominal": "9 V", "high": "9.6 V"},
    ]
)


@st.composite
def parameter_files(draw: st.DrawFn) -> str:
    """Draw a parameter file; sizes are left to boardgen about as often as they are given."""
    rows = draw(st.sampled_from([1, 1, 1, 2, 3]))
    light: dict[str, Any] = {
        "led": draw(st.sampled_from(sorted(catalogue.leds()))),
        "count": rows * draw(st.one_of(st.integers(1, 14), st.integers(15, 60 // rows))),
    }
    if draw(st.booleans()):
        light["use"] = draw(st.sampled_from(["night-light", "indicator", "ambience", "task"]))
    else:
        light["current"] = f"{draw(st.integers(5, 300)) / 10:g} mA"
    form: dict[str, Any] = {
        "kind": "bar",
        "pitch": draw(st.one_of(_tenths(7, 25), _mils(300, 900))),
        "rows": rows,
    }
    if draw(st.integers(0, 2)) == 0:
        form["width"] = draw(_tenths(9 + 4 * rows, 8 + 12 * rows))
    if draw(st.integers(0, 3)) == 0:
        form["length"] = draw(_tenths(60, 60 + 25 * light["count"] // rows))
    if rows > 1 and draw(st.booleans()):
        form["row_pitch"] = draw(_tenths(8, 20))
    if draw(st.booleans()):
        form["corner"] = draw(_tenths(1, 3))
    copper: dict[str, Any] = {
        "weight": draw(st.sampled_from(["18 um", "35 um", "2 oz"])),
        "relief": draw(st.sampled_from(["all", "holes", "none"])),
    }
    if draw(st.integers(0, 4)) == 0:
        copper["rail"] = draw(_tenths(0.5, 3))
    letters = st.text("ABCxyz 0123-äöü+", min_size=1, max_size=24).filter(str.strip)
    return toml_text(
        {
            "board": {"title": draw(letters), "date": "2026-11-25"},
            "supply": draw(SUPPLIES),
            "light": light,
            "resistor": {
                "size": draw(st.sampled_from(["0805", "1206"])),
                "series": draw(st.sampled_from(["E6", "E12", "E24", "E96"])),
            },
            "form": form,
            "connector": {
                "kind": draw(st.sampled_from(sorted(footprints.connectors()))),
                "at": draw(st.sampled_from(["left", "right"])),
            },
            "copper": copper,
            "legend": {"name_box": draw(st.booleans())},
            "order": {
                "house": draw(st.sampled_from(catalogue.house_names())),
                "mask": draw(st.sampled_from(["white", "black", "green", "blue", "red"])),
            },
        }
    )
