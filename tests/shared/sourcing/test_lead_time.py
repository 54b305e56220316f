"""Lead times as chances by working day, and the last of several."""

from decimal import Decimal
from itertools import pairwise

import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy.stats import lognorm, norm

from shared.errors import InvalidInput
from shared.sourcing.arrivals import joint_cdf, joint_mean_days, joint_quantile
from shared.sourcing.lead_time import (
    CHANCE_ONE,
    LeadTime,
    chance_by_day,
    chance_within,
    check_quotes,
    confidence_in_chances,
    first_day_meeting,
    is_wide,
    joint_chance_by_day,
    joint_chance_on,
    joint_tail_day,
    log_spread,
    mean_days,
    meets,
    promise_confidence,
    tail_day,
)

D = Decimal
NINE_IN_TEN = D("0.9")


# --- one delivery ----------------------------------------------------------------------------


@pytest.mark.parametrize("p90", range(2, 60))
def test_a_p90_in_whole_days_meets_nine_in_ten_on_its_own_day(p90: int) -> None:
    table = chance_by_day(D(1), D(p90), order_day=0, last_day=p90)
    assert table[p90] == 900_000_000
    assert table[1] == 500_000_000
    assert tail_day(D(1), D(p90), NINE_IN_TEN) == p90


@pytest.mark.parametrize(("days", "first"), [("3", 3), ("2.5", 3), ("0.000001", 1), ("1000", 1000)])
def test_a_fixed_time_is_a_step_at_the_next_whole_day(days: str, first: int) -> None:
    table = chance_by_day(D(days), D(days), order_day=0, last_day=first)
    assert table == (0,) * first + (CHANCE_ONE,)


def test_an_order_a_day_later_arrives_a_day_later() -> None:
    today = chance_by_day(D(2), D(4), order_day=0, last_day=9)
    tomorrow = chance_by_day(D(2), D(4), order_day=1, last_day=10)
    assert tomorrow == (0, *today)


def test_a_thing_on_the_shelf_is_there_whatever_the_cut_off() -> None:
    assert chance_by_day(D(0), D(0), order_day=1, last_day=2) == (CHANCE_ONE,) * 3
    assert tail_day(D(0), D(0), D(1), order_day=1) == 0


def test_a_spread_out_lead_time_is_never_certain() -> None:
    table = chance_by_day(D(1), D("1.01"), order_day=0, last_day=300)
    assert table[-1] == CHANCE_ONE - 1
    with pytest.raises(InvalidInput, match="fixed"):
        tail_day(D(1), D("1.01"), D(1))


@pytest.mark.parametrize(
    ("p50", "p90", "pointer"),
    [
        ("5", "4", "/p90_days"),
        ("0", "4", "/p50_days"),
        ("-1", "4", "/p50_days"),
        ("1", "-4", "/p90_days"),
        ("NaN", "4", "/p50_days"),
        ("sNaN", "4", "/p50_days"),
        ("1", "Infinity", "/p90_days"),
        ("1", "1E+999999", "/p90_days"),
        ("1E-999999", "1", "/p50_days"),
        ("1", "1000.1", "/p90_days"),
    ],
)
def test_quotes_that_cannot_be_are_refused_by_name(p50: str, p90: str, pointer: str) -> None:
    with pytest.raises(InvalidInput) as caught:
        check_quotes(D(p50), D(p90))
    assert caught.value.pointer == pointer


def test_a_p90_above_three_times_p50_is_wide() -> None:
    assert not is_wide(D(3), D(9))
    assert is_wide(D(3), D("9.01"))
    assert not is_wide(D(0), D(0))


quotes = st.tuples(st.integers(1, 4000), st.integers(0, 12000)).map(
    lambda pair: (D(pair[0]) / 100, D(pair[0] + pair[1]) / 100)
)
spread_quotes = quotes.filter(lambda pair: pair[0] < pair[1])


@given(spread_quotes, st.floats(0.01, 400))
def test_the_chance_agrees_with_a_statistics_library(
    pair: tuple[Decimal, Decimal], days: float
) -> None:
    sigma = log_spread(*pair)
    law = lognorm(s=sigma, scale=float(pair[0]))
    assert chance_within(days, *pair) == pytest.approx(law.cdf(days), abs=1e-9)
    assert mean_days(*pair) == pytest.approx(law.mean(), rel=1e-9)
    assert law.ppf(0.9) == pytest.approx(float(pair[1]), rel=1e-9)


@given(quotes, st.integers(0, 1))
def test_a_later_day_never_lowers_the_chance(pair: tuple[Decimal, Decimal], order_day: int) -> None:
    table = chance_by_day(*pair, order_day=order_day, last_day=250)
    assert all(0 <= earlier <= later <= CHANCE_ONE for earlier, later in pairwise(table))


@given(quotes, st.sampled_from(["0.5", "0.8", "0.9", "0.95", "0.99"]), st.integers(0, 1))
def test_the_tail_day_is_the_first_on_which_the_confidence_is_met(
    pair: tuple[Decimal, Decimal], confidence: str, order_day: int
) -> None:
    wanted = confidence_in_chances(D(confidence))
    lead = (LeadTime(*pair, order_day),)
    day = first_day_meeting(lead, wanted)
    if day is None:
        assert not meets(joint_chance_on(lead, 1500), wanted)
        return
    table = chance_by_day(*pair, order_day=order_day, last_day=day)
    assert meets(table[day], wanted)
    assert day == 0 or not meets(table[day - 1], wanted)
    assert tail_day(*pair, D(confidence), order_day) == day


# --- several ---------------------------------------------------------------------------------


def test_nothing_awaited_is_certain_at_once() -> None:
    assert joint_chance_by_day([], last_day=1) == (CHANCE_ONE, CHANCE_ONE)
    assert joint_tail_day([], D(1)) == 0
    assert joint_quantile([], 0.9) == joint_mean_days([]) == 0


def test_a_fixed_delivery_holds_the_others_back() -> None:
    leads = [LeadTime(D(20), D(20)), LeadTime(D(2), D(4))]
    assert joint_quantile(leads, 0.9) == 20
    assert joint_tail_day(leads, NINE_IN_TEN) == 20
    assert joint_mean_days(leads) == pytest.approx(20, abs=1e-4)


def test_the_mean_of_one_is_its_own_mean_even_where_wide() -> None:
    for p50, p90 in (("5", "9"), ("1", "60"), ("7", "7")):
        lead = LeadTime(D(p50), D(p90))
        assert joint_mean_days([lead]) == pytest.approx(mean_days(D(p50), D(p90)), rel=1e-6)


def test_a_later_order_shifts_the_whole_distribution() -> None:
    now, later = LeadTime(D(5), D(9)), LeadTime(D(5), D(9), order_day=1)
    assert joint_quantile([later], 0.9) == pytest.approx(joint_quantile([now], 0.9) + 1)
    assert joint_mean_days([later]) == pytest.approx(joint_mean_days([now]) + 1)
    assert joint_quantile([LeadTime(D(0), D(0), order_day=1)], 0.9) == 0


leads_of = st.lists(
    st.builds(lambda pair, day: LeadTime(*pair, day), quotes, st.integers(0, 1)),
    min_size=1,
    max_size=5,
)


@given(leads_of, st.builds(lambda pair: LeadTime(*pair), quotes))
def test_one_more_delivery_never_brings_the_day_forward(
    leads: list[LeadTime], more: LeadTime
) -> None:
    fewer = first_day_meeting(leads, 900_000_000)
    all_of_them = first_day_meeting([*leads, more], 900_000_000)
    assert all_of_them is None or (fewer is not None and fewer <= all_of_them)
    assert joint_quantile(leads, 0.9) <= joint_quantile([*leads, more], 0.9) * (1 + 1e-12)


@given(leads_of, st.floats(0.01, 0.999))
def test_the_quantile_undoes_the_chance(leads: list[LeadTime], chance: float) -> None:
    days = joint_quantile(leads, chance)
    assert joint_cdf(leads, days * (1 + 1e-12)) >= chance - 1e-9
    assert joint_cdf(leads, days * (1 - 1e-9)) <= chance + 1e-6


@given(st.lists(st.integers(0, 60), min_size=1, max_size=6), st.integers(0, 1))
def test_fixed_times_give_the_plain_sum_of_days(days: list[int], order_day: int) -> None:
    leads = [LeadTime(D(count), D(count), order_day) for count in days]
    expected = max(count + order_day if count else 0 for count in days)
    for confidence in ("0.000001", "0.5", "0.9", "1"):
        assert joint_tail_day(leads, D(confidence)) == expected
    assert joint_quantile(leads, 0.5) == expected


@given(leads_of)
def test_the_table_of_all_is_the_floored_product_of_the_tables(leads: list[LeadTime]) -> None:
    tables = [
        chance_by_day(lead.p50_days, lead.p90_days, lead.order_day, last_day=40) for lead in leads
    ]
    joint = joint_chance_by_day(tables, last_day=40)
    assert joint == tuple(joint_chance_on(leads, day) for day in range(41))
    for day in range(41):
        assert joint[day] / CHANCE_ONE == pytest.approx(joint_cdf(leads, day), abs=1e-7)


# --- confidence ------------------------------------------------------------------------------


@pytest.mark.parametrize("confidence", ["0", "-0.1", "1.0001", "NaN", "Infinity"])
def test_a_confidence_outside_its_range_is_refused(confidence: str) -> None:
    with pytest.raises(InvalidInput) as caught:
        confidence_in_chances(D(confidence))
    assert caught.value.pointer == "/confidence"


def test_certainty_is_met_by_certainty_alone() -> None:
    assert meets(CHANCE_ONE, CHANCE_ONE)
    assert not meets(CHANCE_ONE - 1, CHANCE_ONE)


def test_a_chance_of_nothing_meets_no_confidence() -> None:
    assert not meets(0, confidence_in_chances(D("0.000001")))


def test_dearer_lateness_asks_for_more_confidence() -> None:
    assert promise_confidence(D(9), D(1)) == NINE_IN_TEN
    assert promise_confidence(D(99), D(1)) == D("0.99")
    with pytest.raises(InvalidInput, match="cost_of_early_day"):
        promise_confidence(D(1), D(0))


def test_the_ninety_percent_point_is_the_librarys() -> None:
    assert norm.ppf(0.9) == pytest.approx(1.2815515655446, abs=1e-13)
