"""Text to number and back."""

import re

import pytest
from hypothesis import given
from hypothesis import strategies as st

from boardgen import units


@pytest.mark.parametrize(
    ("text", "dimension", "value"),
    [
        ("20 mm", units.LENGTH, 20.0),
        ("20mm", units.LENGTH, 20.0),
        ("63 mil", units.LENGTH, 1.6002),
        ("0.4 in", units.LENGTH, 10.16),
        ("35 µm", units.COPPER_WEIGHT, 35.0),
        ("35 \u03bcm", units.COPPER_WEIGHT, 35.0),
        ("1 oz", units.COPPER_WEIGHT, 35.0),
        ("15 mA", units.CURRENT, 0.015),
        ("2k7", units.RESISTANCE, 2700.0),
        ("150R", units.RESISTANCE, 150.0),
        ("4R7", units.RESISTANCE, 4.7),
        ("150 \u2126", units.RESISTANCE, 150.0),
        ("150 \u03a9", units.RESISTANCE, 150.0),
        ("4.7 kohm", units.RESISTANCE, 4700.0),
        ("1 %", units.RATIO, 0.01),
        ("-5 degC", units.TEMPERATURE, -5.0),
        ("300 mcd", units.LUMINOUS_INTENSITY, 0.3),
    ],
)
def test_a_quantity_is_read_in_its_base_unit(
    text: str, dimension: units.Dimension, value: float
) -> None:
    assert units.parse(text, dimension) == pytest.approx(value, rel=1e-12)


@pytest.mark.parametrize(
    ("text", "dimension", "words"),
    [
        ("20", units.LENGTH, 'write "20 mm" or "20 mil"'),
        ("1,5 mm", units.LENGTH, 'write "1.5 mm"'),
        ("20 MM", units.LENGTH, 'write "20 mm"'),
        ("20 parsec", units.LENGTH, "known: mm"),
        ("wide", units.LENGTH, 'write it like "20 mm"'),
        ("12 V AC", units.VOLTAGE, "alternating"),
        ("12 V~", units.VOLTAGE, "alternating"),
        ("15 MA", units.CURRENT, 'write "15 mA"'),
    ],
)
def test_what_is_not_a_quantity_is_told_what_to_write(
    text: str, dimension: units.Dimension, words: str
) -> None:
    with pytest.raises(ValueError, match=re.escape(words)):
        units.parse(text, dimension)


@given(st.integers(-(2**31), 2**31 - 1))
def test_a_grid_length_survives_being_written_and_snapped(length_nm: int) -> None:
    assert units.snap(float(units.decimal(length_nm))) == length_nm


@given(st.floats(0.001, 1e6), st.sampled_from([0.1, 0.5, 0.635, 2.0]))
def test_steps_up_and_down_enclose_a_value(value: float, step: float) -> None:
    assert units.down_to_step(value, step) <= value + 1e-6
    assert units.up_to_step(value, step) >= value - 1e-6
    assert units.up_to_step(value, step) - units.down_to_step(value, step) <= step * (1 + 1e-9)


@given(st.floats(1e-6, 1e7))
def test_engineering_text_reads_back_within_its_digits(value: float) -> None:
    number, unit = units.engineering(value, "A").split()
    factor = {"uA": 1e-6, "mA": 1e-3, "A": 1.0, "kA": 1e3, "MA": 1e6}[unit]
    assert float(number) * factor == pytest.approx(value, rel=0.006)


@pytest.mark.parametrize(("value", "meant"), [(0.02, "20 mA"), (0.005, "5 mA"), (20, "20 mA")])
def test_a_bare_current_is_taken_as_it_was_thought(value: float, meant: str) -> None:
    """Own choice: below 0.1 in amperes, as Ohm's law has it; 0.02 mA would light nothing."""
    assert f'write "{meant}"' in units.bare_number(value, units.CURRENT)
    with pytest.raises(ValueError, match=f'write "{meant}"'):
        units.parse(f"{value:g}", units.CURRENT)
