"""What the work asks of a tool: as stated, or estimated from a sealed area and a press fit. N, N·m.

An estimate is the sum of all that holds the parts together. The most that may be needed counts.
"""

from dataclasses import dataclass
from math import isfinite
from typing import Final

from shared.errors import InvalidInput, OutOfRange
from shared.fasteners.substitutes.checking import force_text
from shared.fasteners.substitutes.model import Need, Range
from shared.fasteners.substitutes.press_fit import BASIS, PressFit, press_force
from shared.standards.sealants import UNKNOWN, Sealant, sealant_of

AS_STATED: Final = "as stated"


@dataclass(frozen=True, slots=True)
class SealedFace:
    """An area, mm2, that a sealant holds; None: nobody knows which, counted as the strongest."""

    area: float
    sealant: Sealant | None = None


def stated_need(amount: Range, field: str = "force") -> Need:
    """Return a need as stated, N or N·m.

    Raises OutOfRange where it is not above 0 or the highest is below the lowest (pointers
    "/force", "/force_highest", or those of another ``field``).
    """
    for name, value in ((field, amount.least), (f"{field}_highest", amount.most)):
        if not (isfinite(value) and value > 0):
            raise OutOfRange(name, f"{value:g}", "more than 0")
    if amount.most < amount.least:
        raise OutOfRange(f"{field}_highest", f"{amount.most:g}", f"{amount.least:g} or more")
    return Need(amount, AS_STATED, is_estimate=False)


def force_need(
    force: Range | None = None,
    sealed: SealedFace | None = None,
    press: PressFit | None = None,
) -> Need | None:
    """Return the force that the work asks for, N; None where nothing tells.

    A stated force stands in place of estimates. Where even the least estimate is above it, the
    most estimated counts: a force stated too low must not make a weak set-up look good. Sealed
    area and press fit add up. Raises InvalidInput with pointers /force, /sealed_area, /press_fit.
    """
    estimate = _sum(
        [
            *([] if sealed is None else [_sealed_need(sealed)]),
            *([] if press is None else [_press_need(press)]),
        ]
    )
    if force is None:
        return estimate
    stated = stated_need(force)
    if estimate is None or stated.amount.most >= estimate.amount.most:
        return stated
    if stated.amount.most >= estimate.amount.least:
        note = (
            f"The stated {force_text(stated.amount.most)} is counted; the estimate from sealed area"
            f" and press fit reaches to {force_text(estimate.amount.most)}."
        )
        return Need(stated.amount, stated.basis, is_estimate=False, notes=(note,))
    note = (
        f"The stated {force_text(stated.amount.most)} is less than the least estimate,"
        f" {force_text(estimate.amount.least)}: the estimate's most is counted. Check the stated"
        " force."
    )
    return Need(
        Range(stated.amount.least, estimate.amount.most),
        f"as stated, and {estimate.basis}",
        is_estimate=True,
        notes=(note, *estimate.notes),
    )


def _sealed_need(sealed: SealedFace) -> Need:
    if not (isfinite(sealed.area) and sealed.area > 0):
        raise OutOfRange("sealed_area", f"{sealed.area:g}", "more than 0 mm2")
    row = sealed.sealant or sealant_of(UNKNOWN)
    basis = (
        f"estimate: {sealed.area:.6g} mm2 of {row.title} at {row.bond_least:g} to"
        f" {row.bond_most:g} MPa ({row.source}, {row.edition})"
    )
    note = f"{row.title}: {row.note}." if row.note else ""
    return Need(
        Range(sealed.area * row.bond_least, sealed.area * row.bond_most),
        basis,
        is_estimate=True,
        notes=(note,) if note else (),
    )


def _press_need(press: PressFit) -> Need:
    try:
        found = press_force(press)
    except InvalidInput as error:
        raise error.below("/press_fit") from None
    basis = (
        f"estimate: press fit {press.diameter:g} {press.hole_class}/{press.shaft_class},"
        f" {found.interference.least:.3g} to {found.interference.most:.3g} mm tight ({BASIS})"
    )
    return Need(found.force, basis, is_estimate=True, notes=found.notes)


def _sum(needs: list[Need]) -> Need | None:
    if not needs:
        return None
    return Need(
        Range(
            sum(need.amount.least for need in needs),
            sum(need.amount.most for need in needs),
        ),
        "; ".join(need.basis for need in needs),
        is_estimate=True,
        notes=tuple(note for need in needs for note in need.notes),
    )
