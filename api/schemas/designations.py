"""Designations read: one entry for each part that a text may name."""

from collections.abc import Iterator, Mapping, Sequence
from types import MappingProxyType
from typing import Final, Self

from pydantic import Field

from api.schemas.base import Answer, QuantityOut
from api.schemas.figures import computed_quantity, quantity_or_null
from shared.designations.model import (
    Bearing,
    Designated,
    Fastener,
    FastenerForm,
    Hand,
    Key,
    Mark,
    ORing,
    PartKind,
    ShaftSeal,
)
from shared.designations.reading import meaning_of

_MOST_READINGS = 60
_MOST_WORDS = 60


class MarkOut(Answer):
    """A prefix or suffix of a bearing's number."""

    mark: str = Field(description="The mark.", examples=["2RS"], max_length=40)
    family: str = Field(
        description="What it is about: seals, clearance, cage.", examples=["seals"], max_length=40
    )
    meaning: str = Field(
        description="What it says, in words.", examples=["contact seal on both sides"]
    )
    is_known: bool = Field(
        description="Whether the house knows the mark; an unknown one is kept, never dropped.",
        examples=[True],
    )

    @classmethod
    def of(cls, mark: Mark) -> Self:
        """Carry a mark over the border."""
        return cls(mark=mark.mark, family=mark.family, meaning=mark.meaning, is_known=mark.is_known)


class DesignatedOut(Answer):
    """One part that the text may name."""

    kind: PartKind = Field(description="Kind of part.", examples=["fastener"])
    canonical: str = Field(
        description="Its one name; reading that gives the same part again.",
        examples=["M8x1.25x40 8.8"],
        max_length=300,
    )
    meaning: str = Field(
        description="What it is, in a few words.",
        examples=["ISO metric, coarse pitch"],
        max_length=100,
    )
    standard: str | None = Field(
        description="The standard of its sizes; null where none is said.",
        examples=["ISO 261 (sizes), ISO 724 (diameters)"],
    )
    sizes: dict[str, QuantityOut] = Field(
        description="Its nominal sizes by name. Of a thread: major_diameter, pitch.",
        examples=[{"major_diameter": {"value": "8.00000000", "unit": "mm"}}],
    )
    length: QuantityOut | None = Field(
        description="Nominal length, where one is written.",
        examples=[{"value": "40.0000000", "unit": "mm"}],
    )
    form: FastenerForm | None = Field(
        description="What carries a thread: screw (bolts and studs too), nut, or thread where"
        " nothing says it; null for parts without a thread.",
        examples=["screw"],
    )
    hand: Hand | None = Field(
        description="Which way the thread of this designation goes: right unless LH is written."
        " It says nothing of a part at hand that nobody has looked at. Null without a thread.",
        examples=["right"],
    )
    property_class: str | None = Field(
        description="Property class or grade; null where none is written.", examples=["8.8"]
    )
    tolerance_class: str | None = Field(
        description="Tolerance class of the thread; null where none is written.", examples=["6g"]
    )
    marks: tuple[MarkOut, ...] = Field(
        description="Prefixes and suffixes of a bearing.", examples=[[]], max_length=_MOST_WORDS
    )
    words: tuple[str, ...] = Field(
        description="What was written besides and is kept: head, drive, finish, standard.",
        examples=[["hexagon head"]],
        max_length=_MOST_WORDS,
    )
    notes: tuple[str, ...] = Field(
        description="How it was read, and what it does not say.", examples=[[]], max_length=40
    )

    @classmethod
    def of(cls, part: Designated) -> Self:
        """Carry a part over the border."""
        screw = part if isinstance(part, Fastener) else None
        length = screw.length if screw else (part.length if isinstance(part, Key) else None)
        return cls(
            kind=part.kind,
            canonical=part.canonical,
            meaning=meaning_of(part),
            standard=_standard(part),
            sizes={name: computed_quantity(size, "mm") for name, size in _sizes(part).items()},
            length=quantity_or_null(length, "mm"),
            form=screw.form if screw else None,
            hand=screw.hand if screw else None,
            property_class=screw.property_class if screw else None,
            tolerance_class=screw.tolerance_class if screw else None,
            marks=tuple(MarkOut.of(mark) for mark in part.marks)
            if isinstance(part, Bearing)
            else (),
            words=(*part.words, *_more_words(part)),
            notes=part.notes,
        )


class DesignationsOut(Answer):
    """All that a text may name: several items are several meanings, none of them guessed."""

    text: str = Field(description="The text asked.", examples=["M8 x 1,25 x 40 - 8.8"])
    items: tuple[DesignatedOut, ...] = Field(
        description="The meanings, the likeliest of each kind first.",
        min_length=1,
        max_length=_MOST_READINGS,
    )

    @classmethod
    def of(cls, text: str, parts: Sequence[Designated]) -> Self:
        """Carry all readings of a text over the border."""
        return cls(text=text, items=tuple(DesignatedOut.of(part) for part in parts))


def _standard(part: Designated) -> str | None:
    if isinstance(part, Fastener):
        return part.thread.standard
    return None if isinstance(part, ShaftSeal) else part.standard


_SIZES: Final[Mapping[PartKind, tuple[str, ...]]] = MappingProxyType(
    {
        PartKind.BEARING: ("bore", "outside", "width"),
        PartKind.SHAFT_SEAL: ("shaft", "housing", "width"),
        PartKind.O_RING: ("inside", "section"),
        PartKind.RETAINING_RING: ("nominal", "thickness"),
        PartKind.KEY: ("width", "height"),
        PartKind.SHIM: ("inside", "outside", "thickness"),
    }
)


def _sizes(part: Designated) -> dict[str, float]:
    """Return the nominal sizes of a part by name, those that are known, in mm."""
    if isinstance(part, Fastener):
        return {"major_diameter": part.thread.major, "pitch": part.thread.pitch}
    found = {name: getattr(part, name) for name in _SIZES[part.kind]}
    return {name: size for name, size in found.items() if size is not None}


def _more_words(part: Designated) -> Iterator[str]:
    """Yield what else a seal's or an O-ring's designation says, as words."""
    if isinstance(part, ShaftSeal):
        if part.lip_type is not None:
            yield part.lip_type
        if part.has_dust_lip:
            yield "dust lip"
        if part.spin is not None:
            yield f"for a shaft turning {part.spin}"
    if isinstance(part, ShaftSeal | ORing) and part.material is not None:
        yield part.material
    if isinstance(part, ORing) and part.hardness is not None:
        yield f"hardness {part.hardness}"
