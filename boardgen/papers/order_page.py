"""The order sheet as a page; for a board made at home, what to do instead of ordering."""

from collections.abc import Sequence
from dataclasses import asdict
from itertools import groupby

from boardgen.model.cautions import Caution
from boardgen.model.design import Design
from boardgen.model.outputs import OutputFile
from boardgen.model.proof import Proof
from boardgen.pages.order import joined_words
from boardgen.papers.facts import Facts, board_facts, caution_facts
from boardgen.papers.render import page

_FIRST_LOT = 5
"""So many are ordered and one is built before a lot: own choice, as in the order sheet."""


def order_page(design: Design, cautions: Sequence[Caution], proof: Proof) -> OutputFile:
    """Write ``order.html``: every answer with the file that it was measured in."""
    return OutputFile(
        path="order.html", content=page("order.html", order_facts(design, cautions, proof), {})
    )


def order_facts(design: Design, cautions: Sequence[Caution], proof: Proof) -> Facts:
    """Tell what the page says."""
    parameters = design.parameters
    return {
        "board": board_facts(design),
        "at_home": not design.limits.plated and not parameters.printed,
        "zip": f"{parameters.name}-fabrication.zip",
        "quantity": parameters.order.quantity,
        "joined": joined_words(parameters),
        "few": min(_FIRST_LOT, parameters.order.quantity),
        "topics": [
            {"topic": topic, "rows": [asdict(measure) for measure in measures]}
            for topic, measures in groupby(proof.measures, key=lambda measure: measure.topic)
        ],
        "cautions": caution_facts(cautions, "etching", "glass dust"),
    }
