"""The answer as a whole: what it says when it could not look far enough, and of its effort."""

from decimal import Decimal
from typing import Any

from shared.decision.codec import from_builtins
from shared.decision.decide import decide
from shared.decision.snapshot import Snapshot
from tests.bench.typical_job import typical_job
from tests.snapshots import BRIEF


def typical(**asked: Any) -> Snapshot:
    return from_builtins(typical_job(**BRIEF, **asked), Snapshot)


def test_too_little_effort_is_no_no():
    answer = decide(typical(effort="0.000001"))
    assert answer.recommended is None
    assert not answer.is_proven_optimal
    assert answer.infeasibility is not None
    assert "not worked out" in answer.infeasibility.detail
    assert "Nothing" not in answer.infeasibility.detail


def test_what_the_effort_did_not_reach_is_told():
    answer = decide(typical(effort="0.01"))
    assert answer.effort is not None
    assert answer.effort.limit == Decimal("0.01")
    assert answer.effort.left_out


def test_what_other_sources_would_cost_is_left_out_where_it_is_not_asked():
    answer = decide(typical(has_extras=False))
    assert all(one.extra is None for one in answer.exclusions)
    assert answer.effort is not None
    assert any("not asked" in told for told in answer.effort.left_out)


def test_with_enough_effort_the_gap_is_nothing_and_the_plans_named_are_there():
    answer = decide(typical())
    assert answer.effort is not None
    assert answer.effort.gap is not None and answer.effort.gap.minor == 0
    plans = {plan.id for plan in answer.plans}
    named = {answer.recommended, answer.next_best, *answer.alternatives}
    named |= {route.plan_id for route in answer.routes} | {p.plan_id for p in answer.frontier}
    assert named - {None} <= plans
    assert answer.alternatives[0] == answer.recommended
