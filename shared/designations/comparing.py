"""Whether one designated part may take another's place; what could, gathered under one key.

By designation alone: no load, fit or fluid is known here, so an answer is at most "serves", and
mostly "on condition" with what has to be looked at. The comparison has a direction.
"""

from collections.abc import Callable, Mapping
from types import MappingProxyType
from typing import Final

from shared.designations.comparing_bearings import bearing_key, compare_bearings
from shared.designations.comparing_fasteners import compare_fasteners
from shared.designations.comparing_others import (
    compare_keys,
    compare_o_rings,
    compare_retaining_rings,
    compare_shaft_seals,
    compare_shims,
    section_class,
)
from shared.designations.model import (
    Comparison,
    Designated,
    Fastener,
    Hand,
    Key,
    ORing,
    PartKind,
    RetainingRing,
    ShaftSeal,
    Shim,
    StandIn,
)


def compare(wanted: Designated, offered: Designated) -> Comparison:
    """Return whether ``offered`` may stand in for ``wanted``, what is gained and lost, conditions.

    Parts of different kinds never do.
    """
    if wanted.kind is not offered.kind:
        return Comparison(
            StandIn.NO, lost=(f"{wanted.kind}: the offered part is another kind, {offered.kind}",)
        )
    rule, _ = _BY_KIND[wanted.kind]
    found: Comparison = rule(wanted, offered)
    return found


def group_key(part: Designated) -> str:
    """Return a coarse key that parts share if one could ever stand in for the other.

    Two parts whose keys differ compare as "no"; those with one key still have to be compared.
    """
    _, key = _BY_KIND[part.kind]
    named: str = key(part)
    return named


def _fastener_key(part: Fastener) -> str:
    return f"thread {part.thread.designation}{'-LH' if part.hand is Hand.LEFT else ''}"


def _seal_key(part: ShaftSeal) -> str:
    return f"seal {part.shaft:g}x{part.housing:g}x{part.width:g}"


def _o_ring_key(part: ORing) -> str:
    return f"o-ring section {section_class(part.section):g}"


def _ring_key(part: RetainingRing) -> str:
    where = "shaft" if part.is_external else "bore"
    return f"retaining ring {where} {part.nominal:g}x{part.thickness:g}"


def _key_key(part: Key) -> str:
    return f"key {part.width:g}x{part.height:g}"


def _shim_key(part: Shim) -> str:
    return f"shim {part.inside:g}x{part.outside:g}x{part.thickness:g}"


# Kind -> how two of it compare, what gathers them. Each takes parts of its own kind only.
_BY_KIND: Final[Mapping[PartKind, tuple[Callable[..., Comparison], Callable[..., str]]]] = (
    MappingProxyType(
        {
            PartKind.BEARING: (compare_bearings, bearing_key),
            PartKind.FASTENER: (compare_fasteners, _fastener_key),
            PartKind.SHAFT_SEAL: (compare_shaft_seals, _seal_key),
            PartKind.O_RING: (compare_o_rings, _o_ring_key),
            PartKind.RETAINING_RING: (compare_retaining_rings, _ring_key),
            PartKind.KEY: (compare_keys, _key_key),
            PartKind.SHIM: (compare_shims, _shim_key),
        }
    )
)
