"""A measure between parts of which some are renewed: what it comes to with new ones.

The part that stays counts by its reading, one that is renewed by its limits when new, anywhere
between them. Source: law of propagation of uncertainty, as for any derived measure.
"""

from collections.abc import Collection
from decimal import Decimal

from shared.assemblies.model import Characteristic, InspectionMethod
from shared.condition.derived import derived_findings
from shared.condition.model import Finding, Verdict
from shared.condition.standing import standing_findings
from shared.condition.verdict import judge_position
from shared.decision.building.planned import Bench
from shared.quantities import Quantity, convert

_ROOT_3 = Decimal(3).sqrt()


def why_new_does_not_mend(
    bench: Bench, measure: Characteristic, renewed: Collection[str]
) -> str | None:
    """What a measure comes to with new parts in ``renewed``, where it is beyond its limits still.

    None: it is not, or the sizes when new or the readings of what stays are not known.
    """
    unit_id = bench.unit.id
    behind = [one for one in bench.behind(measure) if one.derivation is None]
    new = [_as_new(one, bench) for one in behind if one.position_id in renewed]
    stays = [
        finding
        for finding in standing_findings(bench.findings_of(unit_id))
        if finding.position_id not in renewed
    ]
    standing = [*stays, *(finding for finding in new if finding is not None)]
    found = [
        finding
        for finding in derived_findings(bench.derivations, standing, bench.gauges)
        if finding.characteristic_id == measure.id
    ]
    rules = bench.settings.rules
    judged = judge_position(
        measure.position_id,
        (measure,),
        found,
        rules.conformity_rule,
        float(rules.conformity_probability),
        gauges=bench.gauges,
    )
    bad = [one.detail for one in judged.findings if one.verdict is Verdict.NONCONFORMING]
    return "; ".join(bad) or None


def _as_new(one: Characteristic, bench: Bench) -> Finding | None:
    """A size anywhere within its limits when new, as if it had been found."""
    if one.new_lower is None or one.new_upper is None:
        return None
    unit = one.new_lower.unit
    lower, upper = one.new_lower.value, convert(one.new_upper.value, one.new_upper.unit, unit)
    doubt = (upper - lower) / 2 / _ROOT_3
    return Finding(
        id=f"new:{one.id}",
        unit_id=bench.unit.id,
        position_id=one.position_id,
        characteristic_id=one.id,
        found_by="limits when new",
        found_at=bench.snapshot.as_of,
        method=InspectionMethod.GAUGE,
        measured=Quantity((lower + upper) / 2, unit, standard_uncertainty=doubt or None),
    )
