"""Findings: what was measured or seen. The members are the fields of the domain's ``Finding``."""

from datetime import date, datetime
from typing import Self

from pydantic import Field, model_validator

from api.schemas.base import (
    Body,
    CalendarDate,
    Count,
    Flag,
    HoursText,
    IdText,
    LongText,
    QuantityIn,
    ShortText,
    UtcDateTime,
    plain,
    refuse,
)
from api.schemas.records import RecordHead, SnapshotId
from shared.assemblies.model import Grade, InspectionMethod
from shared.evidence import FailureMechanism
from shared.quantities.units import convert, kind_of, same_dimension
from shared.salvage.states import has_come

MOST_READINGS = 100


class ReadingFields(Body):
    """One reading of several of one size."""

    size: QuantityIn = Field(
        description="What was read, with its doubt if it is known.",
        examples=[{"value": "40.012", "unit": "mm"}],
    )
    plane: ShortText | None = Field(
        default=None, description="In which plane along the part.", examples=["A"]
    )
    direction: ShortText | None = Field(
        default=None, description="In which direction across it.", examples=["X"]
    )


class FindingFields(Body):
    """What a finding says, whoever found it and when."""

    position_id: IdText = Field(description="The position inspected.", examples=["pos_4hd"])
    characteristic_id: IdText = Field(
        description="The characteristic inspected.", examples=["chr_1c3"]
    )
    method: InspectionMethod = Field(description="How.", examples=["gauge"])
    measured: QuantityIn | None = Field(
        default=None,
        description="What was measured, with its doubt.",
        examples=[{"value": "19.998", "unit": "mm", "standard_uncertainty": "0.002"}],
    )
    grade: Grade | None = Field(default=None, description="What was seen.", examples=["light"])
    gauge: ShortText | None = Field(
        default=None,
        description="The gauge; its known uncertainty serves where none is stated.",
        examples=["micrometer"],
    )
    part_temperature: QuantityIn | None = Field(
        default=None,
        description="Temperature of the part when measured.",
        examples=[{"value": "22", "unit": "°C"}],
    )
    is_cleaned: Flag | None = Field(
        default=None, description="Whether the part was clean.", examples=[True]
    )
    location: ShortText | None = Field(
        default=None, description="Where on the part.", examples=["seal track, drive side"]
    )
    piece: Count | None = Field(
        default=None, description="Which of several pieces, from 1.", examples=[1]
    )
    note: LongText | None = Field(
        default=None, description="Anything else seen.", examples=["Blued on one side."]
    )
    supersedes_id: IdText | None = Field(
        default=None, description="The finding that this one replaces.", examples=["fnd_9a2"]
    )
    readings: tuple[ReadingFields, ...] = Field(
        default=(),
        max_length=MOST_READINGS,
        description="Several readings of the size, in place of measured.",
        examples=[
            [
                {"size": {"value": "40.012", "unit": "mm"}, "plane": "A", "direction": "X"},
                {"size": {"value": "40.019", "unit": "mm"}, "plane": "A", "direction": "Y"},
            ]
        ],
    )
    at_least: QuantityIn | None = Field(
        default=None,
        description="The least that it is: the gauge of this size goes.",
        examples=[{"value": "0.15", "unit": "mm"}],
    )
    at_most: QuantityIn | None = Field(
        default=None,
        description="The most that it is: the gauge of this size does not go.",
        examples=[{"value": "0.20", "unit": "mm"}],
    )
    gauge_id: IdText | None = Field(
        default=None, description="The shop's gauge it was measured with.", examples=["gau_1c3"]
    )
    gauge_calibrated_on: CalendarDate | None = Field(
        default=None,
        description="When the gauge was last calibrated before; if not given, as the gauge's"
        " record says.",
        examples=["2026-01-12"],
    )
    mechanism: FailureMechanism | None = Field(
        default=None, description="How it failed, as it shows.", examples=["wear"]
    )
    client_id: ShortText | None = Field(
        default=None,
        description="The caller's own word for the finding, once in a shop: what is sent again"
        " under it is not stored again.",
        examples=["tablet-3/118"],
    )

    @model_validator(mode="after")
    def _says_one_thing(self) -> Self:
        said = self._said()
        if len(said) != 1:
            got = " and ".join(said) if said else "none of measured, readings, at_least, at_most"
            refuse(
                "measured-or-graded",
                f"Got {got}; wanted one of measured, readings, an interval, a grade.",
                "Give measured, readings, or at_least and at_most for a dimension, grade for an"
                " attribute.",
                f"/{said[1].partition(',')[0]}" if said else "/measured",
            )
        if self.grade is None and self.method is not InspectionMethod.GAUGE:
            refuse(
                "method-does-not-measure",
                f"A size was measured by {self.method}.",
                f"Give method gauge with {said[0]}, or a grade with this method.",
                "/method",
            )
        self._check_interval()
        self._check_readings()
        self._check_gauge()
        return self

    def _said(self) -> list[str]:
        """Return the ways in which it says something; the two ends are one way."""
        ends = [name for name in ("at_least", "at_most") if getattr(self, name) is not None]
        ways = [name for name in ("measured", "grade") if getattr(self, name) is not None]
        ways += ["readings"] if self.readings else []
        return ways + ([", ".join(ends)] if ends else [])

    def _check_interval(self) -> None:
        low, high = self.at_least, self.at_most
        if low is None or high is None:
            return
        if not same_dimension(kind_of(low.unit), kind_of(high.unit)):
            refuse(
                "unit-wrong-dimension",
                f"at_most is in {high.unit}, at_least in {low.unit}.",
                "Give both ends in units of one kind of quantity.",
                "/at_most/unit",
            )
        least = convert(low.value, low.unit, high.unit)
        if least > high.value:
            refuse(
                "range-reversed",
                f"at_least {plain(low.value)} {low.unit} is above at_most"
                f" {plain(high.value)} {high.unit}.",
                "Swap the two ends.",
                "/at_least",
            )
        if least == high.value:
            refuse(
                "interval-empty",
                f"Both ends are {plain(high.value)} {high.unit}: nothing is known so exactly.",
                "Give the ends that the gauge tells, or measured with its uncertainty.",
                "/at_most",
            )

    def _check_readings(self) -> None:
        for place, reading in enumerate(self.readings[1:], start=1):
            first = self.readings[0].size.unit
            if not same_dimension(kind_of(reading.size.unit), kind_of(first)):
                refuse(
                    "unit-wrong-dimension",
                    f"The reading is in {reading.size.unit}, the first in {first}.",
                    "Give all readings in units of one kind of quantity.",
                    f"/readings/{place}/size/unit",
                )

    def _check_gauge(self) -> None:
        if self.gauge_calibrated_on is not None and self.gauge is None and self.gauge_id is None:
            refuse(
                "gauge-missing",
                "Got gauge_calibrated_on, and neither gauge nor gauge_id.",
                "Say which gauge it was, or leave gauge_calibrated_on out.",
                "/gauge_calibrated_on",
            )
        if self.part_temperature is not None:
            _check_temperature(self.part_temperature)


def _check_temperature(temperature: QuantityIn) -> None:
    if kind_of(temperature.unit) != "temperature":
        refuse(
            "unit-wrong-dimension",
            f"The temperature is in {temperature.unit}.",
            "Give it in °C or °F.",
            "/part_temperature/unit",
        )


class FindingCreate(FindingFields):
    """What was measured or seen; never changed, only superseded by a later finding."""

    unit_id: IdText = Field(description="The unit inspected.", examples=["unt_2f8"])
    found_by: ShortText = Field(description="Who measured or looked.", examples=["bench two"])
    found_at: UtcDateTime = Field(
        description="When, with its offset; not in the future.", examples=["2026-03-04T09:15:00Z"]
    )
    unit_hours: HoursText | None = Field(
        default=None, description="Hours that the unit had run.", examples=["1480"]
    )

    @model_validator(mode="after")
    def _calibrated_before(self) -> Self:
        check_calibrated(self.gauge_calibrated_on, self.found_at)
        return self


def check_calibrated(calibrated_on: date | None, found_at: datetime, at: str = "") -> None:
    """Refuse a calibration that comes after the reading; ``at`` points at the finding."""
    if calibrated_on is not None and not has_come(calibrated_on, found_at):
        refuse(
            "calibrated-after",
            f"gauge_calibrated_on {calibrated_on} comes after found_at {found_at.date()}.",
            "Give the last calibration before the reading was made.",
            f"{at}/gauge_calibrated_on",
        )


class FindingRead(RecordHead, FindingCreate):
    """A finding as stored."""


class FindingInSnapshot(SnapshotId, FindingCreate):
    """A finding inside a snapshot."""
