"""Conformity of one measured quantity against limits, each in its own unit."""

from dataclasses import dataclass

from shared.condition.conformity import (
    ConformityResult,
    Distribution,
    judge_conformity,
)
from shared.condition.model import ConformityRule
from shared.errors import InvalidInput
from shared.quantities import Quantity
from shared.quantities.units import (
    canonical,
    canonical_unit,
    canonical_without_doubt,
    check_quantity,
    kind_of,
    standard_uncertainty,
)


@dataclass(frozen=True, slots=True)
class JudgedQuantity:
    """A quantity judged; value, u and the result's sizes in ``unit``, the canonical one.

    Differences (u, guard band) are in ``difference_unit``: the same but for temperatures.
    """

    value: float
    u: float
    unit: str
    difference_unit: str
    distribution: Distribution
    result: ConformityResult


def judge_quantity(
    measured: Quantity,
    lower: Quantity | None,
    upper: Quantity | None,
    rule: ConformityRule,
    acceptance_probability: float,
) -> JudgedQuantity:
    """Judge ``measured`` with its stated uncertainty; units may differ, the dimension may not.

    Raises InvalidInput with a pointer to the member: /measured (no uncertainty), /lower_limit and
    /upper_limit (none given, of another dimension, uncertain themselves, upside down),
    /acceptance_probability. ``plus_minus`` is taken as rectangular, the other two as normal.
    """
    kind = kind_of(measured.unit)
    check_quantity(measured, kind, "/measured")
    u = standard_uncertainty(measured, kind)
    if u is None:
        raise InvalidInput(
            "/measured",
            "The measured value states no uncertainty.",
            "Give standard_uncertainty, expanded_uncertainty or plus_minus.",
            "uncertainty-missing",
        )
    is_rectangular = measured.plus_minus is not None
    distribution = Distribution.RECTANGULAR if is_rectangular else Distribution.NORMAL
    value = canonical(measured, kind)
    result = judge_conformity(
        value,
        u,
        _limit(lower, kind, "/lower_limit"),
        _limit(upper, kind, "/upper_limit"),
        rule=rule,
        acceptance_probability=acceptance_probability,
        distribution=distribution,
    )
    unit = canonical_unit(kind)
    difference_unit = "K" if kind == "temperature" else unit
    return JudgedQuantity(value, u, unit, difference_unit, distribution, result)


def _limit(limit: Quantity | None, kind: str, pointer: str) -> float | None:
    if limit is None:
        return None
    return canonical_without_doubt(
        limit,
        kind,
        pointer,
        detail="A limit states an uncertainty; a limit is what it says.",
        fix="Leave it out; the doubt belongs to the measured value.",
    )
