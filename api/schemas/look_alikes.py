"""Threads that look alike: what comes of turning one into a hole of the other."""

from typing import Self

from pydantic import Field

from api.schemas.base import (
    Answer,
    Body,
    DecimalOut,
    Flag,
    QuantityIn,
    QuantityOut,
    ShortText,
    UnitCode,
)
from api.schemas.figures import computed, computed_or_null, computed_quantity, quantity_or_null
from shared.fasteners.look_alike_model import LookAlike, Outcome, Starts, StoppedBy
from shared.fasteners.thread_pairs import Asked, Paired


class LookAlikeOut(Answer):
    """A screw in a hole that is not its own."""

    screw: str = Field(description="The screw's thread.", examples=["5/16-18 UNC"], max_length=40)
    hole: str = Field(description="The hole's thread.", examples=["M8x1.25"], max_length=40)
    starts: Starts = Field(
        description="Whether it enters: always, only at the tolerance limits (a small screw in a"
        " large hole), or never.",
        examples=["always"],
    )
    outcome: Outcome = Field(
        description="What comes of turning it in. runs fully, holds poorly is the dangerous one:"
        " some parts of the pair go all the way in.",
        examples=["binds"],
    )
    stopped_by: StoppedBy = Field(
        description="What ends the turning: the difference of the pitches, a taper, the diameter,"
        " or nothing.",
        examples=["pitch"],
    )
    turns_least: DecimalOut | None = Field(
        description="Turns until the tightest parts bind, 0 where they do not start; null where no"
        " turns can be told: nothing stops it, or a taper does.",
        examples=["0.209301527"],
    )
    turns_most: DecimalOut | None = Field(
        description="Turns until the loosest parts bind, with one turn for chamfer and countersink;"
        " null as above.",
        examples=["2.15043487"],
    )
    turns_available: DecimalOut = Field(
        description="Turns when it is home: the engagement over the hole's pitch.",
        examples=["6.40000000"],
    )
    turns_to_half_pitch: DecimalOut | None = Field(
        description="Turns after which ridges stand against ridges; null at equal pitches.",
        examples=["3.87931034"],
    )
    pitch_error: QuantityOut = Field(
        description="The screw's pitch less the hole's.",
        examples=[{"value": "0.161111111", "unit": "mm"}],
    )
    pitch_error_percent: DecimalOut = Field(
        description="The same in per cent of the hole's pitch.", examples=["12.8888889"]
    )
    diameter_error: QuantityOut = Field(
        description="The screw's nominal outside diameter less the hole's.",
        examples=[{"value": "-0.0625000000", "unit": "mm"}],
    )
    flank_angle_error: QuantityOut = Field(
        description="The screw's flank angle less the hole's.",
        examples=[{"value": "0.00000", "unit": "deg"}],
    )
    overlap_percent: DecimalOut = Field(
        description="Radial overlap of the flanks at basic sizes, in per cent of the hole's depth.",
        examples=["95.3811260"],
    )
    overlap_percent_least: DecimalOut = Field(
        description="The same for the smallest screw in the largest hole.", examples=["57.2110980"]
    )
    strip_percent: DecimalOut | None = Field(
        description="Estimate of the strip strength that is left at the tolerance limits, in per"
        " cent of the right screw's, or less; null where a taper takes part or nothing starts.",
        examples=["16.1014800"],
    )
    is_one_way: Flag = Field(
        description="Whether screw and hole exchanged go in less readily, or not at all.",
        examples=[True],
    )
    reverse: Outcome | None = Field(
        description="What comes of the two exchanged; null where one has no such side.",
        examples=["binds"],
    )
    reverse_starts: Starts | None = Field(
        description="Whether the two exchanged start; null as above.",
        examples=["at the tolerance limits"],
    )
    note: str = Field(
        description="What comes of it and what to do instead.",
        examples=["Binds after 0.2 to 2.2 turns; home would be 6.4."],
        max_length=2000,
    )
    tell_apart: tuple[str, ...] = Field(
        description="What to measure to tell the two apart, the surest first.",
        examples=[["Over 10 turns 14.11 mm are 5/16-18 UNC, 12.50 mm M8x1.25."]],
        max_length=6,
    )

    @classmethod
    def of(cls, pair: LookAlike) -> Self:
        """Carry a pair over the border."""
        return cls(
            screw=pair.screw,
            hole=pair.hole,
            starts=pair.starts,
            outcome=pair.outcome,
            stopped_by=pair.stopped_by,
            turns_least=computed_or_null(pair.turns_least),
            turns_most=computed_or_null(pair.turns_most),
            turns_available=computed(pair.turns_available),
            turns_to_half_pitch=computed_or_null(pair.turns_to_half_pitch),
            pitch_error=computed_quantity(pair.pitch_error, "mm"),
            pitch_error_percent=computed(100 * pair.relative_pitch_error),
            diameter_error=computed_quantity(pair.diameter_error, "mm"),
            flank_angle_error=computed_quantity(pair.angle_error, "deg"),
            overlap_percent=computed(100 * pair.overlap),
            overlap_percent_least=computed(100 * pair.overlap_least),
            strip_percent=None if pair.strip_share is None else computed(100 * pair.strip_share),
            is_one_way=pair.is_one_way,
            reverse=pair.reverse,
            reverse_starts=pair.reverse_starts,
            note=pair.note,
            tell_apart=pair.tell_apart,
        )


class LookAlikesQuery(Body):
    """A thread, and how long it meets its hole or screw."""

    thread: ShortText = Field(
        description="A thread as people write it: M8, 8x1.25, 5/16-18 UNC, 1/4 BSW, 2 BA, G 1/8,"
        " 1/8 NPT.",
        examples=["M8x1.25"],
    )
    engagement: ShortText | None = Field(
        default=None,
        description="How long screw and hole meet: 6 mm, 7/16 in, or a number in unit. One diameter"
        " of each hole if not given.",
        examples=["6 mm"],
    )
    unit: UnitCode | None = Field(
        default=None,
        description="Unit of a bare engagement: mm (if not given) or in.",
        examples=["mm"],
    )


class LookAlikesAnswer(Answer):
    """The threads of all series that start with this one, as its screw or as its hole."""

    thread: str = Field(description="The thread as read.", examples=["M8x1.25"], max_length=40)
    hand: str = Field(
        description="Its hand as the designation says it: right unless marked. All items are of"
        " this hand.",
        examples=["right"],
        max_length=5,
    )
    engagement: QuantityOut | None = Field(
        description="The engagement asked; null: one diameter of each hole.", examples=[None]
    )
    items: tuple[LookAlikeOut, ...] = Field(
        description="The dangerous ones first; within one outcome those that always start, then"
        " the commoner.",
        max_length=200,
    )
    cautions: tuple[str, ...] = Field(
        description="What to bear in mind.",
        examples=[["That a screw goes in proves nothing."]],
        max_length=10,
    )

    @classmethod
    def of(cls, asked: Asked) -> Self:
        """Carry the answer over the border."""
        return cls(
            thread=asked.thread,
            hand=asked.hand,
            engagement=quantity_or_null(asked.engagement, "mm"),
            items=tuple(LookAlikeOut.of(pair) for pair in asked.pairs),
            cautions=asked.cautions,
        )


class ThreadPairQuestion(Body):
    """A screw offered for a hole."""

    screw: ShortText = Field(
        description="The screw's thread, as people write it.", examples=["5/16-18 UNC"]
    )
    hole: ShortText = Field(
        description="The hole's thread, as people write it.", examples=["M8x1.25"]
    )
    engagement: QuantityIn | None = Field(
        default=None,
        description="How long the two meet when the screw is home; one diameter of the hole if"
        " not given.",
        examples=[{"value": "6", "unit": "mm"}],
    )


class ThreadPairAnswer(Answer):
    """What comes of turning the screw in."""

    fits: Flag = Field(
        description="Whether it is the hole's own thread, hand included, and no word beside it"
        " (hot-dip galvanised, tapered, used) speaks against it. All else is a no.",
        examples=[False],
    )
    pair: LookAlikeOut = Field(description="What comes of it.")
    cautions: tuple[str, ...] = Field(
        description="What to bear in mind.",
        examples=[["That a screw goes in proves nothing."]],
        max_length=10,
    )

    @classmethod
    def of(cls, paired: Paired) -> Self:
        """Carry the answer over the border."""
        return cls(fits=paired.fits, pair=LookAlikeOut.of(paired.pair), cautions=paired.cautions)
