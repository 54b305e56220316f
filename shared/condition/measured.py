"""Findings with a measured size, and measures that follow from other findings."""

from dataclasses import dataclass

from shared.condition.model import Finding


@dataclass(frozen=True, slots=True)
class BudgetLine:
    """What one input adds to a measure and to its doubt, in the measure's canonical unit.

    ``u`` None: not known. ``share``: factor times u.
    """

    name: str
    value: float
    factor: float
    u: float | None
    finding_id: str | None = None

    @property
    def share(self) -> float | None:
        """The input's part of the uncertainty, with the factor's sign; None: not known."""
        return None if self.u is None else self.factor * self.u


@dataclass(frozen=True, slots=True)
class DerivedFinding(Finding):
    """A measure that follows from other findings, as if it had been found.

    ``why_not_good``: what keeps it from counting as good whatever it comes to. ``at_reference``:
    least and greatest size at 20 °C, in the canonical unit, where inputs were read far from it.
    """

    budget: tuple[BudgetLine, ...] = ()
    input_ids: tuple[str, ...] = ()
    why_not_good: tuple[str, ...] = ()
    at_reference: tuple[float, float] | None = None
