"""A position's two outcomes weighed: what knowing gains and costs, at any chance to conform."""

from dataclasses import dataclass
from decimal import Decimal

from shared.decision.build import Built
from shared.decision.case import Plan
from shared.decision.planned import PlannedPosition
from shared.decision.proof_chance import ProofChance

Members = tuple[PlannedPosition, ...]


@dataclass(frozen=True, slots=True)
class Outcome:
    """What follows once the verdict is known, in minor units of what is compared.

    ``total_opened``: the same with the access groups opened for the looking; ``kept_total``: the
    plan chosen without knowing, as it turns out here. None: nothing meets what is asked there.
    """

    built: Built
    plan: Plan | None
    total: int | None
    total_opened: int | None
    kept_total: int | None


@dataclass(frozen=True, slots=True)
class Weighed:
    """A position's two outcomes and what it takes to know, in minor units of what is compared.

    ``members`` are settled together (a matched set), or it is one alone. ``work``: looking and
    opening; ``is_costed``: the looking is on record. ``is_priced``: what keeping a nonconforming
    part leads to is on record (or the plan does not keep it).
    """

    members: Members
    chance: ProofChance
    is_costed: bool
    what: tuple[str, ...]
    work: int
    good: Outcome
    bad: Outcome
    now: int
    is_priced: bool

    def total_now(self, chance: Decimal) -> Decimal:
        """Expected total of the plan chosen without knowing, at a chance to conform."""
        good, bad = self.good.kept_total, self.bad.kept_total
        if not self.is_priced or good is None or bad is None:
            return Decimal(self.now)
        return chance * good + (1 - chance) * bad

    def total_known(self, chance: Decimal) -> Decimal | None:
        """Expected total once it is known, looking not counted; None: one outcome has no plan."""
        return _mixed(chance, self.good.total, self.bad.total)

    def value(self, chance: Decimal) -> Decimal | None:
        """Expected gain of knowing, before its cost."""
        known = self.total_known(chance)
        return None if known is None else max(Decimal(0), self.total_now(chance) - known)

    def cost(self, chance: Decimal) -> Decimal:
        """Looking, opening, and what the opening changes in the plans that follow."""
        known = self.total_known(chance)
        opened = _mixed(chance, self.good.total_opened, self.bad.total_opened)
        changed = opened - known if known is not None and opened is not None else Decimal(0)
        return max(Decimal(0), self.work + changed)

    def balance(self, chance: Decimal) -> Decimal | None:
        """Gain less cost, linear in the chance, the gain not held at 0 where it would be below.

        None: an outcome has no plan, looking is not costed, or opening for it bars the way.
        """
        known = self.total_known(chance)
        if known is None or not self.is_costed or self.bars_the_way:
            return None
        return self.total_now(chance) - known - self.cost(chance)

    def net(self, chance: Decimal) -> Decimal | None:
        """Gain less cost; None as ``balance``."""
        balance = self.balance(chance)
        return None if balance is None else max(balance, -self.cost(chance))

    @property
    def bars_the_way(self) -> bool:
        """Whether opening for the looking would leave an outcome without any plan.

        Once a group is open something behind it may be due that nothing fills.
        """
        outcomes = (self.good, self.bad)
        return any(one.total is not None and one.total_opened is None for one in outcomes)


def _mixed(chance: Decimal, good: int | None, bad: int | None) -> Decimal | None:
    return None if good is None or bad is None else chance * good + (1 - chance) * bad
