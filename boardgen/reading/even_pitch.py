"""A pitch asked for by light: as wide as the evenness behind the diffuser allows."""

import math
from typing import Any

from boardgen import units
from boardgen.forms.disc import FILLINGS
from boardgen.geometry.between import over_area
from boardgen.model.form_section import FORM_KEYS, FormSection
from boardgen.model.sections import SITES, LightSection
from boardgen.reading.found import found
from boardgen.reading.reader import Reader, table_of
from boardgen.reading.sections import ParameterFile
from boardgen.standards.photometry import (
    LAMBERTIAN_DEG,
    height_for_evenness,
    order,
    pitch_over_height,
)

EVEN = "even"
_STEP_MM = 0.1
STAND_IN = "20 mm"
"""Stands in the file until the LED is known, whose beam decides."""


def asks_for_even(raw: dict[str, Any]) -> bool:
    """Tell whether a file leaves its pitch to the light."""
    form = table_of(raw, "form")
    pitch = form.get("pitch")
    return (
        isinstance(pitch, str)
        and pitch.strip().lower() == EVEN
        and "pitch" in FORM_KEYS.get(str(form.get("kind")), ())
    )


def even_pitch_mm(reader: Reader, sections: ParameterFile) -> float:
    """Choose the widest pitch, in steps of 0.1 mm, that looks as even as asked for.

    Raises
    ------
    RefusalError
        When diffuser or evenness is missing, or no pitch does.
    """
    light = sections.light
    if light.diffuser_mm is None or light.evenness is None:
        missing = "diffuser" if light.diffuser_mm is None else "evenness"
        reader.refuse(
            ("form", "pitch"),
            f"even follows from light.diffuser and light.evenness, and {missing} is not given",
            'add light.diffuser = "15 mm" and light.evenness = "90 %", or write the pitch',
        )
        reader.raise_all()
    form, count = sections.form, light.count
    if count == 1 or form.kind == "word" or (form.kind == "path" and form.closed):
        what = "one LED has no pitch" if count == 1 else f"a {form.kind} shares its LEDs out itself"
        reader.refuse(("form", "pitch"), f"even: {what}", "write the pitch")
        reader.raise_all()
    if sections.mounting.at == SITES:
        what = "even: screws among the LEDs leave dark sites, whatever the pitch"
        reader.refuse(("form", "pitch"), what, "write the pitch, or place the screws elsewhere")
        reader.raise_all()
    led = found(reader, sections).parts.emitters[0].led
    angle = (led.data.output.angle_deg if led.data.output else None) or LAMBERTIAN_DEG
    pitch = units.down_to_step(_widest_mm(sections.form, light, order(angle)), _STEP_MM)
    (low, high) = _BOUNDS_MM
    if not low <= pitch <= high:
        reader.refuse(
            ("form", "pitch"),
            f"an even look asks for {pitch:.1f} mm, and a pitch is {low:g} mm to {high:g} mm",
            "move the diffuser, or ask for another evenness",
        )
        reader.raise_all()
    return pitch


_BOUNDS_MM = (1.0, 500.0)


def _widest_mm(form: FormSection, light: LightSection, m: float) -> float:
    """Find the pitch of an endless row; over an area that of the places themselves."""
    assert light.diffuser_mm is not None  # noqa: S101 - refused above
    assert light.evenness is not None  # noqa: S101
    unit = _unit_places(form, light.count)
    if not unit:
        return light.diffuser_mm * pitch_over_height(light.evenness, m)
    spots = [(spot.at, spot.around) for spot in over_area(unit)]
    return light.diffuser_mm / height_for_evenness(unit, spots, light.evenness, m)


def _unit_places(form: FormSection, count: int) -> list[tuple[float, float]]:
    """List where LEDs of a form that fills an area stand, one pitch being 1."""
    if form.kind == "disc":
        return FILLINGS[form.filling](count, 1.0)
    if form.kind != "grid" or form.rows == 1:
        return []
    columns = math.ceil(count / form.rows)
    return [(float(x), float(y)) for y in range(form.rows) for x in range(columns)]
