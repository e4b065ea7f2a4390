"""Proof: what was compared with what, and what differs."""

from dataclasses import dataclass


@dataclass(frozen=True, slots=True, kw_only=True)
class ProofItem:
    """One comparison: what was looked at, how many objects, and every difference found."""

    title: str
    compared: int
    differences: tuple[str, ...] = ()

    @property
    def holds(self) -> bool:
        """Whether nothing differs."""
        return not self.differences


@dataclass(frozen=True, slots=True, kw_only=True)
class Proof:
    """All comparisons made on one package."""

    items: tuple[ProofItem, ...]

    @property
    def holds(self) -> bool:
        """Whether every comparison came out equal."""
        return all(item.holds for item in self.items)

    @property
    def differences(self) -> tuple[str, ...]:
        """All differences, each with the comparison that found it."""
        return tuple(f"{item.title}: {text}" for item in self.items for text in item.differences)
