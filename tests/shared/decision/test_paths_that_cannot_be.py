"""What a snapshot says of paths and cannot be so; one that was written before there were any."""

import pytest

from shared.decision.codec import from_builtins, to_builtins
from shared.decision.snapshot import Snapshot
from shared.errors import InvalidInput
from tests.shared.decision.worn_pumps import (
    along,
    claim,
    elsewhere,
    gift,
    later,
    worn,
)
from tests.snapshots import (
    Members,
    answer,
    donor,
    own_unit,
    position,
    settings,
)


def wrong(where: str, **members) -> tuple[str, Members]:
    return where, members


@pytest.mark.parametrize(
    ("pointer", "members"),
    [
        wrong("/claims/0/stand_in_part_id", claims=[claim(stand_in_part_id="prt_none")]),
        wrong("/claims/0/stand_in_quantity", claims=[claim(stand_in_quantity=0)]),
        wrong("/claims/0/part_quantity", claims=[claim(part_quantity=0)]),
        wrong("/claims/0/companion_lines/0/part_id", claims=[claim(companion_lines=along("none"))]),
        wrong(
            "/claims/0/companion_lines/0/quantity",
            claims=[claim(companion_lines=along("other", 0))],
        ),
        wrong("/claims/0/ratio", claims=[claim(ratio="0")]),
        wrong("/supersessions/0/earlier_part_id", supersessions=[later("none", ("other", 1))]),
        wrong("/supersessions/0/later_lines/0/part_id", supersessions=[later("pump", ("none", 1))]),
        wrong(
            "/supersessions/0/companion_lines/0/quantity",
            supersessions=[later("pump", ("other", 1), companion_lines=along("other", 0))],
        ),
        wrong("/supersessions/1/id", supersessions=[later("pump"), later("other")]),
        wrong("/fitment_counts/0/claim_id", fitment_counts=[{"claim_id": "clm_9"}]),
        wrong(
            "/fitment_counts/1/claim_id",
            claims=[claim()],
            fitment_counts=[{"claim_id": "clm_1"}, {"claim_id": "clm_1"}],
        ),
        wrong(
            "/fitment_counts/0/served",
            claims=[claim()],
            fitment_counts=[{"claim_id": "clm_1", "served": -1}],
        ),
        wrong("/gifts/0/unit_id", gifts=[gift(unit_id="unt_1")]),
        wrong("/gifts/0/position/assembly_id", gifts=[gift(position={"assembly_id": "asm_1"})]),
        wrong("/gifts/0/position/id", gifts=[gift(position={"id": "pos_pump"})]),
        wrong("/gifts/0/position/part_id", gifts=[gift(position={"part_id": "prt_none"})]),
        wrong("/gifts/0/to_position_id", gifts=[{**gift(), "to_position_id": "pos_none"}]),
        wrong("/gifts/1", gifts=[gift(), gift()]),
        wrong("/gifts/0/inner_position_ids", gifts=[gift(inner_position_ids=["pos_there"])]),
        wrong(
            "/gifts/1/position",
            positions=[position("pump"), position("second", part_id="prt_pump")],
            gifts=[
                gift(),
                {**gift(position={"quantity": 4}), "to_position_id": "pos_second"},
            ],
        ),
        wrong(
            "/gifts/1/position",
            positions=[position("pump"), position("second", part_id="prt_pump")],
            gifts=[gift(), {**gift(inner_position_ids=["pos_in"]), "to_position_id": "pos_second"}],
        ),
        wrong("/units/0/ratio", units=[own_unit(ratio="0"), donor("d", assembly_id="asm_2")]),
    ],
)
def test_what_cannot_be_so_is_refused_by_its_place(pointer, members):
    with pytest.raises(InvalidInput) as caught:
        answer(elsewhere(**{"gifts": [], **members}))
    assert caught.value.pointer == pointer


@pytest.mark.parametrize(
    ("pointer", "rules"),
    [
        ("least_confidence", {"least_confidence": "1.1"}),
        ("hop_discount", {"hop_discount": "0"}),
        ("most_steps", {"most_steps": 0}),
        ("most_steps", {"most_steps": 11}),
        ("beliefs/0/mean", {"beliefs": [{"evidence_kind": "told", "mean": "1", "weight": "4"}]}),
        (
            "beliefs/0/weight",
            {"beliefs": [{"evidence_kind": "told", "mean": "0.5", "weight": "0"}]},
        ),
        (
            "beliefs/1/evidence_kind",
            {"beliefs": [{"evidence_kind": "told", "mean": "0.5", "weight": "4"}] * 2},
        ),
    ],
)
def test_rules_that_cannot_be_worked_with_are_refused(pointer, rules):
    with pytest.raises(InvalidInput) as caught:
        answer(worn(settings=settings(interchange=rules)))
    assert caught.value.pointer == f"/settings/interchange/{pointer}"


def test_a_snapshot_written_before_these_members_is_read_as_one_without_them():
    written = to_builtins(from_builtins(worn(), Snapshot))
    for name in ("supersessions", "fitment_counts", "gifts"):
        del written[name]
    del written["settings"]["interchange"]
    for unit in written["units"]:
        for name in ("built_on", "hand", "ratio", "generation"):
            del unit[name]
    assert from_builtins(written, Snapshot) == from_builtins(worn(), Snapshot)
