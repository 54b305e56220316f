"""The scenario's files: whole, consistent, and in the form that the API takes."""

from typing import Any

import pytest

from api.demo.load import idempotency_key
from api.demo.records import RESOURCES, STORIES, read_records, resolve, seed_folder
from shared.assemblies import model as assemblies
from shared.condition.model import Finding, Unit
from shared.decision.codec import from_builtins, to_builtins
from shared.decision.settings import ShopSettings
from shared.decision.snapshot import Job
from shared.interchange.model import InterchangeClaim, Part
from shared.sourcing.model import Offer, Supplier
from tests.demo.scenario import bodies

KINDS: dict[str, type[Any]] = {
    "shop-settings": ShopSettings,
    "suppliers": Supplier,
    "parts": Part,
    "assemblies": assemblies.Assembly,
    "access-groups": assemblies.AccessGroup,
    "positions": assemblies.Position,
    "position-sets": assemblies.PositionSet,
    "labour-operations": assemblies.LabourOperation,
    "characteristics": assemblies.Characteristic,
    "interchange-claims": InterchangeClaim,
    "units": Unit,
    "findings": Finding,
    "offers": Offer,
    "jobs": Job,
}


def test_every_file_of_the_scenario_is_read():
    files = {path.relative_to(seed_folder()).as_posix() for path in seed_folder().glob("*/*.json")}
    assert files <= {f"{story}/{resource}.json" for story in STORIES for resource in RESOURCES}


def test_local_keys_and_what_is_made_of_them_are_unique():
    keys = [record.key for record in read_records()]
    assert len(set(keys)) == len(keys) == len({idempotency_key(key) for key in keys})


def test_a_record_refers_only_to_records_posted_before_it():
    ids: dict[str, str] = {}
    for record in read_records():
        resolve(record.body, ids)
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
    )
    assert entries
    assert all("invented" in (entry.basis or "") for entry in entries)


def test_all_kinds_of_records_are_in_the_scenario():
    assert set(bodies()) == set(KINDS) == set(RESOURCES)
