"""Why a giver does not give: what the decision's building code said, and what it did not reach.

Building stops at the first reason. A person who weighs a donor wants all of them, so the checks
behind the first are asked again here, by the same functions.
"""

from collections.abc import Container, Iterable

from shared.assemblies.model import Position, RenewalRule
from shared.assemblies.traits import Traits
from shared.condition.model import Unit
from shared.decision.building.build import Built
from shared.decision.building.draft import Origin
from shared.decision.building.harvest import why_origin_barred, why_run_part_barred
from shared.decision.building.kinds import why_other_traits
from shared.decision.building.planned import PlannedPosition
from shared.decision.building.position_facts import is_allowed
from shared.decision.building.taken import why_gift_gone, why_gone, why_set_broken
from shared.decision.giving.compared import trait_reasons
from shared.decision.settings import SourceKind
from shared.salvage.model import DonorGift


def donor_reasons(
    built: Built, donor: Unit, planned: PlannedPosition, said: Iterable[str]
) -> tuple[str, ...]:
    """Every reason why a donor of the own assembly does not give a planned position.

    ``said``: what building gave as reasons.
    """
    position = planned.position
    more = (
        why_origin_barred(built.draft, donor),
        _why_not_allowed(built, planned),
        why_gone(built.bench, donor, position),
        why_set_broken(built.bench, donor, position),
        *kind_reasons(built, position, donor.traits),
        _seen_bad(built, donor, position),
    )
    return _each_once(built, donor.traits, said, more)


def shelf_reasons(
    built: Built, donor: Unit, traits: Traits, position: Position, said: Iterable[str]
) -> tuple[str, ...]:
    """Every reason why a part on the shelf does not go into a position."""
    more = (why_origin_barred(built.draft, donor), *kind_reasons(built, position, traits))
    return _each_once(built, traits, said, more)


def gift_reasons(
    built: Built, donor: Unit, gift: DonorGift, planned: PlannedPosition, said: Iterable[str]
) -> tuple[str, ...]:
    """Every reason why a donor of another assembly does not give a planned position."""
    is_bound = gift.position.is_variant_bound
    more = (
        why_origin_barred(built.draft, donor),
        _why_not_allowed(built, planned),
        why_gift_gone(built.bench, donor, gift),
        *kind_reasons(built, planned.position, donor.traits, is_bound_there=is_bound),
    )
    return _each_once(built, donor.traits, said, more)


def kind_reasons(
    built: Built, position: Position, traits: Traits, *, is_bound_there: bool = False
) -> tuple[str, ...]:
    """Why a part that ran in a unit of these traits does not go here: each trait singly.

    ``is_bound_there``: whether it depended on the traits where it sat.
    """
    found: list[str] = []
    if position.renewal_rule is not RenewalRule.ON_CONDITION:
        by_rule = why_run_part_barred(built.draft, position, traits)
        found += [by_rule] if by_rule is not None else []
    taken = (position, *built.bench.inside(position))
    if is_bound_there or any(one.is_variant_bound for one in taken):
        found += trait_reasons(built.bench.unit.traits, traits)
    return tuple(found)


def _why_not_allowed(built: Built, planned: PlannedPosition) -> str | None:
    """Why the policy lets no salvaged part in at all; the draft stays as it was."""
    draft = built.draft
    if is_allowed(draft, planned, SourceKind.SALVAGED, planned.name):
        return None
    return draft.exclusions.pop().detail


def _each_once(
    built: Built, traits: Traits, said: Iterable[str], more: Iterable[str | None]
) -> tuple[str, ...]:
    """All reasons; the first trait that building met gives way to the traits told singly."""
    reasons = [reason for reason in more if reason is not None]
    first_trait = why_other_traits(built.bench.unit.traits, traits)
    told = [one for one in said if one != first_trait or one in reasons or not reasons]
    return tuple(dict.fromkeys((*told, *reasons)))


def said_of_donor(
    built: Built, donor: Unit, gift: DonorGift | None, position_ids: Container[str | None]
) -> list[str]:
    """What building said against a donor, at these planned positions or altogether."""
    there = None if gift is None else gift.position.id
    at_all = built.draft.barred_of.get(Origin(donor.id), [])
    here = built.draft.barred_of.get(Origin(donor.id, there), [])
    told = [one for one in at_all if one.position_id is None]
    told += [one for one in here if one.position_id in position_ids]
    return [one.detail for one in told]


def said_of_shelf(
    built: Built, salvaged_part_id: str, position_ids: Container[str | None]
) -> list[str]:
    """What building said against a part on the shelf, held or not, at these positions."""
    return [
        one.detail
        for origin, barred in built.draft.barred_of.items()
        if salvaged_part_id in origin.salvaged_part_ids
        for one in barred
        if one.position_id in position_ids
    ]


def _seen_bad(built: Built, donor: Unit, position: Position) -> str | None:
    judgement = built.bench.judge_whole(position, donor.id)
    bad = judgement.nonconforming
    return f"nonconforming on the donor: {'; '.join(bad)}" if bad else None
