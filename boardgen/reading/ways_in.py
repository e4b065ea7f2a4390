"""Where the supply may come in on each form: what cannot be, with what would."""

from boardgen.model.form_section import FORM_KEYS, ROWS, FormSection
from boardgen.model.land_pattern import Entry
from boardgen.model.parts import ConnectorPart
from boardgen.model.sections import CONNECTOR_PLACES, SPLIT
from boardgen.reading.reader import Reader
from boardgen.reading.sections import ParameterFile

_AT = ("connector", "at")
_ROUND = ("ring", "polygon", "disc")
_AROUND_A_MIDDLE = ("ring", "polygon")


def check_way_in(reader: Reader, sections: ParameterFile) -> None:
    """Refuse places of the connector that a form does not have."""
    form, connector = sections.form, sections.connector
    if connector.at not in CONNECTOR_PLACES and not _round(form):
        reader.refuse(
            _AT,
            f"an angle is for a round edge, or one that was drawn; {_named(form)} has none",
            'write at = "left", "right" or another place of it in words',
        )
    elif connector.at == "bottom" and (form.in_rows or (form.kind == "path" and form.closed)):
        reader.refuse(
            _AT,
            f"a board of the form {form.kind} takes its supply at the left, the right or above",
            'write at = "middle" and turn the board, or another end',
        )
    elif connector.central and form.kind not in _AROUND_A_MIDDLE:
        reader.refuse(
            _AT,
            f"a board of the form {form.kind} has no free middle for a connector",
            'write at = "left" or another place at its edge',
        )
    elif connector.central and form.hole_mm:
        reader.refuse(_AT, "the middle is an opening", "drop form.hole, or feed it at its edge")


def check_pour(reader: Reader, sections: ParameterFile) -> None:
    """Refuse a pour of the supply's own where it has no side, no place or no pin for it."""
    form, copper = sections.form, sections.copper
    if copper.pour != SPLIT:
        return
    turned = form.facing not in {None, "along"}
    guarded = sections.protection.fuse or sections.protection.reverse != "none"
    lone = form.scattered or (turned and form.kind not in ROWS)
    if not lone:
        why = f"LEDs of the form {form.kind} stand along a line, and a rail beside them"
    elif copper.sides == 1:
        why = "one copper side has no other"
    elif guarded and not sections.connector.switch:
        why = "behind guards no pin leads through the board"
    else:
        return
    reader.refuse(
        ("copper", "pour"), f"the supply finds no pour of its own: {why}", 'write pour = "both"'
    )


def check_central(reader: Reader, sections: ParameterFile, connector: ConnectorPart) -> None:
    """Refuse a connector in the middle whose wires would have to come along the board."""
    if sections.connector.central and connector.pattern.entry is Entry.SIDE:
        reader.refuse(
            ("connector", "kind"),
            f'wires enter "{connector.name}" along the board, and in its middle parts are in their'
            " way",
            'write kind = "pin header 2.54 mm", or at = "left"',
        )


def _round(form: FormSection) -> bool:
    edged = "outline" in FORM_KEYS[form.kind] and form.outline != "rectangle"
    return form.kind in _ROUND or edged


def _named(form: FormSection) -> str:
    return "a rectangle" if "outline" in FORM_KEYS[form.kind] else f"the form {form.kind}"
