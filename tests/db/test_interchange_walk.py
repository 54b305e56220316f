"""A slice of the catalogue answers as the whole catalogue would, and stays small."""

import random
import re
from dataclasses import replace
from datetime import date, timedelta
from decimal import Decimal
from itertools import pairwise

import pytest

from db.ids import new_id
from db.queries import interchange_edges, interchange_sizes, interchange_walk, records
from db.queries.interchange_edges import Kind, Walk, walked
from db.queries.interchange_walk import AtHand, at_hand, catalogue_slice, newest_slice
from db.queries.listing import Place as ListPlace
from shared.condition.model import Unit
from shared.errors import InvalidInput
from shared.evidence import EvidenceKind
from shared.interchange.candidates import candidates
from shared.interchange.found import Catalogue, Found, Place, Standing
from shared.interchange.model import (
    ClaimSays,
    FitmentCount,
    FitmentResult,
    InterchangeClaim,
    Part,
    PartLine,
    Supersession,
)
from shared.interchange.rules import InterchangeRules
from shared.interchange.supersession import newest
from shared.salvage.model import SalvagedPartState
from tests.db.test_part_numbers import is_reading_all, plan_of
from tests.db.workshop import REMOVED_ON, Workshop

TODAY = date(2031, 3, 5)
EVERY = tuple(EvidenceKind)
RULES = InterchangeRules(least_confidence=Decimal("0.5"), most_steps=3)


def sliced(workshop: Workshop, *part_ids: str, rules: InterchangeRules = RULES) -> Catalogue:
    with workshop.sessions.reading() as session:
        return catalogue_slice(session, workshop.principal, part_ids, rules, EVERY)


def found_in(catalogue: Catalogue, part_id: str) -> Found:
    return candidates(Place(part_id, TODAY), catalogue)


# --- the same answer -------------------------------------------------------------------------


def random_catalogue(chance: random.Random, w: Workshop, n: Workshop) -> list[Part]:
    """A few parts, and records of two shops that go round, deny, split, end and go back."""
    names = (None, None, None, "6205", "6205-2RS1", "6205 2rs1", "6206")
    made = [w.part(generic_designation=chance.choice(names)) for _ in range(8)]
    for _ in range(chance.randint(6, 14)):
        one, other, third = chance.sample(made, 3)
        shop, kind = chance.choice((w, n)), chance.choice(EVERY)
        sort = chance.random()
        if sort < 0.45:
            lines = (PartLine(third.id),) if chance.random() < 0.2 else ()
            shop.claim(one, other, evidence_kind=kind, companion_lines=lines)
        elif sort < 0.55:
            shop.claim(one, other, says=ClaimSays.DOES_NOT_FIT)
        elif sort < 0.62:
            shop.claim(one, other, serial_from="100")
        elif sort < 0.68:
            shop.supersession(one)
        else:
            later = (other, third) if chance.random() < 0.25 else (other,)
            shop.supersession(one, *later, may_go_back=chance.random() < 0.4)
    return made


def whole(workshop: Workshop, rules: InterchangeRules) -> Catalogue:
    return Catalogue(
        tuple(workshop.page(Part)),
        tuple(workshop.page(InterchangeClaim)),
        tuple(workshop.page(Supersession)),
        rules=rules,
        accepted=EVERY,
    )


@pytest.mark.parametrize("seed", range(6))
def test_a_slice_answers_as_the_whole_catalogue_does(
    workshop: Workshop, neighbour: Workshop, seed: int
) -> None:
    chance = random.Random(seed)
    made = random_catalogue(chance, workshop, neighbour)
    rules = replace(RULES, most_steps=chance.randint(1, 4))
    everything = whole(workshop, rules)
    several = 0
    for part in made:
        catalogue = sliced(workshop, part.id, rules=rules)
        answer, expected = found_in(catalogue, part.id), found_in(everything, part.id)
        assert answer.candidates == expected.candidates
        assert set(answer.refused) == set(expected.refused)
        assert (answer.loops, answer.stopped) == (expected.loops, expected.stopped)
        assert catalogue.left_out == 0
        several += len(answer.candidates) > 1
    assert several


@pytest.mark.parametrize("seed", range(4))
def test_newest_numbers_of_a_slice_are_those_of_the_whole(
    workshop: Workshop, neighbour: Workshop, seed: int
) -> None:
    made = random_catalogue(random.Random(100 + seed), workshop, neighbour)
    everything = workshop.page(Supersession)
    for part in made:
        with workshop.sessions.reading() as session:
            records, orderable, unread = newest_slice(session, workshop.principal, part.id, TODAY)
        assert unread == frozenset()
        place = Place(part.id, TODAY)
        answer, expected = newest(place, records, orderable), newest(place, everything, orderable)
        assert (answer.newest, answer.may_go_back_to) == (expected.newest, expected.may_go_back_to)
        assert orderable == frozenset()


def test_a_run_of_supersession_counts_as_one_step() -> None:
    walk = Walk(1)
    walk.edges = [
        interchange_edges.Edge(Kind.LATER, f"s{n}", f"p{n}", f"p{n + 1}") for n in range(50)
    ]
    walk.edges.append(interchange_edges.Edge(Kind.CLAIM, "c", "p50", "q"))
    assert walk.reached(["p0"]) == {f"p{n}" for n in range(51)}
    walk.most_steps = 2
    assert "q" in walk.reached(["p0"])


# --- bounds ----------------------------------------------------------------------------------


def chained(workshop: Workshop, length: int) -> list[Part]:
    made = [workshop.part() for _ in range(length + 1)]
    for one, other in pairwise(made):
        workshop.supersession(one, other)
    return made


def test_a_long_chain_is_read_in_a_few_statements(workshop: Workshop) -> None:
    made = chained(workshop, 60)
    catalogue = sliced(workshop, made[0].id)
    assert len(catalogue.supersessions) == 60
    answer = found_in(catalogue, made[0].id)
    assert made[-1].id in {one.part.id for one in answer.candidates}


def test_what_is_not_read_is_counted_and_nothing_is_taken_for_sure(
    workshop: Workshop, neighbour: Workshop, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(interchange_walk, "MOST_STEPS", 6)
    hub = workshop.part()
    own = workshop.claim(hub, workshop.part())
    for _ in range(9):
        neighbour.claim(hub, workshop.part())
    catalogue = sliced(workshop, hub.id)
    assert own in catalogue.claims
    assert len(catalogue.claims) == 6
    # Four further claims, and five stand-ins of which it was not read what takes their place.
    assert catalogue.left_out == 4 + 6
    # Rules that rival each other, of which not all were read: none of them counts.
    split = workshop.part()
    for _ in range(9):
        neighbour.supersession(split, workshop.part())
    answer = found_in(sliced(workshop, split.id), split.id)
    assert [one.part.id for one in answer.candidates] == [split.id]


def test_of_a_size_that_many_have_the_shops_own_are_read_and_some_others(
    workshop: Workshop, neighbour: Workshop, monkeypatch: pytest.MonkeyPatch
) -> None:
    wanted = workshop.part(generic_designation="6205-2RS1")
    offered = [neighbour.part(generic_designation="6205.2RS1") for _ in range(2)]
    others = [neighbour.part(generic_designation="6205 2RS1") for _ in range(6)]
    for part in offered:
        workshop.offer(workshop.supplier(), part_id=part.id)
    read = {wanted.id, *(part.id for part in (*offered, *others[:2]))}
    for most_asked in (interchange_sizes.MOST_ASKED, 3):  # however common the size is
        monkeypatch.setattr(interchange_sizes, "MOST_ASKED", most_asked)
        walk = walked_from(workshop, wanted, most_equals=3)
        assert walk.reached([wanted.id]) == read
        assert walk.left_out == 1
    monkeypatch.setattr(interchange_sizes, "MOST_EQUALS_IN_ALL", 1)
    assert walked_from(workshop, wanted).reached([wanted.id]) == {wanted.id, *ids(offered)}


def ids(records) -> set[str]:
    return {one.id for one in records}


def walked_from(workshop: Workshop, part: Part, **more) -> Walk:
    with workshop.sessions.reading() as session:
        return walked(session, workshop.principal, [part.id], 3, **more)


def test_of_equals_that_the_shop_does_not_deal_in_a_few_are_gone_on_from(
    workshop: Workshop, neighbour: Workshop, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(interchange_edges, "MOST_WALKED_ON", 1)
    wanted = workshop.part(generic_designation="6205-2RS1")
    equals = [neighbour.part(generic_designation="6205 2RS1") for _ in range(4)]
    beyond = [neighbour.part() for _ in equals]
    for one, other in zip(equals, beyond, strict=True):
        neighbour.claim(one, other)
    workshop.offer(workshop.supplier(), part_id=equals[2].id)
    neighbour.claim(wanted, equals[3])  # more than its size brings it in
    walk = walked_from(workshop, wanted)
    assert walk.reached([wanted.id]) == {
        wanted.id, *ids(equals), beyond[0].id, beyond[2].id, beyond[3].id,
    }  # fmt: skip
    assert walk.left_out == 1


def test_no_way_back_to_a_part_of_which_not_all_is_read(
    workshop: Workshop, neighbour: Workshop, monkeypatch: pytest.MonkeyPatch
) -> None:
    earlier, later = workshop.part(), workshop.part()
    back = workshop.supersession(earlier, later, may_go_back=True)
    assert sliced(workshop, later.id).supersessions == (back,)
    assert len(found_in(sliced(workshop, later.id), later.id).candidates) == 2
    for _ in range(9):
        neighbour.supersession(earlier, workshop.part())
    monkeypatch.setattr(interchange_walk, "MOST_STEPS", 6)
    for most_steps in (3, 1):
        monkeypatch.setattr(interchange_edges, "MOST_ROUNDS", most_steps)
        catalogue = sliced(workshop, later.id)
        answer = found_in(catalogue, later.id)
        assert [one.part.id for one in answer.candidates] == [later.id]
        assert catalogue.left_out > 0


def test_of_many_claims_those_on_what_the_shop_deals_in_are_read(
    workshop: Workshop, neighbour: Workshop, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(interchange_walk, "MOST_STEPS", 3)
    hub = workshop.part()
    for _ in range(5):
        neighbour.claim(hub, workshop.part())
    stocked = workshop.part()
    workshop.stock_item(part_id=stocked.id)
    useful = neighbour.claim(hub, stocked)
    assert useful in sliced(workshop, hub.id).claims


def test_steps_are_read_by_indexes(workshop: Workshop, monkeypatch: pytest.MonkeyPatch) -> None:
    part = workshop.part(generic_designation="6205-2RS1")
    for most_asked in (interchange_sizes.MOST_ASKED, 0):
        monkeypatch.setattr(interchange_sizes, "MOST_ASKED", most_asked)
        with workshop.sessions.reading() as session:
            seen = noted(session)
            walked(session, workshop.principal, [part.id], 3)
            newest_slice(session, workshop.principal, part.id, TODAY)
            assert len(seen) > 8
            check_plans(session, seen)


def test_donors_that_may_give_a_position_are_found_by_indexes(workshop: Workshop) -> None:
    part, later = workshop.part(), workshop.part()
    workshop.supersession(part, later)
    position = workshop.position(workshop.assembly(), part_id=part.id)
    workshop.position(workshop.assembly(), part_id=later.id)
    with workshop.sessions.reading() as session:
        seen = noted(session)
        listed = ListPlace({"gives_position_id": position.id, "kind": "donor"})
        records.page(session, workshop.principal, Unit, listed)
        assert len(seen) > 5
        check_plans(session, seen)


def noted(session) -> list:
    """The statements that a session runs from here on."""
    run, seen = session.execute, []

    def execute(statement, *more, **others):
        seen.append(statement)
        return run(statement, *more, **others)

    session.execute = execute
    return seen


def check_plans(session, statements) -> None:
    """No statement reads a whole table of the catalogue, or all claims of one shop."""
    for statement in list(statements):
        for step in plan_of(session, statement):
            assert not (is_reading_all(step) and TABLES.search(step)), step
            assert "claims_author_shop" not in step, step


TABLES = re.compile("parts|claims|supersession|positions|units")
"""What grows with the catalogue, or with what a shop has recorded."""


# --- experience and what is at hand ------------------------------------------------------------


def test_fitments_are_counted_by_their_outcome_and_the_warranty(
    workshop: Workshop, neighbour: Workshop
) -> None:
    workshop.settings()  # 500 hours of warranty
    neighbour.settings()
    assembly, called_for, stand_in = workshop.assembly(), workshop.part(), workshop.part()
    position = workshop.position(assembly, part_id=called_for.id)
    claim = workshop.claim(called_for, stand_in)
    for shop, result, hours in (
        (workshop, FitmentResult.RAN_OUT_THE_WARRANTY, None),
        (workshop, FitmentResult.RAN_OUT_THE_WARRANTY, Decimal(900)),
        (workshop, FitmentResult.FAILED, Decimal(501)),
        (workshop, FitmentResult.FAILED, Decimal(500)),
        (workshop, FitmentResult.FAILED, None),
        (workshop, FitmentResult.DID_NOT_FIT, None),
        (workshop, FitmentResult.RUNNING, None),
        (neighbour, FitmentResult.FAILED, None),
    ):
        job = shop.job(shop.unit(assembly))
        fields = {"part_id": stand_in.id, "claim_id": claim.id, "result": result}
        shop.fitment(job, position, hours_run=hours, **fields)
    assert sliced(workshop, called_for.id).fitments == (FitmentCount(claim.id, 3, 3, 1),)


def test_without_settings_nothing_is_known_to_have_outlived_a_warranty(workshop: Workshop) -> None:
    assembly, called_for, stand_in = workshop.assembly(), workshop.part(), workshop.part()
    position = workshop.position(assembly, part_id=called_for.id)
    claim = workshop.claim(called_for, stand_in)
    job = workshop.job(workshop.unit(assembly))
    workshop.fitment(
        job,
        position,
        part_id=stand_in.id,
        claim_id=claim.id,
        result=FitmentResult.FAILED,
        hours_run=Decimal(9000),
    )
    assert sliced(workshop, called_for.id).fitments == (FitmentCount(claim.id, 0, 1, 0),)


def test_what_the_shop_has_of_a_part(workshop: Workshop, neighbour: Workshop) -> None:
    part, none, supplier = workshop.part(), workshop.part(), workshop.supplier()
    assembly = workshop.assembly()
    position = workshop.position(assembly, part_id=part.id, quantity=3)
    donor = workshop.donor(assembly, released_on=REMOVED_ON)
    shelved = [
        workshop.salvaged_part(donor, position, part_id=part.id, piece=piece) for piece in (1, 2)
    ]
    workshop.salvaged_part(
        donor,
        position,
        part_id=part.id,
        piece=3,
        state=SalvagedPartState.UNINSPECTED,
        inspected_by=None,
        inspected_on=None,
    )
    workshop.reservation(shelved[0], workshop.job(workshop.unit(assembly)))
    workshop.stock_item(part_id=part.id, quantity=4)
    workshop.stock_item(part_id=part.id, quantity=3)
    workshop.offer(supplier, part_id=part.id)
    workshop.offer(supplier, part_id=part.id, valid_from=TODAY, valid_until=TODAY)
    workshop.offer(supplier, part_id=part.id, valid_until=TODAY - timedelta(days=1))
    neighbour.offer(neighbour.supplier(), part_id=none.id)
    with workshop.sessions.reading() as session:
        found = at_hand(session, workshop.principal, [part.id, none.id], TODAY)
    assert found == {part.id: AtHand(1, 7, 2), none.id: AtHand()}


def test_what_can_be_had_is_orderable(workshop: Workshop) -> None:
    first, second, third = (workshop.part() for _ in range(3))
    workshop.supersession(first, second)
    workshop.supersession(second, third)
    workshop.offer(workshop.supplier(), part_id=second.id)
    with workshop.sessions.reading() as session:
        records, orderable, _ = newest_slice(session, workshop.principal, first.id, TODAY)
    assert (len(records), orderable) == (2, frozenset({second.id}))


def test_newest_numbers_that_were_not_read_to_their_end_are_not_sure(
    workshop: Workshop, neighbour: Workshop, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(interchange_walk, "MOST_RECORDS", 5)
    chain = [workshop.part() for _ in range(9)]
    for earlier, later in pairwise(chain):
        workshop.supersession(earlier, later)
    hub, first = workshop.part(), workshop.part()  # The hub has the lower id, and is read first.
    workshop.supersession(first, hub)
    for _ in range(11):
        neighbour.supersession(hub, neighbour.part())
    for asked, end in ((chain[0], chain[5]), (chain[4], chain[8]), (first, hub), (hub, hub)):
        with workshop.sessions.reading() as session:
            read = newest_slice(session, workshop.principal, asked.id, TODAY)
        records, orderable, unread = read
        found = newest(Place(asked.id, TODAY), records, orderable, unread=unread)
        (number,) = found.newest
        assert number.lines == (PartLine(end.id),)
        is_read = end is chain[8]
        assert (number.questions == (), found.stopped is None) == (is_read, is_read)


# --- donors that may give --------------------------------------------------------------------


def test_donors_are_listed_that_may_give_a_position(
    workshop: Workshop, neighbour: Workshop
) -> None:
    here, there, nowhere = (workshop.assembly() for _ in range(3))
    wanted, later, other = (workshop.part() for _ in range(3))
    workshop.supersession(wanted, later)
    position = workshop.position(here, part_id=wanted.id)
    bare = workshop.position(here)
    workshop.position(there, part_id=later.id)
    workshop.position(nowhere, part_id=other.id)
    own, afar = workshop.donor(here), workshop.donor(there)
    workshop.donor(nowhere)
    workshop.unit(here)
    neighbour.donor(there)
    assert workshop.page(Unit, gives_position_id=position.id) == [own, afar]
    assert workshop.page(Unit, gives_position_id=bare.id) == [own]
    assert workshop.page(Unit, gives_position_id=position.id, assembly_id=there.id) == [afar]
    assert workshop.page(Unit, gives_position_id=position.id, kind="stock") == []
    with pytest.raises(InvalidInput) as caught:
        workshop.page(Unit, gives_position_id=new_id("pos"))
    assert caught.value.pointer == "/gives_position_id"


def test_a_part_that_nothing_takes_the_place_of_stands_alone(workshop: Workshop) -> None:
    part = workshop.part()
    catalogue = sliced(workshop, part.id)
    answer = found_in(catalogue, part.id)
    assert [(one.part.id, one.standing) for one in answer.candidates] == [
        (part.id, Standing.USABLE)
    ]
