"""The order sheet: what an order form asks, answered from the files, as Markdown."""

from itertools import groupby

from boardgen.model.cautions import CLAIM
from boardgen.model.design import Design
from boardgen.model.outputs import OutputFile
from boardgen.model.proof import Measure, Proof

_WORDS = {
    "HAL lead-free": "tin, lead-free (HAL lead-free)",
    "ENIG": "gold (ENIG)",
    "None": "none: bare copper",
}
_FIRST_LOT = 5
_STOP = (
    "Each answer in the tables was read from the file that stands beside it, after it was written;"
    " if a form or a preview shows another value, stop and compare before you pay. What a form asks"
    " beyond that is not in the files: no edge connector, plated edge, blind hole or special"
    " material is needed; an electrical test against the test netlist is worth its price."
)
_FEW = (
    "boards are asked for. Order a few first ({few} or the house's least), build one, measure it,"
    " look at it beside the preview; then order the lot with the same files. A fault that stands in"
    " the files stands in every board of a lot."
)


def order_sheet(design: Design, proof: Proof) -> OutputFile:
    """Write ``order.md``: every value with the file that it was measured in.

    Parameters
    ----------
    design : Design
        For the title and the number of boards.
    proof : Proof
        Of the package; its measures are what stands here.
    """
    parameters = design.parameters
    name, board = parameters.name, parameters.board
    way = f"Upload `{name}-fabrication.zip` as it is."
    if not design.limits.plated and not parameters.printed:
        way = f"Print a film of the copper, or give a workshop `{name}-fabrication.zip`."
    lines = [
        f"# Ordering {board.title}, revision {board.revision}",
        "",
        f"{way} {_STOP}",
    ]
    for topic, group in groupby(proof.measures, key=lambda measure: measure.topic):
        lines += ["", f"## {topic}", "", "| asked | answer | from |", "|---|---|---|"]
        lines += [_row(measure) for measure in group]
    lines += ["", "## How many", "", *_how_many(parameters.order.quantity), "", CLAIM, ""]
    return OutputFile(path="order.md", content="\n".join(lines).encode())


def _row(measure: Measure) -> str:
    answer = _WORDS.get(measure.answer, measure.answer)
    files = ", ".join(f"`{file}`" for file in measure.file.split(", "))
    return f"| {measure.asks} | {answer} | {files} |"


def _how_many(quantity: int) -> list[str]:
    """Advise to build one before the lot."""
    if quantity <= _FIRST_LOT:
        return [f"Order {quantity}. Build one board, measure it, and only then the others."]
    return [f"{quantity} {_FEW.format(few=_FIRST_LOT)}"]
