"""Commands that list what there is, and one that writes a file to start from."""

import sys
from difflib import get_close_matches
from fnmatch import fnmatch
from pathlib import Path

import click

from boardgen import errors
from boardgen.commands.shared import say_json
from boardgen.terminal import each, echo, say


@click.command()
@click.argument("of", type=click.Choice(["parameters", "findings"]), default="parameters")
def schema(of: str) -> None:
    """Print a JSON Schema: of the parameter file, from which editors complete, or of findings."""
    if of == "findings":
        from boardgen.export.findings_schema import findings_schema

        say_json(findings_schema())
    else:
        from boardgen.reading.schema import parameter_schema

        say_json(parameter_schema())


@click.command()
@click.argument("code", default="*")
@click.option(
    "--format", "form", type=click.Choice(["text", "markdown"]), default="text", show_default=True
)
def rules(code: str, form: str) -> None:
    """List the design rules, or those of a family (gap, looks …), or tell one in full."""
    from boardgen.checks.table import rule_texts
    from boardgen.pages import rules_text
    from boardgen.pages.rules_page import rules_page

    texts, code = rule_texts(), code.lower().rstrip(".")
    found = [rule for rule in texts if fnmatch(rule.code, code) or fnmatch(rule.code, f"{code}.*")]
    if not found:
        near = get_close_matches(code, [rule.code for rule in texts], n=1)
        hint = f'did you mean "{near[0]}"?' if near else "boardgen rules lists all"
        echo(f'there is no rule "{code}"; {hint}', to_stderr=True)
        sys.exit(errors.REFUSED)
    if form == "markdown":
        echo(rules_page(found), nl=False)
    else:
        say(rules_text.rule_lines(found[0]) if len(found) == 1 else rules_text.rules_lines(found))


@click.command()
@click.argument("file", type=click.Path(path_type=Path))
@click.option(
    "--use",
    type=click.Choice(["night-light", "ambience", "task", "indicator"]),
    default="ambience",
    show_default=True,
    help="What the light is for; it sets the current.",
)
@click.option(
    "--form",
    type=click.Choice(["bar", "grid", "ring", "arc", "polygon", "path", "disc", "word", "places"]),
    default="bar",
    show_default=True,
    help="How its LEDs stand.",
)
def new(file: Path, use: str, form: str) -> None:
    """Write a commented parameter file that builds as it stands."""
    sys.exit(each([file], lambda path: _new(path, use, form)))


def _new(path: Path, use: str, form: str) -> int:
    from boardgen.pages.starter import starter
    from boardgen.reading.file_names import board_name
    from boardgen.writing import write_new

    name = board_name(path)
    write_new(path, starter(use, form, path.name, name.replace("-", " ")[:24].strip() or "Light"))
    echo(f"wrote {path}; build it with: boardgen build {path}")
    return errors.CLEAN


@click.command()
@click.argument("pattern", default="*")
@click.option("--sources", is_flag=True, help="Tell where each figure comes from, too.")
def parts(pattern: str, sources: bool) -> None:
    """List what the catalogue and the land patterns hold."""
    from boardgen.pages.lists_text import parts_lines
    from boardgen.reading.listing import listed

    found = listed(pattern)
    say(parts_lines(found, sources=sources))
    if not found:
        echo(f'nothing is called like "{pattern}"; boardgen parts lists all', to_stderr=True)
        sys.exit(errors.FOUND)


@click.command()
@click.argument("pattern", default="*")
@click.option(
    "--format", "form", type=click.Choice(["text", "markdown"]), default="text", show_default=True
)
def keys(pattern: str, form: str) -> None:
    """List the keys of the parameter file: meaning, unit, default, allowed values, example."""
    from boardgen.pages.lists_text import keys_lines, keys_page
    from boardgen.reading.keys import keys as all_keys

    found = [key for key in all_keys() if key.named(pattern)]
    if not found:
        echo(f'no key is called like "{pattern}"; boardgen keys lists all', to_stderr=True)
        sys.exit(errors.REFUSED)
    if form == "markdown":
        echo(keys_page(found), nl=False)
    else:
        say(keys_lines(found))
