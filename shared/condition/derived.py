"""Measures that follow from other findings: a clearance from bore and journal, taper, roundness.

What is not known is not made up: without all its inputs a measure is not inspected, and
``why_not_derived`` says what is missing.
"""

from collections.abc import Mapping, Sequence
from math import fsum

from shared.assemblies.model import Characteristic, Derivation, DerivationKind
from shared.condition.case import first_size
from shared.condition.derived_finding import PREFIX, Bench, Found, Measure, finding_of
from shared.condition.derived_forms import forms_of
from shared.condition.derived_inputs import (
    FlatSum,
    Input,
    extremes,
    findings_for,
    flat_sum,
    input_of,
)
from shared.condition.doubt import NO_GAUGES
from shared.condition.limits import kind_of_characteristic
from shared.condition.measured import DerivedFinding
from shared.condition.measures import Term, combine
from shared.condition.model import Finding, Gauge
from shared.condition.standing import current_findings
from shared.condition.uncertainty import combined_uncertainty
from shared.errors import CorewrightError
from shared.quantities import Quantity
from shared.quantities.units import canonical, canonical_unit, standard_uncertainty


def derived_findings(
    characteristics: Sequence[Characteristic],
    findings: Sequence[Finding],
    gauges: Mapping[str, Gauge] = NO_GAUGES,
) -> tuple[DerivedFinding, ...]:
    """Return a finding for every characteristic that follows from others whose inputs are there.

    ``findings``: of one unit (ValueError otherwise); those that count today are taken. Ids are
    ``derived:<characteristic id>``; where several findings stand for one input there are two, the
    greatest first and then ``derived:<id>:least``; what is read on several pieces of its own
    position is told piece by piece (``derived:<id>:piece-2``). Never conforming, whatever it comes
    to, while an input was not cleaned, read with a gauge out of calibration or in too few readings;
    without an uncertainty, and so indeterminate, while that of an input is not known.

    Temperature: no part is corrected to 20 °C. Each input that was read far from it may change by
    anything from nothing to what the most expanding metal would, and parts of one assembly need not
    be of one metal; the measure is therefore judged at the least and the greatest that this leaves
    (``at_reference``), and conforms only where both do. The clearance of two parts read hot is a
    small difference of two large changes: it is seldom shown good.
    """
    return tuple(
        finding
        for found in _all(characteristics, findings, gauges).values()
        if not isinstance(found, str)
        for finding in found
    )


def why_not_derived(
    characteristics: Sequence[Characteristic],
    findings: Sequence[Finding],
    gauges: Mapping[str, Gauge] = NO_GAUGES,
) -> dict[str, str]:
    """Return, by characteristic id, why a measure that follows from others is not there."""
    found = _all(characteristics, findings, gauges)
    return {key: why for key, why in found.items() if isinstance(why, str)}


def _all(
    characteristics: Sequence[Characteristic],
    findings: Sequence[Finding],
    gauges: Mapping[str, Gauge],
) -> dict[str, Found]:
    if len({finding.unit_id for finding in findings}) > 1:
        raise ValueError("findings of several units cannot be reckoned as one")
    own = [one for one in findings if not isinstance(one, DerivedFinding)]
    bench = Bench({one.id: one for one in characteristics}, current_findings(own), gauges)
    return {
        one.id: _derive(one, one.derivation, bench)
        for one in characteristics
        if one.derivation is not None
    }


def _derive(characteristic: Characteristic, derivation: Derivation, bench: Bench) -> Found:
    try:
        if derivation.kind is DerivationKind.SUM:
            return _sums(characteristic, bench)
        return forms_of(characteristic, derivation, bench)
    except CorewrightError as error:
        # Units of different kinds: the record is refused where it is made, and tells nothing here.
        return f"its inputs cannot be reckoned with: {error}"


def _sums(characteristic: Characteristic, bench: Bench) -> Found:
    flat = flat_sum(characteristic, bench.by_id, bench.findings)
    if isinstance(flat, str):
        return flat
    pieces = _pieces(characteristic, flat, bench)
    if not pieces:
        return _sum_of_piece(characteristic, flat, bench, None)
    made: list[DerivedFinding] = []
    why = ""
    for piece in pieces:
        found = _sum_of_piece(characteristic, flat, bench, piece)
        if isinstance(found, str):
            why = found
        else:
            made += found
    return tuple(made) or why


def _pieces(characteristic: Characteristic, flat: FlatSum, bench: Bench) -> list[int]:
    """Return the pieces of its own position, where its inputs there are read on several of them.

    None where a term says which piece, or a finding does not: then it is not known which belong
    together.
    """
    pieces: set[int | None] = set()
    for term in flat.terms:
        if term.characteristic.position_id == characteristic.position_id:
            pieces |= {
                one.piece
                for one in bench.findings
                if one.characteristic_id == term.characteristic.id and first_size(one) is not None
            }
            if term.piece is not None:
                return []
    numbers = sorted(piece for piece in pieces if piece is not None)
    return numbers if len(numbers) > 1 and None not in pieces else []


def _sum_of_piece(
    characteristic: Characteristic, flat: FlatSum, bench: Bench, own_piece: int | None
) -> Found:
    """Return the sum, of one piece of its own position where that is given."""
    kind: str | None = None
    pairs: list[tuple[Input, Input]] = []
    for term in flat.terms:
        named = term.characteristic
        is_own = named.position_id == characteristic.position_id
        piece = own_piece if own_piece is not None and is_own else term.piece
        found = findings_for(named.name, named.id, piece, bench.findings)
        if isinstance(found, str):
            return found
        kind = kind or kind_of_characteristic(characteristic, first_size(found[0]))
        inputs = [input_of(term, one, kind, bench.gauges) for one in found]
        for one in inputs:
            if isinstance(one, str):
                return one
        pairs.append(extremes([one for one in inputs if isinstance(one, Input)]))
    assert kind is not None
    greatest = _sum([pair[0] for pair in pairs], flat.offsets, kind, bench)
    of_piece = own_piece
    is_here = all(
        term.characteristic.position_id == characteristic.position_id for term in flat.terms
    )
    pieces = {one.piece for one in greatest.inputs}
    if own_piece is None and is_here and len(pieces) == 1:
        of_piece = pieces.pop()
    id_ = PREFIX + characteristic.id
    id_ += "" if own_piece is None else f":piece-{own_piece}"
    made = (finding_of(characteristic, greatest, id_, of_piece, bench),)
    if all(one == other for one, other in pairs):
        return made
    least = _sum([pair[1] for pair in pairs], flat.offsets, kind, bench)
    return (*made, finding_of(characteristic, least, f"{id_}:least", of_piece, bench))


def _sum(
    chosen: Sequence[Input],
    offsets: Sequence[tuple[float, Quantity]],
    kind: str,
    bench: Bench,
) -> Measure:
    offset = fsum(share * canonical(amount, kind) for share, amount in offsets)
    offset_u = combined_uncertainty(
        share * (standard_uncertainty(amount, kind) or 0.0) for share, amount in offsets
    )
    found = combine([one.term for one in chosen], offset, offset_u)
    unit = canonical_unit(kind)
    told = [f"{_signed(one.term)} {one.term.value:.6g} {unit}" for one in chosen]
    told += [f"offset {offset:.6g} {unit}"] if offsets else []
    changes = [one.change for one in chosen]
    return Measure(
        kind,
        found.value,
        found.u,
        found.lines,
        tuple(one.finding for one in chosen),
        (
            f"from {', '.join(told).removeprefix('plus ')}",
            *found.told,
        ),
        (fsum(min(0.0, one) for one in changes), fsum(max(0.0, one) for one in changes)),
    )


def _signed(term: Term) -> str:
    sign = "less" if term.factor < 0 else "plus"
    size = abs(term.factor)
    return f"{sign} {term.name}" if size == 1 else f"{sign} {size:g} times {term.name}"
