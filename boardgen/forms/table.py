"""The table of forms: one row each, by the word that the file says."""

from collections.abc import Callable

from boardgen.forms.arc import arc
from boardgen.forms.bar import bar
from boardgen.forms.disc import disc
from boardgen.forms.facing import faced
from boardgen.forms.free_sites import with_free_sites
from boardgen.forms.grid import grid
from boardgen.forms.path import path
from boardgen.forms.places import places
from boardgen.forms.polygon import polygon
from boardgen.forms.ring import ring
from boardgen.forms.word import word
from boardgen.model.parameters import Parameters
from boardgen.model.plan import Plan

FORMS: dict[str, Callable[[Parameters], Plan]] = {
    "arc": arc,
    "bar": bar,
    "disc": disc,
    "grid": grid,
    "polygon": polygon,
    "ring": ring,
    "path": path,
    "places": places,
    "word": word,
}


def plan(parameters: Parameters) -> Plan:
    """Make the plan of a board's form: of one that is here, or of the user's own in Python."""
    if parameters.own_form:
        return parameters.own_form(parameters)
    form = parameters.form
    return faced(with_free_sites(FORMS[form.kind], parameters, closed=form.goes_round), parameters)
