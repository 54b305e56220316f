"""A life fitted to a record, with how well it is known and what speaks against trusting it."""

from collections.abc import Sequence
from dataclasses import dataclass
from enum import StrEnum
from math import exp

from shared.errors import InvalidInput, OutOfRange
from shared.life.bounds import Bounds, LikelihoodBounds, assumed_shape_scale, quantile_hours
from shared.life.calculation import MOST_HOURS
from shared.life.fit import (
    WeibullFit,
    fit_assumed_shape,
    fit_maximum_likelihood,
    fit_rank_regression,
)
from shared.life.model import LifeMethod
from shared.life.observed import Observed
from shared.life.weibull import WeibullLife

FEW_FAILURES = 10
"""Below so many the shape is barely known. Common practice, no source."""

OTHER_SHAPES = (1.0, 1.5, 2.0, 2.5)
EARLY = 0.1
"""The fraction failed of which the hours are told besides: B10."""

LEAST_CONFIDENCE, GREATEST_CONFIDENCE = 0.5, 0.999
MOST_ASKED = 50
LONGEST_HOURS = 1e12
"""Hours beyond which a figure is told as none: no machine runs a thousandth of them."""


class FitMethod(StrEnum):
    """How a life is fitted to a record."""

    MAXIMUM_LIKELIHOOD = "maximum-likelihood"
    ASSUMED_SHAPE = "assumed-shape"
    RANK_REGRESSION = "rank-regression"


@dataclass(frozen=True, slots=True)
class AtHours:
    """Chance that a new part reaches so many hours; None: the record does not tell."""

    hours: float
    reliability: float | None
    bounds: Bounds


@dataclass(frozen=True, slots=True)
class AtShape:
    """The scale in hours that goes with a shape assumed; None without a failure."""

    shape: float
    scale_hours: float | None
    bounds: Bounds


@dataclass(frozen=True, slots=True)
class FittedLife:
    """A fitted Weibull life in hours, with two-sided bounds at ``confidence``.

    ``life`` None: without a failure there are bounds alone. ``b10`` is the time by which one part
    in ten has failed. ``basis`` says all of it in one line, to be stored with the figures.
    """

    method: LifeMethod
    failures: int
    suspended: int
    confidence: float
    shape: float
    shape_bounds: Bounds
    life: WeibullLife | None
    scale_bounds: Bounds
    b10_hours: float | None
    b10_bounds: Bounds
    at_hours: tuple[AtHours, ...]
    at_shapes: tuple[AtShape, ...]
    warnings: tuple[str, ...]
    basis: str


@dataclass(frozen=True, slots=True)
class _Known:
    """What a method tells: shape, life, and how to bound them."""

    shape: float
    life: WeibullLife | None
    shape_bounds: Bounds
    scale: Bounds
    b10: Bounds
    reliability: Sequence[Bounds]


_NONE = Bounds(None, None)


def fitted_life(
    observed: Observed,
    method: FitMethod,
    shape: float | None,
    confidence: float,
    asked_hours: Sequence[float] = (),
) -> FittedLife:
    """Fit a life, bound it, and tell the chance to reach each of ``asked_hours``.

    ``shape`` goes with the assumed shape alone. Rank regression has no bounds of its own: none are
    told. Raises InvalidInput and OutOfRange as the fits do; for a shape that is missing or not
    wanted, a confidence outside 0.5 to 0.999, times above 10^9 h, hours asked that are not above
    0 h and at most that, more than fifty of them, and a scale above 10^12 h.
    """
    _check(observed, method, shape, confidence, asked_hours)
    if method is FitMethod.ASSUMED_SHAPE:
        assert shape is not None
        known = _assumed(observed, shape, confidence, asked_hours)
    elif method is FitMethod.RANK_REGRESSION:
        life = fit_rank_regression(observed).life
        known = _Known(life.shape, life, _NONE, _NONE, _NONE, [_NONE] * len(asked_hours))
    else:
        known = _likeliest(fit_maximum_likelihood(observed), observed, confidence, asked_hours)
    found = known.life
    if found is not None and found.scale_hours > LONGEST_HOURS:
        raise InvalidInput(
            "/failures",
            f"The scale comes out above {LONGEST_HOURS:.0f} h.",
            "Check the times and counts, or assume a greater shape.",
            "scale-out-of-range",
        )
    few = observed.failure_count < FEW_FAILURES
    return FittedLife(
        LifeMethod(method),
        observed.failure_count,
        observed.suspended_count,
        confidence,
        known.shape,
        known.shape_bounds,
        found,
        _told(known.scale),
        None if found is None else quantile_hours(found, EARLY),
        _told(known.b10),
        tuple(
            AtHours(hours, _reached_by(found, hours), bounds)
            for hours, bounds in zip(asked_hours, known.reliability, strict=True)
        ),
        tuple(_at_shape(observed, one, confidence) for one in OTHER_SHAPES) if few else (),
        tuple(_warnings(observed, method, known, asked_hours)),
        _basis(observed, method),
    )


def _check(
    observed: Observed,
    method: FitMethod,
    shape: float | None,
    confidence: float,
    asked_hours: Sequence[float],
) -> None:
    if (method is FitMethod.ASSUMED_SHAPE) is (shape is None):
        wanted = "needs a shape" if shape is None else "finds the shape itself"
        mend = "Give shape." if shape is None else "Leave shape out, or take assumed-shape."
        raise InvalidInput("/shape", f"The method {method} {wanted}.", mend)
    if not LEAST_CONFIDENCE <= confidence <= GREATEST_CONFIDENCE:
        wanted = f"from {LEAST_CONFIDENCE} to {GREATEST_CONFIDENCE}"
        raise OutOfRange("confidence", confidence, wanted)
    if len(asked_hours) > MOST_ASKED:
        raise OutOfRange("at_hours", len(asked_hours), f"at most {MOST_ASKED} of them")
    for index, hours in enumerate(asked_hours):
        if not 0 < hours <= MOST_HOURS:
            raise OutOfRange(f"at_hours/{index}", hours, f"above 0 h, at most {MOST_HOURS:.0f} h")
    for name, entries in (("failures", observed.failures), ("suspended", observed.suspended)):
        for index, entry in enumerate(entries):
            if entry.hours > MOST_HOURS:
                wanted = f"at most {MOST_HOURS:.0f} h"
                raise OutOfRange(f"{name}/{index}/hours", entry.hours, wanted)


def _likeliest(
    fit: WeibullFit, observed: Observed, confidence: float, asked_hours: Sequence[float]
) -> _Known:
    bounds = LikelihoodBounds(fit, observed, confidence)
    return _Known(
        fit.life.shape,
        fit.life,
        bounds.shape(),
        bounds.scale(),
        bounds.quantile(EARLY),
        [bounds.reliability(hours) for hours in asked_hours],
    )


def _assumed(
    observed: Observed, shape: float, confidence: float, asked_hours: Sequence[float]
) -> _Known:
    scale = assumed_shape_scale(shape, observed, confidence)
    b10 = [
        None if end is None else quantile_hours(WeibullLife(shape, end), EARLY)
        for end in (scale.lower, scale.upper)
    ]
    life = fit_assumed_shape(shape, observed).life if observed.failures else None
    reached = [
        Bounds(_reached(shape, scale.lower, hours), _reached(shape, scale.upper, hours))
        for hours in asked_hours
    ]
    return _Known(shape, life, _NONE, scale, Bounds(*b10), reached)


def _reached_by(life: WeibullLife | None, hours: float) -> float | None:
    return None if life is None else life.reliability(hours)


def _reached(shape: float, scale_hours: float | None, hours: float) -> float:
    return 1.0 if scale_hours is None else WeibullLife(shape, scale_hours).reliability(hours)


def _at_shape(observed: Observed, shape: float, confidence: float) -> AtShape:
    bounds = _told(assumed_shape_scale(shape, observed, confidence))
    scale = fit_assumed_shape(shape, observed).life.scale_hours if observed.failures else None
    return AtShape(shape, None if scale is None else _up_to_longest(scale), bounds)


def _told(bounds: Bounds) -> Bounds:
    """Bounds in hours, without one that is no figure any more."""
    return Bounds(_up_to_longest(bounds.lower), _up_to_longest(bounds.upper))


def _up_to_longest(hours: float | None) -> float | None:
    return hours if hours is not None and hours <= LONGEST_HOURS else None


def _warnings(
    observed: Observed, method: FitMethod, known: _Known, asked_hours: Sequence[float]
) -> list[str]:
    failures, said = observed.failure_count, []
    if failures == 0:
        cautious = fit_assumed_shape(known.shape, observed).life.scale_hours
        said.append(
            "Nothing has failed: the scale is only known to be at least the lower bound, which"
            f" is one-sided. The usual cautious figure, as if one had failed now, is"
            f" {cautious:.6g} h ({1 - exp(-1):.1%} sure)."
        )
    elif failures < FEW_FAILURES:
        said.append(
            f"Only {failures} failed: the shape is barely known. See the scales for other shapes."
        )
        if method is FitMethod.MAXIMUM_LIKELIHOOD:
            said.append(
                "With few failures maximum likelihood tends to too steep a shape, and its bounds"
                " are somewhat too narrow."
            )
    if method is FitMethod.RANK_REGRESSION:
        said.append("Rank regression has no bounds of its own: maximum likelihood has.")
    if method is FitMethod.ASSUMED_SHAPE:
        said.append("The bounds hold if the shape is as assumed; nothing here shows that it is.")
    if observed.suspended:
        said.append(
            "Suspended parts are taken to be no worse than those that ran on; parts taken out"
            " because they were about to fail count as failed."
        )
    if known.shape < 1:
        said.append(
            "At a shape below 1 parts fail less often the older they get: bad ones among good, or"
            " faults of fitting. Two kinds of failure may be mixed here."
        )
    longest = observed.longest_hours
    if any(hours > longest for hours in asked_hours):
        said.append(f"No part ran longer than {longest:g} h: what is told beyond is not observed.")
    return said


def _basis(observed: Observed, method: FitMethod) -> str:
    parts = observed.failure_count + observed.suspended_count
    how = {
        FitMethod.MAXIMUM_LIKELIHOOD: "maximum likelihood",
        FitMethod.ASSUMED_SHAPE: "shape assumed",
        FitMethod.RANK_REGRESSION: "rank regression",
    }[method]
    return f"{how}, {observed.failure_count} failed of {parts}"
