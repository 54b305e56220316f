"""What cannot be asked of a shim pack: each refusal names the member and the mend."""

from decimal import Decimal

import pytest

from shared.condition.marks_asked import LargerMark
from shared.condition.model import Shim, ShimEffect
from shared.condition.shim_place import ShimAim, ShimRule
from shared.condition.shims.asked import DepthSum, DepthTerm, PartChange
from shared.errors import InvalidInput
from tests.shared.condition.shims.asking import ask, old, on_hand, q, sold

GAP = {
    "measured_gap": q("0.47", standard_uncertainty="0.004"),
    "clearance_lower": q("0.06"),
    "clearance_upper": q("0.11"),
}
OVER = {
    "old_total": q("1.00"),
    "measured": q("0.30"),
    "clearance_lower": q("0.1"),
    "clearance_upper": q("0.2"),
}
ROOM = DepthSum((DepthTerm("a", q("1")),))

REFUSED = [
    ({}, "/pack_lower", "missing"),
    ({"pack_lower": q("0.1")}, "/pack_upper", "missing"),
    ({"pack_upper": q("0.1")}, "/pack_lower", "missing"),
    ({"pack_lower": q("0.2"), "pack_upper": q("0.1")}, "/pack_upper", "limits-upside-down"),
    ({"pack_lower": q("-0.2"), "pack_upper": q("0.1")}, "/pack_lower/value", "out-of-range"),
    ({**GAP, "pack_lower": q("0.1"), "pack_upper": q("0.2")}, "/measured_gap", "contradiction"),
    ({"measured_gap": q("0.47")}, "/clearance_lower", "missing"),
    ({**GAP, "clearance_upper": q("0.01")}, "/clearance_upper", "limits-upside-down"),
    ({**GAP, "clearance_upper": q("11", "N")}, "/clearance_upper/unit", "unit-wrong-dimension"),
    ({"measured": q("0.3")}, "/old_pack", "missing"),
    ({**OVER, "old_total": None}, "/old_pack", "missing"),
    (OVER, "/effect", "missing"),  # the sign is never guessed
    ({**OVER, "old_pack": old("0.5")}, "/old_total", "contradiction"),
    ({**OVER, "change": q("0.1")}, "/change", "contradiction"),
    ({"change": q("0.1")}, "/old_pack", "missing"),
    ({"old_total": q("-1")}, "/old_total/value", "out-of-range"),
    ({"old_total": q("1"), "clearance_lower": q("0")}, "/clearance_lower", "contradiction"),
    ({**GAP, "leeway": q("0.01")}, "/leeway", "contradiction"),
    ({"old_total": q("1"), "leeway": q("-0.01")}, "/leeway/value", "out-of-range"),
    ({**GAP, "factor": Decimal(0)}, "/factor", "out-of-range"),
    ({**GAP, "max_shims": 13}, "/max_shims", "out-of-range"),
    ({**GAP, "most_packs": 0}, "/most_packs", "out-of-range"),
    ({**GAP, "acceptance_probability": Decimal(1)}, "/acceptance_probability", "out-of-range"),
    ({**GAP, "sizes": sold("0.1", "0.10")}, "/sizes/1/thickness", "duplicate"),
    ({**GAP, "sizes": sold("0.1", "51")}, "/sizes/1/thickness/value", "out-of-range"),
    ({**GAP, "stock": on_hand(_0=1)}, "/stock/0/thickness/value", "out-of-range"),
    ({**GAP, "stock": on_hand(_1=-1)}, "/stock/0/quantity", "out-of-range"),
    ({"old_pack": (Shim(q("0.1"), 0),)}, "/old_pack/0/quantity", "out-of-range"),
    # Every shim thicker than the room: a slip of the unit.
    ({**GAP, "sizes": sold("0.2", "0.3", unit="cm")}, "/sizes/0/thickness", "thicker-than-gap"),
    ({**GAP, "uncertainty": q("-0.1"), "measured_gap": q("0.4")}, "/uncertainty/value",
     "out-of-range"),
    ({**GAP, "shim_common_uncertainty": q("0.001")}, "/shim_common_uncertainty", "contradiction"),
    ({"depth_sum": DepthSum(())}, "/depth_sum/terms", "out-of-range"),
    ({"depth_sum": ROOM, "effect": ShimEffect.MORE_SHIMS_INCREASE}, "/effect", "contradiction"),
    ({"depth_sum": ROOM, "clearance_upper": q("1")}, "/clearance_lower", "missing"),
    ({"pack_lower": q("0"), "pack_upper": q("1"), "rule": ShimRule(aim=ShimAim.LOWER)},
     "/effect", "missing"),
    ({**GAP, "rule": ShimRule(step=q("0.05"))}, "/rule/rounding", "rule-incomplete"),
    ({**GAP, "rule": ShimRule(thicker_by=q("0.001"), thicker_at_most=q("9")),
      "sizes": sold("0.1")}, "/rule/thicker_by", "out-of-range"),
]  # fmt: skip


@pytest.mark.parametrize(("members", "pointer", "code"), REFUSED)
def test_a_question_that_contradicts_itself_is_refused(members, pointer, code):
    with pytest.raises(InvalidInput) as refused:
        ask(**members)
    assert (refused.value.pointer, refused.value.code) == (pointer, code)
    assert refused.value.fix


def test_too_little_room_is_an_answer_and_no_pack():
    found = ask(**{**GAP, "measured_gap": q("0.04")}, sizes=sold("0.1"))
    assert found.advice == "measure-again" and not found.packs


def test_a_difference_up_to_the_threshold_leaves_the_shims():
    change = PartChange(q("30.80"), q("30.825"), LargerMark.THINNER, q("0.025"))
    found = ask(old_total=q("2.10"), part_change=change)
    assert found.advice == "old-pack-stays"
    assert found.needed.value.value == Decimal("2.1")
    over = PartChange(q("30.80"), q("30.826"), LargerMark.THICKER, q("0.025"))
    found = ask(old_total=q("2.10"), part_change=over)
    assert found.needed.value.value == Decimal("2.126")
