"""The order sheet: what an order form asks, answered from the files, as Markdown."""

from itertools import groupby

from boardgen.model.cautions import CLAIM
from boardgen.model.design import Design
from boardgen.model.outputs import OutputFile
from boardgen.model.parameters import Parameters
from boardgen.model.proof import Measure, Proof
from boardgen.pages.words import WORDS, say

_ANSWERS = {"HAL lead-free": "tin", "ENIG": "gold", "None": "copper"}
_FIRST_LOT = 5


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
    home = not design.limits.plated and not parameters.printed
    way = say("order_sheet.home" if home else "order_sheet.upload", name=name)
    title = say("order_sheet.title", title=board.title, revision=board.revision)
    lines = [
        f"# {title}",
        "",
        f"{way} {WORDS['order_sheet.stop']}",
    ]
    for topic, group in groupby(proof.measures, key=lambda measure: measure.topic):
        lines += ["", f"## {topic}", "", WORDS["order_sheet.asked"], "|---|---|---|"]
        lines += [_row(measure) for measure in group]
    lines += [
        "",
        f"## {WORDS['order_sheet.many']}",
        "",
        *_how_many(parameters.order.quantity),
        *(("", joined) if (joined := joined_words(parameters)) else ()),
        "",
        CLAIM,
        "",
    ]
    return OutputFile(path="order.md", content="\n".join(lines).encode())


def joined_words(parameters: Parameters) -> str:
    """Say of boards that are joined how many make one light, and how their edges are cut."""
    if not parameters.joint.joined:
        return ""
    these, boards = parameters.alike_boards, parameters.joint.boards
    if parameters.fed_by_another:
        return say("order_sheet.behind", these=these)
    if these == 1:
        return say("order_sheet.head", others=boards - 1)
    return say("order_sheet.joined", boards=boards)


def _row(measure: Measure) -> str:
    known = _ANSWERS.get(measure.answer)
    answer = WORDS[f"order_sheet.{known}"] if known else measure.answer
    files = ", ".join(f"`{file}`" for file in measure.file.split(", "))
    return f"| {measure.asks} | {answer} | {files} |"


def _how_many(quantity: int) -> list[str]:
    """Advise to build one before the lot."""
    key = "one_first" if quantity <= _FIRST_LOT else "few_first"
    return [say(f"order_sheet.{key}", quantity=quantity, few=_FIRST_LOT)]
