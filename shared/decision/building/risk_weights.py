"""How much each source adds to the chance of a comeback, as a whole number that adds up.

A weight is -10^6 ln(1 - chance of a comeback within the warranty), rounded up. Where nothing is on
record the worst known stands in, for an unknown must never look like the safer choice.
"""

from dataclasses import replace
from math import ceil, log

from shared.decision.building.draft import Draft
from shared.decision.planning.case import Source
from shared.decision.settings import SourceKind
from shared.life.weibull import LifeSpec

WEIGHT_SCALE = 1_000_000
LEAST_SURVIVAL = 1e-9
_NOT_WEIGHED = frozenset({SourceKind.PART_BY_PART})


def risk_weight(spec: LifeSpec, warranty_hours: float) -> int:
    """Weight of a comeback within the warranty, in running hours; survival below 10^-9 as 10^-9.

    >>> risk_weight(LifeSpec.from_warranty_chance(0.1, 500.0), 500.0)
    105361
    """
    return ceil(-WEIGHT_SCALE * log(max(spec.survival(warranty_hours), LEAST_SURVIVAL)))


def weighed(draft: Draft, sources: tuple[Source, ...]) -> tuple[Source, ...]:
    """The sources with their weights; of parts with nothing on record the worst that is known."""
    warranty = float(draft.bench.settings.warranty.warranty_hours)
    by_spec: dict[LifeSpec, int] = {}
    known: dict[str, int] = {}
    for source in sources:
        spec = draft.facts[source.id].spec
        if spec is not None:
            if spec not in by_spec:
                by_spec[spec] = risk_weight(spec, warranty)
            known[source.id] = by_spec[spec]
    worst_at: dict[str, int] = {}
    for source in sources:
        if source.id in known:
            so_far = worst_at.get(source.position_id, 0)
            worst_at[source.position_id] = max(so_far, known[source.id])
    worst = max(known.values(), default=0)
    unknown = [s for s in sources if s.id not in known and s.kind not in _NOT_WEIGHED]
    taken = {source.id: worst_at.get(source.position_id, worst) for source in unknown}
    _note(draft, unknown, is_any_known=bool(known))
    return tuple(replace(s, risk=known.get(s.id, taken.get(s.id, 0))) for s in sources)


def _note(draft: Draft, unknown: list[Source], *, is_any_known: bool) -> None:
    if not unknown or not draft.bench.snapshot.asked.has_risk_axis:
        return
    names = ", ".join(
        sorted({f"{draft.facts[s.id].position_name} ({draft.facts[s.id].kind})" for s in unknown})
    )
    if not is_any_known:
        draft.assume("No chance of a comeback is on record: the axis of risk tells nothing apart.")
        return
    draft.assume(
        f"On the axis of risk, {names} have no chance on record: each counts as the worst known of "
        "its position, else of the whole case."
    )
