"""What is left of a fit: clearance of the measured parts against the fit as it was designed.

Clearance = hole - shaft, below 0 an interference. u^2 = u_hole^2 + u_shaft^2 - 2 c^2, where c is
the part of doubt that both readings share (one setting master): it cancels. Source: JCGM 100:2008
5.2.2, F.1.2.3 (from memory); limits by ISO 286.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from decimal import Decimal
from enum import StrEnum
from math import sqrt

from shared.condition.conformity import conformity_probability, verdict_of
from shared.condition.fits.temperature import Expansion, expansion, least_and_most_change
from shared.condition.model import Verdict
from shared.errors import InvalidInput, OutOfRange
from shared.quantities import Quantity
from shared.quantities.units import (
    canonical,
    canonical_without_doubt,
    check_quantity,
    standard_uncertainty,
)
from shared.standards import iso286


class FitNow(StrEnum):
    """What two measured parts make together."""

    CLEARANCE = "clearance"
    INTERFERENCE = "interference"
    CANNOT_BE_TOLD = "cannot-be-told"


@dataclass(frozen=True, slots=True)
class PartTemperatures:
    """Temperatures of both parts at one moment."""

    hole: Quantity
    shaft: Quantity


@dataclass(frozen=True, slots=True)
class FitAsked:
    """A fit as designed, both parts as measured at 20 °C, and what temperatures to look at."""

    nominal: Quantity
    hole_class: str
    shaft_class: str
    hole: Quantity
    shaft: Quantity
    common_uncertainty: Quantity | None = None
    hole_material: str | None = None
    shaft_material: str | None = None
    temperatures: tuple[PartTemperatures, ...] = ()
    acceptance_probability: Decimal = Decimal("0.95")


@dataclass(frozen=True, slots=True)
class PartInFit:
    """One part against its own limits of size, mm; ``probability`` None: its doubt is unknown."""

    limits: iso286.Limits
    measured: float
    u: float | None
    probability: float | None


@dataclass(frozen=True, slots=True)
class ClearanceAt:
    """Clearance at temperatures, mm: least and most over the ranges of both coefficients.

    ``surely_clear``, ``surely_tight``: probabilities of play and of interference at whichever end
    of the range is worse for each; None: a doubt is unknown.
    """

    hole_celsius: float
    shaft_celsius: float
    least: float
    most: float
    surely_clear: float | None
    surely_tight: float | None
    kind: FitNow


@dataclass(frozen=True, slots=True)
class FitCondition:
    """A fit now; sizes in mm. ``u`` None: the doubt of a part is not known, nor any probability.

    ``verdict``: whether the clearance is still that of the fit as designed.
    """

    designed: iso286.Fit
    hole: PartInFit
    shaft: PartInFit
    clearance: float
    u: float | None
    within_design: float | None
    verdict: Verdict
    clearance_probability: float | None
    kind: FitNow
    hole_expansion: Expansion
    shaft_expansion: Expansion
    at_temperatures: tuple[ClearanceAt, ...]
    notes: tuple[str, ...]


def fit_condition(asked: FitAsked) -> FitCondition:
    """Compare the measured parts with the fit as designed, and carry them to temperatures.

    Raises InvalidInput with a pointer to the member: classes that ISO 286 does not have at this
    size, a hole's class for the shaft, sizes of another kind or far from the nominal size, shared
    doubt above that of a part, a material not in the table, temperatures beyond it.
    """
    probability = float(asked.acceptance_probability)
    if not 0.5 <= probability < 1:
        raise OutOfRange("acceptance_probability", probability, "from 0.5 to below 1")
    designed = _designed(asked)
    hole, shaft = _part(asked, designed, is_hole=True), _part(asked, designed, is_hole=False)
    u = _u(asked, hole, shaft)
    clearance = hole.measured - shaft.measured
    clear = None if u is None else conformity_probability(clearance, u, lower=0.0)
    within = None
    if u is not None:
        within = conformity_probability(
            clearance, u, designed.least_clearance, designed.most_clearance
        )
    of_hole = expansion(asked.hole_material, "/hole_material")
    of_shaft = expansion(asked.shaft_material, "/shaft_material")
    at = tuple(
        _at(asked, place, designed.hole.nominal, (clearance, u), (of_hole, of_shaft), probability)
        for place in range(len(asked.temperatures))
    )
    return FitCondition(
        designed,
        hole,
        shaft,
        clearance,
        u,
        within,
        Verdict.INDETERMINATE if within is None else verdict_of(within, probability),
        clear,
        _kind(clear, None if clear is None else 1 - clear, probability),
        of_hole,
        of_shaft,
        at,
        tuple(_notes(asked, designed, hole, shaft, u)),
    )


def _designed(asked: FitAsked) -> iso286.Fit:
    nominal = canonical_without_doubt(
        asked.nominal,
        "length",
        "/nominal",
        detail="The nominal size states an uncertainty; it has none.",
        fix="Leave it out; the doubt belongs to the measured sizes.",
    )
    found = []
    for member, text, is_hole in (
        ("hole_class", asked.hole_class, True),
        ("shaft_class", asked.shaft_class, False),
    ):
        try:
            limits = iso286.limits(nominal, text)
        except InvalidInput as error:
            if error.pointer == "/classes":
                error.pointer = f"/{member}"
            raise
        if limits.tolerance_class.is_hole is not is_hole:
            raise InvalidInput(
                f"/{member}",
                f"{limits.tolerance_class} is a class of {'shafts' if is_hole else 'holes'}.",
                "Capitals are holes, small letters shafts: H7 and g6.",
                "not-listed",
            )
        found.append(limits)
    return iso286.Fit(found[0], found[1])


FAR_FROM_NOMINAL = 0.1
"""A measured size further from the nominal one than this share of it is a slip. Common practice."""


def _part(asked: FitAsked, designed: iso286.Fit, *, is_hole: bool) -> PartInFit:
    pointer, size = ("/hole", asked.hole) if is_hole else ("/shaft", asked.shaft)
    limits = designed.hole if is_hole else designed.shaft
    check_quantity(size, "length", pointer)
    measured, u = canonical(size, "length"), standard_uncertainty(size, "length")
    if abs(measured - limits.nominal) > FAR_FROM_NOMINAL * limits.nominal:
        raise InvalidInput(
            f"{pointer}/value",
            f"{measured:g} mm is far from the nominal size {limits.nominal:g} mm.",
            "Check the size and its unit, and the nominal size.",
            "out-of-range",
        )
    inside = None
    if u is not None:
        inside = conformity_probability(measured, u, limits.least, limits.most)
    return PartInFit(limits, measured, u, inside)


def _u(asked: FitAsked, hole: PartInFit, shaft: PartInFit) -> float | None:
    shared = 0.0
    if asked.common_uncertainty is not None:
        shared = canonical_without_doubt(
            asked.common_uncertainty,
            "length",
            "/common_uncertainty",
            detail="It states an uncertainty of its own, which is not taken into account.",
            fix="Leave it out.",
        )
    if hole.u is None or shaft.u is None:
        return None
    if not 0 <= shared <= min(hole.u, shaft.u):
        raise InvalidInput(
            "/common_uncertainty",
            f"Got {shared:g} mm; wanted 0 up to the lesser doubt of both, "
            f"{min(hole.u, shaft.u):g} mm.",
            "Give the part of both uncertainties that they share.",
            "out-of-range",
        )
    return sqrt(max(0.0, hole.u**2 + shaft.u**2 - 2 * shared**2))


def _at(
    asked: FitAsked,
    place: int,
    nominal: float,
    cold: tuple[float, float | None],
    expansions: tuple[Expansion, Expansion],
    acceptance: float,
) -> ClearanceAt:
    pair, (clearance, u), (of_hole, of_shaft) = asked.temperatures[place], cold, expansions
    celsius = []
    for member, temperature in (("hole", pair.hole), ("shaft", pair.shaft)):
        celsius.append(
            canonical_without_doubt(
                temperature,
                "temperature",
                f"/temperatures/{place}/{member}",
                detail="A temperature states an uncertainty, which is not taken into account.",
                fix="Leave it out; give two rows for two temperatures.",
            )
        )
    try:
        least, most = least_and_most_change(nominal, of_hole, celsius[0], of_shaft, celsius[1])
    except OutOfRange as error:
        member = error.pointer.removeprefix("/").removesuffix("_temperature")
        error.pointer = f"/temperatures/{place}/{member}"
        raise
    clear = tight = None
    if u is not None:
        clear = conformity_probability(clearance + least, u, lower=0.0)
        tight = conformity_probability(clearance + most, u, upper=0.0)
    return ClearanceAt(
        celsius[0],
        celsius[1],
        clearance + least,
        clearance + most,
        clear,
        tight,
        _kind(clear, tight, acceptance),
    )


def _kind(clear: float | None, tight: float | None, acceptance: float) -> FitNow:
    if clear is not None and clear >= acceptance:
        return FitNow.CLEARANCE
    if tight is not None and tight >= acceptance:
        return FitNow.INTERFERENCE
    return FitNow.CANNOT_BE_TOLD


def _notes(
    asked: FitAsked, designed: iso286.Fit, hole: PartInFit, shaft: PartInFit, u: float | None
) -> Sequence[str]:
    told = []
    clearance = hole.measured - shaft.measured
    if u is None:
        told.append("A doubt is not stated: say that of hole and shaft, or with which gauges.")
    elif asked.common_uncertainty is None:
        told.append(
            "The two readings count as sharing nothing of their doubt; one setting master for both"
            " would make the clearance surer (common_uncertainty)."
        )
    if not designed.least_clearance <= clearance <= designed.most_clearance:
        side = "looser" if clearance > designed.most_clearance else "tighter"
        told.append(f"By the bare readings the fit is {side} than designed.")
    for name, part in (("hole", hole), ("shaft", shaft)):
        if not part.limits.least <= part.measured <= part.limits.most:
            told.append(
                f"By the bare reading the {name} is beyond its own limits: another part of its"
                " class would not make the same fit with it."
            )
    told.append("The sizes count as measured at 20 °C.")
    return told
