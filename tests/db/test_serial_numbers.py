"""One serial number on one design is one unit, however it was written."""

from collections.abc import Callable
from contextlib import closing

import pytest
from sqlalchemy import select, update

from db.engine import Sessions, make_engine
from db.migrate import downgrade, upgrade
from db.models.condition import units
from db.queries.access import make_shop_and_key
from shared.condition.model import Unit
from shared.errors import Conflict
from tests.db.test_migrations import FIRST
from tests.db.workshop import Workshop


@pytest.mark.parametrize("written", ["SN-4471", "sn-4471", " SN-4471 "])
def test_a_serial_number_is_the_same_whatever_its_case(workshop: Workshop, written: str) -> None:
    assembly = workshop.assembly()
    unit = workshop.unit(assembly, serial_number="SN-4471")
    with pytest.raises(Conflict) as caught:
        workshop.unit(assembly, serial_number=written)
    assert caught.value.code == "duplicate"
    assert caught.value.facts["existing_id"] == unit.id


def test_other_serial_numbers_designs_and_shops_do_not_meet(
    workshop: Workshop, neighbour: Workshop
) -> None:
    assembly = workshop.assembly()
    unit = workshop.unit(assembly, serial_number="SN-4471")
    workshop.unit(assembly, serial_number="SN-4472")
    workshop.unit(assembly, serial_number="SN4471")
    elsewhere = workshop.unit(workshop.assembly(), serial_number="sn-4471")
    neighbour.unit(assembly, serial_number="sn-4471")
    workshop.unit(assembly)
    workshop.unit(assembly)
    assert workshop.page(Unit, serial_number="SN-4471") == [unit]
    assert workshop.page(Unit, serial_number="sn-4471") == [elsewhere]


def test_what_met_before_serial_numbers_were_compared_so_is_kept(
    new_url: Callable[[], str],
) -> None:
    url = new_url()
    upgrade(url)
    with closing(Sessions(make_engine(url))) as sessions:
        with sessions.writing() as session:
            workshop = Workshop(sessions, make_shop_and_key(session, "Mill")[0])
        assembly = workshop.assembly()
        numbers = ("SN-4471", "SN-2", "SN-3", "Straße 9", None)
        made = [workshop.unit(assembly, serial_number=number) for number in numbers]
        downgrade(url, FIRST)
        with sessions.writing() as session:
            session.execute(
                update(units).where(units.c.id == made[1].id).values(serial_number="sn-4471")
            )
        upgrade(url)
        with sessions.reading() as session:
            keys = session.execute(select(units.c.serial_key).order_by(units.c.id)).scalars().all()
        assert keys == ['["sn-4471"]', None, '["sn-3"]', '["strasse 9"]', None]
        with pytest.raises(Conflict):
            workshop.unit(assembly, serial_number="STRASSE 9")
