"""How the demonstration prints: amounts, days, chances, lists, tables in 80 columns."""

import textwrap
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


def short_day(text: str | None) -> str:
    """A calendar date with its weekday and without its year.

    >>> short_day("2031-03-14")
    'Fri 14 Mar'
    """
    return "-" if text is None else f"{date.fromisoformat(text):%a %d %b}"


def sentence(text: str) -> str:
    """A text that begins with a capital and ends with a full stop.

    >>> sentence("by eye only")
    'By eye only.'
    """
    return text[:1].upper() + text[1:].rstrip(".") + "." if text else ""


def several(names: list[str], most: int) -> str:
    """Some of a list by name, and how many more there are.

    >>> several(["a", "b", "c", "d"], 2)
    'a, b and 2 more'
    """
    shown = ", ".join(names[:most])
    return shown if len(names) <= most else f"{shown} and {len(names) - most} more"


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


def table(*columns: tuple[str, bool]) -> Table:
    """A table without frame; each column is its heading and whether it holds figures."""
    made = Table(box=box.SIMPLE_HEAD, pad_edge=False, padding=(0, 1, 0, 0), show_edge=False)
    for heading, is_figure in columns:
        made.add_column(heading, justify="right" if is_figure else "left", no_wrap=is_figure)
    return made
