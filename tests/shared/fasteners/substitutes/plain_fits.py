"""The plain side of what fits without being turned: press rings, pins, sleeves, measured pieces."""

from math import pi, sqrt

from shared.errors import InvalidInput
from shared.fasteners.model import FeatureKind as Kind
from shared.fasteners.model import ItemForm, TightRing
from shared.standards.hardness import HardnessScale as Scale
from shared.standards.hardness import convert_hardness
from tests.shared.fasteners.substitutes.plain_facts import (
    begin,
    enough,
    room,
)
from tests.shared.fasteners.substitutes.plain_threads import (
    column,
    round_area,
    seat,
)

PLASTIC = "PA66"
_REACH = {
    Scale.HV: (0.0, 3000.0),
    Scale.HBW: (0.0, 650.0),
    Scale.HRB: (10.0, 100.0),
    Scale.HRC: (20.0, 70.0),
}


def softer(plain, requirement, piece):
    """Refuse a tool that is not surely softer than the work, on one scale or converted."""
    tool, work = piece.hardness, requirement.workpiece_hardness
    if not plain.known(tool_hardness=tool, work_hardness=work):
        return
    for one in (tool, work):
        low, high = _REACH.get(one.scale, (1.0, 0.0))
        if not max(low, 1e-12) <= one.value <= high:
            plain.no("a reading outside its scale")
            return
    if tool.scale is work.scale:
        _apart(plain, tool.scale, tool.value, work.value)
        return
    if not plain.known(material=piece.material, workpiece=requirement.workpiece):
        return
    converted = 0
    if piece.material.is_steel:
        most = _converted(tool, work.scale)
        if most is not None:
            converted += 1
            _apart(plain, work.scale, most.most, work.value)
    if requirement.workpiece.is_steel:
        least = _converted(work, tool.scale)
        if least is not None:
            converted += 1
            _apart(plain, tool.scale, tool.value, least.least)
    if not converted:
        plain.no("no sourced conversion")


def _converted(hardness, scale):
    try:
        return convert_hardness(hardness.value, hardness.scale, scale)
    except InvalidInput:
        return None


def _apart(plain, scale, tool, work):
    if scale in {Scale.HV, Scale.HBW}:
        plain.at_least(work / tool, 1.25, "softness")
    else:
        plain.at_least(work - tool, {Scale.HRC: 8, Scale.HRB: 20}[scale], "softness")


def metal(plain, piece, *, bends):
    """Refuse a tool of unknown or unfit material; tell whether its strength is known."""
    material = piece.material
    if material is None:
        plain.no("material not stated")
        return False
    if material.material == PLASTIC or (bends and material.is_brittle):
        plain.no("the material may not be used so")
        return False
    return True


def ring_on_face(plain, requirement, piece, *, enters):
    """Return the area, mm2, on which a ring presses the ring that sits tight; 0 if it may not."""
    inside, outside = requirement.size(Kind.FACE_INSIDE), requirement.size(Kind.FACE_OUTSIDE)
    bore, tight = requirement.size(Kind.BORE), requirement.tight_ring
    wide, hole = piece.size(Kind.OUTSIDE_DIAMETER), piece.size(Kind.BORE)
    if not plain.known(inside=inside, outside=outside, bore=bore, tight=tight):
        return 0.0
    if not plain.known(wide=wide, hole=hole):
        return 0.0
    if tight is TightRing.BOTH:
        plain.no("both rings sit tight")
    # An outer ring's face goes to the edge of its bore, less a chamfer; an inner ring's does not.
    if tight is TightRing.OUTER:
        plain.at_least(outside, 0.88 * bore, "the face is not the outer ring's")
    if tight is TightRing.INNER and outside >= 0.88 * bore:
        plain.no("the face is not the inner ring's")
    plain.at_least(outside, wide, "ring's outside")
    if tight is not TightRing.NO_BEARING:
        plain.at_least(hole, inside, "ring's bore")
    if enters:
        plain.at_least(bore - 0.2, wide, "ring in the bore")
    area = round_area(min(wide, outside)) - round_area(max(hole, inside))
    if area <= 0:
        plain.no("the ring does not meet the face")
    return max(area, 0.0)


def tube_force(piece, length):
    """Return the force, N, that a tube or ring bears in compression and as a column."""
    wide, hole = piece.size(Kind.OUTSIDE_DIAMETER), piece.size(Kind.BORE)
    section, material = round_area(wide) - round_area(hole), piece.material
    if section <= 0:
        return 0.0
    gyration = sqrt(wide**2 + hole**2) / 4
    buckles = column(
        section, gyration, length, material.tensile_least / 2, material.elastic_modulus
    )
    return min(section * material.tensile_least / 3, buckles)


def overhang_force(requirement, piece, length):
    """Return the force, N, that bends a ring which reaches inwards over its face; None: none."""
    held, hole, wide = (
        requirement.size(Kind.FACE_INSIDE),
        piece.size(Kind.BORE),
        piece.size(Kind.OUTSIDE_DIAMETER),
    )
    if hole >= held:
        return None
    if piece.material.is_brittle:
        return 0.0
    # Half the ring: its load and what bears it stand off its diameter by 2 r / pi each.
    near, far = (0.8 * one / 2 + 0.2 * wide / 2 for one in (hole, held))
    strong = piece.material.tensile_least
    bends = strong / 3 * (wide - hole) * length**2 / 6 / (0.5 * (2 / pi) * (far - near))
    return min(bends, strong / 5 * 2 * pi * near * length)


def press_ring(requirement, parts):
    """A ring, socket or tube under a press."""
    plain = begin(requirement)
    travel, need = requirement.size(Kind.TRAVEL), requirement.force
    if requirement.is_symmetric is not True:
        plain.no("not said to be symmetric")
    enough(plain, parts, 1)
    piece = parts[0][0]
    area = ring_on_face(plain, requirement, piece, enters=True)
    length = piece.length
    is_sound = metal(plain, piece, bends=False)
    if not plain.known(travel=travel, need=need, length=length) or not is_sound or not area:
        return plain
    plain.at_least(length, travel + 5, "length")
    room(plain, requirement, length)
    most = need.amount.most
    plain.at_least(seat(requirement.workpiece, area), most, "face")
    plain.at_least(seat(piece.material, area), most, "the ring's own face")
    plain.at_least(tube_force(piece, length), most, "compression")
    bears = overhang_force(requirement, piece, length)
    if bears is not None:
        plain.at_least(bears, most, "bending of the ring")
    return plain


def aligning_pins(requirement, parts):
    """Pins in holes that are to stand over each other."""
    plain = begin(requirement)
    bore, reach = requirement.size(Kind.BORE), requirement.size(Kind.REACH)
    enough(plain, parts, max(1, requirement.count(Kind.BORE)))
    if not plain.known(bore=bore, reach=reach, tolerance=requirement.tolerance):
        return plain
    for piece, _ in parts:
        wide = piece.size(Kind.OUTSIDE_DIAMETER)
        if not plain.known(wide=wide, length=piece.length):
            continue
        metal(plain, piece, bends=True)
        softer(plain, requirement, piece)
        plain.at_least(bore - wide, 0.005, "pin goes in")
        plain.at_least(requirement.tolerance, bore - wide, "play")
        plain.at_least(piece.length, reach + 5, "length")  # or it cannot be drawn
        room(plain, requirement, piece.length)
    return plain


def guide_sleeve(requirement, parts):
    """A thin sleeve leads a seal's lip over an edge."""
    plain = begin(requirement)
    over, lip = requirement.size(Kind.OUTSIDE_DIAMETER), requirement.size(Kind.LIP)
    reach, piece = requirement.size(Kind.REACH), parts[0][0]
    hole, wide = piece.size(Kind.BORE), piece.size(Kind.OUTSIDE_DIAMETER)
    enough(plain, parts, 1)
    length = piece.length
    if not plain.known(over=over, lip=lip, reach=reach, hole=hole, wide=wide, length=length):
        return plain
    plain.at_least(hole - over, 0.05, "sleeve goes over")
    plain.at_least(1.0, hole - over, "sleeve is loose")
    plain.at_least(1.02 * lip, wide, "lip")
    plain.at_least(wide - hole, 0.2, "wall")
    plain.at_least(length, reach + 3, "length")
    room(plain, requirement, length)
    if plain.known(material=piece.material):
        _soft_on_the_shaft(plain, requirement, piece)
    return plain


def _soft_on_the_shaft(plain, requirement, piece):
    name = piece.material.material
    shaft = "" if requirement.workpiece is None else requirement.workpiece.material
    soft_shafts = ("EN A", "EN-MC", "Cu", "Zn", "PA")
    is_hard_shaft = bool(shaft) and not shaft.startswith(soft_shafts)
    is_soft = name.startswith(("CuZn", "EN AW-", "EN AC-"))
    if name == PLASTIC or (is_soft and is_hard_shaft):
        return
    softer(plain, requirement, piece)


def measured_piece(requirement, parts):
    """A piece measured by somebody named stands for a gauge."""
    plain = begin(requirement)
    kinds = (Kind.LENGTH, Kind.THICKNESS, Kind.OUTSIDE_DIAMETER)
    asked = [kind for kind in kinds if requirement.size(kind) is not None]
    piece, tolerance = parts[0][0], requirement.tolerance
    enough(plain, parts, 1)
    if piece.form not in {ItemForm.MEASURED_PIECE, ItemForm.PIN}:
        plain.no("no measured piece")
    if len(asked) != 1:
        plain.no("no one size is asked")
        return plain
    if not (piece.certificate or "").strip():
        plain.no("certificate not stated")
    wanted, own = requirement.size(asked[0]), piece.size(asked[0])
    if asked[0] is Kind.LENGTH:
        own = piece.length
    if not plain.known(tolerance=tolerance, uncertainty=piece.uncertainty, own=own):
        return plain
    if not (tolerance > 0 and piece.uncertainty > 0):
        plain.no("no tolerance or uncertainty")
    plain.at_least(tolerance, abs(own - wanted) + 2 * piece.uncertainty, "size")
    room(plain, requirement, wanted)
    return plain
