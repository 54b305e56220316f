"""Small snapshots written by hand: only what a test is about, in the form that the API takes."""

from decimal import Decimal
from typing import Any

from shared.decision.building.build import build
from shared.decision.check import check_snapshot
from shared.decision.codec import from_builtins
from shared.decision.decide import decide
from shared.decision.planning.case import Query
from shared.decision.planning.solver import solve
from shared.decision.result import DecisionResult, PlanView
from shared.decision.snapshot import Snapshot
from shared.decision.telling.view import plan_view

Members = dict[str, Any]


def money(amount: str | int, currency: str) -> Members:
    return {"amount": f"{Decimal(amount):.2f}", "currency": currency}


def eur(amount: str | int) -> Members:
    return money(amount, "EUR")


def breaks(**prices: str) -> list[Members]:
    """Price breaks: ``breaks(from_3="9", from_10="8")``."""
    return [
        {"from_quantity": int(key.removeprefix("from_")), "price": eur(price)}
        for key, price in prices.items()
    ]


def exchange_rate(currency: str, rate: str, holds_from: str = "2031-03-01", **members: Any):
    return {
        "id": f"rat_{currency}_{holds_from}",
        "currency": currency,
        "in_currency": "EUR",
        "rate": rate,
        "holds_from": holds_from,
        "source": "rate list A",
        **members,
    }


def settings(rate: str = "60", cost_rate: str = "30", **others: Any) -> Members:
    pricing = {
        "labour_price_per_hour": eur(rate),
        "labour_cost_per_hour": eur(cost_rate),
        **others.pop("pricing", {}),
    }
    return {
        "id": "set_1",
        "currency": "EUR",
        "pricing": pricing,
        "warranty": {"warranty_hours": "500", **others.pop("warranty", {})},
        **others,
    }


def snapshot(**members: Any) -> Members:
    """A snapshot of one assembly without anything in it; members replace or add."""
    base: Members = {
        "as_of": "2031-03-03T07:30:00Z",
        "job": job(),
        "settings": settings(),
        "assembly": {"id": "asm_1", "maker": "Anymaker", "model": "A1", "kind": "drive"},
        "units": [own_unit()],
    }
    return {**base, **members}


def job(**members: Any) -> Members:
    return {"id": "job_1", "unit_id": "unt_1", "complaint": "does not run", **members}


def own_unit(**members: Any) -> Members:
    return {"id": "unt_1", "assembly_id": "asm_1", "kind": "customer", **members}


def donor(key: str, *, price: str | None = None, worth: str | None = None, **members: Any):
    terms = members.pop("terms", {})
    return {
        "id": f"unt_{key}",
        "assembly_id": "asm_1",
        "kind": "donor",
        "released_on": "2031-01-10",
        "donor": {
            "is_owned": price is None,
            "price": eur(price) if price else None,
            "undisturbed_worth": eur(worth) if worth else None,
            **terms,
        },
        **members,
    }


def position(key: str, **members: Any) -> Members:
    """Position ``pos_<key>`` holding part ``prt_<key>`` of that kind."""
    return {
        "id": f"pos_{key}",
        "assembly_id": "asm_1",
        "name": key.replace("_", " "),
        "part_id": f"prt_{key}",
        **members,
    }


def part(key: str, **members: Any) -> Members:
    return {
        "id": f"prt_{key}",
        "maker": "Anymaker",
        "number": key.upper(),
        "name": key.replace("_", " "),
        "kind": key,
        **members,
    }


def look(key: str, grade: str | None, unit: str = "1", **characteristic: Any):
    """A characteristic of ``pos_<key>`` judged by eye, and what was seen (None: not looked at)."""
    wear = {
        "id": f"chr_{key}",
        "position_id": f"pos_{key}",
        "name": "wear",
        "worst_acceptable_grade": "light",
        "settling_method": "by-eye",
        **characteristic,
    }
    if grade is None:
        return wear, None
    return wear, seen(key, grade, unit)


def seen(key: str, grade: str, unit: str = "1", **members: Any) -> Members:
    return {
        "id": f"fnd_{unit}_{key}",
        "unit_id": f"unt_{unit}",
        "position_id": f"pos_{key}",
        "characteristic_id": f"chr_{key}",
        "found_by": "Technician A",
        "found_at": "2031-03-03T07:00:00Z",
        "method": "by-eye",
        "grade": grade,
        **members,
    }


def looks(**grades: str | None) -> Members:
    """Characteristics and findings for several positions: ``looks(gear="none", seal="heavy")``."""
    pairs = [look(key, grade) for key, grade in grades.items()]
    return {
        "characteristics": [c for c, _ in pairs],
        "findings": [f for _, f in pairs if f is not None],
    }


def supplier(key: str, freight: str = "0", **members: Any) -> Members:
    return {"id": f"sup_{key}", "name": f"Supplier {key}", "freight": eur(freight), **members}


def goods(key: str, by: str, price: str, days: tuple[str, str] = ("1", "1"), **members: Any):
    """An offer ``ofr_<key>``; without a target it is for part ``prt_<key>``."""
    if not {"part_id", "assembly_id"} & set(members):
        members["part_id"] = f"prt_{key}"
    return {
        "id": f"ofr_{key}",
        "supplier_id": f"sup_{by}",
        "kind": "goods",
        "description": key.replace("_", " "),
        "price": eur(price),
        "p50_days": days[0],
        "p90_days": days[1],
        "condition": "new",
        **members,
    }


def service(key: str, by: str, price: str, days: tuple[str, str] = ("1", "1"), **members: Any):
    """A service ``ofr_<key>`` on a position or the assembly named by the members."""
    return {
        **goods(key, by, price, days, part_id=None),
        "kind": "service",
        "condition": None,
        **members,
    }


def work(key: str, kind: str, p50: str, p90: str | None = None, **members: Any) -> Members:
    return {
        "id": f"opr_{key}_{kind}",
        "assembly_id": "asm_1",
        "kind": kind,
        "name": f"{kind} {key}",
        "p50_hours": p50,
        "p90_hours": p90 or p50,
        "basis": "estimate",
        **members,
    }


def group(key: str, outer: str | None = None) -> Members:
    return {
        "id": f"grp_{key}",
        "assembly_id": "asm_1",
        "name": key.replace("_", " "),
        "outer_group_id": f"grp_{outer}" if outer else None,
    }


BRIEF = {"break_evens": 0, "settlings": 0}
"""What is asked where a test does not say: what would change the plan is not looked at."""


def answer(members: Members) -> DecisionResult:
    return decide(from_builtins({"asked": BRIEF, **members}, Snapshot))


def recommended(result: DecisionResult) -> PlanView:
    assert result.recommended is not None, result.infeasibility
    return next(plan for plan in result.plans if plan.id == result.recommended)


def best(members: Members) -> PlanView:
    """The recommended plan alone, without all that an answer tells besides."""
    snapshot = from_builtins(members, Snapshot)
    check_snapshot(snapshot)
    built = build(snapshot)
    plan = solve(built.case, Query(built.confidence, built.deadline)).plan
    assert plan is not None, built.draft.exclusions
    return plan_view(built, plan)


def chosen(plan: PlanView) -> dict[str, str]:
    """Source kind by position name."""
    return {line.position_name: line.source_kind for line in plan.lines}


def why(result: DecisionResult, subject: str) -> str:
    """All reasons given for what contains ``subject``."""
    return "; ".join(e.detail for e in result.exclusions if subject in e.subject)
