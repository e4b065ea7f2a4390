"""``python -m boardgen``: the command line."""

from boardgen.cli import main

main(prog_name="boardgen")
