"""Conformity of one size against limits, each in its own unit: a reading, several, an interval."""

from dataclasses import dataclass
from datetime import UTC, datetime
from types import MappingProxyType
from typing import Final

from shared.assemblies.model import Characteristic, InspectionMethod
from shared.condition.conformity import AcceptanceLimits, Distribution, verdict_of
from shared.condition.dimension import judge_dimension
from shared.condition.doubt import doubt_of
from shared.condition.gauges import GAUGES, usual_gauge
from shared.condition.judgement import Judged
from shared.condition.limits import LimitPair, limits_of
from shared.condition.model import ConformityRule, Finding, Gauge, Reading, Verdict, Zone
from shared.condition.readings import spread_of
from shared.condition.settling import Settling
from shared.condition.told import difference_unit_of
from shared.errors import InvalidInput
from shared.quantities import Quantity
from shared.quantities.units import (
    canonical,
    canonical_unit,
    canonical_without_doubt,
    check_quantity,
    convert,
    kind_of,
    standard_uncertainty,
)

ANY_DAY: Final = datetime(2000, 1, 1, tzinfo=UTC)
"""A finding that nobody recorded was found on no day in particular."""

THE_GAUGE: Final = "the gauge"


@dataclass(frozen=True, slots=True)
class SizeQuestion:
    """A size and its limits. One of ``measured``, ``readings``, ends of an interval.

    ``new_lower`` and ``new_upper``: limits when new; without ``lower`` and ``upper`` (in service)
    they are judged by. ``gauge_kind``: a word of the usual gauges, whose doubt serves where none is
    stated. ``common_uncertainty``: the part of it that all readings with the gauge share.
    """

    lower: Quantity | None = None
    upper: Quantity | None = None
    measured: Quantity | None = None
    readings: tuple[Reading, ...] = ()
    at_least: Quantity | None = None
    at_most: Quantity | None = None
    new_lower: Quantity | None = None
    new_upper: Quantity | None = None
    gauge_kind: str | None = None
    common_uncertainty: Quantity | None = None
    rule: ConformityRule = ConformityRule.ISO_14253_1
    acceptance_probability: float = 0.95


@dataclass(frozen=True, slots=True)
class JudgedSize:
    """A size judged; sizes in ``unit``, the canonical one, differences in ``difference_unit``.

    What cannot be told is None: the figures of an interval, the probability without a limit or with
    an open end. ``guard_band`` is infinite where no reading could show conformity.
    """

    verdict: Verdict
    zone: Zone
    reason: str
    unit: str
    difference_unit: str
    probability: float | None
    value: float | None
    u: float | None
    distribution: Distribution | None
    guard_band: float | None
    acceptance_limits: AcceptanceLimits | None
    is_within_limits: bool | None
    settling: Settling | None


def judge_size(asked: SizeQuestion) -> JudgedSize:
    """Judge a size as a finding is judged; units may differ, the dimension may not.

    Without any limit it is indeterminate, in zone no-limit: a limit is never invented. Raises
    InvalidInput with a pointer to the member: /measured (no uncertainty, with a limit to judge by),
    none or several of measured, readings and the interval, /lower_limit, /upper_limit, /new_lower,
    /new_upper (of another dimension, uncertain themselves, upside down), /at_most (below at_least),
    /gauge_kind (not on the list), /acceptance_probability. ``plus_minus`` is taken as rectangular,
    the other two as normal.
    """
    verdict_of(1.0, asked.acceptance_probability)  # refuses one that decides nothing
    finding = _finding(asked)
    kind = kind_of(_sizes(asked)[0][1].unit)
    _check(asked, finding, kind)
    gauges = gauges_of(asked.gauge_kind, None, asked.common_uncertainty)
    characteristic = Characteristic(
        "size",
        "",
        "size",
        limit_in(asked.new_lower, kind),
        limit_in(asked.new_upper, kind),
        limit_in(asked.lower, kind),
        limit_in(asked.upper, kind),
        unit=canonical_unit(kind),
    )
    judged = judge_dimension(
        finding,
        characteristic,
        asked.rule,
        asked.acceptance_probability,
        is_kept=True,
        gauges=gauges,
    )
    limits = limits_of(characteristic, kind, is_kept=True).judged
    return _told(asked, judged, limits, kind)


def gauges_of(
    gauge_kind: str | None,
    standard: Quantity | None,
    common: Quantity | None,
    pointer: str = "/gauge_kind",
) -> MappingProxyType[str, Gauge]:
    """Return the one gauge of a calculation, by its id; raises InvalidInput for an unknown kind."""
    if gauge_kind is not None and usual_gauge(gauge_kind) is None:
        raise InvalidInput(
            pointer,
            f"Got '{gauge_kind}'; no usual uncertainty is known of such a gauge.",
            f"Give one of {', '.join(GAUGES)}, or state the uncertainty itself.",
            "gauge-kind-unknown",
        )
    gauge = Gauge(THE_GAUGE, THE_GAUGE, gauge_kind, None, standard, common)
    return MappingProxyType({THE_GAUGE: gauge})


def check_common(common: Quantity | None, kind: str, pointer: str) -> None:
    """Check that what readings share is an amount of the kind, above 0, and states no doubt."""
    if common is None:
        return
    detail, fix = "An uncertainty states an uncertainty.", "Leave it out."
    given = canonical_without_doubt(
        common,
        "temperature-difference" if kind == "temperature" else kind,
        pointer,
        detail=detail,
        fix=fix,
    )
    if given <= 0:
        raise InvalidInput(
            f"{pointer}/value",
            f"Got {common.value}; wanted more than 0.",
            "Give more than 0, or leave it out.",
            "out-of-range",
        )


def limit_in(limit: Quantity | None, kind: str) -> Quantity | None:
    """Return a limit in units of this kind: one in MPa (a stress) in kPa for a reading in bar."""
    if limit is None or kind_of(limit.unit) == kind:
        return limit
    unit = canonical_unit(kind)
    return Quantity(convert(limit.value, limit.unit, unit), unit)


def check_limits(
    lower: Quantity | None, upper: Quantity | None, kind: str, pointers: tuple[str, str]
) -> None:
    """Check a pair of limits: of the kind, without doubt of their own, not upside down."""
    values = [
        None
        if limit is None
        else canonical_without_doubt(
            limit,
            kind,
            pointer,
            detail="A limit states an uncertainty; a limit is what it says.",
            fix="Leave it out; the doubt belongs to the measured value.",
        )
        for limit, pointer in zip((lower, upper), pointers, strict=True)
    ]
    least, most = values
    if least is not None and most is not None and least > most:
        raise InvalidInput(
            pointers[1],
            f"The upper limit {most:g} is below the lower limit {least:g}.",
            "Exchange the limits or mend the slip.",
            "limits-upside-down",
        )


def _sizes(asked: SizeQuestion) -> list[tuple[str, Quantity]]:
    """Return every size of the question with its pointer."""
    sizes = [
        (pointer, size)
        for pointer, size in (
            ("/measured", asked.measured),
            ("/at_least", asked.at_least),
            ("/at_most", asked.at_most),
        )
        if size is not None
    ]
    return sizes + [
        (f"/readings/{place}/size", one.size) for place, one in enumerate(asked.readings)
    ]


def _finding(asked: SizeQuestion) -> Finding:
    is_interval = asked.at_least is not None or asked.at_most is not None
    ways = (asked.measured is not None, bool(asked.readings), is_interval)
    if sum(ways) != 1:
        raise InvalidInput(
            "/measured",
            f"Got {'none' if sum(ways) == 0 else 'several'} of measured, readings and an interval"
            " (at_least, at_most).",
            "Give one of them.",
            "measured-missing" if sum(ways) == 0 else "measured-twice",
        )
    return Finding(
        "asked",
        "",
        "",
        "size",
        "",
        ANY_DAY,
        InspectionMethod.GAUGE,
        measured=asked.measured,
        readings=asked.readings,
        at_least=asked.at_least,
        at_most=asked.at_most,
        gauge_id=THE_GAUGE,
    )


def _check(asked: SizeQuestion, finding: Finding, kind: str) -> None:
    for pointer, size in _sizes(asked):
        check_quantity(size, kind, pointer)
    check_limits(asked.lower, asked.upper, kind, ("/lower_limit", "/upper_limit"))
    check_limits(asked.new_lower, asked.new_upper, kind, ("/new_lower", "/new_upper"))
    check_common(asked.common_uncertainty, kind, "/common_uncertainty")
    gauges = gauges_of(asked.gauge_kind, None, None)
    ends = [canonical(end, kind) for end in (asked.at_least, asked.at_most) if end is not None]
    if ends != sorted(ends):
        raise InvalidInput(
            "/at_most",
            "at_most is below at_least.",
            "Exchange them or mend the slip.",
            "interval-upside-down",
        )
    limits = (asked.lower, asked.upper, asked.new_lower, asked.new_upper)
    if all(limit is None for limit in limits):
        return
    is_interval = finding.measured is None and not finding.readings
    for pointer, size in () if is_interval else _sizes(asked):
        if doubt_of(finding, size, kind, gauges) is None:
            raise InvalidInput(
                pointer,
                "The measured value states no uncertainty.",
                "Give standard_uncertainty, expanded_uncertainty or plus_minus"
                + (", or gauge_kind." if kind == "length" else "."),
                "uncertainty-missing",
            )


def _told(asked: SizeQuestion, judged: Judged, limits: LimitPair, kind: str) -> JudgedSize:
    figures = judged.figures
    result = None if figures is None else figures.result
    value = None if figures is None else figures.value
    u = None if figures is None else figures.doubt.u
    distribution = None if figures is None else figures.doubt.distribution
    if figures is None and asked.measured is not None:
        value, u = canonical(asked.measured, kind), standard_uncertainty(asked.measured, kind)
    elif figures is None and asked.readings:
        value = spread_of([canonical(one.size, kind) for one in asked.readings]).mean
    return JudgedSize(
        judged.verdict,
        judged.zone,
        judged.detail,
        canonical_unit(kind),
        difference_unit_of(kind),
        judged.probability,
        value,
        u,
        distribution,
        None if result is None else result.guard_band,
        None if result is None else result.acceptance_limits,
        _is_within(asked, limits, kind) if result is None else result.is_within_limits,
        judged.settling,
    )


def _is_within(asked: SizeQuestion, limits: LimitPair, kind: str) -> bool | None:
    """Whether the whole of an interval lies within, as it reads; None: it cannot be told."""
    if not limits.is_given or (asked.at_least is None and asked.at_most is None):
        return None
    ends = [end for end in (asked.at_least, asked.at_most) if end is not None]
    if not all(limits.holds(canonical(end, kind)) for end in ends):
        return False
    is_open_below = asked.at_least is None and limits.lower is not None
    is_open_above = asked.at_most is None and limits.upper is not None
    return None if is_open_below or is_open_above else True
