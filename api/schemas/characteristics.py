"""What a position is inspected for. The members are the fields of the domain's dataclass."""

from decimal import Decimal
from typing import Self

from pydantic import Field, model_validator

from api.schemas.base import (
    Body,
    Count,
    DecimalText,
    Flag,
    IdText,
    LongText,
    QuantityIn,
    ShortText,
    UnitCode,
    plain,
    refuse,
)
from api.schemas.findings import MOST_READINGS
from api.schemas.records import RecordHead, SnapshotId
from shared.assemblies.model import (
    DerivationKind,
    Grade,
    InspectionMethod,
    ReadingsCount,
    ServiceLimitKind,
)
from shared.quantities.units import convert, kind_of, same_dimension

LIMIT_NAMES = ("new_lower", "new_upper", "service_lower", "service_upper")
MOST_TERMS = 12
LARGEST_FACTOR = 1000
_OF_A_SIZE = ("unit", "counted_by", "service_limit_is", "derivation")
"""Members that only a dimension has."""


class DerivationTermFields(Body):
    """A characteristic that a derived measure is made of."""

    characteristic_id: IdText = Field(
        description="The characteristic that is measured.", examples=["chr_1c3"]
    )
    factor: DecimalText = Field(
        default=Decimal(1),
        description="What it is multiplied by: 1 to add, -1 to take away, 0.5 for a half.",
        examples=["-1"],
    )
    piece: Count | None = Field(
        default=None,
        description="Of which piece, where its position holds several.",
        examples=[1],
    )

    @model_validator(mode="after")
    def _adds_something(self) -> Self:
        if self.factor == 0 or abs(self.factor) > LARGEST_FACTOR:
            wanted = f"from -{LARGEST_FACTOR} to {LARGEST_FACTOR} and not 0"
            refuse(
                "out-of-range",
                f"Got {plain(self.factor)}; wanted a factor {wanted}.",
                f"Give a factor {wanted}, or leave the term out.",
                "/factor",
            )
        return self


class DerivationFields(Body):
    """How a measure follows from others: a clearance from bore and journal."""

    kind: DerivationKind = Field(
        description="Sum of the terms, each times its factor, plus the offset; or out-of-round or"
        " taper, from the readings of one characteristic.",
        examples=["sum"],
    )
    terms: tuple[DerivationTermFields, ...] = Field(
        default=(),
        max_length=MOST_TERMS,
        description="What it is made of; of out-of-round and taper exactly one.",
        examples=[
            [{"characteristic_id": "chr_1c3"}, {"characteristic_id": "chr_9a2", "factor": "-1"}]
        ],
    )
    offset: QuantityIn | None = Field(
        default=None,
        description="What is added to the sum, such as the length of a setting piece.",
        examples=[{"value": "12.50", "unit": "mm"}],
    )

    @model_validator(mode="after")
    def _of_its_kind(self) -> Self:
        if not self.terms:
            refuse("too-few", "Got no terms.", "Name what it follows from.", "/terms")
        if self.kind is DerivationKind.SUM:
            self._check_distinct()
        else:
            self._check_form()
        return self

    def _check_distinct(self) -> None:
        seen = set()
        for place, term in enumerate(self.terms):
            key = (term.characteristic_id, term.piece)
            if key in seen:
                refuse(
                    "repeated",
                    f"{term.characteristic_id} stands in the sum twice.",
                    "Name it once, with the factor of both together.",
                    f"/terms/{place}/characteristic_id",
                )
            seen.add(key)

    def _check_form(self) -> None:
        """Out-of-round and taper come from the readings of one size, as they are."""
        if len(self.terms) > 1:
            refuse(
                "too-many",
                f"Got {len(self.terms)} terms; {self.kind} is of the readings of one.",
                "Send exactly one term.",
                "/terms",
            )
        if self.terms[0].factor != 1:
            refuse(
                "out-of-range",
                f"Got a factor of {plain(self.terms[0].factor)}; {self.kind} takes the readings as"
                " they are.",
                "Leave the factor out.",
                "/terms/0/factor",
            )
        if self.offset is not None:
            refuse(
                "offset-misplaced",
                f"Got an offset, and {self.kind} is no sum.",
                "Leave the offset out.",
                "/offset",
            )


class CharacteristicCreate(Body):
    """What a position is inspected for: a dimension with limits, or a graded attribute."""

    position_id: IdText = Field(description="The position inspected.", examples=["pos_4hd"])
    name: ShortText = Field(description="What is inspected.", examples=["Seat diameter"])
    new_lower: QuantityIn | None = Field(
        default=None,
        description="Lower limit when new.",
        examples=[{"value": "20.002", "unit": "mm"}],
    )
    new_upper: QuantityIn | None = Field(
        default=None,
        description="Upper limit when new.",
        examples=[{"value": "20.015", "unit": "mm"}],
    )
    service_lower: QuantityIn | None = Field(
        default=None,
        description="Lower limit for a kept part.",
        examples=[{"value": "19.995", "unit": "mm"}],
    )
    service_upper: QuantityIn | None = Field(
        default=None,
        description="Upper limit for a kept part.",
        examples=[{"value": "20.020", "unit": "mm"}],
    )
    worst_acceptable_grade: Grade | None = Field(
        default=None, description="The worst grade with which a part is kept.", examples=["light"]
    )
    settling_method: InspectionMethod | None = Field(
        default=None,
        description="The method that settles it; another leaves it open.",
        examples=["penetrant"],
    )
    is_crack: Flag = Field(
        default=False,
        description="Whether it looks for cracks: any grade but none is nonconforming.",
        examples=[False],
    )
    limits_source: LongText | None = Field(
        default=None, description="Where the limits come from.", examples=["Shop's own record"]
    )
    unit: UnitCode | None = Field(
        default=None,
        description="What it is measured in; needed for a dimension of which no limit is known.",
        examples=["mm"],
    )
    gauge_kind: ShortText | None = Field(
        default=None,
        description="With what it is measured: a kind of gauge.",
        examples=["outside-micrometer"],
    )
    how: LongText | None = Field(
        default=None,
        description="How and where it is measured.",
        examples=["In two planes, in each along the crank and across it."],
    )
    counted_by: ReadingsCount | None = Field(
        default=None,
        description="Which of several readings counts; if not given, every extreme is judged.",
        examples=["greatest"],
    )
    minimum_readings: Count = Field(
        default=1,
        description="How many readings a verdict needs; fewer leave it open.",
        examples=[4],
    )
    service_limit_is: ServiceLimitKind | None = Field(
        default=None,
        description="Whether the part is still good up to the service limit, or is discarded"
        " from it on, as the maker says.",
        examples=["service"],
    )
    derivation: DerivationFields | None = Field(
        default=None, description="How it follows from other characteristics."
    )

    @model_validator(mode="after")
    def _dimension_or_attribute(self) -> Self:
        limits = [name for name in LIMIT_NAMES if getattr(self, name) is not None]
        if self.worst_acceptable_grade is not None or self.is_crack:
            self._check_attribute(limits)
        elif not limits and self.unit is None:
            refuse(
                "limits-missing",
                "Got neither a limit, nor a unit, nor a worst acceptable grade.",
                "Give at least one limit; or unit, where no limit is known; or"
                " worst_acceptable_grade, or is_crack true.",
            )
        check_limits(self)
        self._check_readings()
        return self

    def _check_attribute(self, limits: list[str]) -> None:
        """Refuse what only a dimension has."""
        if limits:
            refuse(
                "dimension-and-attribute",
                f"Got limits ({', '.join(limits)}) and a grade or crack for one characteristic.",
                "Make two characteristics: one measured, one graded.",
                f"/{limits[0]}",
            )
        given = [name for name in _OF_A_SIZE if getattr(self, name) is not None]
        given += ["minimum_readings"] if self.minimum_readings > 1 else []
        if given:
            refuse(
                "dimension-and-attribute",
                f"Got {', '.join(given)} and a grade or crack for one characteristic.",
                "Make two characteristics: one measured, one graded.",
                f"/{given[0]}",
            )

    def _check_readings(self) -> None:
        if self.minimum_readings > MOST_READINGS:
            refuse(
                "out-of-range",
                f"Got {self.minimum_readings}; a finding has at most {MOST_READINGS} readings.",
                f"Give minimum_readings from 1 to {MOST_READINGS}.",
                "/minimum_readings",
            )
        if self.service_limit_is is not None and not (self.service_lower or self.service_upper):
            refuse(
                "limits-missing",
                "Got service_limit_is, and there is no service limit.",
                "Give service_lower or service_upper, or leave service_limit_is out.",
                "/service_limit_is",
            )


def check_limits(characteristic: CharacteristicCreate) -> None:
    """Refuse limits of mixed kinds of quantity, or a lower limit above its upper one."""
    given = {
        name: limit for name in LIMIT_NAMES if (limit := getattr(characteristic, name)) is not None
    }
    units = {name: (limit.unit, f"/{name}/unit") for name, limit in given.items()}
    if characteristic.unit is not None:
        units["unit"] = (characteristic.unit, "/unit")
    derivation = characteristic.derivation
    if derivation is not None and derivation.offset is not None:
        units["offset"] = (derivation.offset.unit, "/derivation/offset/unit")
    if not units:
        return
    first, *others = units
    for name in others:
        unit, pointer = units[name]
        if not same_dimension(kind_of(unit), kind_of(units[first][0])):
            refuse(
                "unit-wrong-dimension",
                f"{name} is in {unit}, {first} in {units[first][0]}.",
                "Give all of it in units of one kind of quantity.",
                pointer,
            )
    for lower, upper in (("new_lower", "new_upper"), ("service_lower", "service_upper")):
        if lower in given and upper in given and _is_above(given[lower], given[upper]):
            refuse(
                "range-reversed",
                f"{lower} {given[lower].value} {given[lower].unit} is above {upper} "
                f"{given[upper].value} {given[upper].unit}.",
                "Swap the two limits.",
                f"/{lower}",
            )


def _is_above(lower: QuantityIn, upper: QuantityIn) -> bool:
    return convert(lower.value, lower.unit, upper.unit) > upper.value


class CharacteristicRead(RecordHead, CharacteristicCreate):
    """A characteristic as stored."""


class CharacteristicInSnapshot(SnapshotId, CharacteristicCreate):
    """A characteristic inside a snapshot."""
