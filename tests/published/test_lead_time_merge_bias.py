"""Merge bias: three parallel tasks, each half likely by the date, are all done with 0.125.

Source: schedule-risk guides (the usual example), constructed; exact in closed form.
"""

from decimal import Decimal

import pytest

from shared.sourcing.arrivals import joint_cdf
from shared.sourcing.lead_time import LeadTime, chance_by_day, joint_chance_by_day


def test_three_even_chances_leave_one_in_eight() -> None:
    leads = [LeadTime(Decimal(4), Decimal(9))] * 3
    assert joint_cdf(leads, 4) == pytest.approx(0.125, abs=1e-12)


def test_the_whole_number_tables_show_the_same_bias() -> None:
    table = chance_by_day(Decimal(4), Decimal(9), order_day=0, last_day=4)
    assert joint_chance_by_day([table] * 3, last_day=4)[4] == 125_000_000
