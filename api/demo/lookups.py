"""Two look-ups of the demonstration: a bearing by its sizes, and what else starts in a thread."""

from typing import Any

from rich.console import Console

from api.demo import show
from api.demo.calls import Caller

_ITEMS = 3


def look_ups(caller: Caller, console: Console) -> None:
    """Print what a technician asks with a caliper in one hand and a screw in the other."""
    show.say(
        console,
        "\nThe intermediate bearing has lost its stamp; the caliper reads 20.0, 47.0 and 14.0 mm, "
        "within 0.05 mm. Which standard size is it?",
    )
    found = caller.get(
        "/v1/identifications/ball-bearings",
        bore="20.0",
        outside="47.0",
        width="14.0",
        unit="mm",
        plus_minus="0.05",
    )
    for item in found["items"][:_ITEMS]:
        kind = item["notes"][0].rstrip(".").lower()
        show.answer(console, f"{item['designation']}, {kind}: {show.percent(item['probability'])}")
    show.answer(console, f"none of these: {show.percent(found['none_of_these'])}")

    show.say(
        console,
        "\nTwo M8 holes in the cover, 14 mm deep, are for jacking it off; the drawer holds 5/16 "
        "screws. What starts in the hole besides its own thread?",
    )
    alike = caller.get("/v1/fasteners/look-alikes", thread="M8x1.25", engagement="14", unit="mm")
    into = [item for item in alike["items"] if item["hole"] == "M8x1.25"]
    for item in into[:_ITEMS]:
        show.answer(console, f"{item['screw']}: {item['outcome']}{_turns(item)}")


def _turns(item: dict[str, Any]) -> str:
    """After how many turns it binds, least and most, and how many there are to turn."""
    least, most = item["turns_least"], item["turns_most"]
    if least is None or most is None:
        return ""
    home = float(item["turns_available"])
    return f" (after {float(least):.1f} to {float(most):.1f} turns; all the way is {home:.1f})"
