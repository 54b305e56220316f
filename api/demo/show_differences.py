"""What one plan does otherwise than another, and what follows when an input changes, in words."""

from collections import defaultdict

from api.demo.show import Json, route_word, several

_ARROW = " -> "
_WHOLE = "the whole unit: "


def differences(before: Json, after: Json) -> list[str]:
    """What a plan does otherwise than another, gathered by what changed; routes by their names."""
    if before["route"] != after["route"]:
        return [f"{route_word(after['route'])} instead of {route_word(before['route'])}"]
    was = {line["position_id"]: line for line in before["lines"]}
    changed: dict[str, list[str]] = defaultdict(list)
    for line in after["lines"]:
        old = was.get(line["position_id"])
        if old is not None and old["source_id"] != line["source_id"]:
            changed[_instead(line, old)].append(line["position_name"])
    return [f"{several(names, 3)}: {what}" for what, names in changed.items()]


def _instead(line: Json, old: Json) -> str:
    if line["supplier_name"] and line["supplier_name"] == old["supplier_name"]:
        return f"{line['description']} instead of {old['description']}"
    return f"{_from(line)} instead of {_from(old)}"


def _from(line: Json) -> str:
    return str(line["supplier_name"] or line["description"])


def becomes(changes: list[str], about: str = "") -> str:
    """Changes of a plan in one clause; one that names what ``about`` is about leads.

    >>> becomes(["the whole unit: a repair part by part -> New pump from A Counter"])
    'New pump from A Counter instead of a repair part by part'
    >>> becomes(["Seal: kept -> Seal 3 from B", "Cup: kept -> Cup 2 from B"], "Cup")
    'Cup: Cup 2 from B instead of kept, and 1 more change'
    """
    ordered = sorted(changes, key=lambda one: not _is_about(one, about))
    told = _told(ordered[0])
    more = len(ordered) - 1
    if more == 0:
        return told
    return f"{told}, and {more} more change{'s' if more > 1 else ''}"


def _is_about(change: str, subject: str) -> bool:
    """Whether a subject ends with the changed position, or names what sits there or will."""
    was, _, then = change.partition(_ARROW)
    position, _, before = was.rpartition(": ")
    return subject.endswith(position) or any(one and one in subject for one in (before, then))


def _told(change: str) -> str:
    was, arrow, then = change.partition(_ARROW)
    if not arrow:
        return change
    position, _, before = was.rpartition(": ")
    if change.startswith(_WHOLE):
        return f"{then} instead of {before}"
    return f"{position}: {then} instead of {before}"
