"""What a path adds up to, step by step, for one piece called for."""

from dataclasses import dataclass, field, replace
from decimal import ROUND_CEILING, Decimal
from fractions import Fraction
from math import ceil
from typing import Final, TypeVar

from shared.interchange.conditions import not_accepted
from shared.interchange.found import Holds, Step
from shared.interchange.here import Hop
from shared.interchange.model import (
    DutyDifference,
    FitmentCount,
    InterchangeClaim,
    Sameness,
)
from shared.interchange.walk import Reached

_One = TypeVar("_One")
_HOURS: Final = Decimal("0.0001")
_BEST_FIRST: Final = (Sameness.SAME, Sameness.NOT_TOLD, Sameness.DIFFERS)


@dataclass(frozen=True, slots=True)
class Trail:
    """A path from the part called for, and what it adds up to for one piece called for.

    ``rework_minor`` is money in minor units by currency.
    """

    steps: tuple[Step, ...] = ()
    ratio: Fraction = Fraction(1)
    companions: dict[str, Fraction] = field(default_factory=dict)
    p50_hours: Decimal = Decimal(0)
    p90_hours: Decimal = Decimal(0)
    rework_minor: dict[str, int] = field(default_factory=dict)
    rework_notes: tuple[str, ...] = ()
    form: Sameness = Sameness.SAME
    fit: Sameness = Sameness.SAME
    function: Sameness = Sameness.SAME
    differences: tuple[DutyDifference, ...] = ()
    to_check: tuple[str, ...] = ()
    notes: tuple[str, ...] = ()
    cautions: tuple[str, ...] = ()
    questions: tuple[str, ...] = ()


@dataclass(slots=True)
class Trails:
    """Paths of parts that were reached; what two of them share is added up once."""

    _known: dict[int, Trail] = field(default_factory=dict)

    def to(self, reached: Reached) -> Trail:
        """Return the path by which a part was reached."""
        ahead: list[Reached] = []
        one: Reached | None = reached
        while one is not None and id(one) not in self._known:
            ahead.append(one)
            one = one.before
        trail = Trail() if one is None else self._known[id(one)]
        for later in reversed(ahead):
            trail = trail if later.hop is None else _along(trail, later.hop)
            self._known[id(later)] = trail
        return trail


def _along(trail: Trail, hop: Hop) -> Trail:
    """Return the path that goes one step further."""
    edge = hop.edge
    form, fit, function = _sameness(hop)
    on = replace(
        trail,
        steps=(*trail.steps, hop.step),
        ratio=trail.ratio if edge.ratio == 1 else trail.ratio * edge.ratio,
        companions=_with_more(trail.companions, hop.companions, trail.ratio),
        form=_worse(trail.form, form),
        fit=_worse(trail.fit, fit),
        function=_worse(trail.function, function),
        differences=_joined(trail.differences, hop.differences),
        to_check=_joined(trail.to_check, hop.to_check),
        notes=_joined(trail.notes, _notes(hop)),
        cautions=_joined(trail.cautions, _cautions(hop)),
        questions=_joined(trail.questions, _questions(hop.step)),
    )
    return on if edge.claim is None else _with_claim(on, edge.claim, edge.count)


def _with_claim(trail: Trail, claim: InterchangeClaim, count: FitmentCount | None) -> Trail:
    """Return the path with what a claim asks for each piece of its stand-in."""
    minor = trail.rework_minor
    if claim.rework_cost is not None:
        cost = ceil(claim.rework_cost.minor * trail.ratio)
        currency = claim.rework_cost.currency
        minor = minor | {currency: minor.get(currency, 0) + cost}
    return replace(
        trail,
        p50_hours=trail.p50_hours + _times(claim.rework_p50_hours, trail.ratio),
        p90_hours=trail.p90_hours + _times(claim.rework_p90_hours, trail.ratio),
        rework_minor=minor,
        rework_notes=_joined(trail.rework_notes, (claim.rework_note,) if claim.rework_note else ()),
        differences=_joined(trail.differences, claim.differences),
        to_check=_joined(trail.to_check, claim.to_check),
        notes=_joined(trail.notes, _fitments(count)),
    )


def _sameness(hop: Hop) -> tuple[Sameness, Sameness, Sameness]:
    claim = hop.edge.claim
    return hop.sameness if claim is None else (claim.form, claim.fit, claim.function)


def _worse(one: Sameness, other: Sameness) -> Sameness:
    return max(one, other, key=_BEST_FIRST.index)


def _cautions(hop: Hop) -> tuple[str, ...]:
    record, count = hop.edge.record, hop.edge.count
    told = hop.cautions
    if count is not None and count.against > count.served:
        told += (
            f"more fitments here that tried the claim '{count.claim_id}' went wrong than served: "
            f"{count.against} against {count.served}",
        )
    return told if hop.edge.is_accepted or record is None else (*told, not_accepted(record))


def _questions(step: Step) -> tuple[str, ...]:
    return (step.reason,) if step.holds is Holds.CANNOT_BE_TOLD and step.reason else ()


def _notes(hop: Hop) -> tuple[str, ...]:
    rule = hop.edge.supersession
    if rule is not None:
        return (f"supersession '{rule.id}': {rule.note}",) if rule.note else ()
    return tuple(one.difference for one in hop.differences)


def _fitments(count: FitmentCount | None) -> tuple[str, ...]:
    if count is None or not (count.served or count.against or count.running):
        return ()
    running = f"; {count.running} still running, not counted" if count.running else ""
    return (f"fitted here before: {count.served} served, {count.against} did not{running}",)


def _with_more(
    companions: dict[str, Fraction], more: tuple[tuple[str, Fraction], ...], pieces: Fraction
) -> dict[str, Fraction]:
    if not more:
        return companions
    added = dict(companions)
    for part_id, quantity in more:
        added[part_id] = added.get(part_id, Fraction(0)) + quantity * pieces
    return added


def _times(hours: Decimal, ratio: Fraction) -> Decimal:
    if ratio == 1 or not hours:
        return hours
    exact = hours * ratio.numerator / ratio.denominator
    return exact.quantize(_HOURS, rounding=ROUND_CEILING)


def _joined(known: tuple[_One, ...], more: tuple[_One, ...]) -> tuple[_One, ...]:
    return known if not more else tuple(dict.fromkeys((*known, *more)))
