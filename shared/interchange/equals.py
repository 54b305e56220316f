"""Parts that are each other's equal by their generic designation, as far as it tells.

A designation that is read in one way is compared by what it names; of one with several meanings
nothing can be told; one that cannot be read is compared by its letters alone.
"""

import re
import unicodedata
from dataclasses import dataclass
from functools import lru_cache

from shared.designations.comparing import compare, group_key
from shared.designations.comparing_bearings import NOT_SUFFICIENT
from shared.designations.model import Comparison, Designated, PartKind, StandIn
from shared.designations.reading import readings_of
from shared.errors import InvalidInput

_READ_AT_ONCE = 4096
_MOST_NAMED = 3
_SAME_SIZE_OR_NOTHING = frozenset({PartKind.BEARING, PartKind.SHAFT_SEAL})
"""Kinds whose key is a size: what differs otherwise is told. The others' keys hold many sizes."""


@dataclass(frozen=True, slots=True)
class Equal:
    """How an offered designation stands to the wanted one: outcome, and what to tell of it."""

    outcome: StandIn
    notes: tuple[str, ...] = ()

    @property
    def is_candidate(self) -> bool:
        """Whether it may be fitted without anybody looking further."""
        return self.outcome in {StandIn.SAME, StandIn.SERVES}


def designation_key(designation: str) -> str:
    """Form in which two unread designations are compared: case, spaces and hyphens evened out.

    A slash carries meaning and stays: bearing 62/22 is not 6222.

    >>> designation_key("6205 2rs") == designation_key("6205-2RS")
    True
    >>> designation_key("25 × 47 × 7") == designation_key("25x47x7")
    True
    >>> designation_key("62/22") == designation_key("6222")
    False
    """
    text = unicodedata.normalize("NFC", designation).upper().replace("×", "X").strip()
    text = re.sub(r"(?<=\d)\s*X\s*(?=\d)", "X", text)
    return re.sub(r"[\s\-\u2010\u2011\u2013]+", "-", text)


def named_by(designation: str) -> Designated | None:
    """The one part that a designation names; None where it names none, or several."""
    found = _meanings(designation)
    return found[0] if len(found) == 1 else None


@lru_cache(maxsize=_READ_AT_ONCE)
def _meanings(designation: str) -> tuple[Designated, ...]:
    """All parts that a designation may name; none where it cannot be read."""
    try:
        return readings_of(designation)
    except InvalidInput:
        return ()


def equivalence_key(designation: str) -> str:
    """Key that parts share which could stand in for each other by their designations.

    Sharing it is not enough: ``equal_by_designation`` says whether one serves for the other.

    >>> equivalence_key("6205") == equivalence_key("6205 2RS C3")
    True
    >>> equivalence_key("62/22") == equivalence_key("6222")
    False
    """
    part = named_by(designation)
    return designation_key(designation) if part is None else group_key(part)


def equal_by_designation(wanted: str, offered: str) -> Equal | None:
    """Whether ``offered`` may be fitted where ``wanted`` is called for; None: another size.

    Texts that can be read are compared as read, one text with itself too: by letters alone the
    tolerance class 6g would be 6G, and one M8 screw any other. A text that cannot be read is the
    same as itself; one of several meanings cannot be told.

    >>> equal_by_designation("6205-2RS", "6205 2rs").outcome.value
    'same'
    >>> equal_by_designation("214", "214").outcome.value
    'cannot be told'
    """
    if equivalence_key(wanted) != equivalence_key(offered):
        return None
    first, second = named_by(wanted), named_by(offered)
    if first is not None and second is not None:
        found = compare(first, second)
        if found.outcome is StandIn.NO and first.kind not in _SAME_SIZE_OR_NOTHING:
            return None
        return Equal(found.outcome, _told(found))
    names, others = ([part.canonical for part in _meanings(text)] for text in (wanted, offered))
    if set(names) != set(others):
        return None
    if not names:
        return Equal(StandIn.SAME)
    several = ", ".join(sorted(names)[:_MOST_NAMED])
    return Equal(StandIn.UNKNOWN, (f"it may name several parts, such as {several}: say which",))


def _told(found: Comparison) -> tuple[str, ...]:
    """What differs, in words."""
    gained = [f"gains {one}" for one in found.gained]
    lost = [f"lacks {one}" for one in found.lost]
    # That sizes are not enough holds of every bearing; what is told here is what differs.
    conditions = [one for one in found.conditions if one != NOT_SUFFICIENT]
    return (*lost, *gained, *conditions)
