"""The chances of a snapshot that may move: comebacks, proofs of donors' parts, lives of parts.

A chance moves by 10^-4: the predictive chance of a heading of experience, whatever its prior and
record were. A life moves by an hour of its scale.
"""

from dataclasses import replace
from decimal import Decimal

from shared.beliefs import prior_belief
from shared.decision.building.risk import HEADING_WORDS, warranty_chance
from shared.decision.result import BreakEvenKind
from shared.decision.snapshot import Snapshot
from shared.decision.weighing.movable import MOST_TIMES, put
from shared.decision.weighing.what_if import Input
from shared.life.model import ComebackExperience, LifeRecord
from shared.salvage.model import SalvageExperience

CHANCE_STEP = Decimal("0.0001")
LIFE_STEP_HOURS = Decimal(1)


def comeback_chance(snapshot: Snapshot, experience: ComebackExperience) -> Input:
    """Predictive chance of a comeback within the warranty under one heading of experience.

    Where comebacks are on record it is the whole heading that moves; else its prior mean is it.
    """
    found = snapshot.settings.comeback_experience
    index = next(i for i, one in enumerate(found) if one is experience)
    path = f"/settings/comeback_experience/{index}"
    chance = Decimal(f"{warranty_chance(experience):.6f}")

    def moved(snapshot: Snapshot, value: Decimal) -> Snapshot:
        other = replace(experience, prior_mean=value, comebacks=0, trials=0)
        return _with_settings(snapshot, comeback_experience=put(found, index, other))

    of = f" ({experience.part_kind})" if experience.part_kind else ""
    return Input(
        path=path if experience.trials else f"{path}/prior_mean",
        subject=f"chance of a comeback within the warranty of {HEADING_WORDS[experience.kind]}{of}",
        kind=BreakEvenKind.FAILURE_RATE,
        id=path,
        unit="",
        current=chance if experience.trials else experience.prior_mean,
        step=CHANCE_STEP,
        lowest=CHANCE_STEP,
        highest=1 - CHANCE_STEP,
        moved=moved,
        is_chance=True,
    )


def proof_of(snapshot: Snapshot, experience: SalvageExperience) -> Input:
    """Predictive chance that a donor's part proves good, under one heading of experience."""
    found = snapshot.settings.salvage_experience
    index = next(i for i, one in enumerate(found) if one is experience)
    path = f"/settings/salvage_experience/{index}"
    belief = prior_belief(float(experience.prior_mean), float(experience.prior_weight))
    chance = Decimal(f"{belief.after(experience.good, experience.trials).mean:.6f}")

    def moved(snapshot: Snapshot, value: Decimal) -> Snapshot:
        other = replace(experience, prior_mean=value, good=0, trials=0)
        return _with_settings(snapshot, salvage_experience=put(found, index, other))

    of = f" of {experience.part_kind}" if experience.part_kind else ""
    retired = f", donors retired by {experience.reason_retired}" * bool(experience.reason_retired)
    return Input(
        path=path if experience.trials else f"{path}/prior_mean",
        subject=f"chance that a part from a donor proves good{of}{retired}",
        kind=BreakEvenKind.FAILURE_RATE,
        id=path,
        unit="",
        current=chance if experience.trials else experience.prior_mean,
        step=CHANCE_STEP,
        lowest=CHANCE_STEP,
        highest=1 - CHANCE_STEP,
        moved=moved,
        is_chance=True,
    )


def life(snapshot: Snapshot, record: LifeRecord) -> Input:
    """Scale of the life distribution of a kind of part, in running hours."""
    found = snapshot.settings.life_records
    index = next(i for i, one in enumerate(found) if one is record)
    path = f"/settings/life_records/{index}/scale_hours"

    def moved(snapshot: Snapshot, value: Decimal) -> Snapshot:
        other = replace(record, scale_hours=value)
        return _with_settings(snapshot, life_records=put(found, index, other))

    return Input(
        path=path,
        subject=f"life of a {record.part_kind} (hours by which 63 of 100 have failed)",
        kind=BreakEvenKind.FAILURE_RATE,
        id=path,
        unit="h",
        current=record.scale_hours,
        step=LIFE_STEP_HOURS,
        lowest=min(LIFE_STEP_HOURS, record.scale_hours),
        highest=MOST_TIMES * record.scale_hours,
        moved=moved,
    )


def _with_settings(snapshot: Snapshot, **members: object) -> Snapshot:
    return replace(snapshot, settings=replace(snapshot.settings, **members))  # type: ignore[arg-type]
