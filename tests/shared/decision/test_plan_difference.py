"""In what two plans differ is told in words that differ, and nothing is told where they are one."""

from typing import Any

from shared.decision.building.build import Built, build
from shared.decision.codec import from_builtins
from shared.decision.planning.case import Plan
from shared.decision.snapshot import Snapshot
from shared.decision.weighing.plan_difference import NOTHING, differences
from shared.decision.weighing.what_if import proven
from tests.snapshots import goods, looks, part, position, snapshot, supplier


def planned(*offers: dict[str, Any]) -> tuple[Built, Plan]:
    """The best plan for a worn bearing with these offers and no others."""
    members = snapshot(
        parts=[part("bearing")],
        positions=[position("bearing")],
        suppliers=[supplier("a"), supplier("b")],
        offers=list(offers),
        **looks(bearing="heavy"),
    )
    built = build(from_builtins(members, Snapshot))
    plan = proven(built, breaks_ties=True).plan
    assert plan is not None
    return built, plan


BEARING = goods("bearing", "a", "20")
UNIT = goods("unit", "a", "90", assembly_id="asm_1", condition="used")


def test_a_whole_unit_that_stays_the_same_is_no_difference() -> None:
    assert differences(planned(UNIT), planned(UNIT)) == ()


def test_another_supplier_of_the_whole_unit_is_told() -> None:
    assert differences(planned(UNIT), planned({**UNIT, "supplier_id": "sup_b"})) == (
        "the whole unit: unit from Supplier a -> unit from Supplier b",
    )


def test_two_offers_in_the_same_words_are_told_by_their_ids() -> None:
    other = {**BEARING, "id": "ofr_other"}
    assert differences(planned(BEARING), planned(other)) == (
        "bearing: bearing from Supplier a (ofr_bearing) -> bearing from Supplier a (ofr_other)",
    )


def test_part_by_part_instead_of_the_whole_unit_says_what_is_done_inside() -> None:
    assert differences(planned(UNIT), planned(BEARING)) == (
        "the whole unit: unit from Supplier a -> a repair part by part",
        "bearing: bearing from Supplier a",
    )
    assert differences(planned(BEARING), planned(UNIT)) == (
        "the whole unit: a repair part by part -> unit from Supplier a",
    )


def test_no_plan_at_all_is_told_as_such() -> None:
    built, plan = planned(BEARING)
    assert differences((built, plan), (built, None)) == (NOTHING,)
