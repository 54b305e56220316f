"""What broke the unit in the first place: what its coming back costs, and by which figure.

Amounts are integer minor units. Source: planning method of this project.
"""

from decimal import Decimal

from shared.decision.building.draft import Draft
from shared.decision.building.risk import first_cause
from shared.decision.planning.case import AmountLine, CostClass
from shared.decision.telling.figures import percent_up
from shared.life.cause import Recurrence, RecurrenceRow
from shared.money import Money, times


def common_cause_lines(draft: Draft, hours: Decimal) -> tuple[AmountLine, ...]:
    """Expected cost of the original cause striking again within the warranty."""
    cause = first_cause(draft.bench.snapshot)
    chance = cause.chance
    if chance == 0:
        return ()
    fixed = draft.bench.settings.warranty.comeback_fixed_cost
    whole = draft.pricing.labour_cost(hours) + (fixed.minor if fixed else 0)
    amount = times(whole, chance)
    if amount == 0:
        return ()
    what = _cause_told(cause)
    stated = Money.of_minor(whole, draft.bench.settings.currency).amount
    label = f"comeback by the first cause ({what}): {chance:.2%} of {stated}"
    return (AmountLine(CostClass.COMEBACK, label, amount, amount, is_billed=False),)


def _cause_told(cause: Recurrence) -> str:
    if cause.row is RecurrenceRow.UNKNOWN:
        return "not known"
    return "known" if cause.counts is cause.row else "known, not on record as removed"


def note_cause(draft: Draft) -> None:
    """Tell by which of the shop's figures the first cause counts, where it keeps any."""
    warranty = draft.bench.settings.warranty
    figures = [warranty.common_cause_known, warranty.common_cause_unknown]
    figures += [row.probability for row in warranty.cause_chances]
    if not any(figures):
        return
    cause = first_cause(draft.bench.snapshot)
    draft.assume(
        f"That the first cause strikes again within the warranty counts with "
        f"{percent_up(cause.chance)}: {cause.basis}."
    )
