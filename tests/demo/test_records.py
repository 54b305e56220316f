"""The scenario's files: whole, consistent, and in the form that the API takes."""

from typing import Any

import pytest

from api.demo.load import idempotency_key
from api.demo.records import (
    CHANGES,
    RESOURCES,
    STORIES,
    read_records,
    resolve,
    seed_folder,
)
from shared.assemblies import model as assemblies
from shared.condition.model import Finding, Gauge, ShimPack, Unit
from shared.condition.shim_place import ShimPlace
from shared.decision.codec import from_builtins, to_builtins
from shared.decision.outcome import Outcome
from shared.decision.settings import ShopSettings
from shared.decision.snapshot import Job
from shared.fasteners.model import SpecialTool, StockItem
from shared.interchange.model import Fitment, InterchangeClaim, NumberRule, Part, Supersession
from shared.salvage.model import Reservation, SalvagedPart
from shared.sourcing.model import Delivery, ExchangeRate, Offer, Supplier
from tests.demo.scenario import AS_OF, bodies

KINDS: dict[str, type[Any]] = {
    "shop-settings": ShopSettings,
    "suppliers": Supplier,
    "exchange-rates": ExchangeRate,
    "number-rules": NumberRule,
    "parts": Part,
    "assemblies": assemblies.Assembly,
    "supersessions": Supersession,
    "access-groups": assemblies.AccessGroup,
    "positions": assemblies.Position,
    "position-sets": assemblies.PositionSet,
    "labour-operations": assemblies.LabourOperation,
    "special-tools": SpecialTool,
    "cautions": assemblies.CautionNote,
    "characteristics": assemblies.Characteristic,
    "shim-places": ShimPlace,
    "interchange-claims": InterchangeClaim,
    "stock-items": StockItem,
    "units": Unit,
    "gauges": Gauge,
    "findings": Finding,
    "offers": Offer,
    "jobs": Job,
    "shim-packs": ShimPack,
    "salvaged-parts": SalvagedPart,
    "reservations": Reservation,
    "deliveries": Delivery,
    "fitments": Fitment,
    "outcomes": Outcome,
}


def test_every_file_of_the_scenario_is_read():
    files = {path.relative_to(seed_folder()).as_posix() for path in seed_folder().glob("*/*.json")}
    read = (*RESOURCES, CHANGES)
    assert files <= {f"{story}/{resource}.json" for story in STORIES for resource in read}


def test_local_keys_and_what_is_made_of_them_are_unique():
    keys = [record.key for record in read_records()]
    assert len(set(keys)) == len(keys) == len({idempotency_key(key) for key in keys})


def test_a_record_refers_only_to_records_posted_before_it():
    ids: dict[str, str] = {}
    for record in read_records():
        resolve(record.body, ids, AS_OF)
        ids[record.key] = record.key


@pytest.mark.parametrize("resource", RESOURCES)
def test_bodies_have_only_members_of_their_dataclass(resource: str):
    for row in bodies()[resource]:
        _assert_members(row, to_builtins(from_builtins(row, KINDS[resource])), row["id"])


def _assert_members(given: Any, known: Any, at: str) -> None:
    if isinstance(given, dict):
        for name, member in given.items():
            assert name in known, f"{at}: {name}"
            _assert_members(member, known[name], f"{at}/{name}")
    elif isinstance(given, list):
        for index, member in enumerate(given):
            _assert_members(member, known[index], f"{at}/{index}")


def test_every_figure_of_experience_says_that_it_is_invented():
    settings = from_builtins(bodies()["shop-settings"][0], ShopSettings)
    entries = (
        *settings.comeback_experience,
        *settings.salvage_experience,
        *settings.life_records,
        *settings.inspection_experience,
    )
    assert entries
    assert all("invented" in (entry.basis or "") for entry in entries)


def test_all_kinds_of_records_are_in_the_scenario():
    assert set(bodies()) == set(KINDS) == set(RESOURCES)


def test_a_change_takes_a_record_of_the_scenario_on_or_retires_it():
    ids = {record.key: record.resource for record in read_records()}
    changes = [record.body for record in read_records() if record.resource == CHANGES]
    assert {"steps" in body for body in changes} == {True, False}
    for body in changes:
        assert ids[body["record"].removeprefix("@")] == body["resource"]
        assert body.keys() - {"resource", "record"} in ({"steps"}, {"is_retired"})


def test_what_is_done_to_parts_from_donors_lies_behind_any_day_of_loading():
    days = [row[name] for row in bodies()["salvaged-parts"] for name in ("removed_on",)]
    days += [row[name] for row in bodies()["fitments"] for name in ("fitted_on", "result_on")]
    assert max(days) < "2025-12-31"


def test_the_readme_counts_the_records_and_changes():
    text = (seed_folder() / "README.md").read_text("utf-8")
    records = sum(len(rows) for rows in bodies().values())
    changes = sum(1 for record in read_records() if record.resource == CHANGES)
    assert f"{records} records and {changes} changes" in text
