"""The command line: one group of commands; what fails on the way is told in words."""

import click

from boardgen import errors
from boardgen.commands import build, check, explain, kit, lesson, lists, publish, solid, verify
from boardgen.terminal import tell

_EPILOG = (
    "Exit status: 0 clean; 1 an error finding, or a package that is wrong; 2 refused: the file"
    " cannot be read or no board follows from it, nothing is written; 3 a fault of boardgen's own."
)


class _Told(click.Group):
    """Says in words that the output took no more, whatever the command was."""

    def invoke(self, ctx: click.Context) -> object:
        """Run a command."""
        try:
            return super().invoke(ctx)
        except errors.OutputError as error:
            tell(f"boardgen: {error}")
            ctx.exit(error.exit_status)


@click.group(cls=_Told, epilog=_EPILOG, context_settings={"help_option_names": ["-h", "--help"]})
@click.version_option(package_name="boardgen")
def main() -> None:
    """LED light boards from one parameter file: circuit, layout, checks, files, proof."""


for command in (
    build.build, check.check, verify.verify, explain.explain, lesson.lesson, kit.kit, solid.solid,
    publish.publish, lists.schema, lists.rules, lists.new, lists.parts, lists.keys,
):  # fmt: skip
    main.add_command(command)
