"""Outlay, day and risk: every plan that no other beats, against enumeration."""

from dataclasses import replace

from shared.decision.planning.budget import Budget
from shared.decision.planning.case import AmountLine, CostClass, PlanningCase
from shared.decision.planning.risk_frontier import risk_frontier, without_comebacks
from tests.shared.decision.oracle import all_choices
from tests.shared.decision.random_cases import CONFIDENCES, random_case
from tests.shared.decision.small_case import P90, case, new, two_suppliers


def with_comebacks(made: PlanningCase) -> PlanningCase:
    """Each source's risk priced besides, as a plan is that is not asked for the third axis."""

    def priced(source):
        expected = source.risk // 400
        line = AmountLine(CostClass.COMEBACK, "comeback", expected, expected, is_billed=False)
        return replace(source, lines=(*source.lines, line))

    return replace(made, sources=tuple(map(priced, made.sources)))


def unbeaten(made: PlanningCase, confidence: int) -> list:
    """Vector and sources of each choice that none beats, first of equals; comebacks not priced."""
    risk = {source.id: source.risk for source in made.sources}
    found: dict = {}
    for choice in all_choices(without_comebacks(made), confidence):
        if choice.ready_day <= made.last_day:
            vector = (
                choice.ready_day,
                choice.objective,
                sum(risk[source_id] for source_id in choice.source_ids),
            )
            found.setdefault(vector, choice.source_ids)
    return sorted(
        (vector, ids)
        for vector, ids in found.items()
        if not any(
            other != vector and all(a <= b for a, b in zip(other, vector, strict=True))
            for other in found
        )
    )


def test_the_front_is_that_of_enumeration():
    largest = 0
    for seed in range(1, 240, 4):
        made, confidence = with_comebacks(random_case(seed)), CONFIDENCES[seed % len(CONFIDENCES)]
        points = risk_frontier(made, confidence)
        found = [((p.ready_day, p.outlay, p.risk), p.plan.source_ids) for p in points]
        assert found == unbeaten(made, confidence), seed
        largest = max(largest, len(found))
    assert largest >= 5


def test_the_plans_are_those_of_the_case_with_comebacks_priced():
    made = with_comebacks(
        case(
            [new("a", "root", 10, risk=40_000), new("b", "root", 60, risk=4_000)],
            positions=(),
        )
    )
    points = risk_frontier(made, P90)
    assert [(p.outlay, p.risk, p.plan.objective) for p in points] == [
        (10, 40_000, 110),
        (60, 4_000, 70),
    ]


def test_without_any_risk_it_is_the_front_of_price_and_date():
    points = risk_frontier(two_suppliers(), P90)
    assert [(p.outlay, p.ready_day, p.risk) for p in points] == [(85, 3, 0), (53, 9, 0)]


def test_where_the_limit_is_reached_there_is_none_and_it_is_told():
    budget = Budget(limit=0.0)
    assert risk_frontier(two_suppliers(), P90, budget=budget) == ()
    assert budget.left_out == ("the frontier with the risk of a comeback as third axis",)
