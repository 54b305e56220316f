"""The ring on which a head or nut turns. Lengths in mm."""

from math import isfinite
from typing import Final

from shared.designations.model import Fastener
from shared.errors import InvalidInput
from shared.fasteners.shapes import widest_head
from shared.fasteners.turning import BearingFace
from shared.standards.hexagons import HeadForm, bearing_face, heads_of

_OUTSIDE: Final = 1.4
_INSIDE: Final = 1.06
"""Diameters of a small hexagon over a close hole, per major diameter, where no table has the size.
Common practice, no source; small, so that the torque comes out low."""
_WIDEST: Final = 2.0
"""Flats of the widest hexagon per major diameter, where no table has the size."""


_MOST_FACE: Final = 2.6
"""No head is wider, per major diameter; a washer is, but it lies still: counted as the face it
would raise the torque. Common practice, no source."""


def face_of(fastener: Fastener) -> BearingFace:
    """Return the bearing face of a screw's head: the least of its standard on a medium hole.

    Of a hexagon unless the words say a cap screw with socket. Where no table holds the size, a
    small one in proportion.
    """
    words = " ".join(fastener.words).casefold()
    head = HeadForm.SOCKET_CAP if "socket" in words else HeadForm.HEXAGON
    major = fastener.thread.major
    found = bearing_face(major, head) or bearing_face(major)
    if found is None or found.hole >= found.face:
        return BearingFace(
            _OUTSIDE * major, _INSIDE * major, "in proportion: no table of heads has this size"
        )
    note = f"{head.value} head on a medium hole"
    if widest_head(fastener) is not None:
        note += " for the torque, the widest such head for the force"
    return BearingFace(found.face, found.hole, note)


def widest_face_of(fastener: Fastener) -> BearingFace:
    """Return the largest ring that the head may turn on: for the force that it surely gives.

    The whole width across flats of the widest hexagon of the size; flange, pan and button heads
    are wider, and a countersunk one counts as the flat ring with as much friction.
    """
    least, outside = face_of(fastener), widest_head(fastener)
    if outside is None:
        flats = [head.across_flats for head in heads_of(fastener.thread)]
        outside = max(flats, default=_WIDEST * fastener.thread.major)
    return BearingFace(max(outside, least.outside), least.inside, "the widest head of the size")


def stated_face(outside: float, inside: float | None, fastener: Fastener) -> BearingFace:
    """Return a face as measured; ``inside`` None: the hole that the table has.

    Raises InvalidInput where it is no ring around the screw.
    """
    hole = face_of(fastener).inside if inside is None else inside
    major = fastener.thread.major
    if not (isfinite(outside) and isfinite(hole) and major <= hole < outside <= _MOST_FACE * major):
        raise InvalidInput(
            "/bearing_face",
            f"The face from {hole:g} mm to {outside:g} mm is no ring around a screw of"
            f" {major:g} mm.",
            "Give the outside diameter of the head's own face, not the washer's (the head turns on"
            " the washer), and that of the hole.",
            "out-of-range",
        )
    return BearingFace(outside, hole, "as stated")
