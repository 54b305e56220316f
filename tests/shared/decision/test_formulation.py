"""How a case is written down: smaller numbers, same solutions; which setting searches first."""

from random import Random

from shared.decision.planning.budget import Budget
from shared.decision.planning.case import Query
from shared.decision.planning.formulation import CaseReader, Formulation, formulate
from shared.decision.planning.search import LARGE, Change, Model, value_of
from tests.shared.decision.oracle import all_choices
from tests.shared.decision.random_cases import random_case


def values_of(problem: Formulation, source_ids) -> list[int]:
    """Values of the variables, of which those of sources alone matter here."""
    values = [0] * len(problem.highs)
    for source_id in source_ids:
        values[problem.source_at[source_id]] = 1
    return values


def test_a_sum_over_sources_is_the_same_for_every_choice_once_its_numbers_are_lessened():
    changed = 0
    for seed in range(30):
        case, random = random_case(seed), Random(seed)
        problem = formulate(CaseReader(case), Query(900_000_000))
        terms = {index: random.randint(-50, 900) for index in problem.source_at.values()}
        lessened = problem.lessened(terms)
        changed += lessened != terms
        for choice in all_choices(case, 1):
            values = values_of(problem, choice.source_ids)
            assert value_of(lessened, values) == value_of(terms, values), seed
    assert changed == 30


def test_at_every_position_below_the_root_some_source_adds_nothing_to_the_aim():
    for seed in range(30):
        case = random_case(seed)
        problem = formulate(CaseReader(case), Query(900_000_000))
        assert problem.fillings
        for parts, wholes in problem.fillings:
            assert min(problem.aim.get(index, 0) for index in parts) == 0
            assert not set(parts) & set(wholes)


def test_what_need_not_be_filled_is_not_counted_with_its_whole():
    case = random_case(0)
    child = next(p.id for p in case.positions if p.parent_id is not None)
    query = Query(900_000_000)
    whole = formulate(CaseReader(case), query)
    lacking = formulate(CaseReader(case), query, frozenset({f"position:{child}"}))
    assert len(lacking.fillings) == len(whole.fillings) - 1


def choosing(variables: int) -> Model:
    """One of so many choices, each dearer than the one before."""
    problem = Formulation()
    for amount in range(variables):
        problem.pay(problem.variable(), amount)
    problem.row(dict.fromkeys(range(variables), 1), 1, 1)
    return Model(problem)


def test_presolve_comes_first_where_a_problem_is_large_and_second_where_it_is_not():
    for variables, order, settings in (
        (LARGE - 1, ("P0", "P1"), "P0"),
        (LARGE, ("P0", "P1"), "P1"),
        (LARGE, ("P1", "P0"), "P0"),
    ):
        outcome = choosing(variables).settle(Change(), Budget(), order, 5.0, 5.0)
        assert (outcome.status, outcome.bound, outcome.settings) == ("optimal", 0, settings)
