"""The line from parameters to proven files, in order, on one screen."""

from collections import Counter
from dataclasses import dataclass, replace
from pathlib import Path

from boardgen.checks.files import check_files
from boardgen.checks.table import check
from boardgen.designing import design_board, judge_board
from boardgen.electrical.cautions import cautions
from boardgen.electrical.explain import explain
from boardgen.electrical.in_short import in_short
from boardgen.errors import ProofError, RefusalError
from boardgen.model import explanation
from boardgen.model.cautions import Caution
from boardgen.model.design import Design
from boardgen.model.explanation import Step, Sums, differences
from boardgen.model.findings import Finding, Judgement
from boardgen.model.outputs import OutputFile, OutputFiles
from boardgen.model.parameters import Parameters
from boardgen.model.proof import Proof
from boardgen.outputs import Report, Role, export
from boardgen.reading import catalogue
from boardgen.writing import write_folder

_MOST_TOLD = 20


@dataclass(frozen=True, slots=True, kw_only=True, repr=False)
class Built:
    """A design with everything that was made of it.

    ``proof`` is None when findings kept the fabrication data from being written.
    """

    design: Design
    judgement: Judgement
    cautions: tuple[Caution, ...]
    files: OutputFiles
    proof: Proof | None

    @property
    def findings(self) -> tuple[Finding, ...]:
        """What the rules found, worst first."""
        return self.judgement.findings

    @property
    def sound(self) -> bool:
        """Whether fabrication data was made: no finding kept it from being written."""
        return self.proof is not None

    @property
    def preview(self) -> str:
        """The board's top in its real colours, as SVG."""
        (found,) = (file for file in self.files if file.path == "preview-top.svg")
        return found.content.decode()

    def write(self, folder: Path | str) -> Path:
        """Write everything into a folder for boards, as `boardgen build -o` does.

        Returns
        -------
        written : Path
            The board's own folder.

        Raises
        ------
        OutputError
            When that folder is not ours to replace, or cannot be written.
        """
        target = Path(folder) / self.design.parameters.name
        write_folder(target, self.files)
        return target

    def __repr__(self) -> str:
        """One line: which board, and whether it can be made."""
        made = "proven" if self.sound else "not made: the rules find errors"
        return f"<Built {self.design.parameters.name}: {made}, {len(self.files)} files>"

    def _repr_svg_(self) -> str:
        """Let a notebook show the board."""
        return self.preview


def compare_boards(
    before: Parameters, after: Parameters
) -> tuple[tuple[explanation.Difference, ...], tuple[explanation.Difference, ...]]:
    """Hold two boards side by side: the six lines of each, and all sums and findings that differ.

    Where no board follows from the first, the six lines of the second are told beside its reason.

    Raises
    ------
    RefusalError
        When no board follows from the second.
    """
    second = design_board(after)
    try:
        first = design_board(before)
    except RefusalError as refusal:
        why = f"refused: {refusal.problems[0].what}"
        file = explanation.Difference(title="the file", before=why, after="a board follows")
        told = (
            explanation.Difference(title=word, before="none", after=text)
            for word, text in short_of(second)
        )
        return (file, *told), ()
    lines = zip(short_of(first), short_of(second), strict=True)
    matters = tuple(
        explanation.Difference(title=word, before=old, after=new) for (word, old), (_, new) in lines
    )
    return matters, (
        *differences(_sums(first), _sums(second), _sum_words),
        *differences(_found(first), _found(second), _finding_words),
    )


def short_of(made: Design) -> tuple[tuple[str, str], ...]:
    """Tell a board in six lines, as pairs of a word and a sentence."""
    return in_short(made.parameters, made.circuit, made.operation, made.board.outline)


def _sums(made: Design) -> dict[tuple[str, int | str], Step]:
    """Key the sums so that a first kind of branch meets the other's first, whatever it holds."""
    found: dict[tuple[str, int | str], Step] = {}
    seen: Counter[str] = Counter()
    for step in explain(made.parameters, made.circuit, made.operation):
        which = step.subject if step.key.startswith("arrangement") else seen[step.key]
        seen[step.key] += 1
        found[step.key, which] = step
    return found


def _sum_words(step: Step) -> tuple[str, str]:
    by_itself = step.key.startswith("arrangement")
    return f"{step.title}, {step.subject}" if by_itself else step.title, step.result


def _found(made: Design) -> dict[tuple[str, int], Finding]:
    """Key the findings so that a rule's first meets the other board's first."""
    found: dict[tuple[str, int], Finding] = {}
    seen: Counter[str] = Counter()
    for finding in check(made):
        found[finding.code, seen[finding.code]] = finding
        seen[finding.code] += 1
    return found


def _finding_words(finding: Finding) -> tuple[str, str]:
    return f"{finding.severity.value} {finding.code}", finding.message


def build_board(parameters: Parameters, *, strict: bool = False) -> Built:
    """Make everything in memory: files, findings, proof.

    Parameters
    ----------
    parameters : Parameters
        One board.
    strict : bool
        Whether warnings, too, keep fabrication data from being made.

    Raises
    ------
    RefusalError
        When no board follows from the parameters.
    ProofError
        When the fabrication files do not say what was designed: a fault of boardgen's.
    """
    made = design_board(parameters)
    applying = cautions(catalogue.cautions(), parameters, made.circuit)
    report = Report(
        design=made, judgement=judge_board(made), cautions=applying, sums=_all_sums(made)
    )
    fabrication = export(made, fabrication=True)
    lacking = tuple(check_files(parameters.name, made.artwork, fabrication))
    judged = replace(report.judgement, findings=(*lacking, *report.judgement.findings))
    report = replace(report, judgement=judged).adding(Role.PICTURE, Role.FINDINGS)
    if not judged.fails(strict=strict):
        report = replace(
            report, files=(*report.files, *fabrication), proof=prove_files(fabrication, made)
        ).adding(Role.UPLOAD, Role.LIST, Role.SHEET, Role.BENCH)
        report = replace(report, proof=_with_papers(report))
    report = report.adding(Role.REPORT, Role.MANIFEST)
    return Built(
        design=made, judgement=judged, cautions=applying, files=report.files, proof=report.proof
    )


def _all_sums(made: Design) -> Sums:
    return Sums(
        parameters=made.parameters,
        short=short_of(made),
        steps=explain(made.parameters, made.circuit, made.operation),
    )


def _with_papers(report: Report) -> Proof:
    """Hold what people buy, order and solder by against the files; ProofError when it differs."""
    from boardgen.readback.papers import paper_items

    proof, made = report.proof, report.design
    if proof is None:
        raise AssertionError("papers are held against proven files")
    named = {
        file.path: file.content for file in report.files if not file.path.startswith("fabrication/")
    }
    items = tuple(paper_items(named, proof, made.parameters.parts.lettering, made))
    return _held(replace(proof, items=(*proof.items, *items)))


def prove_files(files: tuple[OutputFile, ...], made: Design) -> Proof:
    """Read fabrication files back; ProofError when they differ from the design."""
    from boardgen.readback.prove import prove

    return _held(prove({file.path.rpartition("/")[2]: file.content for file in files}, made))


def _held(proof: Proof) -> Proof:
    if not proof.holds:
        raise ProofError(
            "the files do not say what was designed; this is a fault of boardgen, please report"
            " it with the parameter file:\n  "
            + "\n  ".join(map(str, proof.differences[:_MOST_TOLD]))
        )
    return proof
