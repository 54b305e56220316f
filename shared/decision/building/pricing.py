"""From cost to price, line by line, by the shop's rules. All amounts in integer minor units."""

from dataclasses import dataclass
from decimal import Decimal
from functools import cached_property

from shared.decision.planning.case import AmountLine, CostClass
from shared.decision.settings import PricingRules
from shared.money import times


def marked_up(cost: int, percent: Decimal) -> int:
    """A cost with its mark-up, rounded once.

    >>> marked_up(1999, Decimal("35"))
    2699
    """
    return times(cost, 1 + percent / 100)


@dataclass(frozen=True)
class Pricing:
    """The shop's pricing rules at work."""

    rules: PricingRules

    @cached_property
    def _bands(self) -> dict[str | None, tuple[tuple[int, Decimal], ...]]:
        """Mark-up bands (cost from, percent) by kind of part, highest first."""
        found: dict[str | None, list[tuple[int, Decimal]]] = {}
        for band in self.rules.parts_markup:
            start = band.cost_from.minor if band.cost_from else 0
            found.setdefault(band.part_kind, []).append((start, band.percent))
        # Sorted by the start alone: of equal ones the first given counts.
        return {
            kind: tuple(sorted(bands, key=lambda band: -band[0])) for kind, bands in found.items()
        }

    @cached_property
    def _labour_cost_per_hour(self) -> int:
        return self.rules.labour_cost_per_hour.minor

    @cached_property
    def _labour_price_per_hour(self) -> int:
        return self.rules.labour_price_per_hour.minor

    def markup_percent(self, piece_cost: int, part_kind: str | None) -> Decimal:
        """Mark-up on a part: the highest band not above its cost, of its kind before the general.

        No band: no mark-up.
        """
        for kind in (part_kind, None):
            for start, percent in self._bands.get(kind, ()):
                if start <= piece_cost:
                    return percent
        return Decimal(0)

    def part(
        self,
        label: str,
        piece_cost: int,
        quantity: int,
        part_kind: str | None,
        cost_class: CostClass = CostClass.GOODS,
    ) -> AmountLine:
        """Goods: mark-up on the piece, then times the quantity."""
        price = marked_up(piece_cost, self.markup_percent(piece_cost, part_kind))
        return AmountLine(cost_class, label, piece_cost * quantity, price * quantity)

    def unit(self, label: str, cost: int) -> AmountLine:
        """A whole unit bought in."""
        return AmountLine(
            CostClass.GOODS, label, cost, marked_up(cost, self.rules.unit_markup_percent)
        )

    def service(self, label: str, cost: int) -> AmountLine:
        """Work done by others on the customer's part or unit."""
        return AmountLine(
            CostClass.SERVICE, label, cost, marked_up(cost, self.rules.sublet_markup_percent)
        )

    def freight(self, label: str, cost: int) -> AmountLine:
        """What a supplier charges to send an order."""
        return AmountLine(
            CostClass.FREIGHT, label, cost, marked_up(cost, self.rules.freight_markup_percent)
        )

    def labour_cost(self, hours: Decimal) -> int:
        """What hours at the bench cost the shop."""
        return times(self._labour_cost_per_hour, hours)

    def labour_price(self, hours: Decimal) -> int:
        """What hours at the bench are charged at."""
        return times(self._labour_price_per_hour, hours)

    def labour(
        self, label: str, hours: Decimal, cost_class: CostClass = CostClass.LABOUR
    ) -> tuple[AmountLine, ...]:
        """Labour at the quoted (P50) hours, and workshop supplies as a share of it."""
        if hours == 0:
            return ()
        price = self.labour_price(hours)
        lines = (AmountLine(cost_class, label, self.labour_cost(hours), price),)
        share = self.rules.supplies_percent_of_labour
        if share == 0:
            return lines
        supplies = times(price, share / 100)
        label = f"workshop supplies, {share.normalize():f} % of labour"
        return (*lines, AmountLine(CostClass.SUPPLIES, label, supplies, supplies))

    def disposal(self) -> tuple[AmountLine, ...]:
        """Taking away old parts and oil, charged once."""
        if self.rules.disposal is None:
            return ()
        amount = self.rules.disposal.minor
        return (AmountLine(CostClass.DISPOSAL, "disposal of old parts and oil", amount, amount),)


def total(lines: tuple[AmountLine, ...], counts_price: bool) -> int:
    """Sum of lines as the aim counts them."""
    return sum(line.price if counts_price else line.cost for line in lines)
