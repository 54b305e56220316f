"""Life of an assembly whose parts must all last: question and answer, on ``series``."""

from collections.abc import Sequence
from dataclasses import dataclass
from math import isfinite

from shared.errors import InvalidInput, OutOfRange
from shared.life.calculation import MOST_HOURS
from shared.life.series import mean_life_hours, series_expected_hours, series_survival
from shared.life.weibull import LifeSpec

MOST_PARTS = 50
MOST_PIECES = 1000
LONGEST_HOURS = 1e12

APART = (
    "The parts fail independently: what hits all at once (dirty oil, a cause not removed) comes"
    " on top."
)
TOGETHER = (
    "Apart from the common cause the parts fail independently; its chance is carried to other"
    " hours as if it came at any time alike."
)
SOUND = "Every part is sound today; the horizon counts from today."


@dataclass(frozen=True, slots=True)
class SeriesPart:
    """So many equal parts in one place, of one Weibull life and one age in hours."""

    name: str
    life: LifeSpec
    quantity: int = 1


@dataclass(frozen=True, slots=True)
class CommonCause:
    """What hits all parts at once: the chance that it strikes within so many hours."""

    probability: float
    within_hours: float


@dataclass(frozen=True, slots=True)
class SeriesAnswer:
    """Chance that all last to the horizon; hours to the first failure, within it and without end.

    ``mean_hours`` None: so far off that it is no figure. ``parts``: name and chance of each place,
    likeliest to fail first. ``common_cause``: chance that it does not strike by the horizon.
    """

    reliability: float
    expected_service_hours: float
    mean_hours: float | None
    parts: tuple[tuple[str, float], ...]
    common_cause: float | None
    assumptions: tuple[str, ...]


def series_life(
    parts: Sequence[SeriesPart], horizon_hours: float, common_cause: CommonCause | None = None
) -> SeriesAnswer:
    """Reckon a series of parts over the horizon, and one more in it for a common cause.

    Raises InvalidInput for no part or more than fifty, OutOfRange for a horizon outside 0 to
    10^9 h, a quantity outside 1 to 1,000, a common cause that is certain, impossible or within no
    time.
    """
    if not 1 <= len(parts) <= MOST_PARTS:
        raise InvalidInput(
            "/parts", f"Got {len(parts)} parts.", f"Give from 1 to {MOST_PARTS} parts."
        )
    if not (isfinite(horizon_hours) and 0 <= horizon_hours <= MOST_HOURS):
        raise OutOfRange("horizon", horizon_hours, f"from 0 to {MOST_HOURS:.0f} h")
    for index, part in enumerate(parts):
        if not 1 <= part.quantity <= MOST_PIECES:
            raise OutOfRange(f"parts/{index}/quantity", part.quantity, f"from 1 to {MOST_PIECES}")
    merged = [_merged(part) for part in parts]
    chances = [
        (part.name, spec.survival(horizon_hours)) for part, spec in zip(parts, merged, strict=True)
    ]
    spared = None
    if common_cause is not None:
        strikes = _life_of(common_cause)
        spared = strikes.survival(horizon_hours)
        merged = [*merged, strikes]
    first = min(spec.scale_hours for spec in merged)
    mean = mean_life_hours(lambda hours: series_survival(merged, hours), first)
    return SeriesAnswer(
        series_survival(merged, horizon_hours),
        series_expected_hours(merged, horizon_hours),
        mean if mean <= LONGEST_HOURS else None,
        tuple(sorted(chances, key=lambda one: one[1])),
        spared,
        (APART if common_cause is None else TOGETHER, SOUND),
    )


def _life_of(cause: CommonCause) -> LifeSpec:
    try:
        return LifeSpec.from_warranty_chance(cause.probability, cause.within_hours)
    except OutOfRange as error:
        member = "within" if error.pointer == "/warranty_hours" else "probability"
        error.pointer = f"/common_cause/{member}"
        raise


def _merged(part: SeriesPart) -> LifeSpec:
    """n equal Weibull parts in series: one of scale eta n^(-1 / shape), at the same age."""
    spec = part.life
    scale = spec.scale_hours * part.quantity ** (-1 / spec.shape)
    return LifeSpec(spec.shape, scale, spec.lower_age_hours, spec.upper_age_hours)
