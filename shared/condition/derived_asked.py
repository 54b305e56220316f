"""A measure made of others, asked for by itself: a budget line for each, and a verdict."""

from dataclasses import dataclass
from decimal import Decimal
from types import MappingProxyType
from typing import Final

from shared.assemblies.model import Characteristic, InspectionMethod
from shared.condition.calculation import ANY_DAY, check_common, check_limits, limit_in
from shared.condition.conformity import verdict_of
from shared.condition.derived_inputs import gauge_key
from shared.condition.dimension import judge_dimension
from shared.condition.doubt import Doubt, doubt_of
from shared.condition.judgement import Judged
from shared.condition.limits import as_entered
from shared.condition.measured import BudgetLine, DerivedFinding
from shared.condition.measures import Combined, SharedPair, Term, combine
from shared.condition.model import ConformityRule, Finding, Gauge
from shared.condition.shims.asked import DepthMark, MarkCounts
from shared.condition.told import difference_unit_of
from shared.condition.uncertainty import combined_uncertainty
from shared.errors import InvalidInput
from shared.quantities import Quantity
from shared.quantities.units import (
    canonical,
    canonical_unit,
    canonical_without_doubt,
    check_number,
    check_quantity,
    kind_of,
    standard_uncertainty,
)

NO_FACTOR: Final = "Give a factor, such as 1 or -1, or leave the term out."


@dataclass(frozen=True, slots=True)
class MeasureTerm:
    """One input. ``gauge``: with what, by name; a word of the usual gauges has their doubt.

    ``master``: what the gauge was set to; ``common_uncertainty``: what all readings with the gauge,
    or with gauges of that master, share.
    """

    name: str
    measured: Quantity
    factor: Decimal = Decimal(1)
    gauge: str | None = None
    master: str | None = None
    common_uncertainty: Quantity | None = None


@dataclass(frozen=True, slots=True)
class MeasureQuestion:
    """Terms, an offset, marks that count in a unit of their own, the limits of the measure."""

    terms: tuple[MeasureTerm, ...]
    offset: Quantity | None = None
    marks: tuple[DepthMark, ...] = ()
    lower: Quantity | None = None
    upper: Quantity | None = None
    rule: ConformityRule = ConformityRule.ISO_14253_1
    acceptance_probability: float = 0.95


@dataclass(frozen=True, slots=True)
class MarkShare:
    """What a mark adds to the measure, in its canonical unit."""

    name: str
    share: float


@dataclass(frozen=True, slots=True)
class MeasureAnswer:
    """The measure in ``unit``, u in ``difference_unit`` (None: not known), and its verdict."""

    unit: str
    difference_unit: str
    value: float
    u: float | None
    lines: tuple[BudgetLine, ...]
    marks: tuple[MarkShare, ...]
    pairs: tuple[SharedPair, ...]
    judged: Judged


def judge_measure(asked: MeasureQuestion) -> MeasureAnswer:
    """Work out a measure from its terms and judge it.

    value = offset + sum factor x + sum of the marks; u as ``measures.combine`` does; marks and
    limits are what they say. Without a limit nothing is decided. Raises InvalidInput at the member
    for no terms, kinds that differ, limits upside down, doubt stated with a mark's unit, a factor
    of 0.
    """
    verdict_of(1.0, asked.acceptance_probability)
    kind = _checked(asked)
    marks = tuple(_mark(mark, kind, f"/marks/{n}") for n, mark in enumerate(asked.marks))
    offset, offset_u = 0.0, 0.0
    if asked.offset is not None:
        offset = canonical(asked.offset, kind)
        offset_u = standard_uncertainty(asked.offset, kind) or 0.0
    found = combine(
        [_term(one, kind) for one in asked.terms],
        offset + sum(one.share for one in marks),
        combined_uncertainty([offset_u]),
    )
    return MeasureAnswer(
        canonical_unit(kind),
        difference_unit_of(kind),
        found.value,
        found.u,
        found.lines,
        marks,
        found.pairs,
        _judged(asked, found, kind),
    )


def _judged(asked: MeasureQuestion, found: Combined, kind: str) -> Judged:
    unit = canonical_unit(kind)
    characteristic = Characteristic(
        "measure",
        "",
        "measure",
        service_lower=limit_in(asked.lower, kind),
        service_upper=limit_in(asked.upper, kind),
        unit=unit,
    )
    finding = DerivedFinding(
        "asked",
        "",
        "",
        "measure",
        "",
        ANY_DAY,
        InspectionMethod.GAUGE,
        measured=Quantity(
            Decimal(repr(round(found.value, 9) + 0.0)),
            unit,
            None if found.u is None else Decimal(f"{found.u:.9g}"),
        ),
        note="; ".join(found.told) or None,
    )
    return judge_dimension(
        finding, characteristic, asked.rule, asked.acceptance_probability, is_kept=True
    )


def _term(term: MeasureTerm, kind: str) -> Term:
    """Return a term with what is known of its gauge, as a finding with that gauge has it."""
    doubt = _doubt(term, kind)
    common = None
    if term.common_uncertainty is not None and doubt is not None:
        common = min(_amount(term.common_uncertainty, kind), doubt.u)
    return Term(
        term.name,
        canonical(term.measured, kind),
        float(term.factor),
        None if doubt is None else doubt.u or None,
        common,
        gauge_key(_as_finding(term)),
        None if term.master is None else " ".join(term.master.casefold().split()),
    )


def _as_finding(term: MeasureTerm) -> Finding:
    return Finding(
        term.name, "", "", term.name, "", ANY_DAY, InspectionMethod.GAUGE, gauge=term.gauge
    )


def _doubt(term: MeasureTerm, kind: str) -> Doubt | None:
    gauges: dict[str, Gauge] = {}
    return doubt_of(_as_finding(term), term.measured, kind, MappingProxyType(gauges))


def _check_share(term: MeasureTerm, kind: str, pointer: str) -> None:
    """Refuse a common part above the whole: such a slip would make a difference look sure."""
    doubt = _doubt(term, kind)
    if term.common_uncertainty is None or doubt is None:
        return
    if _amount(term.common_uncertainty, kind) > doubt.u * (1 + 1e-9):
        raise InvalidInput(
            pointer,
            f"The common part is {as_entered(term.common_uncertainty)}, above the"
            f" {doubt.u:.3g} {difference_unit_of(kind)} that the reading is uncertain by.",
            "Give a common_uncertainty of at most the reading's own standard uncertainty.",
            "common-above-whole",
        )


def _amount(common: Quantity, kind: str) -> float:
    """Return an amount of doubt in the canonical unit: an amount is a difference."""
    return canonical(common, "temperature-difference" if kind == "temperature" else kind)


def _mark(mark: DepthMark, kind: str, pointer: str) -> MarkShare:
    check_number(mark.mark, f"{pointer}/mark")
    unit = canonical_without_doubt(
        mark.unit,
        kind,
        f"{pointer}/unit",
        detail="The unit of a mark states an uncertainty; a mark counts what the maker says.",
        fix="Leave it out.",
    )
    sign = 1 if mark.larger_mark is MarkCounts.ADDS else -1
    return MarkShare(mark.name, sign * float(mark.mark) * unit)


def _checked(asked: MeasureQuestion) -> str:
    if not asked.terms:
        raise InvalidInput("/terms", "There are no terms.", "Give at least one.", "terms-missing")
    kind = kind_of(asked.terms[0].measured.unit)
    for place, term in enumerate(asked.terms):
        check_quantity(term.measured, kind, f"/terms/{place}/measured")
        pointer = f"/terms/{place}/common_uncertainty"
        check_common(term.common_uncertainty, kind, pointer)
        _check_share(term, kind, pointer)
        if term.factor == 0:
            raise InvalidInput(
                f"/terms/{place}/factor", "Got 0: the term counts for nothing.", NO_FACTOR
            )
    if asked.offset is not None:
        check_quantity(asked.offset, kind, "/offset")
    check_limits(asked.lower, asked.upper, kind, ("/lower_limit", "/upper_limit"))
    return kind
