"""The first cause striking again: by kind and mechanism, removed or not; and what is told of it."""

from decimal import Decimal

import pytest

from tests.snapshots import (
    answer,
    goods,
    job,
    looks,
    part,
    position,
    recommended,
    settings,
    snapshot,
    supplier,
)

CHANCES = [
    {"cause_kind": "installation", "probability": "0.01", "basis": "own record"},
    {"cause_kind": "installation", "mechanism": "fatigue", "probability": "0.05"},
]
WARRANTY = {
    "common_cause_known": "0.02",
    "common_cause_unknown": "0.2",
    "comeback_fixed_cost": {"amount": "100.00", "currency": "EUR"},
    "cause_chances": CHANCES,
}


def result_of(warranty=WARRANTY, **told):
    return answer(
        snapshot(
            job=job(**told),
            settings=settings(warranty=warranty),
            parts=[part("ring")],
            positions=[position("ring")],
            suppliers=[supplier("a")],
            offers=[goods("ring", "a", "10")],
            **looks(ring="heavy"),
        )
    )


@pytest.mark.parametrize(
    ("told", "chance", "words"),
    [
        ({}, "0.2", "the cause is not known"),
        ({"cause": "dirt"}, "0.02", "it is taken as removed"),
        ({"cause": "dirt", "is_cause_removed": True}, "0.02", "the cause is removed"),
        ({"cause": "dirt", "is_cause_removed": False}, "0.2", "the cause is not removed"),
        (
            {"cause_kind": "installation", "is_cause_removed": True},
            "0.01",
            "kind installation (own record)",
        ),
        (
            {
                "cause_kind": "installation",
                "failure_mechanism": "fatigue",
                "is_cause_removed": True,
            },
            "0.05",
            "no source stated",
        ),
        ({"cause_kind": "installation"}, "0.2", "not recorded"),
    ],
)
def test_the_chance_counts_in_the_price_and_is_told_with_its_row(told, chance, words):
    result = result_of(**told)
    plan = recommended(result)
    assert plan.risk.common_cause == Decimal(chance)
    assert plan.expected_total.amount == 10 + 100 * Decimal(chance)
    (said,) = [one for one in result.assumptions if "first cause" in one]
    assert words in said


def test_a_shop_without_figures_is_told_nothing_of_it():
    result = result_of(warranty={})
    assert recommended(result).expected_total.amount == 10
    assert not any("first cause" in one for one in result.assumptions)


def test_a_cause_that_stays_is_not_called_known_alone():
    labels = [a.label for a in recommended(result_of(cause="dirt", is_cause_removed=False)).amounts]
    assert any("(known, not on record as removed)" in label for label in labels)
