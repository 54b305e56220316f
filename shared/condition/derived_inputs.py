"""What a derived sum is made of: terms down to what is measured, and the findings that serve."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from math import sqrt

from shared.assemblies.model import Characteristic, DerivationKind, ReadingsCount
from shared.condition.case import first_size
from shared.condition.doubt import NO_GAUGES, doubt_of, feel_of, gauge_of
from shared.condition.gauges import usual_gauge
from shared.condition.measures import Term
from shared.condition.model import Finding, Gauge
from shared.condition.readings import counted_points, least_sure, points_of
from shared.condition.temperature import change_to_reference
from shared.quantities import Quantity
from shared.quantities.units import canonical

MOST_DEPTH = 8
"""Sums of sums, so deep; a circle ends there."""

MOST_TERMS = 60
"""Measured inputs of one sum, its sums resolved."""


@dataclass(frozen=True, slots=True)
class FlatTerm:
    """A measured characteristic that a sum comes down to, its factor, of which piece."""

    characteristic: Characteristic
    factor: float
    piece: int | None


@dataclass(frozen=True, slots=True)
class FlatSum:
    """A sum with its sums resolved; offsets each with the factor that they come with."""

    terms: tuple[FlatTerm, ...]
    offsets: tuple[tuple[float, Quantity], ...]


@dataclass(frozen=True, slots=True)
class Input:
    """One finding as a term; ``change``: by how much at most it changes the measure to 20 °C."""

    term: Term
    finding: Finding
    change: float


def flat_sum(
    characteristic: Characteristic,
    by_id: Mapping[str, Characteristic],
    findings: Sequence[Finding],
    depth: int = 0,
) -> FlatSum | str:
    """Resolve a sum down to what has findings of its own; text: why it cannot be."""
    derivation = characteristic.derivation
    assert derivation is not None
    if depth > MOST_DEPTH:
        return "it follows from itself, or from too long a chain"
    terms: list[FlatTerm] = []
    offsets = [] if derivation.offset is None else [(1.0, derivation.offset)]
    measured = {one.characteristic_id for one in findings if first_size(one) is not None}
    for term in derivation.terms:
        named = by_id.get(term.characteristic_id)
        if named is None:
            return f"the characteristic '{term.characteristic_id}' is not on record"
        factor = float(term.factor)
        inner = named.derivation
        if named.id in measured or inner is None or inner.kind is not DerivationKind.SUM:
            terms.append(FlatTerm(named, factor, term.piece))
            continue
        below = flat_sum(named, by_id, findings, depth + 1)
        if isinstance(below, str):
            return below
        terms += [
            FlatTerm(one.characteristic, factor * one.factor, one.piece or term.piece)
            for one in below.terms
        ]
        offsets += [(factor * share, offset) for share, offset in below.offsets]
        if len(terms) > MOST_TERMS:
            return f"it comes down to more than {MOST_TERMS} inputs"
    return FlatSum(tuple(terms), tuple(offsets)) if terms else "it has no terms"


def findings_for(
    name: str, characteristic_id: str, piece: int | None, findings: Sequence[Finding]
) -> tuple[Finding, ...] | str:
    """Return the findings of one characteristic and piece that tell a size; text: why none does."""
    own = [
        one
        for one in findings
        if one.characteristic_id == characteristic_id and first_size(one) is not None
    ]
    if not own:
        return f"{name} is not measured"
    pieces = {one.piece for one in own}
    if piece is None:
        if len(pieces) > 1:
            return f"{name} is measured on several pieces, and no piece is named"
        return tuple(own)
    chosen = tuple(one for one in own if one.piece == piece)
    if not chosen and None in pieces:
        return f"{name} is wanted of piece {piece}, and the finding says no piece"
    return chosen or f"{name} is not measured on piece {piece}"


def input_of(
    flat: FlatTerm, finding: Finding, kind: str, gauges: Mapping[str, Gauge] = NO_GAUGES
) -> Input | str:
    """Return a finding as a term, in the canonical unit of ``kind``; text: why it gives no size.

    Several readings count by the rule of their characteristic, by their mean where there is none;
    an interval by its middle, u = width / sqrt(12) (JCGM 100:2008 4.3.7) and the gauge's together.
    Raises WrongDimension for a finding of another kind.
    """
    named, gauge = flat.characteristic, gauge_of(finding, gauges)
    if finding.measured is not None or finding.readings:
        rule = named.counted_by or ReadingsCount.MEAN
        points = points_of(finding, kind, gauges, rule)
        counted = counted_points(points, rule)[0]
        value, doubt = counted.value, counted.doubt
        if rule is not ReadingsCount.MEAN:
            # A less sure place may be the extreme one.
            doubt = least_sure(points).doubt
        u, common = (None, None) if doubt is None else (doubt.u, doubt.common)
    elif finding.at_least is not None and finding.at_most is not None:
        low, high = canonical(finding.at_least, kind), canonical(finding.at_most, kind)
        value, common = (low + high) / 2, None
        u = sqrt((high - low) ** 2 / 12 + feel_of(finding, kind, gauges) ** 2)
        if gauge is not None and gauge.common_uncertainty is not None:
            known = doubt_of(finding, finding.at_least, kind, gauges)
            common = None if known is None or known.common is None else min(known.common, u)
    else:
        return f"{named.name} is known from one side only"
    term = Term(
        named.name,
        value,
        flat.factor,
        u or None,
        common,
        gauge_key(finding, gauges),
        None if gauge is None else gauge.master,
        finding.id,
    )
    return Input(term, finding, flat.factor * change_to_reference(finding, value, kind))


def gauge_key(finding: Finding, gauges: Mapping[str, Gauge] = NO_GAUGES) -> str | None:
    """Return what is the same for two findings made with one gauge; None: no gauge is named.

    A gauge on record by its id, also where a finding only names it; else the word for it, spelt in
    whatever way.
    """
    if finding.gauge_id is not None:
        return finding.gauge_id
    if finding.gauge is None:
        return None
    word = " ".join(finding.gauge.casefold().split())
    for gauge in gauges.values():
        if " ".join(gauge.name.casefold().split()) == word:
            return gauge.id
    usual = usual_gauge(finding.gauge)
    return f"a gauge called {word if usual is None else usual.kind}"


def extremes(candidates: Sequence[Input]) -> tuple[Input, Input]:
    """Return which of several findings make a sum greatest and least, as sure as the least sure.

    A less sure finding that is not an extreme one may yet be farther out: where one is there, both
    extremes have its doubt, and its gauge. One without known doubt goes before all others, so that
    the sum has none either.
    """
    unsure = [
        one for one in sorted(candidates, key=lambda one: one.finding.id) if one.term.u is None
    ]
    if unsure:
        return unsure[0], unsure[0]

    def share(one: Input) -> float:
        return one.term.factor * one.term.value

    by_id = sorted(candidates, key=lambda one: one.finding.id)
    least_sure = max(by_id, key=lambda one: one.term.u or 0.0).term

    def doubted(one: Input) -> Input:
        if one.term.u == least_sure.u:
            return one
        term = replace(
            one.term,
            u=least_sure.u,
            common=least_sure.common,
            gauge=least_sure.gauge,
            master=least_sure.master,
        )
        return replace(one, term=term)

    return doubted(max(by_id, key=share)), doubted(min(by_id, key=share))
