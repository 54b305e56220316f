"""VDI 2230-1:2003, table A1: tightening torques of coarse threads at friction 0.12, hexagon heads.

Typed from memory before anything was computed, not read from the printed guideline: 2 %.
M4 of 10.9 and 12.9 is left out, memory being unsure of them.
"""

import pytest

from shared.fasteners.faces import face_of
from shared.fasteners.strength import largest_preload, screw_strength
from shared.fasteners.turning import torque_by_friction
from tests.published.screws import screw

MU = 0.12
SIZES = [f"M{d}" for d in (4, 5, 6, 7, 8, 10, 12, 14, 16, 18, 20, 22, 24, 27, 30)]
PRINTED = {
    "8.8": (3.0, 5.9, 10.1, 16.8, 24.6, 48, 84, 133, 206, 295, 415, 567, 714, 1050, 1420),
    "10.9": (None, 8.6, 14.9, None, 36.1, 71, 123, 195, 302, 421, 592, 807, 1017, 1496, 2033),
    "12.9": (None, 10.0, 17.4, None, 42.2, 83, 144, 229, 354, 492, 692, 945, 1190, 1750, 2380),
}


@pytest.mark.parametrize("property_class", PRINTED)
def test_the_torques_of_the_guideline(property_class):
    for size, printed in zip(SIZES, PRINTED[property_class], strict=True):
        if printed is None:
            continue
        fastener = screw(size, property_class)
        limit = screw_strength(fastener).strength.yield_least
        preload = largest_preload(fastener.thread, limit, MU)
        torque = torque_by_friction(preload, fastener.thread, face_of(fastener), MU, MU)
        assert torque == pytest.approx(printed, rel=0.02), size
