"""Every set of pieces that a small drawer holds for a way of working, tried one by one."""

from itertools import product

from shared.fasteners.model import FeatureKind as Kind
from shared.fasteners.model import ItemForm as Form
from shared.fasteners.model import ToolFunction
from shared.fasteners.substitutes.model import Family

_SINGLE = {
    Family.PRESS_RING: (Form.RING, Form.SOCKET, Form.TUBE),
    Family.SOFT_STRIP: (Form.STRIP,),
    Family.BAR_IN_SLOTS: (Form.BAR,),
    Family.HOOK_SPANNER: (Form.HOOK_SPANNER,),
    Family.GUIDE_SLEEVE: (Form.SLEEVE, Form.TUBE),
    Family.MEASURED_PIECE: (Form.MEASURED_PIECE, Form.PIN),
}
_MOST_WASHERS = 3


def sets_of(family, requirement, pieces):
    """Yield the parts of every set, with their numbers."""
    if family in _SINGLE:
        yield from ([(piece, 1)] for piece in _of(pieces, *_SINGLE[family]))
    elif family is Family.ALIGNING_PINS:
        wanted = max(1, requirement.count(Kind.BORE))
        yield from ([(piece, wanted)] for piece in _of(pieces, Form.PIN))
    elif family is Family.GUIDE_STUDS:
        yield from ([(piece, 2)] for piece in _of(pieces, Form.SCREW, Form.THREADED_ROD))
    elif family is Family.PINS_IN_A_PLATE:
        for plate, pin in product(_of(pieces, Form.BAR, Form.PLATE), _of(pieces, Form.PIN)):
            yield [(plate, 1), (pin, 2)]
    elif family is Family.ROD_WITH_NUTS:
        yield from _rods(requirement, pieces)
    else:
        yield from _screws(family, requirement, pieces)


def _screws(family, requirement, pieces):
    count = requirement.count(Kind.THREAD)
    if family is Family.COUNTERHOLD_BAR:
        count = 2
    bars = [[]]
    if family in {Family.BAR_ACROSS_SCREWS, Family.COUNTERHOLD_BAR}:
        bars = [[(bar, 1)] for bar in _of(pieces, Form.BAR, Form.PLATE)]
    stacks = [[]]
    if family in {Family.BAR_ACROSS_SCREWS, Family.HOLDING_SCREWS}:
        stacks += [
            [(washer, k * count)]
            for washer in _of(pieces, Form.WASHER)
            if washer.size(Kind.THICKNESS) is not None
            for k in range(1, _MOST_WASHERS + 1)
        ]
    for screw, bar, stack in product(_of(pieces, Form.SCREW), bars, stacks):
        yield [(screw, max(count, 1)), *bar, *stack]


def _rods(requirement, pieces):
    pulls = requirement.function is ToolFunction.PULL
    tubes = [[(tube, 1)] for tube in _of(pieces, Form.TUBE)] if pulls else [[]]
    for rod, nut, washer, number, ring, bar, tube in product(
        _of(pieces, Form.THREADED_ROD, Form.SCREW),
        _of(pieces, Form.NUT),
        _of(pieces, Form.WASHER),
        range(2, 6),
        _of(pieces, Form.RING, Form.SOCKET, Form.TUBE),
        _of(pieces, Form.BAR, Form.PLATE),
        tubes,
    ):
        nuts = 2 if rod.form is Form.THREADED_ROD else 1
        yield [(rod, 1), (nut, nuts), (washer, number), (ring, 1), (bar, 1), *tube]


def _of(pieces, *forms):
    return [piece for piece in pieces if piece.form in forms]
