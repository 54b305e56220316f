"""How much of an answer is wanted is within what can be given."""

from decimal import Decimal

from shared.decision.check.numbers import check_whole
from shared.decision.snapshot import Snapshot
from shared.errors import InvalidInput

MOST_ALTERNATIVES = 10
MOST_LOOKED_AT = 50
MOST_EFFORT = Decimal(100)


def check_asked(snapshot: Snapshot) -> None:
    """Refuse no alternatives or too many, no difference, no effort or too much."""
    asked = snapshot.asked
    check_whole("/asked/alternatives", asked.alternatives, 1, MOST_ALTERNATIVES)
    check_whole("/asked/differ_in", asked.differ_in, 1, MOST_ALTERNATIVES)
    check_whole("/asked/break_evens", asked.break_evens, 0, MOST_LOOKED_AT)
    check_whole("/asked/settlings", asked.settlings, 0, MOST_LOOKED_AT)
    if not 0 < asked.effort <= MOST_EFFORT:
        raise InvalidInput(
            "/asked/effort",
            f"{asked.effort} is out of range.",
            f"Give more than 0 and at most {MOST_EFFORT}.",
            "out-of-range",
        )
