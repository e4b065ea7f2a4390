"""Change every comparison and limit of `checks/` in turn and see whether the pairs notice.

A mutant is one comparison exchanged (< and <=, > and >=, == and !=, or turned; `below` for `above`,
`outside` denied), or one number of the house's or of looks moved by two hundredths (by one where
it counts). It counts as noticed when a pair of the rules concerned is judged or worded otherwise
than the tests ask, or the rule fails; modules without rules are judged by tests of their own. Run
it by hand; arguments are names of modules, e.g. `holes`.
"""

import ast
import copy
import importlib
import inspect
import shutil
import subprocess
import sys
import tempfile
from collections.abc import Callable, Iterator
from concurrent.futures import ProcessPoolExecutor
from functools import cache, partial
from pathlib import Path
from types import FunctionType, ModuleType
from typing import Any

ROOT = Path(__file__).resolve().parents[2]
sys.path.insert(0, str(ROOT))
from boardgen.checks.table import RULES, Rule
from boardgen.model import bounds
from boardgen.model.design import Design
from boardgen.model.findings import Finding
from tests.checks import planting, test_pairs
from tests.checks.planting import UM, Pair

OTHERS: dict[type, tuple[type, ...]] = {
    ast.Lt: (ast.LtE, ast.Gt),
    ast.LtE: (ast.Lt, ast.Gt),
    ast.Gt: (ast.GtE, ast.Lt),
    ast.GtE: (ast.Gt, ast.Lt),
    ast.Eq: (ast.NotEq,),
    ast.NotEq: (ast.Eq,),
}
BOUNDS = {"below": "above", "above": "below", "outside": "not outside"}
LIMITS = ("limits", "limits.aims", "aims", "parameters.parts.limits", "looks")
MODULES = (
    "copper", "nets", "relief", "holes", "outline", "mask", "legend", "polarity", "parts",
    "electrical", "light", "supply", "notes", "looks_parts", "looks_letters",
    "looks_copper", "looks_sites",
    "verdicts", "bounds", "minima", "waivers", "table",
)  # fmt: skip
ELSEWHERE = {
    "verdicts": ("boardgen.checks.verdicts", ("electrical", "light", "supply")),
    "bounds": ("boardgen.model.bounds", ()),
    "looks_sites": (
        "boardgen.checks.looks_sites",
        ("looks_parts", "looks_letters", "looks_copper"),
    ),
}  # fmt: skip
"""Where else rules compare, and whose they are."""
TESTS = ("checks/test_bounds.py", "checks/test_rules.py", "checks/test_brute_force.py")
"""They judge what holds no rule."""

Mutant = tuple[str, str, ast.Module]
Words = dict[tuple[str, float], list[Finding]]


def mutants(tree: ast.Module) -> Iterator[Mutant]:
    """List changed trees with the function, if any, and what was changed."""
    for place, part in enumerate(tree.body):
        for which, node in enumerate(ast.walk(part)):
            for words, change in changes(node):
                changed = copy.deepcopy(tree)
                change(list(ast.walk(changed.body[place]))[which])
                line = f"{getattr(node, 'lineno', 0)}: {ast.unparse(node)} -> {words}"
                yield getattr(part, "name", ""), line, changed


def _compare_by(node: ast.Compare, at: int, other: type[ast.cmpop]) -> None:
    node.ops[at] = other()


def changes(node: ast.AST) -> Iterator[tuple[str, Callable[[Any], None]]]:
    """List the ways to change a node, each with its name."""
    if isinstance(node, ast.Compare):
        for at, op in enumerate(node.ops):
            for other in OTHERS.get(type(op), ()):
                yield other.__name__, partial(_compare_by, at=at, other=other)
    if isinstance(node, ast.Call) and ast.unparse(node.func) in BOUNDS and not _listed(node):
        yield BOUNDS[ast.unparse(node.func)], _exchange
    if isinstance(node, ast.Attribute) and ast.unparse(node.value) in LIMITS:
        if node.attr == "aims" or node.attr.endswith("NOISE_MM"):
            return
        for step in (1, -1):
            yield f"moved by {step}", partial(_move, step=step)


def _listed(call: ast.Call) -> bool:
    """Tell geometry's own `outside`, which takes a list."""
    return any(isinstance(part, ast.ListComp) for part in call.args)


def _exchange(call: ast.Call) -> None:
    new = ast.parse(BOUNDS[ast.unparse(call.func)] + "()", mode="eval").body
    if isinstance(new, ast.UnaryOp):
        new.operand, call.func = copy.copy(call), ast.Name("bool", ast.Load())
        call.args, call.keywords = [new], []
    else:
        assert isinstance(new, ast.Call)
        call.func = new.func


def _move(limit: ast.Attribute, step: int) -> None:
    """Turn `limits.gap_mm` into `_Moved(limits, step).gap_mm`."""
    limit.value = ast.parse(f"_Moved({ast.unparse(limit.value)}, {step})", mode="eval").body


class _Moved:
    """Limits with each number moved."""

    def __init__(self, limits: object, step: int) -> None:
        self._limits, self._step = limits, step

    def __getattr__(self, name: str) -> Any:
        return self._of(getattr(self._limits, name))

    def _of(self, value: Any) -> Any:
        if callable(value):
            return lambda *words: self._of(value(*words))
        if isinstance(value, tuple):
            return tuple(map(self._of, value))
        if isinstance(value, bool | str | None):
            return value
        return value + self._step if isinstance(value, int) else value * (1 + 0.02 * self._step)


def noticed(pairs: list[Pair], rules: list[Rule], words: Words) -> bool:
    """Run a module's rules over pairs until one tells otherwise than it should."""
    for one in pairs:
        for past in (UM, 0.0):
            try:
                if told(rules, planted(one, past)) != words[one.name, past]:
                    return True
            except (NameError, TypeError):
                raise  # a mutant that is no program says nothing
            except Exception:  # noqa: BLE001 - a rule that fails is noticed
                return True
    return False


def told(rules: list[Rule], design: Design) -> list[Finding]:
    """Ask rules where they apply."""
    return [
        finding for rule in rules if not rule.absent(design)
        for finding in rule.check(design)
    ]  # fmt: skip


@cache
def planted(one: Pair, past: float) -> Design:
    """Make a board once for all mutants."""
    return one.plant(past)


def swap(module: ModuleType, name: str, tree: ast.Module) -> Callable[[], None]:
    """Give a function its changed body; return what puts the old one back."""
    for known in (_Moved, bounds.above, bounds.below, bounds.outside):
        vars(module).setdefault(known.__name__, known)
    scope: dict[str, object] = dict(vars(module))
    exec(compile(ast.fix_missing_locations(tree), module.__file__ or "", "exec"), scope)  # noqa: S102
    function, changed = getattr(module, name), scope[name]
    assert isinstance(function, FunctionType)
    assert isinstance(changed, FunctionType)
    before = function.__code__
    function.__code__ = changed.__code__
    return lambda: setattr(function, "__code__", before)


def judged(name: str) -> tuple[int, list[str]]:
    """Change a module's comparisons and limits one by one; count them, list those unnoticed."""
    path, askers = ELSEWHERE.get(name, (f"boardgen.checks.{name}", (name,)))
    module = importlib.import_module(path)
    rules = [rule for rule in RULES if rule.check.__module__.rpartition(".")[2] in askers]
    if not rules:
        return judged_by_tests(name, path)
    of_module = [one for one in planting.PAIRS if test_pairs.ROWS[one.code] in rules]
    words = {
        (one.name, past): told(rules, planted(one, past)) for one in of_module for past in (UM, 0.0)
    }
    total, survived = 0, []
    for function, what, changed in mutants(ast.parse(inspect.getsource(module))):
        codes = [rule.code for rule in rules if rule.check.__name__ == function]
        pairs = [one for one in of_module if not codes or one.code in codes]
        back = swap(module, function, changed)
        caught = noticed(pairs, rules, words)
        back()
        total += 1
        if not caught:
            survived.append(f"{name}.{function}:{what}")
    return total, survived


def judged_by_tests(name: str, path: str) -> tuple[int, list[str]]:
    """Write each changed module into a copy of the tree and run tests there."""
    total, survived = 0, []
    with tempfile.TemporaryDirectory() as folder:
        for part in ("boardgen", "footprints", "tests", "examples", "docs"):
            shutil.copytree(ROOT / part, Path(folder) / part)
        shutil.copy(ROOT / "pyproject.toml", folder)
        file = Path(folder, *path.split(".")).with_suffix(".py")
        text = file.read_text(encoding="utf-8")
        tests = [f"tests/{test}" for test in TESTS]
        command = [sys.executable, "-m", "pytest", "-x", "-q", "-p", "no:cacheprovider", *tests]
        subprocess.run(command, cwd=folder, capture_output=True, check=True)
        for function, what, changed in mutants(ast.parse(text)):
            if "_Moved" in ast.unparse(changed):
                continue  # limits are the rules' own
            file.write_text(ast.unparse(changed), encoding="utf-8")
            total += 1
            if not _failing(command, folder):
                survived.append(f"{name}.{function}:{what}")
    return total, survived


def _failing(command: list[str], folder: str) -> bool:
    """Tell whether tests fail; those that never end do."""
    try:
        done = subprocess.run(command, cwd=folder, capture_output=True, check=False, timeout=300)
    except subprocess.TimeoutExpired:
        return True
    assert done.returncode in (0, 1), done.stdout.decode()
    return done.returncode == 1


def main() -> None:
    """Change, run, count."""
    everything = left = 0
    with ProcessPoolExecutor(max_tasks_per_child=1) as workers:
        for total, survived in workers.map(judged, sys.argv[1:] or MODULES):
            everything, left = everything + total, left + len(survived)
            lines = (f"survived {each}" for each in survived)
            print(*lines, f"{everything - left} of {everything} noticed", sep="\n", flush=True)  # noqa: T201


if __name__ == "__main__":
    main()
