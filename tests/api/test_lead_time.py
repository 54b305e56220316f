"""POST /v1/calculations/lead-time."""

from math import log, prod

import pytest
from scipy.stats import norm

from api.schemas.sourcing import DayChanceOut, LeadTimeAnswer, LeadTimeQuestion
from tests.api.bodies import error_of

pytestmark = pytest.mark.engines("sqlite")  # computed, nothing stored
PATH = "/calculations/lead-time"
BODY = {"arrivals": [{"p50_days": "3", "p90_days": "3"}], "as_of": "2027-11-23T10:00:00Z"}
PAIRS = [("2", "4"), ("5", "9"), ("6", "14")]


def ask(shop, **members):
    return shop.call("POST", PATH, json=BODY | members)


def example_of(model):
    return {name: field.examples[0] for name, field in model.model_fields.items()}


def test_the_answer_is_decimal_text_and_dates(shop):
    arrivals = [{"p50_days": p50, "p90_days": p90} for p50, p90 in PAIRS]
    answer = ask(shop, arrivals=arrivals).json()
    assert (answer["p50_days"], answer["p90_days"]) == ("7.41788679", "14.5156387")
    assert answer["arrival_date"] == answer["promise_date"] == "2027-12-14"
    (probability,) = [
        row["probability"] for row in answer["probability_by_day"] if row["date"] == "2027-12-14"
    ]
    by_day_15 = prod(
        norm.cdf(log(15 / float(p50)) / (log(float(p90) / float(p50)) / norm.ppf(0.9)))
        for p50, p90 in PAIRS
    )
    assert float(probability) == pytest.approx(by_day_15, abs=2e-9)


def test_with_nothing_awaited_only_the_work_counts(shop):
    answer = ask(shop, arrivals=[], bench_hours="20", as_of="2027-11-23T08:00:00Z").json()
    assert (answer["p50_days"], answer["p90_days"]) == ("0", "0")
    assert answer["promise_date"] == "2027-11-25"


def test_a_reader_may_ask(reader):
    assert ask(reader).status_code == 200


def test_the_examples_of_the_document_are_a_real_run(shop):
    answer = ask(shop, **example_of(LeadTimeQuestion)).json()
    assert example_of(LeadTimeAnswer) == answer
    assert example_of(DayChanceOut) in answer["probability_by_day"]


@pytest.mark.parametrize(
    ("members", "pointer"),
    [
        ({"arrivals": [{"p50_days": "5", "p90_days": "3"}]}, "/arrivals/0/p90_days"),
        ({"arrivals": [{"p50_days": "0", "p90_days": "3"}]}, "/arrivals/0/p50_days"),
        ({"arrivals": [{"p50_days": 3, "p90_days": "3"}]}, "/arrivals/0/p50_days"),
        ({"arrivals": [{"p50_days": "NaN", "p90_days": "3"}]}, "/arrivals/0/p50_days"),
        ({"arrivals": [{"p50_days": "-1", "p90_days": "3"}]}, "/arrivals/0/p50_days"),
        ({"arrivals": [{"p50_days": "1", "p90_days": "1001"}]}, "/arrivals/0/p90_days"),
        ({"arrivals": [{"p50_days": "1"}]}, "/arrivals/0/p90_days"),
        (
            {"arrivals": [{"p50_days": "1", "p90_days": "1", "order_cutoff": "3 pm"}]},
            "/arrivals/0/order_cutoff",
        ),
        ({"arrivals": "3"}, "/arrivals"),
        ({"arrivals": None}, "/arrivals"),
        ({"arrivals": [BODY["arrivals"][0]] * 101}, "/arrivals"),
        ({"as_of": "2027-11-23T10:00:00"}, "/as_of"),
        ({"as_of": None}, "/as_of"),
        ({"as_of": "1950-01-01T00:00:00Z"}, "/as_of"),
        ({"as_of": "2100-12-31T23:00:00Z", "calendar": {"country": "US"}}, "/as_of"),
        ({"confidence": "0"}, "/confidence"),
        ({"confidence": "1.01"}, "/confidence"),
        ({"confidence": 0.9}, "/confidence"),
        ({"arrivals": [{"p50_days": "3", "p90_days": "5"}], "confidence": "1"}, "/confidence"),
        ({"bench_hours": "-4"}, "/bench_hours"),
        ({"bench_hours": "900000"}, "/bench_hours"),
        ({"calendar": {"country": "ZZ"}}, "/calendar/country"),
        ({"calendar": {"country": "US", "subdivision": "ZZ"}}, "/calendar/subdivision"),
        ({"calendar": {"weekdays": []}}, "/calendar/weekdays"),
        ({"calendar": {"weekdays": [8]}}, "/calendar/weekdays/0"),
        ({"calendar": {"timezone": "Nowhere/At_All"}}, "/calendar/timezone"),
        ({"calendar": {"timezone": "localtime"}}, "/calendar/timezone"),
        ({"calendar": {"opens_at": "17:00", "closes_at": "08:00"}}, "/calendar/closes_at"),
        ({"calendar": {"bench_hours_per_day": "0"}}, "/calendar/bench_hours_per_day"),
        ({"hurry": True}, "/hurry"),
    ],
)
def test_what_cannot_be_is_refused_by_name(shop, members, pointer):
    error_of(ask(shop, **members), pointer)
