"""A whole decision as it is read at the counter: every section in its order."""

from datetime import date

from rich.console import Console
from rich.text import Text

from api.demo.show import (
    Json,
    amount,
    bullets,
    day,
    money,
    percent,
    plan_of,
    route_word,
    say,
    table,
    title,
)
from api.demo.show_deeper import (
    alternatives,
    break_even,
    break_evens,
    exclusions,
    part_out,
    settlings,
)
from api.demo.show_differences import differences
from api.demo.show_plan import (
    for_the_customer,
    plan_amounts,
    plan_in_short,
    plan_lines,
    readiness,
    shop_only,
    spread,
)

_CHANCE = "Chance of failure of "


def decision(console: Console, result: Json) -> None:
    """A whole decision, section by section."""
    title(console, "What was found")
    verdicts(console, result)
    title(console, "Routes")
    routes(console, result)
    best = plan_of(result, result["recommended"])
    if best is None:
        say(console, one_line(result, "This job"))
    else:
        _recommended(console, result, best)
        title(console, "What it may come to, and when")
        spread(console, best)
        title(console, "Other good plans")
        alternatives(console, result, best)
    title(console, "What is in the other routes")
    told: set[str] = set()
    for view in result["routes"]:
        plan = plan_of(result, view["plan_id"])
        if plan is not None and plan is not best:
            plan_in_short(console, plan, told)
    title(console, "Price against date: the cheapest plan for every date wanted")
    frontier(console, result)
    _reasons(console, result, best)
    title(console, "This stands on")
    assumptions(console, result)
    title(console, "Cautions")
    cautions(console, result)


def _reasons(console: Console, result: Json, best: Json | None) -> None:
    if best is not None:
        title(console, "What would change the answer")
        break_evens(console, result)
        title(console, "Look closer first?")
        settlings(console, result)
    title(console, "Why not")
    exclusions(console, result)
    title(console, "If it were parted out instead")
    part_out(console, result)
    if best is not None:
        title(console, "For the customer")
        for_the_customer(console, best)


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
            f"Next best route: {route_word(second['route'])}, expected total "
            f"{money(result['gap_to_next_best'])} above, promise "
            f"{day(second['readiness']['promise_on'])}.",
            style="bold",
        )
    if result["is_proven_optimal"]:
        say(console, "Proven: no allowed combination that is in time has a lower expected total.")
    shop_only(console, best)


def routes(console: Console, result: Json) -> None:
    """Every route with its price, promise date and risk; under it the reasons."""
    rows = table(
        ("Route", False),
        ("Price", True),
        ("To pay", True),
        ("Promise", True),
        ("In time", True),
        ("Comeback", True),
        ("Horizon", True),
        ("Gap", True),
    )
    rows.columns[0].no_wrap = True
    for view in result["routes"]:
        rows.add_row(*_route_row(view, plan_of(result, view["plan_id"]), result["recommended"]))
    console.print(rows)
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


def frontier(console: Console, result: Json) -> None:
    """Price against promise date: nothing is cheaper that is ready as soon."""
    rows = table(("Wanted by", False), ("Route", False), ("Price", True), ("Expected total", True))
    previous: Json | None = None
    told: list[str] = []
    for point in result["frontier"]:
        plan = plan_of(result, point["plan_id"])
        span = _span(point["valid_from_on"], point["valid_to_on"])
        word = route_word(plan["route"]) if plan else "-"
        rows.add_row(span, Text(word), amount(point["price"]), amount(point["expected_total"]))
        if plan and previous and plan["route"] == previous["route"]:
            told += [f"{span}, otherwise than above: {d}" for d in differences(previous, plan)]
        previous = plan
    console.print(rows)
    bullets(console, told)


def _span(first: str, last: str | None) -> str:
    begin = f"{date.fromisoformat(first):%d %b}"
    if last is None:
        return f"{begin} on"
    return begin if first == last else f"{begin} - {date.fromisoformat(last):%d %b}"


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


def assumptions(console: Console, result: Json) -> None:
    """What the answer stands on; where the chances of failure come from in one line."""
    chances = [one for one in result["assumptions"] if one.startswith(_CHANCE)]
    bullets(console, [one for one in result["assumptions"] if one not in chances])
    if chances:
        bullets(
            console,
            [
                f"Chances of failure: {len(chances)} entries of the shop's experience and lives of "
                "parts; the answer names each with its source."
            ],
        )
    effort = result["effort"]
    if effort is not None:
        left_out = "; ".join(effort["left_out"]) or "nothing"
        bullets(
            console,
            [
                f"Looked for with {effort['solves']} searches, {effort['used']} of "
                f"{effort['limit']} units of effort; left out: {left_out}."
            ],
        )


def cautions(console: Console, result: Json) -> None:
    """Warnings that travel with the answer."""
    bullets(console, [f"{row['kind']}: {row['text']}" for row in result["cautions"]])


def in_short(console: Console, result: Json) -> None:
    """Under a smaller job's line: what waits on it, what would change it, another machine."""
    best = plan_of(result, result["recommended"])
    if best is None:
        return
    waits = [row for row in best["amounts"] if row["cost_class"] in ("waiting", "standstill")]
    told = [f"{row['label']}: {money(row['price'])}" for row in waits]
    retire = next((v for v in result["routes"] if v["route"] == "retire" and v["gap"]), None)
    if retire is not None:
        told.append(f"another machine instead: {money(retire['gap'])} more expected")
    near = next((one for one in result["break_evens"] if one["changes_at"] is not None), None)
    if near is not None:
        told.append(break_even(near))
    bullets(console, told)


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
