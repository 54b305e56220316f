"""A position's two outcomes weighed: what knowing gains and costs, at any chance to conform."""

from dataclasses import dataclass
from decimal import Decimal

from shared.decision.building.build import Built
from shared.decision.building.planned import PlannedPosition
from shared.decision.planning.case import Plan
from shared.decision.telling.figures import percent_down
from shared.decision.weighing.proof_chance import ProofChance

Members = tuple[PlannedPosition, ...]
CHANCE_DIGITS = Decimal("0.000001")


@dataclass(frozen=True, slots=True)
class Outcome:
    """What follows once the verdict is known, in minor units of what is compared.

    ``total_opened``: the same with the access groups opened for the looking. None: nothing meets
    what is asked there.
    """

    built: Built
    plan: Plan | None
    total: int | None
    total_opened: int | None


@dataclass(frozen=True, slots=True)
class Kept:
    """What the plan that keeps the part in doubt comes to, if it conforms and if it does not."""

    if_good: int
    if_bad: int

    def chance_behind(self, now: int) -> Decimal | None:
        """The chance to conform at which the two mix to ``now``, the total that is ranked.

        Held within 0 and 1, to six decimals; None: it makes no difference whether it conforms.
        """
        if self.if_good == self.if_bad:
            return None
        chance = Decimal(self.if_bad - now) / (self.if_bad - self.if_good)
        return min(Decimal(1), max(Decimal(0), chance)).quantize(CHANCE_DIGITS)

    def spans(self, now: int) -> bool:
        """Whether the ranked total lies between the two."""
        low, high = sorted((self.if_good, self.if_bad))
        return low <= now <= high


@dataclass(frozen=True, slots=True)
class Weighed:
    """A position's two outcomes and what it takes to know, in minor units of what is compared.

    ``members`` are settled together (a matched set), or it is one alone. ``work``: looking and
    opening; ``is_costed``: the looking is on record. ``now``: expected total of the plan as it is
    ranked. ``kept``: where the plan keeps the part, what that comes to either way; None: it does
    not keep it, or nothing on record prices that (``is_priced``: it does). ``chance``: what the
    ranking itself stands on where ``kept`` tells, else what is on record of the condition.
    """

    members: Members
    chance: ProofChance
    is_costed: bool
    what: tuple[str, ...]
    work: int
    good: Outcome
    bad: Outcome
    now: int
    kept: Kept | None
    is_priced: bool
    own_chance: Decimal | None = None
    """What is on record of the part's own condition, whatever the ranking stands on."""

    def total_now(self, chance: Decimal) -> Decimal:
        """Expected total of the plan chosen without knowing, were this the chance to conform.

        At the chance that is believed it is the total that is ranked, to the last digit; so it is
        at any chance where the plan does not hang on it.
        """
        is_mixed = self.kept is not None and self.kept.spans(self.now)
        if self.kept is None or not is_mixed or chance == self.chance.chance:
            return Decimal(self.now)
        return chance * self.kept.if_good + (1 - chance) * self.kept.if_bad

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

    def pays_by_own_chance(self) -> bool | None:
        """Whether looking would pay with the chance that the part itself tells.

        Against the cheaper of the plan as it is and the one that is chosen if the part is bad.
        None: no other chance than the one believed is on record, or it is not known.
        """
        own, bad = self.own_chance, self.bad.total
        if own is None or own == self.chance.chance or bad is None:
            return None
        known = self.total_known(own)
        if known is None or self.balance(own) is None:
            return None
        return min(self.total_now(own), Decimal(bad)) - known > self.cost(own)

    @property
    def bars_the_way(self) -> bool:
        """Whether opening for the looking would leave an outcome without any plan.

        Once a group is open something behind it may be due that nothing fills.
        """
        outcomes = (self.good, self.bad)
        return any(one.total is not None and one.total_opened is None for one in outcomes)


def _mixed(chance: Decimal, good: int | None, bad: int | None) -> Decimal | None:
    return None if good is None or bad is None else chance * good + (1 - chance) * bad


def believed(own: ProofChance, kept: Kept, now: int) -> ProofChance:
    """The chance that the ranking stands on; what is on record of the condition stands beside it.

    ``own`` is that record; it holds alone where it makes no difference whether the part conforms.
    """
    chance = kept.chance_behind(now)
    if chance is None:
        return own
    told = "what the plan itself counts with: its total lies between the two outcomes"
    if not kept.spans(now):
        as_if = "conforms" if chance == 1 else "does not conform"
        told = f"what the plan itself counts with: its total is as if the part {as_if}"
    if own.chance is not None:
        told += f"; from the part itself: {percent_down(own.chance)} ({own.basis})"
    return ProofChance(chance, told)
