"""What stands behind a recommendation: other plans, what would change it, what lost and why."""

import re
from collections import defaultdict
from decimal import Decimal

from rich.console import Console

from api.demo.show import (
    Json,
    amount,
    bullets,
    money,
    percent,
    plan_of,
    say,
    sentence,
    several,
    short_day,
)
from api.demo.show_differences import becomes, differences
from api.demo.show_plan import class_word

_MOST_BREAK_EVENS, _OF_A_KIND = 4, 2
_DEARER, _LATE, _OTHER = 5, 3, 2
_CLASSES = 3
_RENEWED_ANYWAY = "renewed always"
_MUST_BE_FILLED = re.compile(r"( must be filled) \(.*", re.DOTALL)


def alternatives(console: Console, result: Json, best: Json) -> None:
    """The other plans that a person would call different, one line each."""
    told = []
    for plan_id in result["alternatives"]:
        plan = plan_of(result, plan_id)
        if plan is None or plan is best:
            continue
        gap = Decimal(plan["expected_total"]["amount"]) - Decimal(best["expected_total"]["amount"])
        told.append(
            f"{gap:,} more expected, price {amount(plan['price'])}, promise "
            f"{short_day(plan['readiness']['promise_on'])}, comeback "
            f"{percent(plan['risk']['comeback_probability'])}: "
            f"{'; '.join(differences(best, plan))}"
        )
    bullets(console, told or ["none that a person would call different"])


def break_evens(console: Console, result: Json) -> None:
    """How far what stands nearest to a change may move, and what follows; a few of each kind."""
    near = [one for one in result["break_evens"] if one["changes_at"] is not None]
    chosen: list[Json] = []
    for one in near:
        if sum(one["kind"] == other["kind"] for other in chosen) < _OF_A_KIND:
            chosen.append(one)
    bullets(console, [break_even(one) for one in chosen[:_MOST_BREAK_EVENS]])
    more = len(near) - len(chosen[:_MOST_BREAK_EVENS])
    still = len(result["break_evens"]) - len(near)
    say(console, f"{more} more would change it farther off; {still} looked at would not.")


def break_even(one: Json) -> str:
    """One input that stands near a change, as a sentence."""
    unit, way = one["unit"], one["direction"]
    now, holds, then = (_figure(one[name], unit) for name in ("current", "holds_to", "changes_at"))
    subject = sentence(one["subject"]).rstrip(".")
    follows = becomes(one["becomes"], one["subject"])
    return f"{subject}: now {now}. Holds {way} to {holds}; from {then}: {follows}."


def _figure(value: str, unit: str) -> str:
    return f"{value} {unit}" if unit else percent_of(value)


def percent_of(value: str) -> str:
    """A chance as a percentage with all its digits.

    >>> percent_of("0.0174")
    '1.74%'
    """
    return f"{(Decimal(value) * 100).normalize():f}%"


def settlings(console: Console, result: Json) -> None:
    """What looking closer costs and is worth before anything is decided."""
    bullets(console, [_settling(one) for one in result["settlings"]])


def _settling(one: Json) -> str:
    looking = sentence(one["what"][0]).rstrip(".")
    told = f"{one['position_name']} ({one['verdict']}): {_advice(one)} {looking}:"
    told += f" {money(one['cost'])}"
    if one["value"] is not None:
        told += f", worth {money(one['value'])}"
    if one["chance_conforming"] is not None:
        told += f"; good with {percent(one['chance_conforming'])}"
    told += "."
    if one["is_worthwhile"] is not False:
        told += f" If good: {_outcome(one, 'conforming')}."
        told += f" If not: {_outcome(one, 'nonconforming')}."
    return told


def _advice(one: Json) -> str:
    if one["is_worthwhile"]:
        return "look first."
    if one["is_worthwhile"] is False:
        return "does not pay."
    if one["worthwhile_between"] and one["chance_conforming"] is None:
        return f"pays if it is good with a chance {_between(one)}, which is not on record."
    return "whether it pays is not known."


def _between(one: Json) -> str:
    low, high = one["worthwhile_between"]
    if Decimal(low) == 0:
        return f"below {percent(high)}"
    return (
        f"above {percent(low)}" if Decimal(high) == 1 else f"of {percent(low)} to {percent(high)}"
    )


def _outcome(one: Json, verdict: str) -> str:
    changes, total = one[f"if_{verdict}"], one[f"total_if_{verdict}"]
    told = becomes(changes, one["position_name"])
    return told if total is None else f"{told} ({amount(total)} expected)"


def exclusions(console: Console, result: Json) -> None:
    """The nearest of what is not in the plan: dearer, late, without a plan, dominated, barred."""
    rows = result["exclusions"]
    dearer = [row for row in rows if row["extra"] is not None]
    dearer.sort(key=lambda row: Decimal(row["extra"]["amount"]))
    late = [row for row in rows if row["code"] == "too-late"]
    late.sort(key=lambda row: -Decimal(row["probability"] or 0))
    others = [
        row
        for code in ("infeasible", "taken", "dominated", "barred")
        for row in _gathered(
            [
                one
                for one in sorted(rows, key=lambda one: len(one["requirements"]))
                if one["code"] == code and _RENEWED_ANYWAY not in one["detail"]
            ]
        )[:_OTHER]
    ]
    chosen = [*_gathered(dearer)[:_DEARER], *_gathered(late)[:_LATE], *others]
    bullets(console, [_exclusion(row) for row in chosen])
    told = sum(len(row["subjects"]) for row in chosen)
    say(console, f"{len(rows) - told} more; the answer names each.")


def _gathered(rows: list[Json]) -> list[Json]:
    """Rows with one reason as one row, with all their subjects; same order."""
    found: dict[str, list[Json]] = defaultdict(list)
    for row in rows:
        found[f"{row['detail']} {row['extra_by_class']} {row['requirements']}"].append(row)
    return [{**same[0], "subjects": [row["subject"] for row in same]} for same in found.values()]


def _exclusion(row: Json) -> str:
    who = several(row["subjects"], 2)
    if row["extra"] is not None:
        return f"{who}: {money(row['extra'])} dearer ({_kinds(row['extra_by_class'])})"
    if row["better"] is not None:
        return f"{who}: beaten by '{row['better']}'"
    if row["requirements"]:
        return f"{who}: {row['detail']}; {_contradiction(row)}"
    return f"{who}: {row['detail']}"


def _kinds(classes: list[Json]) -> str:
    """The largest differences by class of cost, signed; the rest in one figure."""
    ordered = sorted(classes, key=lambda one: -abs(Decimal(one["price"]["amount"])))
    shown = [
        f"{Decimal(one['price']['amount']):+,} {class_word(one['cost_class'])}"
        for one in ordered[:_CLASSES]
    ]
    rest = sum((Decimal(one["price"]["amount"]) for one in ordered[_CLASSES:]), Decimal(0))
    return ", ".join([*shown, f"{rest:+,} the rest"] if rest else shown)


def _contradiction(row: Json) -> str:
    """What contradicts each other, without what is said in brackets; the cheapest way out."""
    names = [_MUST_BE_FILLED.sub(r"\1", name) for name in row["requirements"]]
    told = f"against it: {several(names, 3)}"
    out = row["relaxation"]
    if out is None or out["expected_total"] is None:
        return told
    return (
        f"{told}. Without that ({out['requirement']}): {money(out['expected_total'])} expected, "
        f"ready {short_day(out['promise_on'])}"
    )


def part_out(console: Console, result: Json) -> None:
    """What the unit would yield in parts, at the shop's cost."""
    found = result["part_out"]
    if found is None:
        return
    kept = [line for line in found["lines"] if line["is_kept"]]
    bullets(
        console,
        [f"{line['position_name']}: {money(line['worth'])}; {line['detail']}" for line in kept],
    )
    say(
        console,
        f"In all {money(found['worth'])}, less labour {amount(found['labour'])} and disposal "
        f"{amount(found['disposal'])}: {money(found['yielded'])}"
        f"{'' if found['is_worthwhile'] else ', not worth it'}. Nothing is counted for "
        f"{len(found['lines']) - len(kept)} other positions.",
    )
    bullets(console, found["notes"][:1])
