"""POST /v1/calculations/equivalent-annual-cost, outlay, replacement-age, repair-limit."""

from decimal import Decimal

import pytest

from tests.api.bodies import error_of

pytestmark = pytest.mark.engines("sqlite")  # computed, nothing stored


def eur(amount):
    return {"amount": amount, "currency": "EUR"}


def usd(amount):
    return {"amount": amount, "currency": "USD"}


def calculate(shop, name, body):
    return shop.call("POST", f"/calculations/{name}", json=body)


def ask(shop, name, body):
    answer = calculate(shop, name, body)
    assert answer.status_code == 200, answer.text
    return answer.json()


def way(name="A", **change):
    costs = {"first_cost": eur("15"), "cost_per_year": eur("5"), "years": "3"}
    return {"name": name, **costs, **change}


PART = {
    "shape": "2.5",
    "scale": {"value": "1000", "unit": "h"},
    "planned_cost": eur("100"),
    "failure_cost": eur("500"),
}
TOOLS = {
    "outlay": {"lower": eur("1045"), "upper": eur("1075")},
    "without_outlay_per_job": {"lower": eur("300"), "upper": eur("400")},
}
AGES = {
    "replacement_cost": eur("1000"),
    "ages": [
        {"failure_probability": f"0.{tenths}", "mean_repair_cost": eur(str(50 + 50 * tenths))}
        for tenths in range(1, 9)
    ],
}


def test_the_lower_present_value_may_be_the_dearer_way(shop):
    other = way("B", first_cost=eur("10"), cost_per_year=eur("6"), years="2")
    body = {"rate_percent_per_year": "6", "options": [way(), other]}
    answer = ask(shop, "equivalent-annual-cost", body)
    a, b = answer["options"]
    assert (a["present_value"]["amount"], b["present_value"]["amount"]) == ("28.37", "21.00")
    annual = [one["equivalent_annual_cost"]["amount"] for one in (a, b)]
    assert annual == ["10.61", "11.45"]
    assert answer["least"] == ["A"]


def test_without_interest_and_of_equal_cost_both_are_named(shop):
    body = {"rate_percent_per_year": "0", "options": [way(), way("B")]}
    answer = ask(shop, "equivalent-annual-cost", body)
    assert answer["least"] == ["A", "B"]
    assert answer["options"][0]["equivalent_annual_cost"] == eur("10.00")


@pytest.mark.parametrize(
    ("jobs", "verdict"), [(1, "does-not-pay"), (2, "does-not-pay"), (3, "depends"), (4, "pays")]
)
def test_whether_an_outlay_pays_hangs_on_the_jobs_in_sight(shop, jobs, verdict):
    answer = ask(shop, "outlay", {**TOOLS, "jobs": jobs})
    assert answer["verdict"] == verdict
    assert (answer["pays_from_jobs_at_best"], answer["pays_from_jobs_at_worst"]) == (3, 4)


def test_an_outlay_that_saves_nothing_per_job_never_pays(shop):
    answer = ask(shop, "outlay", {**TOOLS, "with_outlay_per_job": {"lower": eur("400")}})
    assert answer["pays_from_jobs_at_best"] is None
    assert answer["verdict"] == "does-not-pay"


def test_a_part_that_wears_out_has_an_age_to_be_replaced_at(shop):
    answer = ask(shop, "replacement-age", PART)
    assert float(answer["replacement_age"]["value"]) == pytest.approx(493.05, abs=0.2)
    assert float(answer["cost_per_hour"]["amount"]) == pytest.approx(0.346204, abs=1e-6)
    mended = ask(shop, "replacement-age", {**PART, "on_failure": "minimal-repair"})
    assert float(mended["replacement_age"]["value"]) == pytest.approx(446.66, abs=0.01)


@pytest.mark.parametrize(
    ("change", "why"),
    [
        ({"shape": "1"}, "no more likely to fail"),
        ({"failure_cost": eur("100")}, "costs no more"),
        ({"failure_cost": eur("100.01")}, "one part in a million"),
        ({"shape": "0.8", "on_failure": "minimal-repair"}, "no more likely to fail"),
    ],
)
def test_where_no_planned_age_pays_the_answer_says_why(shop, change, why):
    answer = ask(shop, "replacement-age", {**PART, **change})
    assert answer["replacement_age"] is None
    assert why in answer["reason"]


def test_repair_limits_fall_with_age_and_are_never_rounded_up(shop):
    answer = ask(shop, "repair-limit", AGES)
    limits = [Decimal(one["repair_up_to"]["amount"]) for one in answer["limits"]]
    assert limits == sorted(limits, reverse=True)
    assert limits[0] == Decimal("822.83")
    assert limits[-1] == 0
    assert answer["cost_per_year"] == eur("187.16")
    assert answer["always_repair_per_year"] == eur("275.00")


def test_a_limit_above_the_replacement_cost_is_explained(shop):
    ages = [
        {"failure_probability": chance, "mean_repair_cost": eur("500")}
        for chance in ("0.9", "0.01", "0.01", "0.01")
    ]
    answer = ask(shop, "repair-limit", {**AGES, "ages": ages})
    assert Decimal(answer["limits"][0]["repair_up_to"]["amount"]) > 1000
    assert any("fail less than new ones" in said for said in answer["assumptions"])


@pytest.mark.parametrize(
    ("name", "body", "pointer", "code"),
    [
        ("equivalent-annual-cost", {"rate_percent_per_year": "5", "options": []}, "/options", None),
        (
            "equivalent-annual-cost",
            {"rate_percent_per_year": "5", "options": [way(), way("B", worth_at_end=usd("1"))]},
            "/options/1/worth_at_end/currency",
            "currency-mixed",
        ),
        (
            "equivalent-annual-cost",
            {"rate_percent_per_year": "5", "options": [way(years="0")]},
            "/options/0/years",
            "out-of-range",
        ),
        (
            "outlay",
            {**TOOLS, "outlay": {"lower": eur("2"), "upper": eur("1")}},
            "/outlay/upper/amount",
            "out-of-range",
        ),
        (
            "outlay",
            {**TOOLS, "either_way_per_job": {"lower": usd("2")}},
            "/either_way_per_job/lower/currency",
            "currency-mixed",
        ),
        ("outlay", {**TOOLS, "jobs": 0}, "/jobs", "out-of-range"),
        ("replacement-age", {**PART, "shape": "101"}, "/shape", "out-of-range"),
        ("replacement-age", {**PART, "planned_cost": eur("0")}, "/planned_cost", "out-of-range"),
        (
            "replacement-age",
            {**PART, "scale": {"value": "9", "unit": "mm"}},
            "/scale/unit",
            "unit-wrong-dimension",
        ),
        (
            "replacement-age",
            {**PART, "scale": {"value": "9", "unit": "h", "plus_minus": "1"}},
            "/scale/plus_minus",
            "uncertainty-misplaced",
        ),
        (
            "replacement-age",
            {**PART, "scale": {"value": "0", "unit": "h"}},
            "/scale",
            "out-of-range",
        ),
        ("repair-limit", {**AGES, "replacement_cost": eur("0")}, "/replacement_cost", None),
        (
            "repair-limit",
            {**AGES, "ages": [{"failure_probability": "1.1", "mean_repair_cost": eur("1")}]},
            "/ages/0/failure_probability",
            "out-of-range",
        ),
    ],
)
def test_what_cannot_be_is_refused(shop, name, body, pointer, code):
    error = error_of(calculate(shop, name, body), pointer)
    assert code is None or error["code"] == code
    assert error["detail"]
    assert error["fix"]
