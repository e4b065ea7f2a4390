"""The JSON Schema: valid by an outside validator, and of one mind with boardgen's own reading."""

import tomllib
from typing import Any

import pytest
from jsonschema import Draft202012Validator

from boardgen.errors import RefusalError
from boardgen.reading.family import parse_family
from boardgen.reading.parameters import LATER_SECTIONS
from boardgen.reading.schema import parameter_schema
from boardgen.reading.sections import ParameterFile
from boardgen.reading.validation import keys_of
from tests.conftest import EXAMPLES, SHELF, merged

SCHEMA = parameter_schema()
VALIDATOR = Draft202012Validator(SCHEMA)


def test_the_schema_is_valid_json_schema() -> None:
    """Meta-schema of draft 2020-12, as the jsonschema library carries it (read there)."""
    Draft202012Validator.check_schema(SCHEMA)


def test_every_section_has_its_place() -> None:
    assert set(SCHEMA["properties"]) == {*keys_of(ParameterFile), "family"}
    assert not set(SCHEMA["properties"]) & set(LATER_SECTIONS)


@pytest.mark.parametrize("path", EXAMPLES, ids=lambda path: path.stem)
def test_examples_are_valid_by_the_schema(path: Any) -> None:
    VALIDATOR.validate(tomllib.loads(path.read_text(encoding="utf-8")))


@pytest.mark.parametrize(
    "changes",
    [
        {"form": {"ptich": "20 mm"}},
        {"form": {"pitch": 20}},
        {"form": {"pitch": "20"}},
        {"form": {"pitch": "20 km"}},
        {"light": {"count": "8"}},
        {"light": {"count": 0}},
        {"light": {"use": "disco"}},
        {"board": {"revision": "A/B"}},
        {"order": {"mask": "pink"}},
        {"copper": {"sides": 3}},
        {"limits": {"trakc": "1 mm"}},
        {"mounting": {"places": [["1 mm"]]}},
        {"resistor": {"drawer": ["12 mm"]}},
        {"stock": {"white 2835": 7}},
        {"led": {"mine": {"size": "2835"}}},
        {"form": {"corner": "0.99 mm"}},
        {"form": {"corner": "3.01 mm"}},
        {"form": {"corner": "0.2 in"}},
        {"board": {"ambient_low": "-400 degC"}},
        {"light": {"current": "0 mA"}},
        {"light": {"evenness": "100 %"}},
    ],
)
def test_schema_and_reading_refuse_the_same(changes: dict[str, Any]) -> None:
    text = merged(SHELF, changes)
    assert not VALIDATOR.is_valid(tomllib.loads(text))
    with pytest.raises(RefusalError):
        parse_family(text, file="bar.toml", name="bar")


@pytest.mark.parametrize(
    "changes",
    [
        {"form": {"pitch": "0.8 in"}},
        {"form": {"corner": "1 mm"}},
        {"form": {"corner": "0.1 in"}},
        {"board": {"ambient_low": "-10 degC"}},
        {"resistor": {"drawer": ["2k7", "150R", "4.7 kohm"]}},
        {"copper": {"weight": "2 oz", "sides": 1}},
        {"mounting": {"places": [["90 mm", "3.5 mm"]], "screw": "M1.6", "under": "none"},
         "form": {"width": "30 mm"}},
        {"limits": {"track": "0.3 mm", "led_share": "50 %"}},
        {"form": {"width": "auto"}, "light": {"in_series": "auto"}},
        {"connector": {"kind": "Terminal 5.08mm"}},
    ],
)  # fmt: skip
def test_schema_and_reading_take_the_same(changes: dict[str, Any]) -> None:
    text = merged(SHELF, changes)
    assert parse_family(text, file="bar.toml", name="bar").members[0].parameters
    errors = [error.message for error in VALIDATOR.iter_errors(tomllib.loads(text))]
    assert not errors


def test_an_editor_finds_words_and_helps() -> None:
    house = SCHEMA["properties"]["order"]["properties"]["house"]
    assert {"ordinary", "fine", "first-time", "home-etched", "milled"} <= (
        set(house["anyOf"][0]["enum"])
    )
    led = SCHEMA["properties"]["light"]["properties"]["led"]
    assert "white 2835" in led["anyOf"][0]["enum"]
    for section in SCHEMA["properties"].values():
        for key in section.get("properties", {}).values():
            assert "description" in key or "properties" in key
