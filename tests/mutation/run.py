"""Change every comparison of `checks/` in turn and see whether the pairs notice; prints the score.

A mutant is one comparison with its operator exchanged (< and <=, > and >=, == and !=, or turned).
It counts as noticed when a pair of the rules concerned tells another verdict than it should, or the
rule fails. Run it by hand; arguments are names of modules, e.g. `holes mask`.
"""

import ast
import copy
import importlib
import inspect
import sys
from collections.abc import Callable, Iterator
from concurrent.futures import ProcessPoolExecutor
from functools import cache
from pathlib import Path
from types import FunctionType, ModuleType

sys.path.insert(0, str(Path(__file__).resolve().parents[2]))
from boardgen.checks.table import RULES, Rule
from boardgen.model.design import Design
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
MODULES = (
    "copper", "nets", "relief", "holes", "outline", "mask", "legend", "polarity", "parts",
    "electrical", "supply", "notes", "looks_parts", "looks_drawing",
)  # fmt: skip


def mutants(tree: ast.Module) -> Iterator[tuple[str, str, ast.Module]]:
    """List changed trees with the function and the line."""
    for place, node in enumerate(tree.body):
        if not isinstance(node, ast.FunctionDef):
            continue
        compares = [part for part in ast.walk(node) if isinstance(part, ast.Compare)]
        for which, compare in enumerate(compares):
            for at, op in enumerate(compare.ops):
                for other in OTHERS.get(type(op), ()):
                    changed = copy.deepcopy(tree)
                    body = changed.body[place]
                    found = [p for p in ast.walk(body) if isinstance(p, ast.Compare)][which]
                    words = f"{compare.lineno}: {ast.unparse(compare)} -> {other.__name__}"
                    found.ops[at] = other()
                    yield node.name, words, changed


def noticed(pairs: list[Pair], rules: list[Rule]) -> bool:
    """Run a module's rules over pairs until one tells otherwise than it should."""
    for one in pairs:
        for past in (UM, 0.0):
            try:
                found = {rule.code for rule in rules if tells(rule, planted(one, past))}
            except Exception:  # noqa: BLE001 - a rule that fails is noticed
                return True
            besides = {*test_pairs.ROWS[one.code].implied, *one.besides}
            if (one.code in found) != (past > 0) or found - {one.code} - besides:
                return True
    return False


def tells(rule: Rule, design: Design) -> bool:
    """Ask one rule, where it applies."""
    return not rule.absent(design) and any(True for _ in rule.check(design, design.limits))


@cache
def planted(one: Pair, past: float) -> Design:
    """Make a board once for all mutants."""
    return one.plant(past)


def swap(module: ModuleType, name: str, tree: ast.Module) -> Callable[[], None]:
    """Give a function its changed body; return what puts the old one back."""
    scope: dict[str, object] = dict(vars(module))
    exec(compile(ast.fix_missing_locations(tree), module.__file__ or "", "exec"), scope)  # noqa: S102
    function, changed = getattr(module, name), scope[name]
    assert isinstance(function, FunctionType)
    assert isinstance(changed, FunctionType)
    before = function.__code__
    function.__code__ = changed.__code__
    return lambda: setattr(function, "__code__", before)


def judged(name: str) -> tuple[int, list[str]]:
    """Change a module's comparisons one by one; count them, and list those nobody noticed."""
    module = importlib.import_module(f"boardgen.checks.{name}")
    rules = [rule for rule in RULES if rule.check.__module__ == module.__name__]
    total, survived = 0, []
    for function, words, changed in mutants(ast.parse(inspect.getsource(module))):
        codes = [rule.code for rule in rules if rule.check.__name__ == function]
        codes = codes or [rule.code for rule in rules]
        back = swap(module, function, changed)
        caught = noticed([one for one in planting.PAIRS if one.code in codes], rules)
        back()
        total += 1
        if not caught:
            survived.append(f"{name}.{function}:{words}")
    return total, survived


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
