"""Nothing is told better than it is known: conditions, chances, what nobody looked at, cents."""

from decimal import Decimal
from math import gamma

import pytest

from shared.decision.building.build import build
from shared.decision.codec import from_builtins
from shared.decision.planning.case import CHANCE_ONE
from shared.decision.planning.evaluator import arrival_chance, evaluate
from shared.decision.snapshot import Snapshot
from shared.errors import InvalidInput
from shared.life.renewal import expected_failures as failures
from shared.life.weibull import LifeSpec
from tests.shared.decision.test_break_even_on_the_way import gear_in_doubt
from tests.snapshots import (
    answer,
    best,
    breaks,
    donor,
    eur,
    goods,
    job,
    looks,
    part,
    position,
    service,
    settings,
    snapshot,
    supplier,
    work,
)

_COMEBACKS = [
    {"kind": kind, "prior_mean": mean, "prior_weight": "20"}
    for kind, mean in (("new", "0.01"), ("used", "0.3"), ("exchange", "0.05"), ("keep", "0.02"))
]


def worn(*offers, **members):
    return snapshot(
        **{
            "settings": settings(comeback_experience=_COMEBACKS),
            "parts": [part("ring")],
            "positions": [position("ring")],
            "suppliers": [supplier("a")],
            "offers": list(offers),
            **looks(ring="heavy"),
            **members,
        }
    )


def donated(*offers, experience="0.8", quantity=1, **members):
    """A worn ring; a donor in the yard may give another, which has yet to prove good."""
    made = worn(
        *offers,
        units=[worn()["units"][0], donor("d", worth="1")],
        settings=settings(
            salvage_experience=[{"prior_mean": experience, "prior_weight": "1000"}],
            **members.pop("settings", {}),
        ),
        **members,
    )
    made["positions"][0]["quantity"] = quantity
    return made


# --- chances ---------------------------------------------------------------------------------


def test_every_piece_of_what_takes_the_place_of_a_bad_part_must_be_good():
    offer = goods("ring", "a", "5", ("0", "0"), reject_probability="0.1")
    case = build(from_builtins(donated(offer, quantity=3), Snapshot)).case
    plan = evaluate(case, ("whole:part-by-part", "pos_ring:salvaged:unt_d"), CHANCE_ONE // 100)
    found = [arrival_chance(case, plan, day) for day in (0, 1, 2)]
    proved = 0.8**3
    mended = 1 - 0.1 * 0.1
    assert found == pytest.approx(
        [proved, proved + (1 - proved) * 0.9**3, proved + (1 - proved) * mended**3], abs=1e-8
    )


def test_every_kit_of_those_that_take_its_place_must_be_good():
    members = donated(
        goods("bag", "a", "5", ("0", "0"), reject_probability="0.1", pack_quantity=2),
        parts=[part("ring"), part("bag", kit_lines=[{"part_id": "prt_ring"}])],
    )
    case = build(from_builtins(members, Snapshot)).case
    plan = evaluate(case, ("whole:part-by-part", "pos_ring:salvaged:unt_d"), CHANCE_ONE // 100)
    found = [arrival_chance(case, plan, day) for day in (0, 1)]
    assert found == pytest.approx([0.8, 0.8 + 0.2 * 0.9**2], abs=1e-8)


def test_what_takes_its_place_is_the_cheapest_in_what_is_compared():
    """Marked up by kind: what costs the shop less costs the customer more."""
    members = donated(
        goods("ring", "a", "50"),
        goods("twin", "a", "60"),
        settings={"pricing": {"parts_markup": [{"percent": "100", "part_kind": "ring"}]}},
        parts=[part("ring", generic_designation="R 5"), part("twin", generic_designation="R 5")],
    )
    found = []
    for aim in ("price", "cost"):
        built = build(from_builtins({**members, "aim": aim}, Snapshot))
        (proof,) = built.draft.proofs.values()
        found.append((proof.price, proof.cost))
    assert found == [(6000, 6000), (10000, 5000)]


def test_a_unit_spoilt_by_others_is_scrap_and_its_disposal_is_paid():
    core = {"deposit": eur("50"), "acceptance_probability": "1"}
    members = worn(
        service("rebuild", "a", "100", assembly_id="asm_1", reject_probability="0.2"),
        goods("u", "a", "300", assembly_id="asm_1", condition="rebuilt", core=core),
        settings=settings(pricing={"disposal": eur("12")}),
    )
    plan = best(members)
    (fallback,) = [a for a in plan.amounts if a.cost_class == "fallback"]
    assert fallback.price.amount == Decimal("72.40")  # 0.2 (300 + 50 that stay with it + 12)
    assert plan.expected_total.amount == Decimal("172.40")


@pytest.mark.parametrize(("mean", "told"), [("0.9967", "99.6%"), ("0.8", "80%")])
def test_a_chance_to_prove_good_is_never_rounded_up(mean, told):
    members = donated(goods("ring", "a", "500"), experience=mean)
    (line,) = best(members).lines
    assert f"proves good with a chance of {told}:" in line.notes[0]
    label = next(a.label for a in best(members).amounts if a.cost_class == "fallback")
    assert f"proves bad ({'0.4%' if mean == '0.9967' else '20%'})" in label


def test_a_chance_to_prove_bad_is_never_rounded_down():
    (line,) = best(worn(goods("ring", "a", "5", reject_probability="0.004"))).lines
    assert "proves bad on arrival with a chance of 0.4%" in line.notes[0]


# --- conditions ------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("condition", "comeback", "what"),
    [
        ("new", "0.01", "renewed with a new part"),
        ("used", "0.3", "renewed with a used part"),
        ("rebuilt", "0.05", "renewed with a rebuilt part"),
    ],
)
def test_a_kit_of_used_parts_is_no_better_than_used_parts(condition, comeback, what):
    members = worn(
        goods("bag", "a", "5", condition=condition),
        parts=[part("ring"), part("bag", kit_lines=[{"part_id": "prt_ring"}])],
    )
    plan = best(members)
    assert plan.risk.comeback_probability == Decimal(comeback)
    assert plan.customer.lines[0].what == what
    told = "Not new, used or rebuilt: ring." in plan.customer.notes
    assert told is (condition != "new")


@pytest.mark.parametrize("is_kit", [False, True])
@pytest.mark.parametrize("condition", ["new", "old-stock"])
@pytest.mark.parametrize("path", ["interchange", "generic"])
def test_old_stock_of_another_number_is_no_part_for_a_safety_critical_place(
    is_kit, condition, path
):
    """The policy must take it both for its condition and for what it stands in for."""
    designation = "R 5" if path == "generic" else None
    claim = {
        "id": "clm_1",
        "part_id": "prt_ring",
        "stand_in_part_id": "prt_twin",
        "evidence_kind": "measured-match",
        "evidence": "measured",
    }
    parts = [part(key, generic_designation=designation) for key in ("ring", "twin")]
    bag = part("bag", kit_lines=[{"part_id": "prt_twin"}])
    members = worn(
        goods("bag" if is_kit else "twin", "a", "5", condition=condition),
        parts=[*parts, *([bag] if is_kit else [])],
        claims=[] if designation else [claim],
    )
    assert best(members).lines[0].offer_id is not None
    members["positions"][0]["is_safety_critical"] = True
    found = answer(members)
    assert found.recommended is None
    assert any("is safety-critical" in e.detail for e in found.exclusions)


@pytest.mark.parametrize(
    ("old_stock", "generic", "told"),
    [("0.02", "0.2", "0.2"), ("0.3", "0.2", "0.3"), ("0.02", None, "0.02"), (None, "0.2", "0.2")],
)
def test_old_stock_of_another_number_lasts_as_the_worse_of_the_two(old_stock, generic, told):
    means = {"old-stock": old_stock, "generic": generic}
    known = [
        {"kind": kind, "prior_mean": mean, "prior_weight": "20"}
        for kind, mean in means.items()
        if mean is not None
    ]
    members = worn(
        goods("twin", "a", "5", condition="old-stock"),
        parts=[part(key, generic_designation="R 5") for key in ("ring", "twin")],
        settings=settings(comeback_experience=known),
    )
    assert best(members).risk.comeback_probability == Decimal(told)


def test_a_kit_of_used_parts_is_another_way_than_new_parts():
    members = worn(
        goods("bag", "a", "5", condition="used"),
        goods("ring", "a", "9"),
        parts=[part("ring"), part("bag", kit_lines=[{"part_id": "prt_ring"}])],
    )
    found = answer({**members, "asked": {"alternatives": 2, "break_evens": 0}})
    assert len(found.alternatives) == 2


def test_a_used_unit_sold_against_a_core_is_still_a_used_unit():
    core = {"deposit": eur("40"), "acceptance_probability": "1"}
    plan = best(worn(goods("u", "a", "5", assembly_id="asm_1", condition="used", core=core)))
    assert plan.route == "used"
    assert plan.risk.comeback_probability == Decimal("0.3")
    assert plan.customer.title == "Used unit"
    assert plan.customer.lines[0].what == "replaced by a used unit"


def test_an_exchange_unit_of_which_nobody_says_that_it_is_rebuilt_is_not_called_so():
    core = {"deposit": eur("40"), "acceptance_probability": "1"}
    unit = goods("u", "a", "5", assembly_id="asm_1", condition=None, core=core)
    told = best(worn(unit)).customer.lines[0].what
    assert told == "replaced by another unit, in exchange for the old one"


def test_nothing_is_called_an_exchange_where_the_old_part_stays():
    offer = goods("ring", "a", "5", condition="rebuilt")
    assert best(worn(offer)).customer.lines[0].what == "renewed with a rebuilt part"
    core = {"deposit": eur("4"), "acceptance_probability": "1", "return_freight": eur("9")}
    plan = best(worn({**offer, "core": core}))
    assert plan.customer.lines[0].what == "renewed with a rebuilt part"
    core["return_freight"] = eur("1")
    plan = best(worn({**offer, "core": core}))
    assert "in exchange for the old one" in plan.customer.lines[0].what


def test_the_customer_is_told_of_a_stand_in_whatever_else_is_said_of_it():
    for wanted, offered in (("R 5", "R 5"), ("6205", "6205 P6")):
        parts = [
            part("ring", generic_designation=wanted),
            part("twin", generic_designation=offered),
        ]
        plan = best(worn(goods("twin", "a", "5", condition="old-stock"), parts=parts))
        assert plan.customer.lines[0].what.endswith("that stands in for the maker's")


def test_a_bare_size_is_no_equal_of_another_maker():
    parts = [part(key, generic_designation="25x47x7") for key in ("ring", "twin")]
    found = answer(worn(goods("twin", "a", "5"), goods("ring", "a", "90"), parts=parts))
    assert found.plans[0].lines[0].offer_id == "ofr_ring"
    assert any("lip material is written on neither" in one.detail for one in found.exclusions)


# --- what nobody settled ---------------------------------------------------------------------


def housed(**members):
    """A housing nobody has looked at, and a worn ring inside it that is renewed."""
    found = looks(housing=None, ring="heavy")
    return worn(
        goods("ring", "a", "5"),
        parts=[part("ring"), part("housing")],
        positions=[position("housing"), position("ring", parent_id="pos_housing")],
        **{**found, **members},
    )


def test_the_customer_is_told_that_a_housing_stays_that_nobody_looked_at():
    plan = best(housed())
    assert "Kept without proof that it is within its limits: housing." in plan.customer.notes
    assert not any("housing" in note for note in best(housed(**looks(ring="heavy"))).customer.notes)


def test_a_housing_that_stays_is_not_counted_among_what_may_fail():
    assert best(housed()).risk.not_counted == ("housing",)
    assert best(housed(**looks(ring="heavy"))).risk.not_counted == ()


def test_the_customer_is_told_of_a_rework_that_leaves_something_open():
    found = looks(ring="heavy")
    found["characteristics"].append(
        {"id": "chr_2", "position_id": "pos_ring", "name": "crack", "is_crack": True}
    )
    members = worn(service("turn", "a", "5", position_id="pos_ring"), **found)
    told = "Reworked without proof that all of it is within its limits: ring."
    assert told in best(members).customer.notes
    members = worn(service("turn", "a", "5", position_id="pos_ring"))
    assert told not in best(members).customer.notes


def test_a_comeback_of_which_nothing_is_on_record_is_no_point_of_a_curve():
    members = worn(goods("ring", "a", "5"), asked={"has_risk_axis": True, "break_evens": 0})
    (point,) = answer(members).risk_frontier
    assert float(point.comeback_probability) == pytest.approx(0.01, abs=1e-6)
    (point,) = answer({**members, "settings": settings()}).risk_frontier
    assert point.comeback_probability is None


# --- cents -----------------------------------------------------------------------------------


def test_what_looking_gains_is_its_value_less_its_cost_to_the_cent_and_never_more():
    members = snapshot(
        settings=settings(
            rate="59.99",
            policy={"keep_not_inspected": "barred"},
            inspection_experience=[{"prior_mean": "0.333333", "prior_weight": "1000"}],
        ),
        job=job(),
        parts=[part("ring")],
        positions=[position("ring")],
        operations=[work("ring", "inspect", "0.3335", position_id="pos_ring")],
        suppliers=[supplier("a")],
        offers=[goods("ring", "a", "60.02", price_breaks=breaks(from_3="50"))],
        **looks(ring=None),
        asked={"break_evens": 0, "settlings": 1},
    )
    (one,) = answer(members).settlings
    # 60.02 x 0.333333 = 20.00664...; 59.99 x 0.3335 = 20.006665, billed as 20.01.
    assert (one.value.amount, one.cost.amount) == (Decimal("20.00"), Decimal("20.01"))
    assert one.net_value.amount == one.value.amount - one.cost.amount
    assert one.is_worthwhile is False


# --- another machine -------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("members", "reason"),
    [
        ({}, "the customer's cost of another machine is not given"),
        (
            {"aim": "cost", "job": job(replacement_cost=eur("90"))},
            "what another machine costs is the customer's: it is no cost of the shop's",
        ),
    ],
)
def test_why_another_machine_is_not_weighed_is_told_as_it_is(members, reason):
    found = answer(worn(goods("ring", "a", "5"), **members))
    assert next(r.reasons for r in found.routes if r.route == "retire") == (reason,)


# --- failures ----------------------------------------------------------------------------------


@pytest.mark.parametrize("shape", [0.5, 1.5, 3.0, 5.0, 50.0])
def test_over_many_lives_failures_come_at_the_long_run_rate(shape):
    """M(t) = t / mu + (sigma^2 - mu^2) / (2 mu^2) at length: elementary renewal theorem."""
    mean, square = 10 * gamma(1 + 1 / shape), 100 * gamma(1 + 2 / shape)
    for hours in (1e3, 1e4, 1e6):
        at_length = hours / mean + (square - 2 * mean * mean) / (2 * mean * mean)
        assert failures(LifeSpec(shape, 10.0), hours) == pytest.approx(at_length, rel=0.02)


def test_a_part_that_fails_ten_thousand_times_costs_as_often():
    life = {"part_kind": "ring", "shape": "3", "scale_hours": "10", "basis": "invented"}
    plan = best(
        worn(
            goods("ring", "a", "5"),
            settings=settings(life_records=[life]),
            job=job(horizon_hours="100000"),
        )
    )
    # Some 100 000 / (10 x 0.893) = 11 198 rings at 5 each.
    assert float(plan.expected_total.amount) == pytest.approx(5 * 11_198, rel=0.001)


# --- bad input ---------------------------------------------------------------------------------

_BACKWARDS = {"valid_from": "2031-04-01", "valid_until": "2031-03-05"}


@pytest.mark.parametrize(
    ("members", "pointer", "code"),
    [
        (worn(goods("ring", "a", "5", **_BACKWARDS)), "/offers/0/valid_until", "range-reversed"),
        (
            worn(positions=[position("ring", quantity=10**12)]),
            "/positions/0/quantity",
            "out-of-range",
        ),
        (
            worn(goods("ring", "a", "10000000"), positions=[position("ring", quantity=10_000)]),
            "/offers",
            "out-of-range",
        ),
        (
            worn(settings=settings(rules={"interest_percent_per_year": "1000.01"})),
            "/settings/rules/interest_percent_per_year",
            "out-of-range",
        ),
        (
            worn(
                settings=settings(
                    life_records=[
                        {"part_kind": "ring", "shape": "0.09", "scale_hours": "9", "basis": "x"}
                    ]
                )
            ),
            "/settings/life_records/0/shape",
            "out-of-range",
        ),
    ],
)
def test_what_cannot_be_reckoned_with_is_refused_where_it_stands(members, pointer, code):
    with pytest.raises(InvalidInput) as caught:
        answer(members)
    assert (caught.value.pointer, caught.value.code) == (pointer, code)
    assert caught.value.detail
    assert caught.value.fix


def test_in_whatever_order_the_policy_names_its_kinds_the_reason_reads_the_same():
    kinds = ["keep", "new", "kit"]
    told = set()
    for order in (kinds, kinds[::-1]):
        members = worn(
            goods("ring", "a", "5", condition="used"),
            positions=[position("ring", is_safety_critical=True)],
            settings=settings(policy={"safety_critical_sources": order}),
        )
        told.add(answer(members).exclusions)
    assert len(told) == 1


@pytest.mark.parametrize(("shape", "scale"), [("3.5", "400"), ("3.5", "150"), ("1.5", "5")])
def test_a_part_in_doubt_that_has_outlived_its_life_is_not_kept_for_nothing(shape, scale):
    members = gear_in_doubt()
    members["settings"]["life_records"][0] |= {"shape": shape, "scale_hours": scale}
    assert "keep" not in {line.disposition for line in best(members).lines}
