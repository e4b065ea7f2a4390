"""Where screws may sit on each form: what cannot be, with what would."""

from boardgen.forms.free_sites import sites_in_all
from boardgen.model.form_section import LINES, MIDDLED
from boardgen.model.sections import IN_THE_ROUND, SITES
from boardgen.reading.reader import Reader
from boardgen.reading.sections import ParameterFile

MOST_PLACES = 100


def check_mounting(reader: Reader, sections: ParameterFile) -> None:
    """Refuse too many screws, and two answers to where they sit."""
    mounting = sections.mounting
    if len(mounting.places) > MOST_PLACES:
        reader.refuse(
            ("mounting", "places"),
            f"lists {len(mounting.places)} screws; at most {MOST_PLACES}",
            "take fewer",
        )
    if mounting.places and mounting.at != "ends":
        reader.refuse(
            ("mounting", "places"), f'says both places and at = "{mounting.at}"', "keep one of them"
        )


def check_screws(reader: Reader, sections: ParameterFile) -> None:
    """Hold where screws sit against what the form has: ends and corners, or a middle."""
    mounting, form = sections.mounting, sections.form
    kind = form.kind
    given = ("mounting", "at") in reader.lines and mounting.at != "none"
    if mounting.at in IN_THE_ROUND and kind not in MIDDLED:
        reader.refuse(
            ("mounting", "at"),
            f"on a board of the form {form.named} screws are not counted from a middle",
            'write at = "none", or give the places of its screws',
        )
    elif mounting.at == SITES:
        _check_free_sites(reader, sections)
    elif given and mounting.at not in IN_THE_ROUND and not form.in_rows:
        rounded = ', or at = "circle"' if kind in MIDDLED else ""
        rounded += ', or at = "sites"' if kind in _WITH_SITES else ""
        reader.refuse(
            ("mounting", "at"),
            f"a board of the form {form.named} has neither ends nor corners for screws",
            f'write at = "none"{rounded}, or give the places of its screws',
        )
    if mounting.at == "circle" and mounting.circle_mm is None:
        reader.refuse(
            ("mounting", "circle"),
            "is missing",
            "write its diameter, from the middle of a screw to that of the one across it",
        )
    owners = {**dict.fromkeys(("circle", "count", "from"), "circle"), "every": SITES}
    for key, owner in owners.items():
        if ("mounting", key) in reader.lines and mounting.at != owner:
            reader.refuse(
                ("mounting", key), f'belongs to at = "{owner}"', f'write at = "{owner}", or drop it'
            )


_WITH_SITES = ("ring", "polygon", *LINES)


def _check_free_sites(reader: Reader, sections: ParameterFile) -> None:
    """Only along one line sites can be left free, and one has to be."""
    form, light, every = sections.form, sections.light, sections.mounting.every
    if form.kind not in _WITH_SITES or form.circles > 1:
        reader.refuse(
            ("mounting", "at"),
            "sites are left free along the one line of a ring, polygon, arc or path",
            'write at = "ends"'
            if form.in_rows and not sections.joint.joined
            else "give the places of its screws",
        )
    elif sites_in_all(light.count, every, closed=form.goes_round) == light.count:
        reader.refuse(
            ("mounting", "every"),
            f"of {light.count} LEDs each {every}th site leaves none free",
            f"write every = {max(light.count // 2, 2)}, or so"
            if light.count > 1
            else 'write at = "none"',
        )
