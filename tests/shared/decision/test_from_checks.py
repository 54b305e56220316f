"""What a snapshot cannot hold is refused: the first thing wrong, where it is, and the mend."""

from copy import deepcopy
from datetime import date, timedelta

import pytest

from shared.decision.check import check_snapshot
from shared.decision.codec import from_builtins
from shared.decision.snapshot import Snapshot
from shared.errors import InvalidInput
from tests.snapshots import (
    breaks,
    donor,
    eur,
    exchange_rate,
    goods,
    job,
    looks,
    own_unit,
    part,
    position,
    service,
    settings,
    snapshot,
    supplier,
    work,
)


def sound():
    """A snapshot that holds something of everything, and nothing wrong."""
    return snapshot(
        job=job(
            required_by_on="2031-03-20",
            confidence="0.9",
            hours_per_year="800",
            standstill_cost_per_day=eur("10"),
            waiting={"kind": "loan", "cost_per_day": eur("5"), "price_per_day": eur("0")},
        ),
        settings=settings(
            inspection_experience=[{"prior_mean": "0.7", "prior_weight": "2"}],
            salvage_experience=[{"prior_mean": "0.7", "prior_weight": "2"}],
        ),
        parts=[
            part("gear"),
            part("shaft"),
            part("twin"),
            part("kit", kit_lines=[{"part_id": "prt_gear"}, {"part_id": "prt_shaft"}]),
        ],
        positions=[position("gear"), position("shaft")],
        position_sets=[
            {
                "id": "set_1",
                "assembly_id": "asm_1",
                "kind": "renewed-together",
                "name": "pair",
                "position_ids": ["pos_gear", "pos_shaft"],
            }
        ],
        claims=[
            {
                "id": "clm_1",
                "part_id": "prt_gear",
                "stand_in_part_id": "prt_twin",
                "evidence_kind": "measured-match",
                "evidence": "measured",
                "rework_p50_hours": "1",
                "rework_p90_hours": "2",
            }
        ],
        operations=[work("gear", "renew", "1", "2", position_id="pos_gear")],
        suppliers=[supplier("a", "9", minimum_order=eur("20")), supplier("b")],
        offers=[
            goods(
                "gear",
                "a",
                "10",
                ("2", "4"),
                price_breaks=breaks(from_3="9", from_10="8"),
                pack_quantity=2,
                minimum_quantity=2,
                available_quantity=40,
            ),
            goods(
                "shaft",
                "b",
                "10",
                condition="rebuilt",
                core={"deposit": eur("9"), "acceptance_probability": "0.9"},
            ),
            service("sleeve", "b", "12", position_id="pos_shaft"),
        ],
        units=[
            own_unit(),
            donor(
                "d",
                price="40",
                terms={
                    "remainder_worth": eur("30"),
                    "freight": eur("4"),
                    "p50_days": "1",
                    "p90_days": "2",
                    "part_worths": [
                        {"position_id": "pos_gear", "worth": eur("20")},
                        {"position_id": "pos_shaft", "worth": eur("10")},
                    ],
                },
            ),
        ],
        exchange_rates=[exchange_rate("USD", "0.9"), exchange_rate("USD", "0.8", "2031-02-01")],
        demands=[{"part_id": "prt_gear", "quantity": 2, "jobs": 1}],
        held_parts=[{"id": "slv_1", "position_id": "pos_gear"}],
        asked={"alternatives": 10, "differ_in": 10, "effort": "100"},
        **looks(gear="heavy", shaft="heavy"),
    )


def put(members, path, value):
    """Put a value at a path: ``offers/0/price``."""
    found = members
    *above, last = path.split("/")
    for step in above:
        found = found[int(step)] if isinstance(found, list) else found.setdefault(step, {})
    if isinstance(found, list) and last == "-":
        found.append(value)
    elif isinstance(found, list):
        found[int(last)] = value
    else:
        found[last] = value


def refused(*changes):
    members = deepcopy(sound())
    for path, value in changes:
        put(members, path, value)
    with pytest.raises(InvalidInput) as caught:
        check_snapshot(from_builtins(members, Snapshot))
    return caught.value


def test_a_sound_snapshot_is_taken():
    check_snapshot(from_builtins(sound(), Snapshot))


def one(path, value, pointer=None, code="invalid"):
    return pytest.param([(path, value)], f"/{pointer or path}", code, id=f"{path}={value}"[:60])


def several(name, changes, pointer, code="invalid"):
    return pytest.param(changes, f"/{pointer}", code, id=name)


WRONG = [
    # Price breaks, packs, quantities.
    several(
        "breaks that fall in quantity",
        [("offers/0/price_breaks", breaks(from_10="9", from_3="8"))],
        "offers/0/price_breaks/1/from_quantity",
        "breaks-overlap",
    ),
    several(
        "two breaks from one quantity on",
        [("offers/0/price_breaks", [*breaks(from_3="9"), *breaks(from_3="8")])],
        "offers/0/price_breaks/1/from_quantity",
        "breaks-overlap",
    ),
    one(
        "offers/0/price_breaks",
        breaks(from_1="9"),
        "offers/0/price_breaks/0/from_quantity",
        "out-of-range",
    ),
    one(
        "offers/0/price_breaks",
        breaks(from_3="11"),
        "offers/0/price_breaks/0/price/amount",
        "break-dearer",
    ),
    one(
        "offers/0/price_breaks",
        breaks(from_3="8", from_10="9"),
        "offers/0/price_breaks/1/price/amount",
        "break-dearer",
    ),
    one("offers/0/pack_quantity", 0, code="out-of-range"),
    one("offers/0/pack_quantity", 10**7, code="out-of-range"),
    one("offers/0/minimum_quantity", 0, code="out-of-range"),
    one("offers/0/available_quantity", -1, code="out-of-range"),
    one("offers/2/pack_quantity", 2, code="not-of-a-service"),
    one("offers/2/price_breaks", breaks(from_3="9"), code="not-of-a-service"),
    one("offers/1/minimum_quantity", 2, code="not-with-a-core"),
    # What suppliers ask of an order; currencies.
    one("suppliers/0/small_order_fee", eur("3"), code="fee-without-below-minimum"),
    one("suppliers/0/below_minimum", "fee", "suppliers/0/small_order_fee", "fee-missing"),
    several(
        "a fee below no minimum",
        [("suppliers/1/below_minimum", "fee"), ("suppliers/1/small_order_fee", eur("3"))],
        "suppliers/1/minimum_order",
        "minimum-missing",
    ),
    one(
        "suppliers/0/minimum_order",
        {"amount": "20.00", "currency": "USD"},
        "suppliers/0/minimum_order/currency",
        "currency-mixed",
    ),
    one(
        "offers/0/price",
        {"amount": "10.00", "currency": "USD"},
        "offers/0/price/currency",
        "currency-mixed",
    ),
    one(
        "job/standstill_cost_per_day",
        {"amount": "10.00", "currency": "USD"},
        "job/standstill_cost_per_day/currency",
        "currency-mixed",
    ),
    one("suppliers/0/freight", eur("-1"), "suppliers/0/freight/amount"),
    one("units/1/donor/freight", eur("-1"), "units/1/donor/freight/amount"),
    one("exchange_rates/0/rate", "0", code="out-of-range"),
    one("exchange_rates/1/holds_from", "2031-03-01", code="duplicate"),
    one("exchange_rates/0/currency", "EUR", "exchange_rates/0/in_currency", "currency-same"),
    one("exchange_rates/0/currency", "usd"),
    # Kits, sets, chances, amounts.
    one("parts/3/kit_lines/1/part_id", "prt_gear", code="duplicate"),
    one("parts/3/kit_lines/0/quantity", 0),
    one("position_sets/0/position_ids", ["pos_gear"]),
    one("position_sets/0/position_ids", ["pos_gear", "pos_gear"]),
    one("offers/0/reject_probability", "1.01"),
    one("offers/0/reject_probability", "-0.01"),
    one("offers/1/core/acceptance_probability", "1.5"),
    one("offers/1/core/return_within_days", -1, code="out-of-range"),
    one("job/confidence", "1.2"),
    one("job/confidence", "0"),
    one(
        "settings/inspection_experience/0/prior_mean",
        "1",
    ),
    several(
        "more found conforming than were looked at",
        [("settings/inspection_experience/0/conforming", 2)],
        "settings/inspection_experience/0/conforming",
    ),
    one("offers/0/price", eur("10000000.01"), "offers/0/price/amount"),
    one(
        "offers/0/price_breaks/0/price",
        eur("10000000.01"),
        "offers/0/price_breaks/0/price/amount",
    ),
    one(
        "job/standstill_cost_per_day",
        eur("1000000.01"),
        "job/standstill_cost_per_day/amount",
    ),
    one(
        "job/waiting/price_per_day",
        eur("1000000.01"),
        "job/waiting/price_per_day/amount",
    ),
    one("job/hours_per_year", "0"),
    # P90 below P50, a calendar without a working day.
    one("offers/0/p90_days", "1", code="p90-below-p50"),
    one("units/1/donor/p90_days", "0.5", code="p90-below-p50"),
    one("operations/0/p90_hours", "0.5"),
    one("claims/0/rework_p90_hours", "0.5"),
    one("settings/calendar", {"weekdays": []}, "settings/calendar/weekdays", "no-open-day"),
    one(
        "settings/calendar",
        {"bench_hours_per_day": "0"},
        "settings/calendar/bench_hours_per_day",
        "out-of-range",
    ),
    several(
        "an inspection of nothing",
        [("operations/-", work("x", "inspect", "1"))],
        "operations/1/position_id",
    ),
    # Donors, other jobs, what is asked.
    one("units/1/donor/part_worths/0/position_id", "pos_none", code="reference-unknown"),
    one("units/1/donor/part_worths/1/position_id", "pos_gear", code="duplicate"),
    one(
        "units/1/donor/remainder_worth",
        eur("29.99"),
        "units/1/donor/part_worths",
        "worth-beyond-rest",
    ),
    one("demands/0/part_id", "prt_none", code="reference-unknown"),
    one("demands/0/quantity", 0, code="out-of-range"),
    one("demands/0/jobs", 0, code="out-of-range"),
    several(
        "a demand told twice",
        [("demands/-", {"part_id": "prt_gear", "quantity": 1, "jobs": 1})],
        "demands/1/part_id",
        "duplicate",
    ),
    one("held_parts/0/position_id", "pos_none", code="reference-unknown"),
    several(
        "a hold told twice",
        [("held_parts/-", {"id": "slv_1", "position_id": "pos_gear"})],
        "held_parts/1/id",
        "duplicate",
    ),
    one("asked/alternatives", 0, code="out-of-range"),
    one("asked/alternatives", 11, code="out-of-range"),
    one("asked/differ_in", 0, code="out-of-range"),
    one("asked/differ_in", 11, code="out-of-range"),
    one("asked/break_evens", -1, code="out-of-range"),
    one("asked/break_evens", 51, code="out-of-range"),
    one("asked/settlings", 51, code="out-of-range"),
    one("asked/effort", "0", code="out-of-range"),
    one("asked/effort", "100.5", code="out-of-range"),
]


@pytest.mark.parametrize(("changes", "pointer", "code"), WRONG)
def test_what_cannot_be_so_is_refused_where_it_stands(changes, pointer, code):
    error = refused(*changes)
    assert error.pointer == pointer
    assert error.code == code
    assert error.detail.endswith(".")
    assert error.fix.endswith(".")


def test_a_shop_that_never_opens_is_refused():
    """Closed on each day of the two years that are searched."""
    days = [str(date(2031, 3, 1) + timedelta(days=n)) for n in range(740)]
    error = refused(("settings/calendar", {"closed_on": days}))
    assert (error.pointer, error.code) == ("/settings/calendar/closed_on", "no-open-day")
