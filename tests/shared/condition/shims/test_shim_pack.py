"""Which pack is told, and what the answer says of it."""

from decimal import Decimal
from math import hypot, sqrt

import pytest
from GTC import ureal
from scipy.stats import norm

from shared.condition.model import Shim, ShimEffect
from shared.condition.shim_place import ShimAim, ShimRounding, ShimRule, ShimSize
from shared.condition.shims.asked import DepthSum, DepthTerm, MadeTo, StockShim
from shared.condition.shims.found import ShimAdvice
from shared.condition.shims.uncertainty import grouped_doubt, pack_doubt
from tests.shared.condition.shims.asking import ask, old, on_hand, q, shims_of, sold, value_of

DECREASE, INCREASE = ShimEffect.MORE_SHIMS_DECREASE, ShimEffect.MORE_SHIMS_INCREASE
RANGE = {"pack_lower": q("0.36"), "pack_upper": q("0.41"), "uncertainty": q("0.004")}
GAP = {
    "measured_gap": q("0.47", standard_uncertainty="0.004"),
    "clearance_lower": q("0.06"),
    "clearance_upper": q("0.11"),
}


# --- the order ------------------------------------------------------------------------------------


def test_likely_enough_goes_before_fewest():
    # 0.405 alone lies in the range, and as likely as not beyond its end.
    found = ask(**RANGE, sizes=sold("0.19", "0.405"), shim_uncertainty=q("0.002"))
    assert found.advice is ShimAdvice.FIT_AND_CHECK
    assert shims_of(found.packs[0]) == ["0.19", "0.19"]
    u = hypot(0.004, 0.002 * sqrt(2))
    wanted = norm.cdf(0.41, 0.38, u) - norm.cdf(0.36, 0.38, u)
    assert found.packs[0].probability_in_range == pytest.approx(wanted, abs=1e-12)
    assert all(pack.is_likely_enough for pack in found.packs)


def test_fewest_goes_before_on_hand_and_on_hand_before_the_middle():
    known = {"shim_uncertainty": q("0.001")}
    found = ask(**RANGE, stock=on_hand(_19=2), sizes=sold("0.38"), **known)
    assert [shims_of(pack) for pack in found.packs] == [["0.38"], ["0.19", "0.19"]]
    found = ask(**RANGE, stock=on_hand(_395=1), sizes=sold("0.385"), **known)
    assert [shims_of(pack) for pack in found.packs] == [["0.395"], ["0.385"]]
    assert [pack.from_stock for pack in found.packs] == [True, False]
    found = ask(**RANGE, stock=on_hand(_395=1, _38=1), **known)
    assert shims_of(found.packs[0]) == ["0.38"]


def test_none_likely_enough_gives_the_likeliest_flagged():
    coarse = {**GAP, "measured_gap": q("0.47", standard_uncertainty="0.02")}
    found = ask(**coarse, sizes=sold("0.30", "0.40", "0.385"))
    assert found.advice is ShimAdvice.NOT_LIKELY_ENOUGH
    assert shims_of(found.packs[0]) == ["0.385"]
    assert found.packs[0].is_likely_enough is False
    chances = [pack.probability_in_range for pack in found.packs]
    assert chances == sorted(chances, reverse=True) and chances[0] < 0.95
    # +-0.025 must be 1.96 u: no pack would do until the gauge is that fine.
    assert "0.012755 mm or less" in found.to_measure[0]


def test_no_pack_within_tells_the_nearest_below_and_above():
    found = ask(**GAP, sizes=sold("0.20", "0.45"), max_shims=2)
    assert (found.advice, shims_of(found.packs[0])) == (
        ShimAdvice.FIT_AND_CHECK,
        ["0.2", "0.2"],
    )
    found = ask(**GAP, sizes=sold("0.20", "0.45"), max_shims=1)
    assert found.advice is ShimAdvice.NONE_IN_RANGE and not found.packs
    assert found.nearest_below is not None and found.nearest_above is not None
    assert shims_of(found.nearest_below) == ["0.2"]
    assert shims_of(found.nearest_above) == ["0.45"]
    assert value_of(found.nearest_above.comes_to) == Decimal("0.02")


def test_a_doubt_that_is_not_known_is_never_a_yes():
    found = ask(**{**GAP, "measured_gap": q("0.47")}, sizes=sold("0.38"))
    assert found.advice is ShimAdvice.DOUBT_NOT_KNOWN
    assert found.packs[0].probability_in_range is None
    assert found.packs[0].is_likely_enough is None
    named = ask(**{**GAP, "measured_gap": q("0.47")}, sizes=sold("0.38"), gauge_kind="caliper")
    assert named.advice is ShimAdvice.NOT_LIKELY_ENOUGH
    assert any("as usual for a caliper" in text for text in named.assumptions)


def test_a_discontinued_thickness_comes_from_the_shelf_alone():
    sizes = sold("0.38", discontinued=("0.38",))
    assert ask(**GAP, sizes=sizes).advice is ShimAdvice.NOTHING_TO_CHOOSE_FROM
    found = ask(**GAP, sizes=sizes, stock=on_hand(_38=1), shim_uncertainty=q("0.001"))
    assert [shims_of(pack) for pack in found.packs] == [["0.38"]]
    assert found.packs[0].shims[0].from_stock == 1


def test_whole_shims_that_sat_there_are_on_hand_broken_ones_are_not():
    pack = (Shim(q("0.30"), 1), Shim(q("0.10", plus_minus="0.002"), 1, is_broken=True))
    found = ask(
        old_pack=pack,
        measured=q("0.07", standard_uncertainty="0.004"),
        clearance_lower=q("0.06"),
        clearance_upper=q("0.11"),
        effect=DECREASE,
        sizes=sold("0.10", "0.30"),
    )
    (best, *_) = found.packs
    lines = {str(line.thickness.value): line.from_stock for line in best.shims}
    assert lines == {"0.10": 0, "0.30": 1} and not best.from_stock
    assert value_of(best.comes_to) == Decimal("0.07")


def test_the_room_may_be_right_without_any_shim():
    found = ask(**{**GAP, "measured_gap": q("0.09", standard_uncertainty="0.004")},
                sizes=sold("0.10"))  # fmt: skip
    assert found.advice is ShimAdvice.FIT_AND_CHECK
    assert found.packs[0].shims == () and value_of(found.packs[0].comes_to) == Decimal("0.09")


# --- the ways to the thickness --------------------------------------------------------------------


@pytest.mark.parametrize(
    ("effect", "factor", "lower", "upper"),
    [
        # 1.00 + (0.30 - 0.10 .. 0.20); 1.00 - that; a lever halves it.
        (DECREASE, "1", "1.1", "1.2"),
        (INCREASE, "1", "0.8", "0.9"),
        (DECREASE, "2", "1.05", "1.1"),
        (INCREASE, "0.5", "0.6", "0.8"),
    ],
)
def test_sign_and_factor_of_what_the_shims_set(effect, factor, lower, upper):
    found = ask(
        old_total=q("1.00", standard_uncertainty="0.003"),
        measured=q("0.30", standard_uncertainty="0.004"),
        clearance_lower=q("0.10"),
        clearance_upper=q("0.20"),
        effect=effect,
        factor=Decimal(factor),
    )
    assert (value_of(found.needed.lower), value_of(found.needed.upper)) == (
        Decimal(lower),
        Decimal(upper),
    )
    u = hypot(0.004 / float(factor), 0.003)
    assert float(found.needed.standard_uncertainty.value) == pytest.approx(u)


def test_a_preload_is_a_negative_clearance():
    found = ask(
        measured_gap=q("0.30", standard_uncertainty="0.004"),
        clearance_lower=q("-0.05"),
        clearance_upper=q("-0.02"),
    )
    assert value_of(found.needed.lower) == Decimal("0.32")
    assert value_of(found.needed.upper) == Decimal("0.35")


@pytest.mark.parametrize(
    ("aim", "total", "sets"), [("lower", "0.41", "0.06"), ("upper", "0.36", "0.11")]
)
def test_the_aim_is_of_what_is_set(aim, total, sets):
    found = ask(**GAP, rule=ShimRule(aim=ShimAim(aim)))
    assert value_of(found.needed.value) == Decimal(total)
    # The thickest pack leaves least.
    assert Decimal("0.47") - Decimal(total) == Decimal(sets)
    direct = ask(**RANGE, effect=DECREASE, rule=ShimRule(aim=ShimAim(aim)))
    assert value_of(direct.needed.value) == Decimal(total)


def test_the_mean_of_readings_keeps_the_scatter_and_the_gauge():
    found = ask(
        readings=tuple(q(size) for size in ("0.46", "0.47", "0.48")),
        clearance_lower=q("0.06"),
        clearance_upper=q("0.11"),
        uncertainty=q("0.004"),
    )
    assert value_of(found.needed.measured) == Decimal("0.47")
    # s = 0.01, of the mean 0.01 / sqrt(3).
    assert float(found.needed.standard_uncertainty.value) == pytest.approx(
        hypot(0.01 / sqrt(3), 0.004)
    )


def test_a_range_has_no_doubt_of_its_own_unless_it_is_said():
    found = ask(pack_lower=q("0.36"), pack_upper=q("0.41"), sizes=sold("0.38"))
    assert found.advice is ShimAdvice.DOUBT_NOT_KNOWN
    said = ask(**{**RANGE, "uncertainty": q("0")}, sizes=sold("0.38"))
    assert said.advice is ShimAdvice.FIT_AND_CHECK


# --- the maker's rule -----------------------------------------------------------------------------


def test_the_rules_most_shims_and_step_go_before_the_house():
    nearest = ShimRule(step=q("0.05"), rounding=ShimRounding.NEAREST, most_shims=1)
    found = ask(**GAP, rule=nearest, sizes=sold("0.20", "0.40", "0.385"))
    assert found.advice is ShimAdvice.AS_THE_RULE_SAYS
    assert value_of(found.needed.rounded) == Decimal("0.4")
    assert [shims_of(pack) for pack in found.packs] == [["0.4"]]
    up = ShimRule(step=q("0.05"), rounding=ShimRounding.UP)
    found = ask(**GAP, rule=ShimRule(step=q("0.1"), rounding=ShimRounding.DOWN), sizes=sold("0.1"))
    assert value_of(found.needed.rounded) == Decimal("0.3")
    assert any("lies outside the range" in text for text in found.cautions)
    found = ask(**GAP, rule=up, sizes=sold("0.1"))
    assert shims_of(found.packs[0]) == ["0.1"] * 4


def test_as_near_to_one_step_as_to_the_next_is_told():
    half = ShimRule(step=q("0.05"), rounding=ShimRounding.NEAREST)
    found = ask(old_total=q("0.425"), rule=half, sizes=sold("0.1", "0.05"))
    assert value_of(found.needed.rounded) == Decimal("0.4")
    assert "as near to" in found.cautions[0]


def test_thicker_and_again_ends_where_the_rule_ends():
    rule = ShimRule(thicker_by=q("0.01"), thicker_at_most=q("0.02"))
    assert ask(old_total=q("0.13"), rule=rule, sizes=sold("0.15")).packs
    short = ShimRule(thicker_by=q("0.01"), thicker_at_most=q("0.01"))
    found = ask(old_total=q("0.13"), rule=short, sizes=sold("0.15"))
    assert found.advice is ShimAdvice.NONE_IN_RANGE
    assert shims_of(found.nearest_above) == ["0.15"]


def test_a_range_that_the_rules_pack_misses_by_likelihood_is_told():
    rule = ShimRule(step=q("0.05"), rounding=ShimRounding.NEAREST)
    coarse = {**GAP, "measured_gap": q("0.47", standard_uncertainty="0.02")}
    found = ask(**coarse, rule=rule, sizes=sold("0.40"))
    assert found.packs[0].is_likely_enough is False
    assert "the rule's pack is not likely enough to land in the range" in found.cautions


# --- doubts ---------------------------------------------------------------------------------------


def test_a_common_part_of_the_shims_adds_up_as_a_budget_with_correlation_says():
    # Three shims read with one micrometer: u 0.003, of it 0.002 common to all.
    common = ureal(0, 0.002)
    own = [ureal(0.1, sqrt(0.003**2 - 0.002**2)) for _ in range(3)]
    total = ureal(0.5, 0.004) - sum(shim + common for shim in own)
    assert pack_doubt(0.004, [0.003] * 3, 0.002) == pytest.approx(total.u, rel=1e-12)
    apart = ureal(0.5, 0.004) - sum(ureal(0.1, 0.003) for _ in range(3))
    assert pack_doubt(0.004, [0.003] * 3) == pytest.approx(apart.u, rel=1e-12)


def test_lengths_of_one_gauge_count_by_the_worse_case():
    # Added: together is worse than apart; subtracted: apart, what is common is not relied on.
    assert grouped_doubt([(0.005, "a"), (0.005, "a")]) == pytest.approx(0.01)
    assert grouped_doubt([(0.005, "a"), (-0.005, "a")]) == pytest.approx(0.005 * sqrt(2))
    assert grouped_doubt([(0.005, "a"), (0.005, "b")]) == pytest.approx(0.005 * sqrt(2))
    assert grouped_doubt([(0.005, None), (0.005, None)]) == pytest.approx(0.005 * sqrt(2))


def test_rings_by_din_988_may_be_thinner_by_their_row():
    # 0.50: thinner by up to 0.05 (DIN 988, from memory), so a / sqrt(3).
    window = {"pack_lower": q("0.40"), "pack_upper": q("0.60"), "uncertainty": q("0.01")}
    found = ask(**window, sizes=sold("0.50"), made_to=MadeTo.DIN_988)
    u = hypot(0.01, 0.05 / sqrt(3))
    wanted = norm.cdf(0.6, 0.5, u) - norm.cdf(0.4, 0.5, u)
    assert found.packs[0].probability_in_range == pytest.approx(wanted)
    measured = ask(
        **window,
        stock=(StockShim(q("0.50", standard_uncertainty="0.002"), 1),),
        made_to=MadeTo.DIN_988,
    )
    assert measured.packs[0].probability_in_range > found.packs[0].probability_in_range


def test_a_feeler_step_as_large_as_the_window_is_told():
    known = {**GAP, "measured_gap": q("0.47")}
    found = ask(**known, gauge_kind="feeler", sizes=sold("0.38"))
    assert any("is as large as the window" in text for text in found.cautions)
    fine = ask(**known, gauge_kind="feeler", gauge_step=q("0.01"), sizes=sold("0.38"))
    assert not any("as large as the window" in text for text in fine.cautions)


# --- the old pack ---------------------------------------------------------------------------------


def test_shims_read_too_coarsely_are_measured_before_anything_is_ordered():
    found = ask(
        old_pack=old("0.002", "0.001", unit="in", is_broken=True, plus_minus="0.001"),
        sizes=sold("0.002", "0.003", "0.004", "0.005", unit="in", discontinued=("0.002",)),
    )
    assert found.advice is ShimAdvice.MEASURE_FIRST and not found.packs
    assert [str(one.value) for one in found.old_pack.listed_within] == ["0.003", "0.004", "0.005"]
    # 0.002 or 0.003 with 0.002.
    assert [str(one.value) for one in found.old_pack.possible_totals] == ["0.004", "0.005"]
    # Read with a micrometer they are what they are.
    sure = ask(
        old_pack=old("0.002", "0.003", unit="in", is_broken=True, plus_minus="0.0002"),
        sizes=sold("0.002", "0.003", "0.004", "0.005", unit="in", discontinued=("0.002",)),
    )
    assert sure.advice is ShimAdvice.MAKES_THE_THICKNESS
    assert shims_of(sure.packs[0]) == ["0.005"]


def test_a_broken_shim_without_a_doubt_is_measured_first():
    found = ask(old_pack=old("0.10", is_broken=True), sizes=sold("0.10"))
    assert found.advice is ShimAdvice.MEASURE_FIRST
    assert any("states no doubt" in text for text in found.cautions)


def test_the_range_decides_where_the_old_pack_is_not_certain():
    members = {
        "measured": q("0.30", standard_uncertainty="0.004"),
        "clearance_lower": q("0.20"),
        "effect": DECREASE,
        "sizes": sold("0.08", "0.10", "0.15"),
    }
    pack = old("0.09", is_broken=True, plus_minus="0.02")
    wide = ask(old_pack=pack, clearance_upper=q("0.30"), **members)
    assert wide.advice is ShimAdvice.FIT_AND_CHECK
    narrow = ask(old_pack=pack, clearance_upper=q("0.23"), **members)
    assert narrow.advice is ShimAdvice.MEASURE_FIRST
    assert narrow.packs and not any(one.is_likely_enough for one in narrow.packs)


def test_doubts_of_shims_read_with_one_gauge_add_up_whole():
    found = ask(old_pack=old("0.10", "0.20", plus_minus="0.003"))
    # Not root of squares: what the gauge has in common does not fall out.
    u = float(found.old_pack.standard_uncertainty.value)
    assert u == pytest.approx(2 * 0.003 / sqrt(3))
    assert value_of(found.old_pack.lower) == Decimal("0.294")


def test_an_unlisted_shim_is_told_and_its_doubt_is_not_made_up():
    found = ask(
        old_pack=(Shim(q("0.33")),),
        measured=q("0.30", standard_uncertainty="0.004"),
        clearance_lower=q("0.10"),
        clearance_upper=q("0.20"),
        effect=DECREASE,
        sizes=(ShimSize(q("0.48")),),
    )
    assert found.advice is ShimAdvice.DOUBT_NOT_KNOWN
    assert "0.33 mm is not in the list of thicknesses: measure it again" in found.cautions


def test_a_depth_sum_with_a_clearance_has_a_range():
    terms = (
        DepthTerm("housing", q("25.40", standard_uncertainty="0.005")),
        DepthTerm("stack", q("24.90", standard_uncertainty="0.005"), Decimal(-1)),
    )
    found = ask(depth_sum=DepthSum(terms), clearance_lower=q("0.05"), clearance_upper=q("0.15"))
    assert (value_of(found.needed.lower), value_of(found.needed.upper)) == (
        Decimal("0.35"),
        Decimal("0.45"),
    )
    u = float(found.needed.standard_uncertainty.value)
    assert u == pytest.approx(0.005 * sqrt(2))
