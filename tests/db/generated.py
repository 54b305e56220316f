"""Many rows of every main table: one believable record of each kind, and copies that differ."""

from collections.abc import Callable
from datetime import timedelta
from typing import Any

from sqlalchemy import Table, insert, select

from db.models import metadata
from db.queries.access import KeptAnswer, claim_key, keep_answer
from db.queries.assemblies import identity
from db.queries.number_keys import number_keys
from shared.condition.model import Unit
from shared.condition.shim_place import ShimSize
from shared.decision.outcome import Comeback
from shared.evidence import Caution, CautionKind
from shared.fasteners.model import FeatureKind, ScrewTip, ToolFeature, ToolUse
from tests.db.workshop import FOUND_AT, REMOVED_ON, Workshop, euro, mm

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


def salvage_of(workshop: Workshop) -> dict[str, str]:
    """Record a part from a donor, for whom it was held, where it went; their ids by table."""
    assembly = workshop.assembly()
    position = workshop.position(assembly)
    donor = workshop.donor(assembly, released_on=REMOVED_ON)
    seen = workshop.finding(donor, workshop.characteristic(position))
    part = workshop.salvaged_part(donor, position, finding_ids=(seen.id,))
    job = workshop.job(workshop.unit(assembly))
    made = {
        "salvaged_parts": part,
        "reservations": workshop.reservation(part, job),
        "fitments": workshop.fitment(job, position, salvaged_part_id=part.id),
    }
    return {table: record.id for table, record in made.items()}


def bench_of(workshop: Workshop) -> dict[str, str]:
    """Record what the bench records, one of each; their ids by table."""
    assembly, part = workshop.assembly(), workshop.part()
    operation, unit = workshop.operation(assembly), workshop.unit(assembly)
    job, supplier = workshop.job(unit), workshop.supplier()
    feature = ToolFeature(FeatureKind.SPACING, size=mm("84.0", plus_minus="0.2"))
    returned = Comeback(FOUND_AT.date(), cost=euro("140.00"))
    made = {
        "special_tools": workshop.tool(
            assembly_id=assembly.id,
            labour_operation_ids=(operation.id,),
            features=(feature,),
            part_id=part.id,
            uses=(ToolUse.IMPACT,),
        ),
        "stock_items": workshop.stock_item(
            part_id=part.id, size=mm("60.0"), features=(feature,), tip=ScrewTip.DOG
        ),
        "cautions": workshop.caution(part_id=part.id, text="Heißes Öl"),
        "supersessions": workshop.supersession(part, workshop.part()),
        "shim_places": workshop.shim_place(
            workshop.position(assembly), sizes=(ShimSize(mm("0.15"), part.id),)
        ),
        "shim_packs": workshop.shim_pack(unit, job_id=job.id),
        "gauges": workshop.gauge(standard_uncertainty=mm("0.004")),
        "deliveries": workshop.delivery(supplier, job_id=job.id, freight=euro("9.50")),
        "exchange_rates": workshop.rate(),
    }
    workshop.outcome(job, comebacks=(returned,))  # one a job: it has no copies
    return {table: record.id for table, record in made.items()}


# A tree in which the inner row has the lesser id: whoever copies in the order of ids stumbles.
def _inside(column: str) -> Callable[[Row, int, str], Row]:
    def place(_: Row, number: int, outer: str) -> Row:
        return {column: outer if number % 7 else None}

    return place


_DIFFERS: dict[str, Callable[[Row, int, str], Row]] = {
    "parts": lambda row, n, _: {
        "identity_key": f"{row['identity_key']} {n}",
        "number": f"№ {n}",
        **number_keys(f"№ {n}"),
    },
    "assemblies": lambda row, n, _: {"identity_key": f"{row['identity_key']} {n}"},
    "units": lambda _, n, __: {
        "serial_number": f"LF-{n + 2}",
        "serial_key": identity(f"LF-{n + 2}"),
    },
    "positions": _inside("parent_id"),
    "access_groups": _inside("outer_group_id"),
    "gauges": lambda _, n, __: {"name_key": f"gauge {n}"},
    "findings": lambda _, __, earlier: {"supersedes_id": earlier},
    "exchange_rates": lambda _, n, __: {"holds_from": REMOVED_ON + timedelta(days=n + 1)},
    "salvaged_parts": lambda _, n, __: {"piece": n + 2, "label_key": f"s-{n}"},
}


def fill(workshop: Workshop, per_table: int = PER_TABLE, *, is_first: bool = False) -> int:
    """Fill the database, or only what the first revision knew; how many rows were generated."""
    ids = one_of_each(workshop)
    if not is_first:
        ids |= salvage_of(workshop) | bench_of(workshop)
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
