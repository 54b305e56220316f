"""What a plan takes in of the catalogue: what leads to something to be had, and what forbids it."""

from dataclasses import asdict
from datetime import UTC, date, datetime
from decimal import Decimal
from itertools import pairwise

import pytest

from db.queries import gifts, reach
from db.queries.place_snapshot import ASKED, place_snapshot
from db.queries.snapshot import load_snapshot
from shared.assemblies.traits import Hand, Traits
from shared.decision.check import check_snapshot
from shared.decision.check.interchange import MOST_PIECES
from shared.decision.codec import snapshot_from_bytes, to_bytes
from shared.decision.snapshot import Aim, Snapshot
from shared.errors import Conflict, InvalidInput, NotFound
from shared.interchange.model import (
    ClaimSays,
    FitmentCount,
    FitmentResult,
    InterchangeClaim,
    KitLine,
    Part,
    PartLine,
)
from shared.salvage.model import DonorGift
from tests.db.workshop import REMOVED_ON, Workshop, mm

AS_OF = datetime(2031, 3, 5, 8, 0, tzinfo=UTC)


class Bench:
    """A shop with a job on an assembly whose one position calls for a part."""

    def __init__(self, workshop: Workshop, **position) -> None:
        self.w = workshop
        workshop.settings()
        self.assembly = workshop.assembly()
        self.part = workshop.part()
        self.position = workshop.position(self.assembly, part_id=self.part.id, **position)
        self.job = workshop.job(workshop.unit(self.assembly))

    def offered(self, **fields) -> Part:
        part = self.w.part(**fields)
        self.w.offer(self.w.supplier(), part_id=part.id)
        return part

    def snapshot(self) -> Snapshot:
        with self.w.sessions.reading() as session:
            found = load_snapshot(session, self.w.principal, self.job.id, AS_OF, Aim.PRICE)
        assert snapshot_from_bytes(to_bytes(found)) == found
        check_snapshot(found)
        return found


@pytest.fixture
def bench(workshop: Workshop) -> Bench:
    return Bench(workshop)


def ids(records) -> set[str]:
    return {one.id for one in records}


def test_paths_of_several_steps_count_as_far_as_they_lead_to_something(
    bench: Bench, neighbour: Workshop
) -> None:
    w = bench.w
    between, end, nowhere = w.part(), bench.offered(), w.part()
    kept = (w.supersession(bench.part, between), neighbour.claim(between, end))
    neighbour.claim(between, nowhere)
    w.claim(end, nowhere)
    found = bench.snapshot()
    assert ids(found.supersessions) == {kept[0].id}
    assert ids(found.claims) == {kept[1].id}
    assert ids(found.parts) == {bench.part.id, between.id, end.id}
    assert [offer.part_id for offer in found.offers] == [end.id]


def test_a_path_longer_than_the_shop_allows_is_not_taken_in(bench: Bench) -> None:
    w = bench.w
    way = [bench.part, *(w.part() for _ in range(4)), bench.offered()]
    for one, other in pairwise(way):
        w.claim(one, other)
    assert [one.stand_in_part_id for one in bench.snapshot().claims] == [way[1].id]
    w.claim(bench.part, way[2])
    assert len(bench.snapshot().claims) == 6


def test_what_forbids_and_what_rivals_comes_along(bench: Bench, neighbour: Workshop) -> None:
    w = bench.w
    later, rival = bench.offered(), w.part()
    rules = (w.supersession(bench.part, later), neighbour.supersession(bench.part, rival))
    ends = neighbour.supersession(bench.part)
    denial = neighbour.claim(bench.part, later, says=ClaimSays.DOES_NOT_FIT)
    neighbour.claim(bench.part, w.part(), says=ClaimSays.DOES_NOT_FIT)
    found = bench.snapshot()
    assert ids(found.supersessions) == {*ids(rules), ends.id}
    assert ids(found.claims) == {denial.id}
    assert rival.id in ids(found.parts)
    assert found.claims_left_out == 0


def test_offers_for_companions_count_too(bench: Bench) -> None:
    w = bench.w
    stand_in, companion = bench.offered(), bench.offered()
    w.claim(bench.part, stand_in, companion_lines=(PartLine(companion.id, 2),))
    kit = bench.offered(kit_lines=(KitLine(companion.id, 2),))
    found = bench.snapshot()
    assert {offer.part_id for offer in found.offers} == {stand_in.id, companion.id, kit.id}


def test_fitments_come_as_counts(bench: Bench) -> None:
    w = bench.w
    stand_in = bench.offered()
    claim = w.claim(bench.part, stand_in)
    done = w.job(w.unit(bench.assembly))
    fields = {"claim_id": claim.id, "result": FitmentResult.DID_NOT_FIT}
    w.fitment(done, bench.position, part_id=stand_in.id, **fields)
    assert bench.snapshot().fitment_counts == (FitmentCount(claim.id, 0, 1, 0),)


def test_claims_by_others_are_bounded_and_what_is_left_out_is_counted(
    bench: Bench, neighbour: Workshop, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(reach, "MOST_OF_A_PAIR", 3)
    stand_in, other = bench.offered(), bench.offered()
    own = [bench.w.claim(bench.part, stand_in) for _ in range(5)]
    others = [neighbour.claim(bench.part, stand_in) for _ in range(5)]
    for fields in (
        {"stand_in_quantity": 1001},
        {"companion_lines": (PartLine(neighbour.part().id, 1001),)},
        {"rework_p90_hours": Decimal(1001)},
    ):
        neighbour.claim(bench.part, other, **fields)
    for _ in range(4):
        neighbour.claim(bench.part, neighbour.part())  # nobody offers these
    found = bench.snapshot()
    assert ids(found.claims) == {*ids(own), *ids(others[:3])}
    assert found.claims_left_out == 2 + 3
    monkeypatch.setattr(reach, "MOST_BY_OTHERS", 1)
    assert ids(bench.snapshot().claims) == {*ids(own), others[0].id}
    assert bench.snapshot().claims_left_out == 4 + 3


def test_a_neighbours_heap_of_claims_does_not_hide_what_can_be_had(
    bench: Bench, neighbour: Workshop, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr("db.queries.interchange_edges.MOST_EDGES", 8)
    for _ in range(12):
        neighbour.claim(bench.part, neighbour.part())
    stand_in = bench.offered()
    useful = neighbour.claim(bench.part, stand_in)
    own = bench.w.claim(bench.part, bench.offered())
    assert {useful.id, own.id} <= ids(bench.snapshot().claims)


@pytest.mark.parametrize("member", ["later_lines", "companion_lines"])
def test_rules_beyond_measure_are_left_out_with_those_they_rival(
    bench: Bench, neighbour: Workshop, member: str
) -> None:
    later, other, between, back = (bench.offered() for _ in range(4))
    many = (PartLine(other.id, MOST_PIECES + 1),)
    bench.w.supersession(bench.part, later)
    bench.w.claim(bench.part, between)
    kept = neighbour.supersession(between, later)
    assert len(bench.snapshot().supersessions) == 2
    neighbour.supersession(bench.part, later, **{member: many})
    # The way back to a part of which one rule is left out is unsure too.
    neighbour.supersession(back, bench.part, may_go_back=True)
    neighbour.supersession(back, later, **{member: many})
    found = bench.snapshot()
    assert ids(found.supersessions) == {kept.id}
    assert found.claims_left_out == 2 + 2


def test_what_is_not_read_for_its_number_is_counted(
    bench: Bench, neighbour: Workshop, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr("db.queries.interchange_edges.MOST_EDGES", 4)
    for _ in range(6):
        neighbour.claim(bench.part, neighbour.part())
    # Two claims, and the four stand-ins of which nothing further was read.
    assert bench.snapshot().claims_left_out == 2 + 4


def test_generic_equals_of_what_a_step_leads_to_are_taken_in(bench: Bench) -> None:
    w = bench.w
    between = w.part(generic_designation="6205-2RS1")
    w.claim(bench.part, between)
    equal = bench.offered(generic_designation="6205 2rs1")
    differing = bench.offered(generic_designation="6205")
    w.part(generic_designation="6205-2RS1")
    found = bench.snapshot()
    assert ids(found.parts) == {bench.part.id, between.id, equal.id, differing.id}


# --- the shelf, and donors of other assemblies -------------------------------------------------


def shelved_elsewhere(w: Workshop, part: Part):
    assembly = w.assembly()
    position = w.position(assembly, part_id=part.id)
    donor = w.donor(assembly, released_on=REMOVED_ON)
    return w.salvaged_part(donor, position, part_id=part.id), donor


def test_a_part_on_the_shelf_whose_number_is_reached_is_there(bench: Bench) -> None:
    w = bench.w
    later = w.part()
    w.supersession(bench.part, later)
    part, donor = shelved_elsewhere(w, later)
    shelved_elsewhere(w, w.part())
    found = bench.snapshot()
    assert [one.id for one in found.salvaged_parts] == [part.id]
    assert donor.id in ids(found.units)
    assert found.held_parts == ()
    w.reservation(part, w.job(w.unit(bench.assembly)))
    held = bench.snapshot()
    assert held.salvaged_parts == ()


def test_a_donor_of_another_assembly_gives_what_a_path_leads_to(
    bench: Bench, neighbour: Workshop
) -> None:
    w = bench.w
    later, other = w.part(), w.part()
    claim = w.claim(bench.part, later)
    there = w.assembly()
    outer = w.position(there, part_id=later.id)
    inner = w.position(there, parent_id=outer.id, part_id=other.id)
    deep = w.position(there, parent_id=inner.id)
    bore = w.characteristic(outer, service_lower=mm("19.990"))
    unseen = w.characteristic(inner)
    donor, stock = (w.donor(there, released_on=REMOVED_ON) for _ in range(2))
    seen = w.finding(donor, bore, measured=mm("19.995"))
    w.finding(donor, unseen)
    neighbour.donor(there)
    w.donor(there, released_on=date(2032, 1, 1))  # not the shop's by that day
    w.donor(w.assembly())
    note = w.caution(position_id=outer.id, text="Sharp edge")
    found = bench.snapshot()
    kept = tuple(DonorGift(one.id, found.gifts[0].position, bench.position.id,
                           (inner.id, deep.id)) for one in (donor, stock))  # fmt: skip
    assert found.gifts == kept
    assert found.gifts[0].position.id == outer.id
    assert [one.text for one in found.gifts[0].position.cautions] == [note.text]
    assert ids(found.units) == {bench.job.unit_id, donor.id, stock.id}
    assert [one.id for one in found.findings] == [seen.id]
    assert ids(found.characteristics) == {bore.id}
    assert ids(found.claims) == {claim.id}


def test_the_same_part_in_another_assembly_is_given_too(bench: Bench) -> None:
    w = bench.w
    there = w.assembly()
    position = w.position(there, part_id=bench.part.id)
    donor = w.donor(there, released_on=REMOVED_ON)
    assert bench.snapshot().gifts == (DonorGift(donor.id, position, bench.position.id),)


def test_what_was_paired_in_another_assembly_is_told_as_a_member_of_its_set(bench: Bench) -> None:
    w = bench.w
    there = w.assembly()
    whole, single, plain = (w.position(there, part_id=bench.part.id) for _ in range(3))
    first, second = (w.position(there, parent_id=whole.id) for _ in range(2))
    w.position_set(there, first, second)
    w.position_set(there, single, w.position(there))
    donor = w.donor(there, released_on=REMOVED_ON)
    found = {gift.position.id: gift.is_of_matched_set for gift in bench.snapshot().gifts}
    assert found == {whole.id: False, single.id: True, plain.id: False}
    parts = [w.salvaged_part(donor, one, part_id=bench.part.id) for one in (single, plain)]
    shelf = {one.id: one.is_of_matched_set for one in bench.snapshot().salvaged_parts}
    assert shelf == {parts[0].id: True, parts[1].id: False}


@pytest.mark.parametrize(
    ("most", "left_out"), [("MOST_POSITIONS", 1), ("MOST_DONORS", 1), ("MOST_GIFTS", 3)]
)
def test_gifts_beyond_what_a_plan_looks_at_are_counted(
    bench: Bench, monkeypatch: pytest.MonkeyPatch, most: str, left_out: int
) -> None:
    w = bench.w
    there = w.assembly()
    for _ in range(2):
        w.position(there, part_id=bench.part.id)
    for _ in range(2):
        w.donor(there, released_on=REMOVED_ON)
    assert (len(bench.snapshot().gifts), bench.snapshot().claims_left_out) == (4, 0)
    monkeypatch.setattr(gifts, most, 1)
    assert len(bench.snapshot().gifts) == 4 - max(2, left_out)
    assert bench.snapshot().claims_left_out == left_out


# --- asked without a job -----------------------------------------------------------------------


def asked(workshop: Workshop, position_id: str, unit_id: str | None = None, **traits) -> Snapshot:
    told = Traits(**traits)
    with workshop.sessions.reading() as session:
        return place_snapshot(session, workshop.principal, position_id, unit_id, told, AS_OF)


def test_a_unit_that_is_only_described_is_asked_for(bench: Bench) -> None:
    donor = bench.w.donor(bench.assembly, released_on=REMOVED_ON)
    traits = Traits("LF-7", date(1990, 1, 1), Hand.LEFT, Decimal("3.73"), "B", "long")
    found = asked(bench.w, bench.position.id, **asdict(traits))
    assert (found.job.id, found.job.unit_id) == (ASKED, ASKED)
    described = next(unit for unit in found.units if unit.id == ASKED)
    assert described.traits == traits
    assert ids(found.units) == {ASKED, donor.id}
    assert found.positions == (bench.position,)


def test_a_unit_on_record_is_asked_for_and_is_of_the_assembly(bench: Bench) -> None:
    unit = bench.w.unit(bench.assembly, serial_number="LF-7")
    found = asked(bench.w, bench.position.id, unit.id)
    assert (found.job.id, found.job.unit_id) == (ASKED, unit.id)
    for unit_id in (bench.w.unit(bench.w.assembly()).id, "unt_none"):
        with pytest.raises(InvalidInput) as caught:
            asked(bench.w, bench.position.id, unit_id)
        assert caught.value.pointer == "/unit_id"
    with pytest.raises(NotFound):
        asked(bench.w, "pos_none")


def test_nothing_is_asked_of_a_shop_without_settings(workshop: Workshop) -> None:
    position = workshop.position(workshop.assembly())
    with pytest.raises(Conflict):
        asked(workshop, position.id)


def test_a_claim_is_what_it_was_written_as(bench: Bench) -> None:
    claim = bench.w.claim(bench.part, bench.offered(), to_check=("End float",))
    found = bench.snapshot()
    assert found.claims == (claim,)
    assert isinstance(found.claims[0], InterchangeClaim)
