"""What is to be known of a giving besides its figures, in words."""

from collections.abc import Iterable, Iterator
from decimal import Decimal

from shared.condition.model import Unit
from shared.decision.giving.found import Likeness, Loss, TraitCompared


def unbound_notes(compared: Iterable[TraitCompared]) -> Iterator[str]:
    """Traits that are not alike where something is given all the same: it depends on none."""
    by_likeness: dict[Likeness, list[str]] = {}
    for one in compared:
        by_likeness.setdefault(one.likeness, []).append(one.name)
    told = []
    if differing := by_likeness.get(Likeness.DIFFERS):
        told.append(f"the donor differs in {', '.join(differing)}")
    if unknown := by_likeness.get(Likeness.CANNOT_BE_TOLD):
        told.append(f"not on record of both units: {', '.join(unknown)}")
    if told:
        said = "; ".join(told)
        said = f"{said[0].upper()}{said[1:]}"
        yield f"{said}. By the record the part does not depend on it: make sure."


def buying_notes(donor: Unit) -> Iterator[str]:
    """That a donor has yet to be bought and brought here."""
    terms = donor.donor
    if terms is None or terms.is_owned:
        return
    told = "The donor has to be bought; "
    if terms.p90_days > 0:
        told += (
            f"it is here after {_days(terms.p50_days)} working days in five cases of ten,"
            f" after {_days(terms.p90_days)} in nine"
        )
    else:
        told += "no time to bring it here is on record, and a plan counts none"
    if terms.freight is not None and terms.freight.minor:
        told += f"; freight {terms.freight.amount} {terms.freight.currency}"
    yield f"{told}."


def hours_notes(has_hours: bool) -> Iterator[str]:
    """That nobody wrote down how long taking it lasts."""
    if not has_hours:
        yield "Hours to take it, or what comes along, are not on record; a plan counts none for it."


def worth_notes(loss: Loss) -> Iterator[str]:
    """That nobody wrote down what the donor's rest loses."""
    if loss.rest_before is not None and loss.taken is None:
        yield "What the donor's rest loses without it is not on record; a plan counts none."


def _days(days: Decimal) -> str:
    return f"{days.normalize():f}"
