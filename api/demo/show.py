"""Printing a decision so that it can be read at a counter: 80 columns, with or without colour."""

from collections import defaultdict
from collections.abc import Iterable
from datetime import date
from decimal import Decimal
from typing import Any

from rich import box
from rich.console import Console
from rich.padding import Padding
from rich.table import Table
from rich.text import Text

Json = dict[str, Any]
WIDTH = 80
_ROUTE_WORDS = {"send-out": "send out"}
_QUIET_CODES = frozenset({"not-cheapest"})


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

    >>> percent("0.0734"), percent(None)
    ('7.3 %', '-')
    """
    return "-" if text is None else f"{Decimal(text) * 100:.1f} %"


def route_word(route: str) -> str:
    """A route's name as it is spoken."""
    return _ROUTE_WORDS.get(route, route)


def plan_of(result: Json, plan_id: str | None) -> Json | None:
    """The plan of that id in a decision's answer."""
    return next((plan for plan in result["plans"] if plan["id"] == plan_id), None)


def say(console: Console, text: str, style: str = "") -> None:
    """One paragraph, wrapped, nothing in it taken for markup."""
    console.print(Text(text), style=style)


def title(console: Console, text: str) -> None:
    """A heading with room above it."""
    console.print()
    console.rule(Text(text, style="bold"), align="left", characters="-")


def bullets(console: Console, lines: Iterable[str]) -> None:
    """One line each, wrapped under its dash."""
    for line in lines:
        table = Table.grid(padding=(0, 1))
        table.add_column(width=1)
        table.add_column(ratio=1)
        table.add_row(Text("-"), Text(line))
        console.print(Padding(table, (0, 0, 0, 2)))


def _table(*columns: tuple[str, bool]) -> Table:
    table = Table(box=box.SIMPLE_HEAD, pad_edge=False, padding=(0, 1), show_edge=False)
    for heading, is_figure in columns:
        table.add_column(heading, justify="right" if is_figure else "left", no_wrap=is_figure)
    return table


def routes(console: Console, result: Json) -> None:
    """Every route with its price, promise date and risk; under each the reasons."""
    currency = _currency(result)
    table = _table(
        ("Route", False),
        (f"Price {currency}", True),
        (f"To pay {currency}", True),
        ("Promise", True),
        ("Comeback", True),
        ("To horizon", True),
        ("Gap", True),
    )
    for view in result["routes"]:
        plan = plan_of(result, view["plan_id"])
        mark = "* " if plan is not None and plan["id"] == result["recommended"] else "  "
        name = mark + route_word(view["route"])
        if plan is None:
            table.add_row(Text(name), "none", "", "", "", "", "")
            continue
        late = "" if view["meets_required_by"] else " late"
        table.add_row(
            Text(name),
            amount(plan["price"]),
            amount(plan["to_pay"]),
            f"{date.fromisoformat(plan['readiness']['promise_on']):%a %d %b}" + late,
            percent(plan["risk"]["comeback_probability"]),
            percent(plan["risk"]["survival_to_horizon"]),
            amount(view["gap"]),
        )
    console.print(table)
    say(
        console,
        "Price: without inspection and tax. To pay: with both. Promise: the date that holds with "
        f"{percent(result['confidence'])}. Comeback: chance within the warranty. To horizon: chance "
        "of running to the horizon. Gap: expected total above the best plan's. * recommended.",
        style="dim",
    )
    for view in result["routes"]:
        if view["reasons"]:
            say(console, f"{route_word(view['route'])}:", style="bold")
            bullets(console, view["reasons"])


def plan_lines(console: Console, plan: Json) -> None:
    """What happens at each position, gathered by disposition."""
    gathered: dict[str, list[Json]] = defaultdict(list)
    for line in plan["lines"]:
        gathered[line["disposition"]].append(line)
    for disposition in ("renew", "rework", "keep"):
        rows = gathered.pop(disposition, [])
        if rows:
            say(console, disposition.capitalize(), style="bold")
            bullets(console, [_line_text(row) for row in rows])
    for disposition, rows in gathered.items():
        say(console, disposition.capitalize(), style="bold")
        bullets(console, [_line_text(row) for row in rows])


def _line_text(line: Json) -> str:
    piece = f" ({line['piece']})" if line["piece"] is not None else ""
    supplier = f", {line['supplier_name']}" if line["supplier_name"] else ""
    verdict = f" [{line['verdict']}]" if line["verdict"] else ""
    notes = f" - {'; '.join(line['notes'])}" if line["notes"] else ""
    return f"{line['position_name']}{piece}: {line['description']}{supplier}{verdict}{notes}"


def plan_amounts(console: Console, plan: Json) -> None:
    """The bill line by line, then what is expected but not billed."""
    billed = [a for a in plan["amounts"] if a["is_billed"]]
    table = _table(("On the bill", False), (plan["price"]["currency"], True))
    for row in billed:
        table.add_row(Text(row["label"]), amount(row["price"]))
    table.add_section()
    for label, member in (
        ("price", "price"),
        ("inspection, billed on every route", "inspection"),
        ("net total", "net_total"),
        ("tax", "tax"),
    ):
        table.add_row(Text(label), amount(plan[member]))
    table.add_row(Text("to pay", style="bold"), Text(amount(plan["to_pay"]), style="bold"))
    console.print(table)
    _expected(console, plan)


def _expected(console: Console, plan: Json) -> None:
    table = _table(("Not billed, counted in the comparison", False), ("", True))
    totals: dict[str, Decimal] = defaultdict(Decimal)
    for row in plan["amounts"]:
        if not row["is_billed"]:
            totals[row["cost_class"]] += Decimal(row["price"]["amount"])
    for cost_class, total in totals.items():
        table.add_row(Text(cost_class.replace("-", " ")), f"{total:,}")
    table.add_row(Text("price with these: what is ranked"), amount(plan["expected_total"]))
    console.print(table)


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
    say(
        console,
        f"Comeback within {risk['warranty_hours']} h warranty {percent(risk['comeback_probability'])}; "
        f"runs to {risk['horizon_hours']} h {percent(risk['survival_to_horizon'])}; expected "
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
        ("Promise", False),
        ("Cheapest for dates wanted", False),
        ("Route", False),
        (f"Price {_currency(result)}", True),
        ("Expected total", True),
    )
    for point in result["frontier"]:
        plan = plan_of(result, point["plan_id"])
        until = day(point["valid_to_on"]) if point["valid_to_on"] else "later"
        table.add_row(
            day(point["promise_on"]),
            f"{day(point['valid_from_on'])} to {until}",
            Text(route_word(plan["route"]) if plan else "-"),
            amount(point["price"]),
            amount(point["expected_total"]),
        )
    console.print(table)


def frontier_differences(console: Console, result: Json) -> None:
    """What each frontier plan does otherwise than the one before it."""
    previous: Json | None = None
    for point in result["frontier"]:
        plan = plan_of(result, point["plan_id"])
        if plan is None:
            continue
        if previous is not None:
            told = differences(previous, plan)
            if told:
                say(console, f"{day(point['promise_on'])}, instead of the faster one:", style="bold")
                bullets(console, told)
        previous = plan


def differences(before: Json, after: Json) -> list[str]:
    """Positions that two plans fill differently, in words; a change of route says only that."""
    if before["route"] != after["route"] and "rebuild" not in (before["route"], after["route"]):
        return [after["summary"]]
    if before["route"] != after["route"]:
        return [f"{route_word(after['route'])} instead of {route_word(before['route'])}"]
    was = {(x["position_id"], x["piece"]): x for x in before["lines"]}
    told = []
    for line in after["lines"]:
        old = was.get((line["position_id"], line["piece"]))
        if old is not None and old["source_id"] != line["source_id"]:
            told.append(f"{_line_text_short(line)} (was: {_how(old)})")
    return told


def _line_text_short(line: Json) -> str:
    piece = f" ({line['piece']})" if line["piece"] is not None else ""
    return f"{line['position_name']}{piece}: {_how(line)}"


def _how(line: Json) -> str:
    supplier = f", {line['supplier_name']}" if line["supplier_name"] else ""
    return f"{line['description']}{supplier}"


def verdicts(console: Console, result: Json) -> None:
    """Each position's verdict; what was not inspected is listed as such."""
    table = _table(("Position", False), ("Verdict", False), ("Because", False))
    for row in result["verdicts"]:
        if not row["findings"] and not row["not_inspected"]:
            continue
        because = [f["detail"] for f in row["findings"]]
        because += [f"not inspected: {name}" for name in row["not_inspected"]]
        table.add_row(Text(row["name"]), Text(row["verdict"]), Text("; ".join(because)))
    console.print(table)


def exclusions(console: Console, result: Json) -> None:
    """Why sources are not in the answer; those that merely cost more are counted only."""
    seen: dict[str, None] = {}
    dearer = 0
    for row in result["exclusions"]:
        if row["code"] in _QUIET_CODES:
            dearer += 1
        else:
            seen[f"{row['subject']}: {row['detail']}"] = None
    bullets(console, seen)
    if dearer:
        say(console, f"  {dearer} more sources could be used and cost more; the answer lists them.")


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
