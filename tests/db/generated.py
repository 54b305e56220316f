"""Many rows of every main table: one believable record of each kind, and copies that differ."""

from collections.abc import Callable
from typing import Any

from sqlalchemy import Table, insert, select

from db.models import metadata
from db.queries.access import KeptAnswer, claim_key, keep_answer
from shared.condition.model import Unit
from shared.evidence import Caution, CautionKind
from tests.db.workshop import Workshop, euro

Row = dict[str, Any]
PER_TABLE = 800
SPRING = Caution(CautionKind.HAZARD, "The spring is under load.")


def one_of_each(workshop: Workshop) -> dict[str, str]:
    """Record one of each kind; their ids by table."""
    workshop.settings()
    part, kit = workshop.part(generic_designation="6205-2RS"), workshop.part(name="Dichtsatz Ø 40")
    assembly = workshop.assembly(cautions=(SPRING,), notes="Öl, 2½ l")
    position = workshop.position(assembly, part_id=part.id)
    group = workshop.group(assembly)
    bore = workshop.characteristic(position)
    workshop.position_set(assembly, position, workshop.position(assembly))
    unit: Unit = workshop.unit(assembly, serial_number="LF-1")
    supplier = workshop.supplier(freight=euro("14.50"))
    made = {
        "parts": part,
        "assemblies": assembly,
        "positions": position,
        "access_groups": group,
        "characteristics": bore,
        "labour_operations": workshop.operation(assembly),
        "interchange_claims": workshop.claim(part, kit),
        "units": unit,
        "findings": workshop.finding(unit, bore),
        "suppliers": supplier,
        "offers": workshop.offer(supplier, part_id=part.id),
        "jobs": workshop.job(unit, opened_group_ids=(group.id,)),
    }
    with workshop.sessions.writing() as session:
        claim_key(session, workshop.principal, "POST /v1/parts", "k1")
        answer = KeptAnswer("a" * 64, 201, {"Location": "/v1/parts/x", "ETag": '"1"'}, b'{"a": 1}')
        keep_answer(session, workshop.principal, "POST /v1/parts", "k1", answer)
    return {table: record.id for table, record in made.items()}


# A tree in which the inner row has the lesser id: whoever copies in the order of ids stumbles.
def _inside(column: str) -> Callable[[Row, int, str], Row]:
    def place(_: Row, number: int, outer: str) -> Row:
        return {column: outer if number % 7 else None}

    return place


_DIFFERS: dict[str, Callable[[Row, int, str], Row]] = {
    "parts": lambda row, n, _: {"identity_key": f"{row['identity_key']} {n}", "number": f"№ {n}"},
    "assemblies": lambda row, n, _: {"identity_key": f"{row['identity_key']} {n}"},
    "units": lambda _, n, __: {"serial_number": f"LF-{n + 2}"},
    "positions": _inside("parent_id"),
    "access_groups": _inside("outer_group_id"),
    "findings": lambda _, __, earlier: {"supersedes_id": earlier},
}


def fill(workshop: Workshop, per_table: int = PER_TABLE) -> int:
    """Fill the database; how many rows were generated."""
    ids = one_of_each(workshop)
    with workshop.sessions.writing() as session:
        for name, record_id in ids.items():
            table: Table = metadata.tables[name]
            row = dict(session.execute(select(table).where(table.c.id == record_id)).one()._mapping)
            session.execute(insert(table), _copies(name, row, per_table))
    return len(ids) * per_table


def _copies(name: str, row: Row, count: int) -> list[Row]:
    differs = _DIFFERS.get(name, lambda *_: {})
    copies, before = [], row["id"]
    for number in range(count):
        copy = row | differs(row, number, before) | {"id": f"{row['id'][:4]}{count - number:026d}"}
        copies.append(copy)
        before = copy["id"]
    return copies
