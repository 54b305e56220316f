"""The plain side of screws that hold a part, and of studs that guide one."""

from shared.fasteners.model import FeatureKind as Kind
from shared.fasteners.model import ItemForm, ToolFunction
from tests.shared.fasteners.substitutes.plain_facts import (
    HEADLESS,
    begin,
    enough,
    fits_thread,
    has_sound_head,
    head_height,
    room,
    thread_length,
    without_sunk_head,
    words,
)
from tests.shared.fasteners.substitutes.plain_screws import of, screws_of, washers_under
from tests.shared.fasteners.substitutes.plain_threads import (
    head_ring,
    round_area,
    seat,
    strength,
    thread_holds,
)


def holding_screws(requirement, parts):
    """Screws hold a part against its seat on the bench."""
    plain = begin(requirement)
    count = requirement.count(Kind.THREAD)
    depth, thick = requirement.size(Kind.DEPTH), requirement.size(Kind.PLATE_THICKNESS)
    if requirement.is_symmetric is not True:
        plain.no("not said to be symmetric")
    lots = screws_of(plain, requirement, parts, max(count, 1))
    if requirement.force is None:
        plain.no("force not stated")
    if not plain.known(depth=depth, thick=thick) or not lots:
        return plain
    under = washers_under(plain, requirement, parts, max(count, 1))
    under_head = [requirement.pushed, *(one.material for one, _ in of(parts, ItemForm.WASHER))]
    held = []
    for piece, _ in lots:
        has_sound_head(plain, piece.fastener)
        thread, found = piece.fastener.thread, strength(piece.fastener)
        engaged = piece.length - thick - under
        room(plain, requirement, piece.length + head_height(piece.fastener))
        plain.at_least(engaged, thread.major, "engagement")
        plain.at_least(depth - thread.pitch / 2, engaged, "depth")
        plain.at_least(thread_length(piece), engaged, "thread length")
        outside, inside = head_ring(piece.fastener)
        on_head = round_area(outside) - round_area(inside)
        # Three tenths of what thread and seat bear are taken up by the snug torque.
        left = 0.7 * min(
            thread_holds(plain, requirement, piece, engaged),
            *(seat(each, on_head) for each in under_head),
        )
        held.append(min(0.5 * found.strength.yield_least * found.area, left))
    if not plain.reasons:
        plain.at_least(count * min(held), requirement.force.amount.most, "force")
    return plain


def guide_studs(requirement, parts):
    """Two screws without their heads stand in tapped holes; a part slides over them."""
    plain = begin(requirement)
    reach, depth = requirement.size(Kind.REACH), requirement.size(Kind.DEPTH)
    bore = requirement.size(Kind.BORE)
    plain.at_least(requirement.count(Kind.THREAD), 2, "holes")
    enough(plain, parts, 2)
    if not plain.known(depth=depth, reach=reach, bore=bore):
        return plain
    for piece, _ in parts:
        if not fits_thread(plain, requirement, piece, has_head=False):
            continue
        threaded = thread_length(piece)
        if not plain.known(length=piece.length, threaded=threaded):
            continue
        if words(piece.fastener) & {"shoulder", "fitted", "fit", "waisted", "reduced"}:
            plain.no("its shank is not the thread's size")
        if words(piece.fastener) & HEADLESS and piece.form is ItemForm.SCREW:
            plain.no("a stud's nominal length leaves one end out")
        thread, length = piece.fastener.thread, without_sunk_head(piece)
        room(plain, requirement, length)
        plain.at_least(bore - thread.major, 0.1, "play")
        plain.at_least(thread.major / 4, bore - thread.major, "guiding")
        if requirement.function is ToolFunction.ALIGN:
            loose = bore - thread.major + thread.pitch / 2
            plain.at_least(requirement.tolerance or 0.0, loose, "tolerance")
        plain.at_least(length, reach + thread.major + thread.pitch, "length")
        engaged = min(depth - thread.pitch / 2, length - reach)
        plain.at_least(engaged, thread.major, "engagement")
        plain.at_least(threaded, engaged, "thread length")
    return plain
