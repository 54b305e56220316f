"""What comes along unseen: used parts in a kit, another variant inside a donor's part."""

import pytest

from tests.snapshots import (
    answer,
    chosen,
    donor,
    goods,
    looks,
    own_unit,
    part,
    position,
    recommended,
    settings,
    snapshot,
    supplier,
    why,
)


def brake_kit(condition: str, held: str):
    """A bad brake band, sold new for 100 and in a kit for 5, which holds it or a stand-in."""
    return snapshot(
        positions=[position("band", is_safety_critical=True)],
        parts=[
            part("band"),
            part("other"),
            part("kit", kit_lines=[{"part_id": f"prt_{held}", "quantity": 1}]),
        ],
        claims=[
            {
                "id": "clm_1",
                "part_id": "prt_band",
                "stand_in_part_id": "prt_other",
                "evidence_kind": "fitted-and-run",
                "evidence": "run for a season",
            }
        ],
        suppliers=[supplier("a")],
        offers=[goods("band", "a", "100"), goods("kit", "a", "5", condition=condition)],
        **looks(band="heavy"),
    )


@pytest.mark.parametrize(
    ("condition", "held", "kind"),
    [
        ("new", "band", "kit"),
        ("old-stock", "band", "kit"),
        ("used", "band", "new"),
        ("rebuilt", "band", "new"),
        ("new", "other", "new"),
    ],
)
def test_a_kit_fills_a_safety_critical_position_only_with_what_might_be_fitted_singly(
    condition, held, kind
):
    result = answer(brake_kit(condition, held))
    assert chosen(recommended(result)) == {"band": kind}
    assert ("safety-critical" in why(result, "kit from")) == (kind == "new")


@pytest.mark.parametrize("bound", ["carrier", "gear"])
def test_a_donor_of_another_variant_gives_nothing_that_holds_the_variant(bound):
    """Neither the bound part itself nor what it lies inside of."""
    result = answer(
        snapshot(
            settings=settings(salvage_experience=[{"prior_mean": "0.9", "prior_weight": "10"}]),
            units=[own_unit(variant="3:1"), donor("d", worth="5", variant="5:1")],
            positions=[
                position("carrier", is_variant_bound=bound == "carrier"),
                position("gear", parent_id="pos_carrier", is_variant_bound=True),
            ],
            parts=[part("carrier"), part("gear")],
            suppliers=[supplier("a")],
            offers=[goods("carrier", "a", "600"), goods("gear", "a", "500")],
            **looks(gear="heavy"),
        )
    )
    assert chosen(recommended(result)) == {"gear": "new"}
    assert "depends on the variant" in why(result, "carrier from donor")


def gear_inside_a_closed_box(kind: str):
    """A worm, and its wheel inside a box that is only looked at; the wheel is worn out."""
    return snapshot(
        settings=settings(salvage_experience=[{"prior_mean": "0.9", "prior_weight": "10"}]),
        units=[own_unit(), donor("d", worth="5")],
        positions=[
            position("box", serviceability={"ruling": "inspect-only", "reason": "pressed"}),
            position("wheel", parent_id="pos_box"),
            position("worm"),
        ],
        position_sets=[
            {
                "id": "set_1",
                "assembly_id": "asm_1",
                "kind": kind,
                "name": "worm and wheel",
                "position_ids": ["pos_wheel", "pos_worm"],
            }
        ],
        parts=[part("box"), part("wheel"), part("worm")],
        suppliers=[supplier("a")],
        offers=[goods("box", "a", "50"), goods("worm", "a", "50")],
        **looks(wheel="heavy", worm="none"),
    )


def test_a_matched_part_inside_something_closed_is_still_not_paired_with_a_stranger():
    result = answer(gear_inside_a_closed_box("matched"))
    for plan in result.plans:
        kinds = chosen(plan)
        assert kinds["box"] == kinds["worm"], kinds
    assert "does not complete it" in why(result, "box from")


def test_what_is_renewed_together_is_so_even_inside_something_closed():
    kinds = chosen(recommended(answer(gear_inside_a_closed_box("renewed-together"))))
    assert "keep" not in kinds.values()


def test_a_safety_critical_part_inside_what_is_never_opened_is_not_proved_by_its_outside():
    sealed = {"ruling": "replace-as-assembly", "reason": "factory-sealed"}
    result = answer(
        snapshot(
            positions=[
                position("box", serviceability=sealed),
                position("band", parent_id="pos_box", is_safety_critical=True),
            ],
            parts=[part("box"), part("band")],
            suppliers=[supplier("a")],
            offers=[goods("box", "a", "50")],
            **looks(box="none"),
        )
    )
    assert chosen(recommended(result)) == {"box": "new"}
    assert "safety-critical and not-inspected" in why(result, "keep box")
