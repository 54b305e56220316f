"""The ring on which a head or nut turns. Lengths in mm."""

from math import isfinite
from typing import Final

from shared.designations.model import Fastener
from shared.errors import InvalidInput
from shared.fasteners.turning import BearingFace
from shared.standards.hexagons import HeadForm, bearing_face

_OUTSIDE: Final = 1.4
_INSIDE: Final = 1.06
"""Diameters of a small hexagon over a close hole, per major diameter, where no table has the size.
Common practice, no source; small, so that the torque comes out low."""


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
    return BearingFace(found.face, found.hole, f"{head.value} head on a medium hole")


def stated_face(outside: float, inside: float | None, fastener: Fastener) -> BearingFace:
    """Return a face as measured; ``inside`` None: the hole that the table has.

    Raises InvalidInput where it is no ring around the screw.
    """
    hole = face_of(fastener).inside if inside is None else inside
    major = fastener.thread.major
    if not (isfinite(outside) and isfinite(hole) and major <= hole < outside <= 10 * major):
        raise InvalidInput(
            "/bearing_face",
            f"The face from {hole:g} mm to {outside:g} mm is no ring around a screw of"
            f" {major:g} mm.",
            "Give the outside diameter of the face under the head, and of the hole in the part.",
            "out-of-range",
        )
    return BearingFace(outside, hole, "as stated")
