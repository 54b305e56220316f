"""Printing a decision so that it can be read at a counter: 80 columns, with or without colour."""

import textwrap
from collections import defaultdict
from collections.abc import Iterable
from datetime import date
from decimal import Decimal
from typing import Any

from rich import box
from rich.console import Console
from rich.table import Table
from rich.text import Text

Json = dict[str, Any]
WIDTH = 80
_ROUTE_WORDS = {"send-out": "send out"}
_QUIET_CODES = frozenset({"not-cheapest"})
_RENEWED_ANYWAY = "renewed always"
_SAME_DESIGNATION = "same standard designation"
_DISPOSITIONS = ("renew", "rework", "keep")
_CLASS_ORDER = {
    name: place
    for place, name in enumerate(
        "goods service donor labour opening supplies freight core-deposit disposal".split()
    )
}


def make_console() -> Console:
    """A console of 80 columns where the output is piped, of at most 100 on a terminal."""
    console = Console(highlight=False, soft_wrap=False)
    width = min(console.width, 100) if console.is_terminal else WIDTH
    return Console(highlight=False, width=width)


def money(value: Json | None) -> str:
    """An amount as the counter writes it.

    >>> money({"amount": "1234.50", "currency": "EUR"}), money(None)
    ('1,234.50 EUR', '-')
    """
    if value is None:
        return "-"
    return f"{Decimal(value['amount']):,} {value['currency']}"


def amount(value: Json | None) -> str:
    """An amount without its currency, for columns that name it once."""
    return "-" if value is None else f"{Decimal(value['amount']):,}"


def day(text: str | None) -> str:
    """A calendar date with its weekday.

    >>> day("2031-03-14")
    'Fri 14 Mar 2031'
    """
    return "-" if text is None else f"{date.fromisoformat(text):%a %d %b %Y}"


def percent(text: str | None) -> str:
    """A probability as a percentage with one digit after the point.

    Rounding never makes a certainty of it.

    >>> percent("0.0734"), percent("0.0000001"), percent("0.99997"), percent(None)
    ('7.3%', '<0.1%', '>99.9%', '-')
    """
    if text is None:
        return "-"
    chance = Decimal(text)
    if chance < Decimal("0.0005"):
        return "<0.1%"
    return ">99.9%" if chance >= Decimal("0.9995") else f"{chance * 100:.1f}%"


def route_word(route: str) -> str:
    """A route's name as it is spoken."""
    return _ROUTE_WORDS.get(route, route)


def plan_of(result: Json, plan_id: str | None) -> Json | None:
    """The plan of that id in a decision's answer."""
    return next((plan for plan in result["plans"] if plan["id"] == plan_id), None)


def say(console: Console, text: str, style: str = "") -> None:
    """One paragraph, wrapped, nothing in it taken for markup."""
    console.print(Text(text), style=style)


def answer(console: Console, text: str) -> None:
    """What a call answered, in a line that stands out."""
    console.print(Text(f"=> {text}"), style="bold green")


def title(console: Console, text: str) -> None:
    """A heading with room above it."""
    console.print()
    console.rule(Text(text, style="bold"), align="left", characters="-")


def bullets(console: Console, lines: Iterable[str]) -> None:
    """One line each, wrapped under its dash."""
    for line in lines:
        first, *rest = textwrap.wrap(line, console.width - 4) or [""]
        say(console, "\n".join([f"  - {first}", *(f"    {more}" for more in rest)]))


def _table(*columns: tuple[str, bool]) -> Table:
    table = Table(box=box.SIMPLE_HEAD, pad_edge=False, padding=(0, 1, 0, 0), show_edge=False)
    for heading, is_figure in columns:
        table.add_column(heading, justify="right" if is_figure else "left", no_wrap=is_figure)
    return table


def routes(console: Console, result: Json) -> None:
    """Every route with its price, promise date and risk; under it the reasons."""
    table = _table(
        ("Route", False),
        ("Price", True),
        ("To pay", True),
        ("Promise", True),
        ("In time", True),
        ("Comeback", True),
        ("Horizon", True),
        ("Gap", True),
    )
    table.columns[0].no_wrap = True
    for view in result["routes"]:
        table.add_row(*_route_row(view, plan_of(result, view["plan_id"]), result["recommended"]))
    console.print(table)
    say(
        console,
        f"All in {_currency(result)}. * recommended. Price: without inspection and tax; to pay: "
        f"with both. Promise: holds with {percent(result['confidence'])}. In time: chance to be "
        "ready by the date wanted. Comeback: chance within the warranty. Horizon: chance to run "
        "as long as the customer needs it. Gap: expected total above the recommended plan's.",
        style="dim",
    )
    for view in result["routes"]:
        for reason in view["reasons"]:
            bullets(console, [f"{route_word(view['route'])}: {reason}"])


def _route_row(view: Json, plan: Json | None, recommended: str | None) -> list[Text | str]:
    if plan is None:
        return [Text("  " + route_word(view["route"])), *["-"] * 7]
    mark = "* " if plan["id"] == recommended else "  "
    return [
        Text(mark + route_word(view["route"])),
        amount(plan["price"]),
        amount(plan["to_pay"]),
        f"{date.fromisoformat(plan['readiness']['promise_on']):%a %d %b}",
        percent(plan["readiness"]["probability_by_required"]),
        percent(plan["risk"]["comeback_probability"]),
        percent(plan["risk"]["survival_to_horizon"]),
        amount(view["gap"]),
    ]


def plan_lines(console: Console, plan: Json) -> None:
    """What happens at each position, gathered by disposition; what is kept as good in one line."""
    gathered: dict[str, list[Json]] = defaultdict(list)
    for line in plan["lines"]:
        gathered[line["disposition"]].append(line)
    for disposition in sorted(gathered, key=_DISPOSITIONS.index):
        rows = gathered[disposition]
        say(console, disposition.capitalize(), style="bold")
        plain = [row for row in rows if disposition == "keep" and row["verdict"] == "conforming"]
        bullets(console, [_line_text(row) for row in rows if row not in plain])
        if plain:
            names = ", ".join(row["position_name"] for row in plain)
            bullets(console, [f"conforming, put back as found: {names}"])


def _line_text(line: Json) -> str:
    notes = [note for note in line["notes"] if not note.startswith(_SAME_DESIGNATION)]
    told = f" - {'; '.join(notes)}" if notes else ""
    return f"{line['position_name']}: {_how(line)}{told}"


def _how(line: Json) -> str:
    supplier = f", {line['supplier_name']}" if line["supplier_name"] else ""
    return f"{line['description']}{supplier}"


def plan_amounts(console: Console, plan: Json) -> None:
    """The bill line by line, by class, then what is expected but not billed."""
    table = _table(("On the bill", False), (plan["price"]["currency"], True))
    for cost_class, rows in _by_class(plan, is_billed=True).items():
        for row in rows:
            table.add_row(Text(row["label"]), amount(row["price"]))
        table.add_row(
            Text(f"  {_class_word(cost_class)}", style="bold"),
            Text(f"{_sum(rows):,}", style="bold"),
        )
    table.add_section()
    for label, member in (
        ("price", "price"),
        ("inspection, billed on every route", "inspection"),
        ("net total", "net_total"),
        ("tax", "tax"),
    ):
        table.add_row(Text(label), amount(plan[member]))
    table.add_row(Text("to pay", style="bold"), Text(amount(plan["to_pay"]), style="bold"))
    table.add_section()
    for cost_class, rows in _by_class(plan, is_billed=False).items():
        for row in rows:
            table.add_row(row["label"], f"{_sum([row]):,}")
        title = Text(f"  expected, not billed: {_class_word(cost_class)}", style="bold")
        table.add_row(title, Text(f"{_sum(rows):,}", style="bold"))
    table.add_row(Text("price and expectations: what is ranked"), amount(plan["expected_total"]))
    console.print(table)


def plan_in_short(console: Console, plan: Json) -> None:
    """What is in a plan, in two sentences: its summary and its bill by class."""
    classes = _by_class(plan, is_billed=True)
    bill = ", ".join(f"{_class_word(c)} {_sum(rows):,}" for c, rows in classes.items())
    bullets(console, [f"{plan['title']}. {bill}. {' '.join(plan['notes'])}".rstrip()])


def _by_class(plan: Json, *, is_billed: bool) -> dict[str, list[Json]]:
    found: dict[str, list[Json]] = defaultdict(list)
    for row in plan["amounts"]:
        if row["is_billed"] is is_billed:
            found[row["cost_class"]].append(row)
    return dict(sorted(found.items(), key=lambda item: _CLASS_ORDER.get(item[0], 99)))


def _sum(rows: Iterable[Json]) -> Decimal:
    return sum((Decimal(row["price"]["amount"]) for row in rows), Decimal(0))


def _class_word(cost_class: str) -> str:
    return cost_class.replace("-", " ")


def readiness(console: Console, plan: Json, required_by_on: str | None) -> None:
    """When it is ready, how sure, how long it should last."""
    ready, risk = plan["readiness"], plan["risk"]
    sure = percent(ready["confidence"])
    say(
        console,
        f"Promise {day(ready['promise_on'])} ({sure} sure; five in ten by "
        f"{day(ready['p50_on'])}, nine in ten by {day(ready['p90_on'])}); "
        f"{ready['bench_hours']} bench hours.",
    )
    if required_by_on is not None:
        chance = percent(ready["probability_by_required"])
        say(console, f"Wanted by {day(required_by_on)}: in time with {chance}.")
    comeback = percent(risk["comeback_probability"])
    say(
        console,
        f"Comeback within {risk['warranty_hours']} h warranty {comeback}; runs to "
        f"{risk['horizon_hours']} h {percent(risk['survival_to_horizon'])}; expected "
        f"{Decimal(risk['expected_service_hours']):.0f} h of service.",
    )


def shop_only(console: Console, plan: Json) -> None:
    """The one line that the customer does not see."""
    say(
        console,
        f"[shop only] cost {money(plan['cost'])}, margin {money(plan['margin'])}",
        style="reverse",
    )


def frontier(console: Console, result: Json) -> None:
    """Price against promise date: nothing is cheaper that is ready as soon."""
    table = _table(
        ("Wanted by", False), ("Route", False), ("Price", True), ("Expected total", True)
    )
    previous: Json | None = None
    told: list[str] = []
    for point in result["frontier"]:
        plan = plan_of(result, point["plan_id"])
        span = _span(point["valid_from_on"], point["valid_to_on"])
        word = route_word(plan["route"]) if plan else "-"
        table.add_row(span, Text(word), amount(point["price"]), amount(point["expected_total"]))
        if plan and previous:
            told += [f"{span}, otherwise than above: {d}" for d in differences(previous, plan)]
        previous = plan
    console.print(table)
    bullets(console, told)


def _span(first: str, last: str | None) -> str:
    begin = f"{date.fromisoformat(first):%d %b}"
    if last is None:
        return f"{begin} on"
    return begin if first == last else f"{begin} - {date.fromisoformat(last):%d %b}"


def differences(before: Json, after: Json) -> list[str]:
    """What a plan does otherwise than another, in words, gathered by what changed."""
    if before["route"] != after["route"]:
        return []
    was = {line["position_id"]: line for line in before["lines"]}
    changed: dict[str, list[str]] = defaultdict(list)
    for line in after["lines"]:
        old = was.get(line["position_id"])
        if old is not None and old["source_id"] != line["source_id"]:
            changed[f"{_from(line)} instead of {_from(old)}"].append(line["position_name"])
    return [f"{', '.join(names)}: {what}" for what, names in changed.items()]


def _from(line: Json) -> str:
    return str(line["supplier_name"] or line["description"])


def decision(console: Console, result: Json) -> None:
    """A whole decision as it is read at the counter."""
    title(console, "What was found")
    verdicts(console, result)
    title(console, "Routes")
    routes(console, result)
    best = plan_of(result, result["recommended"])
    if best is None:
        say(console, one_line(result, "This job"))
    else:
        _recommended(console, result, best)
    title(console, "What is in the other routes")
    for view in result["routes"]:
        plan = plan_of(result, view["plan_id"])
        if plan is not None and plan is not best:
            plan_in_short(console, plan)
    title(console, "Price against date: the cheapest plan for every date wanted")
    frontier(console, result)
    title(console, "Not in the answer, and why")
    exclusions(console, result)
    title(console, "This stands on")
    assumptions(console, result)
    title(console, "Cautions")
    cautions(console, result)


def _recommended(console: Console, result: Json, best: Json) -> None:
    title(console, f"Recommended: {best['title']}")
    readiness(console, best, result["required_by_on"])
    plan_lines(console, best)
    plan_amounts(console, best)
    bullets(console, best["notes"])
    second = plan_of(result, result["next_best"])
    if second is not None:
        say(
            console,
            f"Next best: {route_word(second['route'])}, expected total "
            f"{money(result['gap_to_next_best'])} above, promise "
            f"{day(second['readiness']['promise_on'])}.",
            style="bold",
        )
    if result["is_proven_optimal"]:
        say(console, "Proven: no allowed combination that is in time has a lower expected total.")
    shop_only(console, best)


def verdicts(console: Console, result: Json) -> None:
    """Verdicts that are not "conforming" with what they stand on; the rest in one line."""
    looked_at = [row for row in result["verdicts"] if row["findings"] or row["not_inspected"]]
    for row in looked_at:
        if row["verdict"] == "conforming":
            continue
        because = [f["detail"] for f in row["findings"] if f["verdict"] != "conforming"]
        because += [f"not inspected: {name}" for name in row["not_inspected"]]
        bullets(console, [f"{row['name']}: {row['verdict']}. {'; '.join(because)}"])
    good = [row["name"] for row in looked_at if row["verdict"] == "conforming"]
    if good:
        bullets(console, ["conforming: " + ", ".join(good)])


def exclusions(console: Console, result: Json) -> None:
    """Why sources are not in the answer, gathered by reason; what is only dearer is counted."""
    by_reason: dict[str, list[str]] = defaultdict(list)
    dearer = 0
    for row in result["exclusions"]:
        if row["code"] in _QUIET_CODES:
            dearer += 1
        elif _RENEWED_ANYWAY not in row["detail"]:
            by_reason[row["detail"]].append(row["subject"])
    bullets(
        console,
        [f"{', '.join(dict.fromkeys(who))}: {why}" for why, who in by_reason.items()],
    )
    if dearer:
        bullets(console, [f"{dearer} more sources would do and cost more; the answer names each."])


def assumptions(console: Console, result: Json) -> None:
    """What the answer stands on."""
    bullets(console, result["assumptions"])


def cautions(console: Console, result: Json) -> None:
    """Warnings that travel with the answer."""
    bullets(console, [f"{row['kind']}: {row['text']}" for row in result["cautions"]])


def one_line(result: Json, name: str) -> str:
    """A whole decision in one line, for the smaller jobs."""
    plan = plan_of(result, result["recommended"])
    if plan is None:
        why = result["infeasibility"]["detail"] if result["infeasibility"] else "nothing fits"
        return f"{name}: nothing meets what is asked: {why}"
    second = plan_of(result, result["next_best"])
    gap = (
        f"; next best {route_word(second['route'])}, {money(result['gap_to_next_best'])} more"
        if second is not None
        else ""
    )
    return (
        f"{name}: {route_word(plan['route'])}, {money(plan['price'])}, promise "
        f"{day(plan['readiness']['promise_on'])}, comeback "
        f"{percent(plan['risk']['comeback_probability'])}{gap}"
    )


def _currency(result: Json) -> str:
    plans = result["plans"]
    return str(plans[0]["price"]["currency"]) if plans else ""
