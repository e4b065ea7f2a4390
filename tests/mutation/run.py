"""Change every comparison of `checks/` in turn and see whether the pairs notice; prints the score.

A mutant is one comparison with its operator exchanged (< and <=, > and >=, == and !=, or turned).
It counts as noticed when a pair of the rules concerned tells another verdict than it should, or the
rule fails. Run it by hand; arguments are names of modules, e.g. `holes mask`.
"""

import ast
import copy
import importlib
import sys
from collections.abc import Iterator
from pathlib import Path
from types import FunctionType, ModuleType

ROOT = Path(__file__).resolve().parents[2]
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


def noticed(pairs: list[object], check: object, rows: dict[str, object], um: float) -> bool:
    """Run pairs until one tells otherwise than it should."""
    for one in pairs:
        for past in (um, 0.0):
            try:
                found = {finding.code for finding in check(one.plant(past))}
            except Exception:  # noqa: BLE001 - a rule that fails is noticed
                return True
            besides = {*rows[one.code].implied, *one.besides}
            if (one.code in found) != (past > 0) or found - {one.code} - besides:
                return True
    return False


def swap(module: ModuleType, name: str, tree: ast.Module) -> object:
    """Give a function its changed body; return what puts the old one back."""
    scope: dict[str, object] = dict(vars(module))
    exec(compile(ast.fix_missing_locations(tree), module.__file__ or "", "exec"), scope)  # noqa: S102
    function, changed = getattr(module, name), scope[name]
    assert isinstance(function, FunctionType)
    assert isinstance(changed, FunctionType)
    before = function.__code__
    function.__code__ = changed.__code__
    return lambda: setattr(function, "__code__", before)


def main() -> None:
    """Change, run, count."""
    sys.path.insert(0, str(ROOT))
    from boardgen.checks.table import RULES, check  # noqa: PLC0415 - needs the path above
    from tests.checks import planting, test_pairs  # noqa: PLC0415

    rows = test_pairs.ROWS
    total = survived = 0
    for name in sys.argv[1:] or MODULES:
        module = importlib.import_module(f"boardgen.checks.{name}")
        own = {
            rule.check.__name__: rule.code
            for rule in RULES
            if rule.check.__module__ == module.__name__
        }
        tree = ast.parse(Path(module.__file__ or "").read_text(encoding="utf-8"))
        for function, words, changed in mutants(tree):
            codes = [own[function]] if function in own else list(own.values())
            pairs = [one for one in planting.PAIRS if one.code in codes]
            back = swap(module, function, changed)
            caught = noticed(pairs, check, rows, planting.UM)
            back()
            total += 1
            if not caught:
                survived += 1
                print(f"survived {name}.{function}:{words}", flush=True)  # noqa: T201
        print(f"{name}: {total - survived} of {total} noticed so far", flush=True)  # noqa: T201


if __name__ == "__main__":
    main()
