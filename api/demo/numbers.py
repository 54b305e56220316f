"""Numbers and donors of the demonstration: what a number means, what may go in, who gives it."""

from typing import Any

from rich.console import Console

from api.demo import show
from api.demo.calls import Caller

Json = dict[str, Any]

_MOST = 4
_PATHS = {
    "supersession": "by the maker's later numbers",
    "generic": "by its standard",
    "interchange": "by a claim on record",
}


def numbers_and_donors(caller: Caller, console: Console, ids: dict[str, str], as_of: str) -> None:
    """Print what a service writer asks with an old number, a casting or a donor before him."""
    show.title(console, "What may take this place")
    _number(caller, console, "The old seal is marked LF2-O53, or so it looks:", "LF2-O53")
    _number(caller, console, "LF2-C15 is cast into the bearing carrier:", "LF2-C15")
    _newest(caller, console, ids, as_of)
    _candidates(caller, console, ids, as_of)
    _donors(caller, console, ids, as_of)


def _number(caller: Caller, console: Console, asked: str, text: str) -> None:
    show.say(console, f"\n{asked}")
    found = caller.get("/v1/part-numbers", text=text)
    for item in found["items"][:_MOST]:
        told = f" ({item['note']})" if item["note"] else ""
        of = f"{item['maker']} {item['written']}, {item['name']}"
        show.answer(console, f"{item['match']}, {item['kind']}: {of}{told}")
    if found["settled_part_id"] is None:
        show.bullets(console, [found["why_not_settled"]])


def _newest(caller: Caller, console: Console, ids: dict[str, str], as_of: str) -> None:
    show.say(console, "\nThat number was superseded. What is it now, on the drive 0731?")
    found = caller.get(
        f"/v1/parts/{ids['lf2-output-seal-first']}/newest-numbers",
        serial="0731",
        assembly_id=ids["lf2"],
        as_of=as_of,
    )
    for one in found["newest"]:
        lines = ", ".join(f"{line['quantity']} x {_named(line['part'])}" for line in one["lines"])
        show.answer(console, f"{lines}, by {len(one['supersession_ids'])} bulletins")
        show.bullets(console, one["questions"])


def _candidates(caller: Caller, console: Console, ids: dict[str, str], as_of: str) -> None:
    show.say(console, "\nAnd what else may sit there?")
    found = caller.get(
        f"/v1/positions/{ids['p-output-seal']}/candidates", unit_id=ids["u-customer"], as_of=as_of
    )
    for one in found["candidates"]:
        show.answer(console, f"{_named(one['part'])}: {_how(one)}")
        differing = [f"{d['difference']}: {d['effect']}" for d in one["differences"]]
        show.bullets(console, [*one["rework"]["notes"], *differing][:_MOST])
    show.bullets(console, [f"not {_named(o['part'])}: {o['reason']}" for o in found["refused"]])


def _how(one: Json) -> str:
    if one["path"] == "itself":
        return "what the book calls for"
    return f"{_PATHS[one['path']]}, {one['standing']}, {show.percent(one['confidence'])} sure"


def _donors(caller: Caller, console: Console, ids: dict[str, str], as_of: str) -> None:
    show.say(console, "\nWhich donor could give the intermediate shaft, and how sure is that?")
    found = caller.get(
        f"/v1/positions/{ids['p-mid-shaft']}/donors", unit_id=ids["u-customer"], as_of=as_of
    )
    for one in found["givings"]:
        chance = "unknown" if one["chance"] is None else show.percent(one["chance"])
        show.answer(console, f"{_giver(one['giver'])}: proves good {chance} ({one['basis']})")
        left = one["loss"]["rest_after"]
        worth = "" if left is None else f"; its rest is worth {show.money(left)} then"
        hours = f"{one['take_p50_hours']} h to take"
        show.bullets(console, [f"{hours}{worth}"])
    for other in found["cannot_give"]:
        show.bullets(console, [f"not {_giver(other['giver'])}: {'; '.join(other['reasons'])}"])


def _giver(giver: Json) -> str:
    serial = giver["traits"]["serial_number"]
    return f"label {giver['label']}" if giver["label"] else f"donor {serial}"


def _named(part: Json) -> str:
    return f"{part['maker']} {part['number']}"
