"""A measure that follows from others, as a finding: what travels with it from its inputs."""

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from decimal import Decimal
from typing import Final

from shared.assemblies.model import Characteristic, InspectionMethod
from shared.condition.case import why_too_few
from shared.condition.doubt import why_gauge_does_not_count
from shared.condition.limits import as_entered
from shared.condition.measured import BudgetLine, DerivedFinding
from shared.condition.model import Finding, Gauge
from shared.condition.temperature import kelvin_away
from shared.quantities import Quantity
from shared.quantities.units import canonical_unit

PREFIX: Final = "derived:"
"""The id of a derived finding: this and the id of its characteristic."""


@dataclass(frozen=True, slots=True)
class Bench:
    """The characteristics by id, the current findings of one unit, the gauges by id."""

    by_id: Mapping[str, Characteristic]
    findings: Sequence[Finding]
    gauges: Mapping[str, Gauge]


@dataclass(frozen=True, slots=True)
class Measure:
    """What a measure came to, before it is a finding; sizes in the canonical unit of ``kind``."""

    kind: str
    value: float
    u: float | None
    lines: tuple[BudgetLine, ...]
    inputs: tuple[Finding, ...]
    notes: tuple[str, ...]
    change: tuple[float, float]
    """From the least to the greatest by which it may change to 20 °C."""
    few: tuple[str, ...] = ()


Found = tuple[DerivedFinding, ...] | str
"""The findings that a measure gives, or why there is none."""


def finding_of(
    characteristic: Characteristic,
    measure: Measure,
    id_: str,
    piece: int | None,
    bench: Bench,
) -> DerivedFinding:
    """Return a measure as a finding of its characteristic, as late as the latest of its inputs."""
    inputs = tuple(dict.fromkeys(measure.inputs))
    latest = max(inputs, key=lambda one: one.found_at)
    hours = {one.unit_hours for one in inputs}
    cleaned = {one.is_cleaned for one in inputs}
    value = round(measure.value, 9) + 0.0
    is_moved = measure.change != (0.0, 0.0)
    notes = (*measure.notes, *(_warm(one) for one in inputs if _is_warm(one, measure.kind)))
    return DerivedFinding(
        id=id_,
        unit_id=latest.unit_id,
        position_id=characteristic.position_id,
        characteristic_id=characteristic.id,
        found_by="reckoned from other findings",
        found_at=latest.found_at,
        method=InspectionMethod.GAUGE,
        measured=Quantity(
            Decimal(repr(value)),
            canonical_unit(measure.kind),
            standard_uncertainty=None if measure.u is None else Decimal(f"{measure.u:.9g}"),
        ),
        is_cleaned=False if False in cleaned else (True if cleaned == {True} else None),
        piece=piece,
        note="; ".join(notes),
        unit_hours=hours.pop() if len(hours) == 1 else None,
        budget=measure.lines,
        input_ids=tuple(one.id for one in inputs),
        why_not_good=tuple(dict.fromkeys((*measure.few, *_against(inputs, bench)))),
        at_reference=_between(value, measure.change) if is_moved else None,
    )


def _against(inputs: Sequence[Finding], bench: Bench) -> Iterable[str]:
    for one in inputs:
        named = bench.by_id[one.characteristic_id]
        gauge = why_gauge_does_not_count(one, bench.gauges)
        few = why_too_few(one, named)
        if gauge is not None:
            yield f"{named.name}: {gauge}"
        if few is not None:
            yield f"{named.name}: {few}"
    hours = sorted({one.unit_hours for one in inputs if one.unit_hours is not None})
    if len(hours) > 1:
        yield f"found at different hours, from {hours[0]:f} to {hours[-1]:f}: measure all of it"


def _is_warm(finding: Finding, kind: str) -> bool:
    return kelvin_away(finding, kind) is not None


def _warm(finding: Finding) -> str:
    return f"an input was read at {as_entered(finding.part_temperature)}: not corrected to 20 °C"


def _between(value: float, change: tuple[float, float]) -> tuple[float, float]:
    return value + change[0], value + change[1]
