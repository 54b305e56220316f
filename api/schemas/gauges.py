"""The shop's gauges. The members are the fields of ``shared/condition/model.py``."""

from typing import Self

from pydantic import Field, model_validator

from api.schemas.base import (
    Body,
    CalendarDate,
    Count,
    LongText,
    QuantityIn,
    ShortText,
    plain,
    refuse,
)
from api.schemas.records import RecordHead, SnapshotId
from shared.quantities.units import convert, kind_of, same_dimension

_DOUBTS = ("standard_uncertainty", "expanded_uncertainty", "plus_minus")


class GaugeCreate(Body):
    """One of the shop's gauges, and what is known of it."""

    name: ShortText = Field(
        description="What the shop calls it; one name, one gauge.",
        examples=["Bore gauge 35-60, No. 2"],
    )
    kind: ShortText | None = Field(
        default=None,
        description="What kind it is; a kind with a usual uncertainty serves where none is given.",
        examples=["bore-gauge"],
    )
    serial_number: ShortText | None = Field(
        default=None, description="Its serial number.", examples=["7731"]
    )
    standard_uncertainty: QuantityIn | None = Field(
        default=None,
        description="Standard uncertainty of one reading, with the hand that takes it.",
        examples=[{"value": "0.004", "unit": "mm"}],
    )
    common_uncertainty: QuantityIn | None = Field(
        default=None,
        description="The part of it that all its readings share: calibration, setting master.",
        examples=[{"value": "0.002", "unit": "mm"}],
    )
    master: ShortText | None = Field(
        default=None,
        description="What it is set by; gauges of one master share the common part.",
        examples=["Setting ring 40 mm"],
    )
    calibrated_on: CalendarDate | None = Field(
        default=None, description="When it was last calibrated.", examples=["2026-01-12"]
    )
    calibration_months: Count | None = Field(
        default=None,
        description="After how many months the calibration runs out.",
        examples=[12],
    )
    note: LongText | None = Field(
        default=None, description="Anything worth knowing.", examples=["Reads from 35 mm on."]
    )

    reads_from: QuantityIn | None = Field(
        default=None,
        description="The least that it reads.",
        examples=[{"value": "35", "unit": "mm"}],
    )
    reads_up_to: QuantityIn | None = Field(
        default=None,
        description="The most that it reads.",
        examples=[{"value": "60", "unit": "mm"}],
    )

    @model_validator(mode="after")
    def _range(self) -> Self:
        ends = {"reads_from": self.reads_from, "reads_up_to": self.reads_up_to}
        for name, end in ends.items():
            stated = None if end is None else _doubt_stated(end)
            if stated is not None:
                refuse(
                    "uncertainty-misplaced",
                    f"{name} states {stated}; an end of a range is what it says.",
                    "Leave it out.",
                    f"/{name}/{stated}",
                )
        if self.reads_from is None or self.reads_up_to is None:
            return self
        if not same_dimension(kind_of(self.reads_from.unit), kind_of(self.reads_up_to.unit)):
            refuse(
                "unit-wrong-dimension",
                f"reads_up_to is in {self.reads_up_to.unit}, reads_from in {self.reads_from.unit}.",
                "Give both in units of one kind of quantity.",
                "/reads_up_to/unit",
            )
        least = convert(self.reads_from.value, self.reads_from.unit, self.reads_up_to.unit)
        if least > self.reads_up_to.value:
            refuse(
                "range-reversed",
                "reads_up_to is below reads_from.",
                "Exchange the two or mend the slip.",
                "/reads_up_to/value",
            )
        return self

    @model_validator(mode="after")
    def _uncertainties(self) -> Self:
        for name in ("standard_uncertainty", "common_uncertainty"):
            _check_uncertainty(getattr(self, name), name)
        whole, shared = self.standard_uncertainty, self.common_uncertainty
        if whole is not None and shared is not None:
            _check_part(whole, shared)
        return self


def _check_uncertainty(given: QuantityIn | None, name: str) -> None:
    """Refuse an uncertainty of zero or less, and one that is itself in doubt."""
    if given is None:
        return
    if given.value <= 0:
        refuse(
            "out-of-range",
            f"Got {plain(given.value)} {given.unit}; wanted more than 0: a reading without doubt"
            " does not exist.",
            f"Give {name} of more than 0, or leave it out where it is not known.",
            f"/{name}/value",
        )
    stated = _doubt_stated(given)
    if stated is not None:
        refuse(
            "uncertainty-of-uncertainty",
            f"{name} is itself an uncertainty, and has {stated}.",
            f"Leave {stated} out.",
            f"/{name}/{stated}",
        )
    if given.unit in ("°C", "°F"):
        refuse(
            "unit-wrong-dimension",
            f"The uncertainty is in {given.unit}, which is a temperature and no difference.",
            "Give it in K.",
            f"/{name}/unit",
        )


def _doubt_stated(given: QuantityIn) -> str | None:
    return next((way for way in _DOUBTS if getattr(given, way) is not None), None)


def _check_part(whole: QuantityIn, shared: QuantityIn) -> None:
    """Refuse a common part that is more than the whole, or of another kind."""
    if not same_dimension(kind_of(whole.unit), kind_of(shared.unit)):
        refuse(
            "unit-wrong-dimension",
            f"common_uncertainty is in {shared.unit}, standard_uncertainty in {whole.unit}.",
            "Give both in units of one kind of quantity.",
            "/common_uncertainty/unit",
        )
    if convert(shared.value, shared.unit, whole.unit) > whole.value:
        refuse(
            "common-above-whole",
            f"common_uncertainty {plain(shared.value)} {shared.unit} is above"
            f" standard_uncertainty {plain(whole.value)} {whole.unit}, of which it is a part.",
            "Give a common_uncertainty of standard_uncertainty at most.",
            "/common_uncertainty/value",
        )


class GaugeRead(RecordHead, GaugeCreate):
    """A gauge as stored."""


class GaugeInSnapshot(SnapshotId, GaugeCreate):
    """A gauge inside a snapshot."""
