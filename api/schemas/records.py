"""What all records share: the head that a stored record carries, and checks of several members."""

from datetime import date
from decimal import Decimal

from pydantic import Field

from api.schemas.base import Answer, Body, IdText, UtcDateTime, WholeNumber, plain, refuse
from shared.assemblies.serials import is_contradictory


class RecordHead(Answer):
    """Identity and version of a stored record."""

    id: IdText = Field(description="Identity of the record; never parse it.", examples=["pos_4hd"])
    version: WholeNumber = Field(
        description="Counts the changes; the ETag is made of it.", examples=[1]
    )
    created_at: UtcDateTime = Field(
        description="When the record was made.", examples=["2031-03-04T09:15:00Z"]
    )
    updated_at: UtcDateTime = Field(
        description="When the record was last changed.", examples=["2031-03-04T09:15:00Z"]
    )


class SnapshotId(Body):
    """Identity of a record inside a snapshot sent whole; free text of the sender's."""

    id: IdText = Field(description="Identity inside this snapshot.", examples=["pos-bearing"])


def check_p90_not_below_p50(p50: Decimal, p90: Decimal, p50_name: str, p90_name: str) -> None:
    """Refuse a P90 below its P50: nine cases in ten cannot be done sooner than five in ten."""
    if p90 < p50:
        refuse(
            "p90-below-p50",
            f"{p90_name} is {plain(p90)}, below {p50_name} {plain(p50)}.",
            f"Give {p90_name} of at least {plain(p50)}.",
            f"/{p90_name}",
        )


def check_serial_range(serial_from: str | None, serial_to: str | None) -> None:
    """Refuse a range of serial numbers of one series that ends before it begins."""
    if is_contradictory(serial_from, serial_to):
        refuse(
            "range-reversed",
            f"serial_to {serial_to} comes before serial_from {serial_from}.",
            "Swap the two ends.",
            "/serial_to",
        )


def check_day_order(
    first: date | None, second: date | None, first_name: str, second_name: str
) -> None:
    """Refuse a day that comes before the one it cannot precede, where both are given."""
    if first is not None and second is not None and second < first:
        refuse(
            "range-reversed",
            f"{second_name} {second} comes before {first_name} {first}.",
            "Mend the day that is wrong.",
            f"/{second_name}",
        )


def check_distinct(values: tuple[object, ...], at: str, what: str) -> None:
    """Refuse a list that names the same thing twice."""
    seen: set[object] = set()
    for index, value in enumerate(values):
        if value in seen:
            refuse(
                "repeated",
                f"{value} stands in the list twice.",
                f"Name each {what} once.",
                f"{at}/{index}",
            )
        seen.add(value)
