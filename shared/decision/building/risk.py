"""What may fail afterwards, how likely, and what it would cost: per source of a plan.

A chance comes from a life record where the age is known, else from the shop's experience over the
warranty, carried to the horizon at a constant hazard. Where neither is on record nothing is made
up: the cost is left out, and the answer's assumptions say so.
"""

from collections.abc import Callable
from dataclasses import dataclass
from decimal import Decimal

from shared.condition.model import Verdict
from shared.decision.building.wear_life import SUREST_FAILURE, through
from shared.decision.planning.case import AmountLine, CostClass
from shared.decision.settings import SourceKind
from shared.decision.snapshot import Snapshot
from shared.life.cause import Failed, Recurrence, recurrence
from shared.life.experience import comeback_belief
from shared.life.model import ComebackExperience, ExperienceKind
from shared.life.renewal import expected_failures
from shared.life.weibull import LifeSpec
from shared.money import Money, times

_KEPT = {
    Verdict.CONFORMING: ExperienceKind.KEEP,
    Verdict.INDETERMINATE: ExperienceKind.KEEP_INDETERMINATE,
    Verdict.NOT_INSPECTED: ExperienceKind.KEEP_NOT_INSPECTED,
    Verdict.NONCONFORMING: ExperienceKind.KEEP_NONCONFORMING,
}
_BOUGHT = {
    SourceKind.REWORK: ExperienceKind.REWORK,
    SourceKind.NEW: ExperienceKind.NEW,
    SourceKind.KIT: ExperienceKind.NEW,
    SourceKind.OLD_STOCK: ExperienceKind.OLD_STOCK,
    SourceKind.INTERCHANGE: ExperienceKind.INTERCHANGE,
    SourceKind.GENERIC: ExperienceKind.GENERIC,
    SourceKind.USED: ExperienceKind.USED,
    SourceKind.SALVAGED: ExperienceKind.SALVAGED,
    SourceKind.EXCHANGE: ExperienceKind.EXCHANGE,
    SourceKind.SEND_OUT: ExperienceKind.SEND_OUT,
}
_RUN_BEFORE = frozenset({SourceKind.KEEP, SourceKind.SALVAGED, SourceKind.USED, SourceKind.REWORK})

HEADING_WORDS = {
    ExperienceKind.KEEP: "what is kept and conforms",
    ExperienceKind.KEEP_INDETERMINATE: "what is kept though its readings leave it open",
    ExperienceKind.KEEP_NOT_INSPECTED: "what is kept uninspected",
    ExperienceKind.KEEP_NONCONFORMING: "what is kept though it does not conform",
    ExperienceKind.REWORK: "reworked parts",
    ExperienceKind.NEW: "new goods",
    ExperienceKind.OLD_STOCK: "old stock",
    ExperienceKind.INTERCHANGE: "interchanged parts",
    ExperienceKind.GENERIC: "parts bought by their standard designation",
    ExperienceKind.USED: "used goods",
    ExperienceKind.SALVAGED: "salvaged parts",
    ExperienceKind.EXCHANGE: "exchange goods",
    ExperienceKind.SEND_OUT: "work sent out",
}
"""What a shop's heading of experience is called in a sentence."""


@dataclass(frozen=True, slots=True)
class Prospect:
    """How a source's part is expected to last, and where that comes from; spec None: unknown."""

    spec: LifeSpec | None
    basis: str


@dataclass(frozen=True, slots=True)
class Failure:
    """What one failure costs: the shop within its warranty, the customer after it."""

    shop_cost: int
    customer_price: int


def kept_kind(verdict: Verdict) -> ExperienceKind:
    """Under which heading the comebacks of a part kept with this verdict are counted."""
    return _KEPT[verdict]


def experience_for(
    snapshot: Snapshot, kind: ExperienceKind, part_kind: str | None
) -> ComebackExperience | None:
    """The shop's experience with a kind of source: of this kind of part before the general one."""
    found = [e for e in snapshot.settings.comeback_experience if e.kind is kind]
    for wanted in dict.fromkeys((part_kind, None)):
        for experience in found:
            if experience.part_kind == wanted:
                return experience
    return None


def warranty_chance(experience: ComebackExperience) -> float:
    """Predictive chance of a comeback within the warranty, from prior and record."""
    return comeback_belief(experience).mean


def prospect(
    snapshot: Snapshot,
    kind: SourceKind,
    part_kind: str | None,
    age_hours: tuple[Decimal, Decimal] | None,
    verdict: Verdict | None = None,
    conformity: float | None = None,
) -> Prospect:
    """How a source's part is expected to last.

    ``age_hours`` is the range of hours already run (None: unknown; a part never run has (0, 0)).
    A kept part whose verdict is open and that has no experience heading of its own is taken as a
    kept part that conforms with the chance its reading gives. With a heading, that counts, or what
    its reading makes of kept parts that conform and that do not, whichever is worse.
    """
    warranty = float(snapshot.settings.warranty.warranty_hours)
    heading = (
        kept_kind(verdict or Verdict.NOT_INSPECTED) if kind is SourceKind.KEEP else _BOUGHT[kind]
    )
    is_doubtful = kind is SourceKind.KEEP and verdict is not Verdict.CONFORMING
    own = experience_for(snapshot, heading, part_kind)
    if not is_doubtful or own is None:
        aged = _from_life_record(snapshot, kind, part_kind, age_hours)
        if aged is not None and verdict is not Verdict.NONCONFORMING:
            return doubted(aged, conformity, warranty) if is_doubtful else aged
    if own is not None:
        chance, basis = warranty_chance(own), _experience_of(heading, own)
        if heading is ExperienceKind.KEEP_INDETERMINATE and conformity is not None:
            chance, basis = _by_its_reading(snapshot, part_kind, conformity, (chance, basis))
        return Prospect(LifeSpec.from_warranty_chance(chance, warranty), basis)
    kept = experience_for(snapshot, ExperienceKind.KEEP, part_kind)
    if is_doubtful and kept is not None and verdict is not Verdict.NONCONFORMING:
        spec = LifeSpec.from_warranty_chance(warranty_chance(kept), warranty)
        basis = _experience_of(ExperienceKind.KEEP, kept)
        return doubted(Prospect(spec, basis), conformity, warranty)
    return Prospect(None, f"no experience with {HEADING_WORDS[heading]} on record")


def _by_its_reading(
    snapshot: Snapshot, part_kind: str | None, conformity: float, heading: tuple[float, str]
) -> tuple[float, str]:
    """Chance of a comeback of a part read near its limit, and its basis: never below the heading's.

    What is kept in doubt comes back seldom on the average; one part that is more likely beyond its
    limit than within it is no average one.
    """
    good = experience_for(snapshot, ExperienceKind.KEEP, part_kind)
    bad = experience_for(snapshot, ExperienceKind.KEEP_NONCONFORMING, part_kind)
    if good is None or bad is None:
        return heading
    mixed = conformity * warranty_chance(good) + (1 - conformity) * warranty_chance(bad)
    if mixed <= heading[0]:
        return heading
    return mixed, (
        f"by its reading it conforms with {conformity:.3g}: the shop's experience with "
        f"{HEADING_WORDS[ExperienceKind.KEEP]} and with "
        f"{HEADING_WORDS[ExperienceKind.KEEP_NONCONFORMING]}, each by its chance"
    )


def _experience_of(heading: ExperienceKind, experience: ComebackExperience) -> str:
    basis = experience.basis or "the shop's own judgement, no source stated"
    return f"the shop's experience with {HEADING_WORDS[heading]}: {basis}"


def _from_life_record(
    snapshot: Snapshot,
    kind: SourceKind,
    part_kind: str | None,
    age_hours: tuple[Decimal, Decimal] | None,
) -> Prospect | None:
    record = next((r for r in snapshot.settings.life_records if r.part_kind == part_kind), None)
    if record is None or kind is SourceKind.REWORK:
        return None
    if age_hours is None:
        if kind in _RUN_BEFORE:
            return None
        age_hours = (Decimal(0), Decimal(0))
    spec = LifeSpec(
        float(record.shape), float(record.scale_hours), float(age_hours[0]), float(age_hours[1])
    )
    return Prospect(spec, f"life of a {part_kind}: {record.basis}")


def doubted(base: Prospect, conformity: float | None, warranty_hours: float) -> Prospect:
    """A part that may already be beyond its limit: it lasts only if it conforms."""
    if conformity is None or base.spec is None:
        return Prospect(base.spec, f"{base.basis}; the open verdict itself is not priced")
    lasts = conformity * base.spec.survival(warranty_hours)
    if lasts >= 1:
        return base
    # Never quite certain to fail: a chance of 1 has no life to reckon with.
    fails = min(1 - lasts, SUREST_FAILURE)
    spec = LifeSpec.from_warranty_chance(fails, warranty_hours)
    return Prospect(spec, f"{base.basis}, times the chance {conformity:.3g} that it conforms")


def chances(snapshot: Snapshot, spec: LifeSpec) -> tuple[float, float]:
    """Chance of a comeback in the warranty, and number of later failures, up to the horizon.

    A part that fails is replaced by its like, which may fail again: over a long horizon more than
    one failure is to be expected.
    """
    horizon = horizon_hours(snapshot)
    covered = min(float(snapshot.settings.warranty.warranty_hours), horizon)
    in_warranty = 1 - spec.survival(covered)
    return in_warranty, max(0.0, expected_failures(spec, horizon) - in_warranty)


def horizon_hours(snapshot: Snapshot) -> float:
    """Running hours for which the function is wanted; the warranty when the job does not say."""
    stated = snapshot.job.horizon_hours
    return float(stated if stated is not None else snapshot.settings.warranty.warranty_hours)


def worse_of(snapshot: Snapshot, first: Prospect, second: Prospect) -> Prospect:
    """The prospect that is likelier to fail by the horizon; the one that is known, if only one is.

    Either stands on something of its own, and neither knows of the other: the worse is counted.
    Where the other is the worse within the warranty, a life that is as bad as either at both ends
    takes their place: nothing must look better for a reason of its own.
    """
    if first.spec is None or second.spec is None:
        return first if second.spec is None else second
    warranty = float(snapshot.settings.warranty.warranty_hours)
    horizon = horizon_hours(snapshot) or warranty
    worse, other = first, second
    if second.spec.survival(horizon) < first.spec.survival(horizon):
        worse, other = second, first
    assert worse.spec is not None
    assert other.spec is not None
    early = 1 - other.spec.survival(warranty)
    if warranty >= horizon or early <= 1 - worse.spec.survival(warranty):
        return worse
    late = min(1 - worse.spec.survival(horizon), SUREST_FAILURE)
    if early >= late:
        return other
    spec = through((warranty, early), (horizon, late))
    return Prospect(spec, f"{worse.basis}; within the warranty {other.basis}, which is worse there")


def first_cause(snapshot: Snapshot) -> Recurrence:
    """Chance that what broke the unit breaks it again within the warranty, and by which figure."""
    job, warranty = snapshot.job, snapshot.settings.warranty
    return recurrence(
        Failed(job.cause, job.cause_kind, job.failure_mechanism, job.is_cause_removed),
        warranty.cause_chances,
        warranty.common_cause_known,
        warranty.common_cause_unknown,
    )


def common_cause(snapshot: Snapshot) -> Decimal:
    """Chance that what broke the unit breaks it again within the warranty."""
    return first_cause(snapshot).chance


def cause_survival(snapshot: Snapshot, hours: float) -> float:
    """Chance that the original cause does not strike again within so many running hours.

    Spread over the warranty at a constant hazard; after it no more is counted.
    """
    return cause_curve(snapshot)(hours)


def cause_curve(snapshot: Snapshot) -> Callable[[float], float]:
    """As ``cause_survival``, by hours; the chance is read off once."""
    warranty = float(snapshot.settings.warranty.warranty_hours)
    spared = 1 - float(common_cause(snapshot))

    def survives(hours: float) -> float:
        share = min(1.0, hours / warranty) if warranty > 0 else 1.0
        return float(spared**share)

    return survives


def failure_lines(
    snapshot: Snapshot, name: str, spec: LifeSpec | None, failure: Failure
) -> tuple[AmountLine, ...]:
    """Expected cost of failure: within the warranty the shop's, later the customer's."""
    if spec is None:
        return ()
    early, late = chances(snapshot, spec)
    currency = snapshot.settings.currency
    lines = []
    comeback = times(failure.shop_cost, Decimal(repr(early)))
    if comeback:
        amount = Money.of_minor(failure.shop_cost, currency).amount
        label = f"comeback in warranty, {name}: {early:.4%} of {amount}"
        lines.append(AmountLine(CostClass.COMEBACK, label, comeback, comeback, is_billed=False))
    later = times(failure.customer_price, Decimal(repr(late)))
    if later:
        amount = Money.of_minor(failure.customer_price, currency).amount
        label = f"failures after warranty, {name}: {late:.4g} times {amount}"
        lines.append(AmountLine(CostClass.LATER_FAILURE, label, 0, later, is_billed=False))
    return tuple(lines)
