"""From the thickness that is wanted to packs and advice."""

from dataclasses import dataclass
from fractions import Fraction
from itertools import count
from statistics import NormalDist
from typing import Final

from shared.condition.shims.asked import MOST_SHIMS, ShimPackAsked
from shared.condition.shims.choose import (
    NOTHING_CHOSEN,
    Chosen,
    Pack,
    Wanted,
    likeliest_packs,
    likely_packs,
    nearest_beside,
    packs_making,
    packs_within,
    probability_of,
)
from shared.condition.shims.found import PackFound, ShimAdvice
from shared.condition.shims.lengths import plain_mm, told
from shared.condition.shims.needed import Needed
from shared.condition.shims.old_pack import OldPack
from shared.condition.shims.rules import rounded, seeks_exactly
from shared.condition.shims.search import Sums
from shared.condition.shims.shelf import Shelf
from shared.condition.told import chance_text
from shared.errors import InvalidInput

_MOST_TRIES: Final = 1000


@dataclass(frozen=True, slots=True)
class Outcome:
    """What came of the search."""

    advice: ShimAdvice
    reason: str
    chosen: Chosen = NOTHING_CHOSEN
    beside: tuple[PackFound | None, PackFound | None] = (None, None)
    rounded: Fraction | None = None
    to_measure: tuple[str, ...] = ()
    cautions: tuple[str, ...] = ()


@dataclass(slots=True)
class Search:
    """One question on its way to the packs."""

    asked: ShimPackAsked
    unit: str
    needed: Needed
    wanted: Wanted
    shelf: Shelf
    old: OldPack | None
    sums: Sums | None = None

    @property
    def _acceptance(self) -> float:
        return float(self.asked.acceptance_probability)

    @property
    def _most(self) -> int:
        rule = self.asked.rule
        most = MOST_SHIMS if rule is None or rule.most_shims is None else rule.most_shims
        return min(self.asked.max_shims, most)

    def told(self, pack: Pack) -> PackFound:
        """Return a pack as it is told."""
        assert self.sums is not None
        return self.shelf.told(
            pack, self.sums.choices, self.unit, self.needed.sets, self._acceptance
        )

    def outcome(self) -> Outcome:
        """Return the packs and the advice."""
        needed = self.needed
        if needed.stays:
            return Outcome(ShimAdvice.OLD_PACK_STAYS, needed.how)
        if self.wanted.last < 0:
            return self._too_little_room()
        goal, notes = self._goal()
        if not self.shelf.choices and self.wanted.first > 0:
            return self._nothing(goal, notes)
        self._check_room()
        if seeks_exactly(self.asked.rule):
            return self._by_rule(goal, notes)
        if self.wanted.lower is None:
            return self._of_thickness(notes)
        return self._of_range(notes)

    def _nothing(self, goal: Fraction, notes: tuple[str, ...]) -> Outcome:
        reason = f"wanted is {told(goal, self.unit)}; no shims are given to choose from"
        first = self._measure_first()
        return Outcome(
            ShimAdvice.MEASURE_FIRST if first else ShimAdvice.NOTHING_TO_CHOOSE_FROM,
            reason,
            rounded=self._if_rounded(goal),
            to_measure=first,
            cautions=notes,
        )

    def _goal(self) -> tuple[Fraction, tuple[str, ...]]:
        if self.asked.rule is None:
            return self.needed.aim, ()
        return rounded(self.needed.aim, self.asked.rule)

    def _if_rounded(self, goal: Fraction) -> Fraction | None:
        rule = self.asked.rule
        is_rounded = rule is not None and (rule.step is not None or bool(rule.digits))
        return goal if is_rounded else None

    def _too_little_room(self) -> Outcome:
        reason = (
            f"{self.needed.how}: even without shims there is"
            f" {told(-self.wanted.last, self.unit)} too little room"
        )
        first = (
            "measure again: seat the parts first (bearings by turning the shaft both ways), look"
            " whether the right parts are in"
        )
        return Outcome(ShimAdvice.MEASURE_AGAIN, reason, to_measure=(first,))

    def _check_room(self) -> None:
        """Refuse shims every one of which is thicker than the room that was measured."""
        asked = self.asked
        is_gap = self.old is None and asked.pack_lower is None
        if not is_gap or self.wanted.first <= 0 or self.needed.measured is None:
            return
        room = max(self.needed.measured, self.wanted.last)
        if self.shelf.choices and self.shelf.choices[0].size > room:
            name, line = (
                ("stock", asked.stock[0].thickness)
                if asked.stock
                else ("sizes", asked.sizes[0].thickness)
            )
            raise InvalidInput(
                f"/{name}/0/thickness",
                f"It is {line.value:f} {line.unit}, and every shim given is thicker than the room"
                f" of {told(room, self.unit)}.",
                "Mend the value or unit of the shims, or of what was measured.",
                "thicker-than-gap",
            )

    def _open(self, thickest: Fraction) -> Sums:
        """Fill the tables up to a thickness, and as far beyond it as the nearest above may be."""
        choices = self.shelf.up_to(thickest)
        beyond = choices[-1].size if choices else Fraction(0)
        self.sums = Sums(choices, self._most, thickest + beyond)
        return self.sums

    def _by_rule(self, goal: Fraction, notes: tuple[str, ...]) -> Outcome:
        rule = self.asked.rule
        assert rule is not None
        step, most = Fraction(0), Fraction(0)
        if rule.thicker_by is not None and rule.thicker_at_most is not None:
            step = plain_mm(rule.thicker_by, "/rule/thicker_by")
            most = plain_mm(rule.thicker_at_most, "/rule/thicker_at_most")
        if step and most / step > _MOST_TRIES:
            raise InvalidInput(
                "/rule/thicker_by",
                f"That is more than {_MOST_TRIES} tries.",
                "Give a larger step or a smaller thicker_at_most.",
                "out-of-range",
            )
        sums = self._open(max(goal + most, Fraction(0)))
        for tries in count():
            thickness = goal + tries * step
            chosen = packs_making(sums, self.wanted, thickness, self.asked.most_packs)
            if chosen.packs or not step or (tries + 1) * step > most:
                break
        if not chosen.packs:
            return self._none(Wanted(goal), self._if_rounded(goal), notes)
        first = self._measure_first()
        if first and not _is_likely(chosen, self._acceptance):
            return self._not_yet(first, goal, notes)
        reason = f"wanted is {told(self.needed.aim, self.unit)}"
        if thickness != self.needed.aim:
            reason += f"; the rule makes {told(thickness, self.unit)} of it"
        if not self.wanted.first <= thickness <= self.wanted.last and self.wanted.lower is not None:
            notes = (
                *notes,
                f"the rule's {told(thickness, self.unit)} lies outside the range of"
                f" {told(self.wanted.first, self.unit)} to {told(self.wanted.last, self.unit)}:"
                " look at the manual",
            )
        elif (
            self.wanted.u is not None
            and self.wanted.lower is not None
            and not _is_likely(chosen, self._acceptance)
        ):
            notes = (*notes, "the rule's pack is not likely enough to land in the range")
        return Outcome(
            ShimAdvice.AS_THE_RULE_SAYS,
            reason,
            chosen,
            rounded=self._if_rounded(goal),
            cautions=notes,
        )

    def _of_thickness(self, notes: tuple[str, ...]) -> Outcome:
        """Packs for a thickness that has no range."""
        first = self._measure_first()
        if first:
            return self._not_yet(first, self.needed.aim, notes)
        sums = self._open(self.wanted.last)
        chosen = packs_within(sums, self.wanted, self.asked.most_packs)
        if not chosen.packs:
            return self._none(self.wanted, None, notes)
        reason = (
            f"wanted is {told(self.needed.aim, self.unit)}; no range is known, so how sure the"
            " setting is cannot be told"
        )
        return Outcome(ShimAdvice.MAKES_THE_THICKNESS, reason, chosen, cautions=notes)

    def _of_range(self, notes: tuple[str, ...]) -> Outcome:
        sums, most = self._open(self.wanted.last), self.asked.most_packs
        if self.wanted.u is None:
            chosen = packs_within(sums, self.wanted, most)
            if not chosen.packs:
                return self._none(self.wanted, None, notes)
            reason = (
                "packs lie in the range; how sure they are cannot be told, for the doubt of what"
                " was measured is not known"
            )
            first = (*self._measure_first(), "state how far the reading may be off")
            return Outcome(
                ShimAdvice.DOUBT_NOT_KNOWN, reason, chosen, to_measure=first, cautions=notes
            )
        chosen = likely_packs(sums, self.wanted, self._acceptance, most)
        if chosen.packs:
            first_is = _chance(chosen.packs[0].probability)
            reason = (
                f"the first pack lands in the range with probability {first_is};"
                f" {self.asked.acceptance_probability.normalize():f} is enough"
            )
            return Outcome(ShimAdvice.FIT_AND_CHECK, reason, chosen, cautions=notes)
        likeliest = likeliest_packs(sums, self.wanted, most)
        # That none is likely enough is told of all packs only where all were looked at.
        chosen = Chosen(likeliest.packs, chosen.is_complete and likeliest.is_complete)
        if not chosen.packs:
            return self._none(self.wanted, None, notes)
        first = self._measure_first()
        if first:
            reason = (
                "what sat there is not known well enough for the range: do not order yet; the"
                " likeliest packs come first"
            )
            return Outcome(
                ShimAdvice.MEASURE_FIRST, reason, chosen, to_measure=first, cautions=notes
            )
        reason = (
            f"no pack lands in the range with probability"
            f" {self.asked.acceptance_probability.normalize():f} or more: the likeliest come first"
        )
        return Outcome(
            ShimAdvice.NOT_LIKELY_ENOUGH,
            reason,
            chosen,
            to_measure=self._finer(),
            cautions=notes,
        )

    def _none(self, wanted: Wanted, goal: Fraction | None, notes: tuple[str, ...]) -> Outcome:
        """No pack makes it: the nearest below and above."""
        assert self.sums is not None
        if not self.asked.stock and not self.asked.sizes:
            return self._nothing(wanted.aim, notes)
        ceiling = wanted.last * 2 + 1
        below, above = nearest_beside(self.sums, wanted, ceiling)
        thick = next((one for one in self.shelf.choices if one.size > wanted.last), None)
        beside = [None if pack is None else self._beside(pack) for pack in (below, above)]
        if thick is not None and (above is None or thick.size < above.total):
            beside[1] = self._single(thick.size)
        ends = f"{told(wanted.first, self.unit)} to {told(wanted.last, self.unit)}"
        what = ends if wanted.last > wanted.first else told(wanted.aim, self.unit)
        reason = f"no pack of at most {self._most} of these shims makes {what}"
        return Outcome(
            ShimAdvice.NONE_IN_RANGE,
            reason,
            beside=(beside[0], beside[1]),
            rounded=goal,
            to_measure=self._measure_first(),
            cautions=notes,
        )

    def _beside(self, pack: Pack) -> PackFound:
        return self.told(pack)

    def _single(self, size: Fraction) -> PackFound:
        choice = next(one for one in self.shelf.choices if one.size == size)
        probability = probability_of(self.wanted, size, [choice.u])
        pack = Pack((1,), size, int(not choice.on_hand), probability)
        return self.shelf.told(pack, (choice,), self.unit, self.needed.sets, self._acceptance)

    def _not_yet(self, first: tuple[str, ...], goal: Fraction, notes: tuple[str, ...]) -> Outcome:
        assert self.old is not None
        ends = f"{told(self.old.lower, self.unit)} to {told(self.old.upper, self.unit)}"
        reason = (
            f"do not order yet: the old pack reads as {told(self.old.total, self.unit)} and may be"
            f" {ends}"
        )
        return Outcome(
            ShimAdvice.MEASURE_FIRST,
            reason,
            rounded=self._if_rounded(goal),
            to_measure=first,
            cautions=notes,
        )

    def _measure_first(self) -> tuple[str, ...]:
        if self.old is None or self.old.is_certain:
            return ()
        return (
            "measure each shim of the old pack with a micrometer",
            "or measure anew what the shims set",
        )

    def _finer(self) -> tuple[str, ...]:
        """Say which doubt stands in the way, and how small it would have to be."""
        wanted = self.wanted
        if wanted.u is None or wanted.lower is None or wanted.upper is None:
            return ()
        quantile = NormalDist().inv_cdf((1 + self._acceptance) / 2)
        most = float(wanted.upper - wanted.lower) / 2 / quantile
        if wanted.u > most:
            return (
                "no pack could be likely enough: measure with a gauge that makes the thickness"
                f" certain to u = {told(most)} or less, or read it several times",
            )
        return ("measure the shims with a micrometer and state how far each may be off",)


def _chance(probability: float | None) -> str:
    return chance_text(probability or 0.0, u=1.0)


def _is_likely(chosen: Chosen, acceptance: float) -> bool:
    return any(one.probability is not None and one.probability >= acceptance
               for one in chosen.packs)  # fmt: skip
