"""Derived measures are made of what is there; gauges have the doubt that a gauge can have."""

from collections.abc import Mapping

from shared.assemblies.model import Characteristic, Derivation, DerivationKind
from shared.decision.check.interchange import given_positions
from shared.decision.check.numbers import LARGEST_NUMBER, check_whole
from shared.decision.check.references import require_among
from shared.decision.check.units import MOST_READINGS, limits_of
from shared.decision.snapshot import Snapshot
from shared.errors import InvalidInput
from shared.quantities import check_quantity, convert, kind_of, same_dimension
from shared.quantities.positive import check_positive

MOST_TERMS = 12
LONGEST_CALIBRATION_MONTHS = 10_000


def check_derivations(snapshot: Snapshot) -> None:
    """Refuse measures derived from what is not there, of another kind, or from themselves.

    Of another assembly only some characteristics are there: what is made of others is found by
    nobody.
    """
    elsewhere = given_positions(snapshot)
    by_id = {one.id: one for one in snapshot.characteristics}
    for index, one in enumerate(snapshot.characteristics):
        at = f"/characteristics/{index}"
        check_whole(f"{at}/minimum_readings", one.minimum_readings, 1, MOST_READINGS)
        if one.unit is not None:
            kind_of(one.unit)
        if one.derivation is None:
            continue
        _check_terms(f"{at}/derivation", one.derivation)
        if one.position_id not in elsewhere:
            for place, term in enumerate(one.derivation.terms):
                pointer = f"{at}/derivation/terms/{place}/characteristic_id"
                require_among(pointer, term.characteristic_id, by_id, "characteristic")
        _check_kinds(f"{at}/derivation", one, by_id)
        _check_no_circle(f"{at}/derivation/terms", one, by_id)


def _check_terms(at: str, derivation: Derivation) -> None:
    most = MOST_TERMS if derivation.kind is DerivationKind.SUM else 1
    check_whole(f"{at}/terms", len(derivation.terms), 1, most)
    for place, term in enumerate(derivation.terms):
        pointer = f"{at}/terms/{place}/factor"
        if not term.factor.is_finite() or not 0 < abs(term.factor) <= LARGEST_NUMBER:
            raise InvalidInput(
                pointer,
                f"{term.factor} is out of range.",
                f"Give a number other than 0, from -{LARGEST_NUMBER:f} to {LARGEST_NUMBER:f}.",
                "out-of-range",
            )
        if term.piece is not None and term.piece < 1:
            raise InvalidInput(
                f"{at}/terms/{place}/piece",
                f"piece is {term.piece}.",
                "Count the pieces of a position from 1.",
                "out-of-range",
            )


def _unit_of(characteristic: Characteristic) -> str | None:
    limits = limits_of(characteristic)
    return limits[0].unit if limits else characteristic.unit


def _check_kinds(at: str, one: Characteristic, by_id: Mapping[str, Characteristic]) -> None:
    """What is added up is of one kind of quantity, that of the limits."""
    derivation, unit = one.derivation, _unit_of(one)
    assert derivation is not None
    for place, term in enumerate(derivation.terms):
        other = by_id.get(term.characteristic_id)
        its_unit = None if other is None else _unit_of(other)
        if its_unit is None:
            continue
        unit = its_unit if unit is None else unit
        if not same_dimension(kind_of(its_unit), kind_of(unit)):
            raise InvalidInput(
                f"{at}/terms/{place}/characteristic_id",
                f"{term.characteristic_id} is measured in {its_unit}, '{one.name}' in {unit}.",
                "Derive a measure only from such as are of its own kind of quantity.",
                "unit-wrong-dimension",
            )
    if derivation.offset is not None and unit is not None:
        check_quantity(derivation.offset, kind_of(unit), f"{at}/offset")


def _check_no_circle(at: str, one: Characteristic, by_id: Mapping[str, Characteristic]) -> None:
    """Follow what it is made of, and what that is made of: it must not come back."""
    seen: set[str] = set()
    ahead = [one]
    while ahead:
        derivation = ahead.pop().derivation
        for term in () if derivation is None else derivation.terms:
            if term.characteristic_id == one.id:
                raise InvalidInput(
                    at,
                    f"Characteristic {one.id} is derived from itself.",
                    "Name characteristics that are not made of this one.",
                    "cycle",
                )
            if term.characteristic_id not in seen and term.characteristic_id in by_id:
                seen.add(term.characteristic_id)
                ahead.append(by_id[term.characteristic_id])


def check_gauges(snapshot: Snapshot) -> None:
    """Refuse gauges without doubt, or whose readings share more doubt than one of them has."""
    for index, gauge in enumerate(snapshot.gauges):
        at = f"/gauges/{index}"
        whole, common = gauge.standard_uncertainty, gauge.common_uncertainty
        if whole is not None:
            check_positive(whole, kind_of(whole.unit), f"{at}/standard_uncertainty")
        if common is not None:
            kind = kind_of(common.unit if whole is None else whole.unit)
            check_positive(common, kind, f"{at}/common_uncertainty")
        if gauge.calibration_months is not None:
            check_whole(
                f"{at}/calibration_months",
                gauge.calibration_months,
                1,
                LONGEST_CALIBRATION_MONTHS,
            )
        if whole is None or common is None:
            continue
        if convert(common.value, common.unit, whole.unit) > whole.value:
            raise InvalidInput(
                f"{at}/common_uncertainty/value",
                "It is above standard_uncertainty, of which it is a part.",
                "Give standard_uncertainty at most.",
                "common-above-whole",
            )
