"""A bar screwed to two tapped holes, its end against a stop, keeps a part from turning.

mm, N, N·m, MPa. The two holes lie equally far from the axis; the bar lies flat on the part.
"""

from collections.abc import Callable, Iterator
from functools import cache
from typing import Final

from shared.errors import InvalidInput
from shared.fasteners.model import FeatureKind, ItemForm
from shared.fasteners.stripping import Engagement, effective_engagement
from shared.fasteners.substitutes.cautions import cautions_for, estimate_note
from shared.fasteners.substitutes.common import (
    STATED,
    clearance_hole,
    face_allows,
    force_text,
    hole_parts,
    use_check,
    wall_check,
)
from shared.fasteners.substitutes.counterhold import (
    CounterholdWork,
    FitBar,
    FitScrew,
    length_check,
    length_margin,
    push_checks,
    pushed,
)
from shared.fasteners.substitutes.counterhold_fit import HOLE, SCREWS, bar_of, held_of, screw_of
from shared.fasteners.substitutes.handles import middle_check
from shared.fasteners.substitutes.instructions import PROTECT, torque_text
from shared.fasteners.substitutes.model import (
    Candidate,
    Check,
    Drawer,
    Family,
    PartUsed,
    Requirement,
)
from shared.fasteners.substitutes.pairing import PLAIN_NO, Standing, best_pairs, standing_of
from shared.fasteners.substitutes.screw_work import SNUG, work_of
from shared.fasteners.substitutes.side_load import fit

_SAME_SPACING: Final = 1.0


def candidates(requirement: Requirement, drawer: Drawer) -> Iterator[Candidate]:
    """Yield each bar with its best screws, and each kind of screw with its best bar.

    Those that fail by themselves come alone, with the reason. How pairs are chosen so that no set
    that holds is overlooked: ``pairing.best_pairs``. Sources: equilibrium; pressures, factors and
    proportions as the checks say.
    """
    bars, screws = drawer.of(ItemForm.BAR, ItemForm.PLATE), drawer.of(ItemForm.SCREW)
    work = held_of(requirement)
    if not isinstance(work, CounterholdWork):
        for piece in bars:
            yield _of(requirement, (PartUsed(piece, 1),), work)
        return
    first = _first(requirement)
    fitting: list[FitBar] = []
    for piece in bars:
        bar = bar_of(work, piece)
        if isinstance(bar, FitBar):
            fitting.append(bar)
        else:
            yield _of(requirement, (PartUsed(piece, 1),), (first[0], *bar))
    screws_there: list[FitScrew] = []
    for piece in screws:
        screw = screw_of(work, piece)
        alone = (PartUsed(piece, SCREWS),)
        if not isinstance(screw, FitScrew):
            yield _of(requirement, alone, (first[0], *screw))
        elif not fitting:
            none = Check("bar", False, "No bar or plate that suits is there.", STATED)
            yield _of(requirement, alone, (first[0], *screw.checks, none))
        else:
            screws_there.append(screw)
    for bar, screw in best_pairs(fitting, screws_there, SCREWS, _standing_in(work)):
        yield _together(work, screw, bar, first)


def _first(requirement: Requirement) -> tuple[Check, ...]:
    """Return the checks that no piece changes."""
    middle = middle_check(requirement, "bar")
    return use_check(requirement), wall_check(requirement), middle


def _standing_in(work: CounterholdWork) -> Callable[[FitBar, FitScrew], Standing]:
    """Return how a bar and a screw stand together, by the numbers of ``_together`` alone."""
    chamfer, gap = work.requirement.size(FeatureKind.CHAMFER), work.size[FeatureKind.REACH]
    first = standing_of(_first(work.requirement))
    first = first.with_margins(fits=(work.major / gap,))

    @cache
    def engaged(deep: float) -> Engagement | None:
        try:
            return effective_engagement(work.fastener.thread, deep, chamfer)
        except InvalidInput:
            return None

    def standing(bar: FitBar, screw: FitScrew) -> Standing:
        deep = screw.length - bar.size[FeatureKind.THICKNESS] - gap
        found = first.and_(bar.standing).and_(screw.standing)
        found = found.with_margins(fits=(length_margin(work, screw.threaded, deep),))
        if deep <= 0:
            return found
        grip = engaged(deep)
        if grip is None:
            return found.with_margins(fits=(PLAIN_NO,))
        return found.with_margins(pushed(work, screw, bar, grip.chamfer, grip.counted).margins)

    return standing


def _together(
    work: CounterholdWork, screw: FitScrew, bar: FitBar, first: tuple[Check, ...]
) -> Candidate:
    requirement, size = work.requirement, work.size
    parts = (PartUsed(screw.piece, SCREWS), PartUsed(bar.piece, 1, _preparation(work, bar)))
    gap = size[FeatureKind.REACH]
    deep = screw.length - bar.size[FeatureKind.THICKNESS] - gap
    checks = (
        *first,
        screw.room,
        *screw.checks,
        *bar.checks,
        fit("gap", work.major, gap, f"The bar stands {gap:.3g} mm off the holes."),
        length_check(work, screw, deep),
    )
    bears = hole_parts(requirement, screw.fastener, screw.strength, deep) if deep > 0 else None
    if bears is None or isinstance(bears, Check):
        return _of(requirement, parts, checks if bears is None else (*checks, bears))
    chamfer = requirement.size(FeatureKind.CHAMFER)
    engaged = effective_engagement(screw.fastener.thread, deep, chamfer)
    done = pushed(work, screw, bar, engaged.chamfer, engaged.counted)
    checks = (*checks, *push_checks(work, screw, done))
    seat = face_allows("head seat", screw.seat, bar.piece.material)
    snug = SNUG * work_of(screw.allowed, screw.arms, (*bears, seat)).torque
    # Lots that are short of screws are put together, and need to be told how.
    is_fit = all(one.passes or one.name == "count" for one in checks)
    notes = (
        estimate_note(requirement.torque, "torque"),
        "The stop and the part's own bearing were not checked.",
        *screw.strength.notes,
        *screw.friction.notes,
    )
    return Candidate(
        family=Family.COUNTERHOLD_BAR,
        parts=parts,
        checks=checks,
        torque=snug,
        torque_steps=(snug,),
        steps=_steps(work, bar, snug) if is_fit else (),
        cautions=cautions_for(
            requirement, Family.COUNTERHOLD_BAR, is_stainless=screw.strength.is_stainless
        ),
        notes=tuple(note for note in notes if note is not None),
    )


def _preparation(work: CounterholdWork, bar: FitBar) -> str:
    bore, spacing = bar.piece.size(FeatureKind.BORE), bar.piece.size(FeatureKind.SPACING)
    wanted = work.size[FeatureKind.SPACING]
    is_wide = bore is not None and bore >= work.major
    if is_wide and spacing is not None and abs(spacing - wanted) <= _SAME_SPACING:
        return f"Its holes of {bore:.4g} mm, {spacing:.4g} mm apart, serve as they are."
    hole = min(clearance_hole(work.fastener.thread), HOLE * work.major)
    return (
        f"Drill two holes of {hole:.4g} mm, {wanted:.4g} mm apart, in the"
        f" middle of its width, the first {1.5 * work.major:.3g} mm from one end, clear of any"
        " others."
    )


def _steps(work: CounterholdWork, bar: FitBar, snug: float) -> tuple[str, ...]:
    stop = force_text(work.stop(bar.size))
    return (
        "Take two holes that lie equally far from the shaft's axis, so that the bar passes beside"
        " what has to be turned, and clean them.",
        PROTECT,
        "Lay the bar on and run both screws in by hand until it lies flat: one that jams or"
        " bottoms is the wrong one.",
        f"Tighten both, in turn, to {torque_text(snug)} and no more: enough to keep the bar flat.",
        f"Rest the last {1.5 * work.major:.3g} mm of the bar squarely against a stop that bears"
        f" {stop}, on the side that it would turn to: never a hand, a hose, a thin wall or a seat.",
        f"Turn slowly, up to {torque_text(work.moment / 1000)} on the part held, never in jerks."
        " Stop when the bar slides, bends or lifts.",
        "If it does not come loose at that torque, stop: get the special tool or ask the maker.",
    )


def _of(
    requirement: Requirement, parts: tuple[PartUsed, ...], checks: tuple[Check, ...]
) -> Candidate:
    cautions = cautions_for(requirement, Family.COUNTERHOLD_BAR)
    return Candidate(Family.COUNTERHOLD_BAR, parts, checks, cautions=cautions)
