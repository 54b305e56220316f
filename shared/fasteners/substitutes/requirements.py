"""Reads what a tool has to do: sizes in mm, forces in N, torques in N·m."""

from collections.abc import Callable, Iterator
from math import isfinite
from types import MappingProxyType
from typing import Final, TypeVar

from shared.designations.model import Fastener, FastenerForm
from shared.designations.reading import read_fastener
from shared.errors import InvalidInput, OutOfRange
from shared.fasteners.asking import amount
from shared.fasteners.friction import friction_for
from shared.fasteners.model import FeatureKind, PressFitAsked, ToolFeature
from shared.fasteners.substitutes.asked import RequirementAsked
from shared.fasteners.substitutes.checking import in_words
from shared.fasteners.substitutes.hardness_text import read_hardness
from shared.fasteners.substitutes.model import Feature, Hardness, Need, Range, Requirement
from shared.fasteners.substitutes.needs import SealedFace, force_need, stated_need
from shared.fasteners.substitutes.press_fit import PressFit
from shared.quantities import Quantity
from shared.standards.hole_materials import HoleMaterial, hole_material_of
from shared.standards.plain_words import plain_words
from shared.standards.sealants import sealant_of

NOTHING: Final = "nothing"
_SHOWN: Final = 40
_WEAKEST_OF: Final = MappingProxyType(
    {"cast aluminium": "EN AC-44200", "cast aluminum": "EN AC-44200"}
)
"""Where a general name stands for the commonest of its kind, here its weakest counts."""
_ONE_COUNTED: Final = (
    "The estimate counts the {} alone: dowels, press fits, sealant and rust that are not stated"
    " hold too, and add to it."
)
_SUCH_AS: Final = (
    "Its words are such as cast iron, ductile iron, cast aluminium, magnesium, steel, alloy steel,"
    " stainless steel, brass, bronze."
)
Value = TypeVar("Value")


def requirement_of(asked: RequirementAsked, *, is_stored: bool = False) -> Requirement:
    """Return a question as values to compute with.

    Raises InvalidInput (pointers below /requirement) for what cannot be meant; where ``is_stored``,
    that counts as not stated and a note tells it. A word for a material that no table has counts as
    an unknown material either way.
    """
    return _Reader(asked, is_stored=is_stored).read()


class _Reader:
    """Reads one question, and keeps the notes on what is not counted."""

    def __init__(self, asked: RequirementAsked, *, is_stored: bool) -> None:
        self.asked = asked
        self.is_stored = is_stored
        self.notes: list[str] = []

    def read(self) -> Requirement:
        asked = self.asked
        nothing_in_the_way = self._nothing_in_the_way()
        force = self.tried(self._force)
        torque = self.tried(self._torque)
        for need in (force, torque):
            self.notes += () if need is None else need.notes
        return Requirement(
            function=asked.function,
            name=asked.name,
            features=tuple(self._features()),
            force=force,
            torque=torque,
            workpiece=self._material(asked.workpiece_material, "workpiece_material"),
            workpiece_hardness=self.tried(self._hardness),
            pushed=self._material(asked.pushed_material, "pushed_material"),
            hand=asked.thread_hand,
            tight_ring=asked.tight_ring,
            is_symmetric=asked.is_symmetric,
            uses=None if asked.uses is None else frozenset(asked.uses),
            nothing_in_the_way=nothing_in_the_way,
            lubrication=self.tried(self._lubrication),
            tolerance=self.tried(self._tolerance),
            notes=tuple(dict.fromkeys(self.notes)),
        )

    def tried(self, read: Callable[[], Value | None]) -> Value | None:
        """Return what ``read`` reads; None, with a note, where a stored value cannot be read."""
        try:
            return read()
        except InvalidInput as error:
            if not self.is_stored:
                raise error.below("/requirement") from None
            self.notes.append(f"{error.pointer[1:]} is not counted: {in_words(error)}")
            return None

    def _features(self) -> Iterator[Feature]:
        kinds = [feature.kind for feature in self.asked.features]
        for index, feature in enumerate(self.asked.features):
            read = self.tried(lambda one=feature, at=index: _feature(one, at, kinds))  # type: ignore[misc]
            if read is not None:
                yield read

    def _force(self) -> Need | None:
        """Return the force needed; where any part of it cannot be read, none of it is known."""
        asked = self.asked
        force = _range(asked.force, asked.force_highest, "force")
        sealed, press = self._sealed(), None
        if asked.press_fit is not None:
            press = self._press_fit(asked.press_fit)
        need = force_need(force, sealed, press)
        if force is None and (sealed is None) is not (press is None):
            counted = "press fit" if sealed is None else "sealed area"
            self.notes.append(_ONE_COUNTED.format(counted))
        return need

    def _sealed(self) -> SealedFace | None:
        asked = self.asked
        if asked.sealed_area is None:
            if asked.sealant is not None and asked.force is None:
                raise InvalidInput(
                    "/sealed_area",
                    "Got a sealant without the area that it holds.",
                    "Give sealed_area, or the force that the work asks for.",
                    "half-told",
                )
            return None
        sealant = None if asked.sealant is None else sealant_of(asked.sealant, "/sealant")
        return SealedFace(amount(asked.sealed_area, "area", "/sealed_area"), sealant)

    def _press_fit(self, asked: PressFitAsked) -> PressFit:
        def size(quantity: Quantity | None, member: str) -> float | None:
            if quantity is None:
                return None
            return amount(quantity, "length", f"/press_fit/{member}")

        return PressFit(
            diameter=amount(asked.diameter, "length", "/press_fit/diameter"),
            length=amount(asked.length, "length", "/press_fit/length"),
            hole_class=asked.hole_class,
            shaft_class=asked.shaft_class,
            hub_outside=size(asked.hub_outside, "hub_outside"),
            shaft_bore=size(asked.shaft_bore, "shaft_bore"),
            hub=self._material(asked.hub_material, "press_fit/hub_material"),
            shaft=self._material(asked.shaft_material, "press_fit/shaft_material"),
        )

    def _torque(self) -> Need | None:
        asked = self.asked
        torque = _range(asked.torque, asked.torque_highest, "torque")
        return None if torque is None else stated_need(torque, "torque")

    def _hardness(self) -> Hardness | None:
        text = self.asked.workpiece_hardness
        if text is None:
            return None
        return read_hardness(text, highest=False, pointer="/workpiece_hardness")

    def _tolerance(self) -> float | None:
        tolerance = self.asked.tolerance
        return None if tolerance is None else _positive(tolerance, "/tolerance")

    def _lubrication(self) -> str | None:
        """Return the words as they stand; they must name a condition, of steel or of stainless."""
        words = self.asked.lubrication
        if words is not None:
            try:
                friction_for(words, is_stainless=False)
            except InvalidInput as error:
                # The friction itself cannot be stated here.
                error.fix = error.fix.partition(" Or give friction")[0]
                raise
        return words

    def _material(self, words: str | None, member: str) -> HoleMaterial | None:
        if words is None or not words.strip():
            return None
        try:
            return self._told(hole_material_of(_WEAKEST_OF.get(plain_words(words), words)))
        except InvalidInput:
            self.notes.append(
                f"{member}: {words[:_SHOWN]} is not in the table of materials, and counts as"
                f" unknown. {_SUCH_AS}"
            )
            return None

    def _told(self, material: HoleMaterial) -> HoleMaterial:
        if material.note:
            self.notes.append(f"{material.title}: {material.note}.")
        return material

    def _nothing_in_the_way(self) -> bool:
        said = self.asked.in_the_way
        if said is None or not said.strip():
            return False
        if said.strip().casefold() == NOTHING:
            return True
        self.notes.append(
            f"In the way stays: {said.strip()[:200]}. Whether the pieces clear it was not computed,"
            " beyond the clear height and diameter stated. Where nothing is, state: nothing."
        )
        return False


def _feature(feature: ToolFeature, index: int, kinds: list[FeatureKind]) -> Feature:
    at = f"/features/{index}"
    if kinds.count(feature.kind) > 1:
        raise InvalidInput(
            f"{at}/kind",
            f"{feature.kind} is stated {kinds.count(feature.kind)} times: which one the tool meets"
            " cannot be told.",
            "State each kind once, with its count.",
            "stated-twice",
        )
    if feature.count < 1:
        raise OutOfRange("count", feature.count, "1 or more").below(at)
    if feature.kind is FeatureKind.THREAD:
        return Feature(feature.kind, None, _thread(feature, at), feature.count)
    if feature.size is None:
        raise InvalidInput(
            f"{at}/size",
            f"The {feature.kind} has no size.",
            "Give its size; a designation alone tells none here.",
            "size-missing",
        )
    return Feature(feature.kind, _positive(feature.size, f"{at}/size"), None, feature.count)


def _thread(feature: ToolFeature, at: str) -> Fastener:
    if feature.designation is None:
        raise InvalidInput(
            f"{at}/designation",
            "A thread has a designation, not a size.",
            "Write it as M8x1.25 or 1/4-20 UNC.",
            "designation-missing",
        )
    fastener = read_fastener(feature.designation, f"{at}/designation")
    if fastener.form is FastenerForm.SCREW:
        raise InvalidInput(
            f"{at}/designation",
            f"{fastener.canonical} is a screw; wanted the thread that the tool meets.",
            "Give the thread alone: M8x1.25.",
            "not-a-thread",
        )
    return fastener


def _range(lowest: Quantity | None, highest: Quantity | None, kind: str) -> Range | None:
    if lowest is None:
        if highest is not None:
            raise InvalidInput(
                f"/{kind}",
                f"Got {kind}_highest without {kind}.",
                f"Give {kind} too: the least that may be needed.",
                "half-told",
            )
        return None
    least = amount(lowest, kind, f"/{kind}")
    if highest is None:
        return Range(least, least)
    return Range(least, amount(highest, kind, f"/{kind}_highest"))


def _positive(quantity: Quantity, pointer: str) -> float:
    size = amount(quantity, "length", pointer)
    if not (isfinite(size) and size > 0):
        raise InvalidInput(
            pointer,
            f"Got {size:g} mm; wanted more than 0.",
            "Give a size above 0; what is flush is stated as 0.01 mm.",
            OutOfRange.code,
        )
    return size
