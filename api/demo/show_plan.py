"""One plan as it is read at the counter: its lines, its bill, its date, what it may come to.

Of many small lines of one class the largest are printed, and how many more there are.
"""

from collections import defaultdict
from collections.abc import Iterable
from decimal import Decimal

from rich.console import Console
from rich.table import Table
from rich.text import Text

from api.demo.show import (
    Json,
    amount,
    bullets,
    day,
    money,
    percent,
    say,
    short_day,
    table,
)

_SAME_DESIGNATION = "same standard designation"
_OF_A_STAND_IN = ("confidence that it fits", "check before fitting")
_DISPOSITIONS = ("renew", "rework", "keep", "retire")
_CLASS_ORDER = {
    name: place
    for place, name in enumerate(
        "goods service donor labour opening supplies freight small-order-fee top-up waiting "
        "core-deposit disposal".split()
    )
}
_MANY = 12
"""More lines than this in one class are printed in part."""
_OF_MANY = 3
_SURVIVAL_POINTS = 3


def plan_lines(console: Console, plan: Json) -> None:
    """What happens at each position, gathered by disposition; what is kept as good in one line."""
    gathered: dict[str, list[Json]] = defaultdict(list)
    for line in plan["lines"]:
        gathered[line["disposition"]].append(line)
    for disposition in sorted(gathered, key=_DISPOSITIONS.index):
        rows = gathered[disposition]
        say(console, disposition.capitalize(), style="bold")
        plain = [row for row in rows if disposition == "keep" and row["verdict"] == "conforming"]
        told = [row for row in rows if row not in plain]
        shared = _shared_notes(told)
        bullets(console, [_line_text(row, shared) for row in told])
        bullets(console, [f"{', '.join(names)}: {note}" for note, names in shared.items()])
        if plain:
            names = ", ".join(row["position_name"] for row in plain)
            bullets(console, [f"conforming, put back as found: {names}"])


def _shared_notes(rows: list[Json]) -> dict[str, list[str]]:
    """Notes on stand-ins that several lines have, with the positions: told once, after them."""
    names: dict[str, list[str]] = {}
    for row in rows:
        for note in row["notes"]:
            names.setdefault(note, []).append(row["position_name"])
    return {
        note: at for note, at in names.items() if len(at) > 1 and note.startswith(_OF_A_STAND_IN)
    }


def _line_text(line: Json, shared: dict[str, list[str]]) -> str:
    notes = [
        note
        for note in line["notes"]
        if note not in shared and not note.startswith(_SAME_DESIGNATION)
    ]
    told = f" - {'; '.join(notes)}" if notes else ""
    supplier = f", {line['supplier_name']}" if line["supplier_name"] else ""
    return f"{line['position_name']}: {line['description']}{supplier}{told}"


def plan_amounts(console: Console, plan: Json) -> None:
    """The bill line by line, by class, then what is expected but not billed."""
    bill = table(("On the bill", False), (plan["price"]["currency"], True))
    for cost_class, rows in by_class(plan, is_billed=True).items():
        _add_rows(bill, rows)
        _add_sum(bill, class_word(cost_class), rows)
    bill.add_section()
    for label, member in (
        ("price", "price"),
        ("inspection, billed on every route", "inspection"),
        ("net total", "net_total"),
        ("tax", "tax"),
    ):
        bill.add_row(Text(label), amount(plan[member]))
    bill.add_row(Text("to pay", style="bold"), Text(amount(plan["to_pay"]), style="bold"))
    bill.add_section()
    for cost_class, rows in by_class(plan, is_billed=False).items():
        _add_rows(bill, rows)
        _add_sum(bill, f"expected, not billed: {class_word(cost_class)}", rows)
    bill.add_row(Text("price and expectations: what is ranked"), amount(plan["expected_total"]))
    console.print(bill)


def _add_rows(bill: Table, rows: list[Json]) -> None:
    shown, rest = rows, []
    if len(rows) > _MANY:
        largest = sorted(rows, key=lambda row: -_sum([row]))
        shown, rest = largest[:_OF_MANY], largest[_OF_MANY:]
    for row in shown:
        bill.add_row(Text(row["label"]), amount(row["price"]))
    if rest:
        bill.add_row(Text(f"{len(rest)} smaller ones"), f"{_sum(rest):,}")


def _add_sum(bill: Table, label: str, rows: list[Json]) -> None:
    bill.add_row(Text(f"  {label}", style="bold"), Text(f"{_sum(rows):,}", style="bold"))


def plan_in_short(console: Console, plan: Json, told: set[str]) -> None:
    """What is in a plan: its title, its bill by class, and what is noted about it.

    ``told`` holds what was noted about other plans before and is not repeated; it grows.
    """
    classes = by_class(plan, is_billed=True)
    bill = ", ".join(f"{class_word(c)} {_sum(rows):,}" for c, rows in classes.items())
    notes = [note for note in plan["notes"] if "spending limit" not in note]
    notes = [note for note in notes if not note.startswith("Chance to stay within it")]
    notes = [_not_yet(note, told) for note in notes]
    if plan["is_within_spending_limit"] is False:
        notes.append("ABOVE the customer's spending limit.")
    bullets(console, [f"{plan['title']}. {bill}. {' '.join(n for n in notes if n)}".rstrip()])


def _not_yet(note: str, told: set[str]) -> str:
    """A note without those of its clauses that were told before."""
    subject, colon, clauses = note.rstrip(".").partition(": ")
    fresh = [one for one in clauses.split("; ") if one not in told]
    told.update(fresh)
    if not colon:
        return note
    return f"{subject}: {'; '.join(fresh)}." if fresh else ""


def by_class(plan: Json, *, is_billed: bool) -> dict[str, list[Json]]:
    """A plan's amounts that are billed, or those that are not, by class in the order of a bill."""
    found: dict[str, list[Json]] = defaultdict(list)
    for row in plan["amounts"]:
        if row["is_billed"] is is_billed:
            found[row["cost_class"]].append(row)
    return dict(sorted(found.items(), key=lambda item: _CLASS_ORDER.get(item[0], 99)))


def _sum(rows: Iterable[Json]) -> Decimal:
    return sum((Decimal(row["price"]["amount"]) for row in rows), Decimal(0))


def class_word(cost_class: str) -> str:
    """A class of cost as it is spoken."""
    return {"top-up": "top-up", "small-order-fee": "small-order fee"}.get(
        cost_class, cost_class.replace("-", " ")
    )


def readiness(console: Console, plan: Json, required_by_on: str | None) -> None:
    """When it is ready, how sure, how long it should last, what it costs by the hour."""
    ready, risk = plan["readiness"], plan["risk"]
    told = f"Promise {day(ready['promise_on'])}, {percent(ready['confidence'])} sure"
    told += f"; {ready['bench_hours']} bench hours."
    if required_by_on is not None:
        chance = percent(ready["probability_by_required"])
        told += f" Wanted by {day(required_by_on)}: in time with {chance}."
    say(console, told)
    if risk["comeback_probability"] is None:
        return
    say(
        console,
        f"Comeback within {risk['warranty_hours']} h warranty "
        f"{percent(risk['comeback_probability'])}; expected "
        f"{Decimal(risk['expected_service_hours']):.0f} h of service. "
        f"{_survival(plan)}{_by_time(plan)}",
    )


def _survival(plan: Json) -> str:
    """Chances to run so long without a failure, at a few evenly spaced hours."""
    points = plan["survival"][1:]
    if not points:
        return ""
    step = max(1, len(points) // _SURVIVAL_POINTS)
    chosen = points[::-1][::step][:_SURVIVAL_POINTS][::-1]
    told = ", ".join(f"{one['hours']} h {percent(one['probability'])}" for one in chosen)
    return f"Runs without a failure: {told}. "


def _by_time(plan: Json) -> str:
    hourly, yearly = plan["price_per_expected_hour"], plan["equivalent_annual_cost"]
    if hourly is None:
        return ""
    told = f"By the expected hour {Decimal(hourly):.2f} {plan['price']['currency']}"
    return f"{told}, by the year {money(yearly)}." if yearly else f"{told}."


def spread(console: Console, plan: Json) -> None:
    """What it may come to and when: one, five and nine times in ten; what is not in it."""
    total, finish = plan["total_spread"], plan["finish_spread"]
    if total is None or finish is None:
        return
    rows = table(("", False), ("one in ten", True), ("five in ten", True), ("nine in ten", True))
    members = ("p10", "p50", "p90")
    rows.add_row("to pay no more than", *(amount(total[name]) for name in members))
    rows.add_row("ready by", *(short_day(finish[f"{name}_on"]) for name in members))
    console.print(rows)
    told = [f"Quoted: {money(plan['to_pay'])}; on average {money(total['mean'])}."]
    if total["chance_within_limit"] is not None:
        told.append(f"Within the spending limit with {percent(total['chance_within_limit'])}.")
    say(console, " ".join(told))
    bullets(console, [f"not counted: {one}" for one in total["not_counted"]])


def shop_only(console: Console, plan: Json) -> None:
    """The one line that the customer does not see."""
    say(
        console,
        f"[shop only] cost {money(plan['cost'])}, margin {money(plan['margin'])}",
        style="reverse",
    )


def for_the_customer(console: Console, plan: Json) -> None:
    """The plan as it may be handed over: no cost, no margin, no supplier."""
    told = plan["customer"]
    if told is None:
        return
    say(console, told["summary"])
    bullets(console, told["notes"])
