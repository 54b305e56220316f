"""Laws of parts that come by a path, on invented jobs; each failure names its seed."""

from collections import Counter
from decimal import Decimal
from functools import cached_property, lru_cache

import pytest

from shared.decision.building.build import Built, build
from shared.decision.building.draft import SourceFacts
from shared.decision.check import check_snapshot
from shared.decision.codec import from_builtins, to_builtins
from shared.decision.planning.case import Query, Source
from shared.decision.planning.solver import solve
from shared.decision.snapshot import Snapshot
from shared.interchange.candidates import candidates
from shared.interchange.conditions import holds
from shared.interchange.found import Candidate, Catalogue, Holds, Place, Standing
from shared.interchange.model import ClaimSays
from tests.shared.decision.random_jobs import in_currency_of_supplier, random_job

BLOCKS = 4
JOBS = 96


def snapshot_of(seed: int) -> Snapshot:
    return from_builtins(in_currency_of_supplier(random_job(seed)), Snapshot)


def block(number: int) -> range:
    """Seeds of one block."""
    return range(number, JOBS, BLOCKS)


def usable_by_place(snapshot: Snapshot) -> dict[str, dict[str, Candidate]]:
    """What the look-up by the same records says, by position and part."""
    catalogue = Catalogue(
        snapshot.parts,
        snapshot.claims,
        snapshot.supersessions,
        snapshot.fitment_counts,
        snapshot.settings.interchange,
        snapshot.settings.policy.accepted_evidence,
    )
    own = next(unit for unit in snapshot.units if unit.id == snapshot.job.unit_id)
    return {
        one.id: {
            found.part.id: found
            for found in candidates(
                Place(
                    one.part_id or "",
                    snapshot.as_of.date(),
                    snapshot.assembly.id,
                    one.id,
                    own.traits,
                ),
                catalogue,
            ).candidates
            if found.standing is Standing.USABLE
        }
        for one in snapshot.positions
    }


def denied(snapshot: Snapshot) -> set[tuple[str, str]]:
    """Position and part of which an accepted record says, or may say, that it does not fit."""
    own = next(unit for unit in snapshot.units if unit.id == snapshot.job.unit_id)
    found = set()
    for one in snapshot.positions:
        place = Place(
            one.part_id or "", snapshot.as_of.date(), snapshot.assembly.id, one.id, own.traits
        )
        found |= {
            (one.id, claim.stand_in_part_id)
            for claim in snapshot.claims
            if claim.says is ClaimSays.DOES_NOT_FIT
            and claim.part_id == one.part_id
            and claim.evidence_kind in snapshot.settings.policy.accepted_evidence
            and holds(claim, place)[0] is not Holds.NO
        }
    return found


class Looked:
    """One built job beside what the look-up of candidates says of the same records."""

    def __init__(self, seed: int) -> None:
        self.snapshot = snapshot_of(seed)
        check_snapshot(self.snapshot)
        self.built: Built = build(self.snapshot)
        self.usable = usable_by_place(self.snapshot)
        self.places = {one.id: one for one in self.snapshot.positions}
        self.shelf = {one.id: one for one in self.snapshot.salvaged_parts}
        self.offers = {one.id: one for one in self.built.bench.snapshot.offers}

    @cached_property
    def sources(self) -> list[tuple[Source, SourceFacts, str, int]]:
        """Sources with their facts, position and the pieces that are called for."""
        planned = {one.id: one for one in self.built.bench.planned}
        return [
            (source, self.built.draft.facts[source.id], one.position.id, one.quantity)
            for source in self.built.case.sources
            if (one := planned.get(source.position_id)) is not None
        ]

    def fitted(self, facts: SourceFacts, place: str, pieces: int) -> list[tuple[str, int]]:
        """Parts that a source puts in, and for how many pieces called for each of them goes."""
        if facts.salvaged_part_ids:
            called = self.places[place].part_id or ""
            return [(self.shelf[one].part_id or called, 1) for one in facts.salvaged_part_ids]
        return [(facts.candidate.part.id, pieces)] if facts.candidate is not None else []


looked_at = lru_cache(maxsize=JOBS)(Looked)
"""Each job is built once."""


@pytest.mark.parametrize("number", range(BLOCKS))
def test_only_what_the_look_up_calls_usable_is_planned_with(number):
    for seed in block(number):
        looked = looked_at(seed)
        never = denied(looked.snapshot)
        for source, facts, place, pieces in looked.sources:
            for part_id, _ in looked.fitted(facts, place, pieces):
                assert part_id in looked.usable[place], (seed, source.id)
                assert (place, part_id) not in never, (seed, source.id)
            if facts.candidate is not None:
                assert facts.candidate == looked.usable[place][facts.candidate.part.id], seed


@pytest.mark.parametrize("number", range(BLOCKS))
def test_what_goes_in_along_is_paid_and_awaited(number):
    for seed in block(number):
        looked = looked_at(seed)
        for source, facts, place, pieces in looked.sources:
            wanted: Counter[str] = Counter()
            for part_id, count in looked.fitted(facts, place, pieces):
                for line in looked.usable[place][part_id].companions:
                    wanted[line.part_id] += line.quantity * count
            assert Counter({a.part.id: a.pieces for a in facts.along}) == wanted, (seed, source.id)
            charges = set(source.charges)
            for one in facts.along:
                assert f"delivery:{one.offer.id}" in charges, (seed, source.id)
                paid = [line for line in source.lines if line == one.line]
                taken = [count for key, count in source.purchases if one.offer.id in key]
                assert [line.cost for line in paid] + taken in (
                    [one.offer.price.minor * one.pieces],
                    [one.pieces],
                ), (seed, source.id)
                if one.offer.reject_probability:
                    assert f"good:{source.id}:{one.offer.id}" in charges, (seed, source.id)


@pytest.mark.parametrize("number", range(BLOCKS))
def test_pieces_are_whole_and_rework_is_worked_and_paid(number):
    for seed in block(number):
        looked = looked_at(seed)
        for source, facts, place, pieces in looked.sources:
            fitted = [
                (looked.usable[place][part_id], count)
                for part_id, count in looked.fitted(facts, place, pieces)
            ]
            lines = [line for line in source.lines if line.label.startswith("adapt")]
            hours = sum((one.rework_p50_hours * n for one, n in fitted), Decimal(0))
            paid = sum(m.minor * n for one, n in fitted for m in one.rework_costs)
            labour = [line.price for line in lines if line.cost_class == "labour"]
            work = [line.cost for line in lines if line.cost_class == "service"]
            assert (sum(labour), sum(work)) == (hours * 6000, paid), (seed, source.id)
            longest = sum((one.rework_p90_hours * n for one, n in fitted), Decimal(0))
            assert source.bench_minutes >= longest * 60, (seed, source.id)
            if facts.candidate is not None and facts.offer_id and source.kind != "kit":
                count = facts.candidate.ratio * pieces
                assert count.denominator == 1, (seed, source.id)
                _assert_bought(looked, source, facts.offer_id, int(count))


def _assert_bought(looked: Looked, source: Source, offer_id: str, count: int) -> None:
    offer = looked.offers[offer_id]
    taken = [pieces for item, pieces in source.purchases if offer_id in item]
    goods = [
        line.cost
        for line in source.lines
        if line.cost_class == "goods" and "goes in with" not in line.label
    ]
    assert [*goods, *taken] in ([offer.price.minor * count], [count]), source.id


@pytest.mark.parametrize("number", range(BLOCKS))
def test_no_piece_of_the_shelf_or_of_a_donor_is_used_twice(number):
    for seed in block(number):
        looked = looked_at(seed)
        plan = solve(looked.built.case, Query(looked.built.confidence)).plan
        assert plan is not None, seed  # a whole unit is always on offer
        chosen = [one for one in looked.sources if one[0].id in plan.source_ids]
        shelf = Counter(one for _, facts, _, _ in chosen for one in facts.salvaged_part_ids)
        assert max(shelf.values(), default=1) == 1, seed
        given: Counter[str] = Counter()
        for _, facts, _, pieces in chosen:
            if facts.donor_position_id is not None:
                given[facts.donor_position_id] += pieces
        for gift in looked.snapshot.gifts:
            assert given[gift.position.id] <= gift.position.quantity, seed
            if given[gift.position.id]:
                assert not any(given[inner] for inner in gift.inner_position_ids), seed


def test_a_job_written_and_read_again_is_the_same_job():
    for seed in range(0, JOBS, 8):
        snapshot = snapshot_of(seed)
        again = from_builtins(to_builtins(snapshot), Snapshot)
        assert again == snapshot
        assert build(again).case == build(snapshot).case


def test_these_jobs_hold_every_way_in_which_a_part_may_come():
    found: Counter[str] = Counter()
    for seed in range(JOBS):
        for source, facts, _, _ in looked_at(seed).sources:
            found[source.kind] += 1
            found["along"] += bool(facts.along)
            found["gift"] += facts.donor_position_id is not None
            found["gift of another number"] += bool(facts.donor_position_id and facts.is_stand_in)
            found["shelf"] += bool(facts.salvaged_part_ids)
            found["shelf, another number"] += bool(facts.salvaged_part_ids and facts.is_stand_in)
            if facts.candidate is not None:
                found[f"by {facts.candidate.path}"] += 1
                found["several for one"] += facts.candidate.ratio != 1
    kinds = ("new", "interchange", "generic", "used", "old-stock", "kit", "salvaged", "exchange")
    ways = ("along", "gift", "gift of another number", "shelf", "shelf, another number")
    paths = ("by supersession", "by interchange", "by generic", "several for one")
    assert not [way for way in (*kinds, *ways, *paths) if not found[way]], found
