"""Size, out-of-round and taper of one bore or shaft, from readings at several places."""

from dataclasses import dataclass
from enum import StrEnum
from typing import Final

from shared.assemblies.model import (
    Characteristic,
    Derivation,
    DerivationKind,
    DerivationTerm,
    InspectionMethod,
    ReadingsCount,
)
from shared.condition.calculation import (
    ANY_DAY,
    THE_GAUGE,
    check_common,
    check_limits,
    gauges_of,
    limit_in,
)
from shared.condition.conformity import verdict_of
from shared.condition.derived import derived_findings, why_not_derived
from shared.condition.judgement import VERDICTS_WORST_LAST, FindingJudgement
from shared.condition.model import ConformityRule, Finding, Reading, Verdict
from shared.condition.readings import Point, counted_points, points_of, spread_of
from shared.condition.told import difference_unit_of
from shared.condition.verdict import judge_finding
from shared.errors import InvalidInput
from shared.quantities import Quantity
from shared.quantities.units import canonical, canonical_unit, check_quantity, kind_of

ODD_LOBES: Final = (
    "readings across a diameter do not show lobes of an odd number"
    " (common practice, no source): turn it between centres or in a vee where that matters"
)


class Feature(StrEnum):
    """What was measured: a bore wears larger, a shaft smaller."""

    BORE = "bore"
    SHAFT = "shaft"


class RoundnessBy(StrEnum):
    """Between which readings out-of-round is told."""

    WITHIN_PLANE = "within-plane"
    OVERALL = "overall"


@dataclass(frozen=True, slots=True)
class FormQuestion:
    """Readings with their planes and directions, and the limits. What has no limit is told only.

    ``gauge_uncertainty``: u of one reading; ``common_uncertainty``: the part that all share.
    """

    readings: tuple[Reading, ...]
    feature: Feature | None = None
    lower: Quantity | None = None
    upper: Quantity | None = None
    out_of_round_limit: Quantity | None = None
    out_of_round_by: RoundnessBy = RoundnessBy.WITHIN_PLANE
    taper_limit: Quantity | None = None
    gauge_kind: str | None = None
    gauge_uncertainty: Quantity | None = None
    common_uncertainty: Quantity | None = None
    rule: ConformityRule = ConformityRule.ISO_14253_1
    acceptance_probability: float = 0.95


@dataclass(frozen=True, slots=True)
class JudgedMeasure:
    """One measure: its value and u in the canonical unit (None: not known), and its verdict."""

    value: float | None
    u: float | None
    verdict: Verdict
    probability: float | None
    reason: str
    settling: str | None = None


@dataclass(frozen=True, slots=True)
class FormAnswer:
    """What the readings amount to; sizes in ``unit``, ``deviation`` and u in ``difference_unit``.

    ``verdict``: the worst of size, out-of-round and taper, of those that have a limit.
    """

    unit: str
    difference_unit: str
    number: int
    greatest: Point
    least: Point
    mean: Point
    deviation: float | None
    size: JudgedMeasure
    out_of_round: JudgedMeasure
    taper: JudgedMeasure
    verdict: Verdict
    notes: tuple[str, ...]


def judge_form(asked: FormQuestion) -> FormAnswer:
    """Judge size, out-of-round and taper of one size from its readings.

    Size: a bore by its greatest reading, a shaft by its least, where nothing is said by both. Out
    of round and taper are differences of readings: what the gauge's readings share cancels. Without
    the readings that it takes a form is not inspected, and without a limit nothing is decided.
    Raises InvalidInput at the member for readings and limits of different kinds, limits upside
    down, a gauge that is not on the list, no readings.
    """
    verdict_of(1.0, asked.acceptance_probability)
    kind = _checked(asked)
    gauges = gauges_of(asked.gauge_kind, asked.gauge_uncertainty, asked.common_uncertainty)
    finding = _finding(asked)
    size, round_, taper = _characteristics(asked, kind)
    points = points_of(finding, kind, gauges)
    derived = {
        one.characteristic_id: one
        for one in derived_findings((size, round_, taper), (finding,), gauges)
    }
    missing = why_not_derived((size, round_, taper), (finding,), gauges)

    def judged(found: Finding, named: Characteristic) -> FindingJudgement:
        return judge_finding(found, named, asked.rule, asked.acceptance_probability, gauges=gauges)

    def form(named: Characteristic) -> JudgedMeasure:
        found = derived.get(named.id)
        if found is None:
            return JudgedMeasure(None, None, Verdict.NOT_INSPECTED, None, missing[named.id])
        assert found.measured is not None
        u = found.measured.standard_uncertainty
        value = float(found.measured.value)
        return _measure(value, None if u is None else float(u), judged(found, named))

    whole = judged(finding, size)
    counted = counted_points(points, size.counted_by)[0]
    measures = (_measure(counted.value, counted.u, whole), form(round_), form(taper))
    spread = spread_of([canonical(one.size, kind) for one in asked.readings])
    is_limited = (
        asked.lower is not None or asked.upper is not None,
        asked.out_of_round_limit is not None,
        asked.taper_limit is not None,
    )
    limited = [one.verdict for one, has in zip(measures, is_limited, strict=True) if has]
    return FormAnswer(
        canonical_unit(kind),
        difference_unit_of(kind),
        spread.number,
        counted_points(points, ReadingsCount.GREATEST)[0],
        counted_points(points, ReadingsCount.LEAST)[0],
        counted_points(points, ReadingsCount.MEAN)[0],
        spread.deviation,
        *measures,
        max(limited, key=VERDICTS_WORST_LAST.index, default=Verdict.INDETERMINATE),
        (ODD_LOBES,) if round_.id in derived else (),
    )


def _measure(value: float, u: float | None, judged: FindingJudgement) -> JudgedMeasure:
    settle = None if judged.settling is None else judged.settling.text
    return JudgedMeasure(value, u, judged.verdict, judged.probability, judged.detail, settle)


def _finding(asked: FormQuestion) -> Finding:
    return Finding(
        "asked",
        "",
        "",
        "size",
        "",
        ANY_DAY,
        InspectionMethod.GAUGE,
        readings=asked.readings,
        gauge_id=THE_GAUGE,
    )


def _characteristics(
    asked: FormQuestion, kind: str
) -> tuple[Characteristic, Characteristic, Characteristic]:
    counted_by = {Feature.BORE: ReadingsCount.GREATEST, Feature.SHAFT: ReadingsCount.LEAST}
    both = asked.lower is not None and asked.upper is not None
    roundness = (
        DerivationKind.OUT_OF_ROUND_OVERALL
        if asked.out_of_round_by is RoundnessBy.OVERALL
        else DerivationKind.OUT_OF_ROUND
    )

    def form(name: str, kind_of_form: DerivationKind, limit: Quantity | None) -> Characteristic:
        return Characteristic(
            name,
            "",
            name,
            service_upper=limit_in(limit, kind),
            unit=canonical_unit(kind),
            derivation=Derivation(kind_of_form, (DerivationTerm("size"),)),
        )

    size = Characteristic(
        "size",
        "",
        "size",
        service_lower=limit_in(asked.lower, kind),
        service_upper=limit_in(asked.upper, kind),
        unit=canonical_unit(kind),
        # Held to both limits, both extremes matter, whatever wears.
        counted_by=None if both or asked.feature is None else counted_by[asked.feature],
    )
    return (
        size,
        form("out-of-round", roundness, asked.out_of_round_limit),
        form("taper", DerivationKind.TAPER, asked.taper_limit),
    )


def _checked(asked: FormQuestion) -> str:
    """Check every member, and return the kind of quantity."""
    if not asked.readings:
        raise InvalidInput(
            "/readings", "There are no readings.", "Give at least one.", "readings-missing"
        )
    kind = kind_of(asked.readings[0].size.unit)
    for place, one in enumerate(asked.readings):
        check_quantity(one.size, kind, f"/readings/{place}/size")
    check_limits(asked.lower, asked.upper, kind, ("/lower_limit", "/upper_limit"))
    for limit, pointer in (
        (asked.out_of_round_limit, "/out_of_round_limit"),
        (asked.taper_limit, "/taper_limit"),
    ):
        check_limits(None, limit, kind, ("", pointer))
    check_common(asked.gauge_uncertainty, kind, "/gauge_uncertainty")
    check_common(asked.common_uncertainty, kind, "/common_uncertainty")
    return kind
