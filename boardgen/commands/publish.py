"""``boardgen publish``: a folder that a stranger can use."""

from pathlib import Path

import click

from boardgen import errors
from boardgen.commands.shared import boards_of, chosen_of, leave, read
from boardgen.terminal import echo, patience, say


@click.command()
@click.argument("file", type=click.Path(path_type=Path))
@click.option(
    "-o",
    "output",
    type=click.Path(path_type=Path),
    default=Path("published"),
    show_default=True,
    help="Folder that gets the published folder.",
)
def publish(file: Path, output: Path) -> None:
    """Gather source, packages, papers and licences for strangers; only what is proven."""

    def work(path: Path) -> int:
        from boardgen.build import build_board, short_of
        from boardgen.export.records import list_of_files
        from boardgen.model.outputs import OutputFile
        from boardgen.pages import findings_text
        from boardgen.papers.publish import YOURS, Published, published_files
        from boardgen.reading.files import read_user_file
        from boardgen.reading.licences import licence_texts
        from boardgen.reading.place_list import files_named
        from boardgen.reproduce import reproduce
        from boardgen.writing import EDITABLE, edited, write_folder

        boards: list[Published] = []
        for member in chosen_of(path, None)[1]:
            if member.refusal:
                raise member.refusal
            if member.parameters is None:
                continue
            with patience(member.name):
                built = build_board(member.parameters)
            if built.proof is None:
                say(findings_text.findings_of([(built.judgement, built.design)]), to_stderr=True)
                echo(f"{member.name}: the rules find errors, so nothing is published")
                return errors.FOUND
            boards.append(
                Published(design=built.design, files=built.files, short=short_of(built.design))
            )
        target = output / path.stem
        named = files_named([board.design.parameters for board in boards])
        beside = tuple(
            OutputFile(path=name, content=read_user_file(path.parent / name)) for name in named
        )
        beside += licence_texts(boards[0].design.parameters.board.licence)
        ours = published_files(path.name, boards, beside)
        own = edited(target, ours)[len(ours) :]
        ours = published_files(path.name, boards, beside, [file.path for file in own])
        files = edited(target, ours)
        yours = dict.fromkeys((*YOURS, *(file.path for file in own)), EDITABLE)
        record = list_of_files("published", files, editable=yours, file=path.name)
        write_folder(target, (*files, record))
        for board in boards:
            anew = boards_of(read(target / path.name).members)
            proof = reproduce(target / "boards" / board.name, anew)
            if not proof.holds:
                raise errors.ProofError(f"{board.name}: what was published is not made anew")
        old = [file.path for file, kept in zip(ours, files, strict=False) if file != kept]
        for name in old:
            echo(f"{name} is yours and was kept; what it says of the board may be of another day")
        gaps = next(one for one in files if one.path == "CHECKLIST.md").content.decode()
        names = ", ".join(board.name for board in boards)
        echo(f"{target}: {names}: made anew from {path.name}, and equal")
        echo(f"open points: {gaps.count('[ ]')}, in {target}/CHECKLIST.md")
        return errors.CLEAN

    leave([file], work)
