"""The invented catalogue is what it says, and what the service itself would have stored."""

from collections.abc import Callable
from itertools import islice
from typing import Any

import pytest
from sqlalchemy import func, select, text

from db.engine import Sessions, make_engine
from db.models.interchange import interchange_claims as claims
from db.queries.assemblies import POSITIONS
from db.queries.condition import UNITS
from db.queries.interchange import CLAIMS, NUMBER_RULES, PARTS, SUPERSESSIONS
from db.queries.mapping import Mapped, load
from tests.bench.catalogue import Catalogue, Size, filled
from tests.bench.catalogue_records import part_id

SMALL = Size(600)
CHECKED = 60
CHECKED_KINDS: tuple[Mapped[Any], ...] = (
    PARTS,
    CLAIMS,
    SUPERSESSIONS,
    POSITIONS,
    UNITS,
    NUMBER_RULES,
)


def test_a_catalogue_is_stored_as_it_was_made(new_url: Callable[[], str]) -> None:
    url = new_url()
    catalogue, principal, _ = filled(url, SMALL)
    sessions = Sessions(make_engine(url))
    with sessions.writing() as session:  # some checks hold what they look at
        stored = load(session, PARTS, select(PARTS.table).order_by(PARTS.table.c.id))
        assert [one.record for one in stored] == list(catalogue.parts())
        later = load(session, SUPERSESSIONS, select(SUPERSESSIONS.table))
        by_id = {one.record.id: one.record for one in later}
        assert by_id == {one.id: one for one in catalogue.supersessions()}
        for mapped in CHECKED_KINDS:
            some = load(session, mapped, select(mapped.table).limit(CHECKED))
            assert some, mapped.word
            for one in some:
                if mapped.check is not None:
                    mapped.check(session, principal, one.record)
    sessions.close()


def test_three_claims_a_part_a_third_of_them_bound(new_url: Callable[[], str]) -> None:
    url = new_url()
    catalogue, _, _ = filled(url, SMALL)
    engine = make_engine(url)
    with engine.connect() as connection:
        of_hubs = [part_id(number) for number in catalogue.hubs]
        ordinary = claims.c.part_id.not_in(of_hubs)
        count = select(func.count()).select_from(claims).where(ordinary)
        total = connection.execute(count).scalar_one()
        assert total == 3 * len(catalogue.ordinary)
        conditions = "assembly_id serial_from serial_to hand ratio generation built_from_on"
        columns = [claims.c[name] for name in (*conditions.split(), "built_to_on")]
        is_free = [column.is_(None) for column in columns]
        free = connection.execute(count.where(*is_free)).scalar_one()
        assert 0.6 < free / total < 0.73
        hub = select(func.count()).select_from(claims).where(claims.c.part_id == of_hubs[0])
        assert connection.execute(hub).scalar_one() == SMALL.successors
    engine.dispose()


@pytest.mark.engines("sqlite")
def test_every_reference_is_known(new_url: Callable[[], str]) -> None:
    url = new_url()
    filled(url, SMALL)
    engine = make_engine(url)
    with engine.connect() as connection:
        assert connection.execute(text("PRAGMA foreign_key_check")).all() == []
    engine.dispose()


def test_no_two_parts_of_a_maker_share_a_number_however_many_there_are() -> None:
    large = Catalogue(Size(60_000), "shp")
    numbers = {(part.maker, part.number) for part in large.parts()}
    assert len(numbers) == large.size.parts
    assert all(6 <= len(number) <= 14 for _, number in numbers)


def test_the_same_seed_makes_the_same_catalogue_another_seed_another() -> None:
    one, again, other = (Catalogue(Size(2_000, seed), "shp") for seed in (1, 1, 2))
    assert list(islice(one.parts(), 500)) == list(islice(again.parts(), 500))
    assert list(one.supersessions()) == list(again.supersessions())
    assert one.families == again.families != other.families
