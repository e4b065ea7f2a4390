"""What the terminal says of a proof."""

from boardgen.model.proof import OTHER_VERSIONS, Proof

_MOST_TOLD = 20
"""Differences of one comparison that the terminal tells; JSON and the picture have more."""


def proof_lines(proof: Proof) -> list[str]:
    """Tell every comparison, and every difference under it."""
    lines = []
    for item in proof.items:
        word = "equal" if item.holds else "DIFFERS"
        lines.append(f"{item.title:<32} {item.compared:>6}  {word}")
        lines += [f"    {found.kind.value}: {found}" for found in item.differences[:_MOST_TOLD]]
        if len(item.differences) > _MOST_TOLD:
            lines.append(f"    and {len(item.differences) - _MOST_TOLD} more")
    return lines


def proof_verdict(proof: Proof, against: str, *, drawn: bool) -> list[str]:
    """Sum a proof up, and say what else can be asked."""
    wrong = sum(not item.holds for item in proof.items)
    if wrong:
        lines = [f"the package is wrong, in {wrong} of {len(proof.items)} comparisons"]
        if not drawn and any(found.place_mm for found in proof.differences):
            lines.append("--overlay FILE.svg draws where")
        return lines
    if any(item.title == OTHER_VERSIONS for item in proof.items):
        said = f"the package holds, and its fabrication files are what {against} describes"
        return [f"{said}; its papers, of other versions, are compared by meaning only"]
    if against:
        said = f"the package holds, and its files are what {against} describes"
        return [f"{said}; --reproduce {against} compares every byte"]
    return ["the package holds in itself; --against FILE compares it with its design"]
