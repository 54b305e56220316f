"""The condition of a unit in the demonstration: what is still to be measured, and what it says."""

from typing import Any

from rich.console import Console

from api.demo import show
from api.demo.calls import Caller

Json = dict[str, Any]

_MOST = 3


def condition_of_the_drive(caller: Caller, console: Console, ids: dict[str, str]) -> None:
    """Print what a technician asks with the drive open on the bench."""
    unit = ids["u-customer"]
    show.title(console, "Is it good enough, how long will it last, which shims")
    _sheet(caller, console, unit, ids["j-log-feed"])
    _verdicts(caller, console, unit, {ids["p-dog"], ids["p-carrier-casting"]})
    _wear(caller, console, unit)
    _shims(caller, console, unit, ids["spl-drive"])


def _sheet(caller: Caller, console: Console, unit: str, job: str) -> None:
    show.say(console, "The inspection sheet, in the order of dismantling; what is still missing:")
    sheet = caller.get(f"/v1/units/{unit}/inspection-sheet", job_id=job)
    show.bullets(console, [one["text"] for one in sheet["missing"]])


def _verdicts(caller: Caller, console: Console, unit: str, wanted: set[str]) -> None:
    show.say(
        console,
        "\nTwo bores were read at four places, one against a shaft. What follows from the readings,"
        " with the part of the doubt that the gauges share:",
    )
    found = caller.get(f"/v1/units/{unit}/condition")
    for one in found["positions"]:
        if one["position_id"] in wanted:
            show.answer(console, f"{one['name']}: {one['verdict']}")
            derived = {measure["finding_id"] for measure in one["derived"]}
            show.bullets(
                console, [f["detail"] for f in one["findings"] if f["finding_id"] in derived]
            )


def _wear(caller: Caller, console: Console, unit: str) -> None:
    show.say(console, "\nThe backlash was measured once before. How long will the pair do?")
    found = caller.get(f"/v1/units/{unit}/wear-trends")
    for one in found["items"]:
        left, due = one["hours_to_limit"], one["next_inspection"]
        show.answer(
            console,
            f"{one['characteristic_name']}, {one['position_name']}: {_hours(left['estimate'])} h to"
            f" the limit, with 95 % more than {_hours(left['lower'])} h; look again after"
            f" {_hours(due['hours'])} h: {due['rule']}",
        )
        show.bullets(console, one["warnings"][:_MOST])


def _shims(caller: Caller, console: Console, unit: str, place: str) -> None:
    show.say(
        console,
        "\nWith the new bearings in and the old pack refitted, the dial shows 0.14 mm of end float;"
        " 0.05 to 0.12 mm is wanted. Which shims?",
    )
    found = caller.get(
        f"/v1/units/{unit}/shim-choices",
        shim_place_id=place,
        measured="0.14",
        unit="mm",
        standard_uncertainty="0.006",
    )
    choice = found["items"][0]["choice"]
    needed = choice["needed"]
    show.answer(
        console,
        f"a pack of {_mm(needed['value'])} ({_mm(needed['lower'])} to {_mm(needed['upper'])})",
    )
    for pack in choice["packs"][:_MOST]:
        shims = " + ".join(f"{s['quantity']} x {_mm(s['thickness'])}" for s in pack["shims"])
        chance = pack["probability_in_range"]
        told = "" if chance is None else f", in range with {show.percent(chance)}"
        show.answer(console, f"{shims} = {_mm(pack['total'])}{told}")
    show.bullets(console, [choice["reason"], *choice["cautions"][:_MOST]])


def _hours(text: str | None) -> str:
    return "no known number of" if text is None else f"{float(text):,.0f}"


def _mm(length: Json) -> str:
    return f"{length['value']} {length['unit']}"
