"""Two special tools of the demonstration: a yes with its steps, and a no with its reason."""

from decimal import ROUND_DOWN, Context, Decimal
from typing import Any

from rich.console import Console

from api.demo import show
from api.demo.calls import Caller

Json = dict[str, Any]

_THREE_DIGITS = Context(prec=3, rounding=ROUND_DOWN)


def special_tools(caller: Caller, console: Console, ids: dict[str, str], as_of: str) -> None:
    """Print what a technician asks who has the procedure, and not its tools."""
    show.say(
        console,
        "\nThe procedure calls for the maker's cover puller, 148 EUR and a week away. What in the "
        "drawer does its work, and how hard may it be turned?",
    )
    found = _ask(caller, ids["t-cover-puller"], as_of)
    candidates = found["candidates"]
    _yes(console, next(one for one in candidates if one["accepted"]), found["force"])
    for one in [one for one in candidates if not one["accepted"]][:3]:
        show.bullets(console, [f"not {_names(one)}: {one['reasons'][0]}"])
    _compared(console, found["comparison"])

    show.say(console, "\nAnd for the clamp that holds the brake's springs?")
    clamp = _ask(caller, ids["t-brake-clamp"], as_of)
    for one in clamp["refused_whatever"]:
        show.answer(console, f"no, whatever it is made of: {one['detail']}")


def _ask(caller: Caller, tool_id: str, as_of: str) -> Json:
    return caller.get(
        f"/v1/special-tools/{tool_id}/substitutes",
        as_of=as_of,
        jobs_to_come="4",
        include_standard_items="false",
    )


def _yes(console: Console, one: Json, needed: Json) -> None:
    steps = ", then ".join(_rounded(step) for step in one["torque_per_step"])
    force = Decimal(one["force_least"]["value"]) / 1000
    show.answer(console, f"yes, {one['family']}: {_names(one)}; at each {steps} at the most")
    least = _THREE_DIGITS.create_decimal(force)
    asked = f"{(Decimal(needed['most']['value']) / 1000).normalize():f}"
    decides = f"what decides: {one['governing_check']}"
    show.bullets(console, [f"gives {least} kN surely, {asked} kN may be needed; {decides}"])
    for number, step in enumerate(one["steps"], 1):
        show.bullets(console, [f"{number}. {step}"])
    for caution in one["cautions"]:
        show.bullets(console, [f"mind: {caution}"])


def _compared(console: Console, comparison: Json | None) -> None:
    if comparison is None:
        return
    ways = ", ".join(f"{way['name']} {show.money(way['total'])}" for way in comparison["ways"])
    show.bullets(console, [f"over {comparison['jobs']} jobs: {ways}"])


def _names(one: Json) -> str:
    return " + ".join(f"{item['count']} x {item['name']}" for item in one["items"])


def _rounded(torque: Json) -> str:
    """A torque to three digits, never above the figure itself.

    >>> _rounded({"value": "4.71956", "unit": "N·m"})
    '4.71 N·m'
    """
    return f"{_THREE_DIGITS.create_decimal(torque['value'])} {torque['unit']}"
