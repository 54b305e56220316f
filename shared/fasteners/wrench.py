"""What to set on a torque wrench that carries an adapter. Torque in N·m, lengths in mm."""

from dataclasses import dataclass
from enum import StrEnum
from math import cos, isfinite, radians
from types import MappingProxyType
from typing import Final

from shared.errors import InvalidInput


class Position(StrEnum):
    """How the adapter stands to the wrench."""

    IN_LINE = "in line"
    SQUARE = "square"
    BACKWARDS = "backwards"


ANGLE_OF: Final = MappingProxyType(
    {Position.IN_LINE: 0.0, Position.SQUARE: 90.0, Position.BACKWARDS: 180.0}
)


@dataclass(frozen=True, slots=True)
class WrenchSetting:
    """What to set, N·m, and the torque at the screw per torque set; ``notes`` to go with it."""

    setting: float
    ratio: float
    notes: tuple[str, ...]


def wrench_setting(target: float, wrench: float, adapter: float, angle: float) -> WrenchSetting:
    """Return the setting that gives ``target`` at the screw: target L / (L + E cos angle).

    ``wrench`` L from the middle of the grip to the middle of the square drive; ``adapter`` E from
    there to the middle of the screw; ``angle`` in degrees from straight on (0 in line, 90 square,
    180 backwards). Holds for a pull square to the wrench at the middle of its grip. Raises
    InvalidInput for lengths that are none and an adapter that reaches back past the grip. Source:
    statics: the hand's force acts at L from the drive and at L + E cos angle from the screw.

    >>> round(wrench_setting(90, 300, 25, 0).setting, 2)
    83.08
    """
    _check(target, "/target", "torque", 1e6)
    _check(wrench, "/wrench_length", "length", 1e5)
    if adapter != 0:
        _check(adapter, "/adapter_length", "length", 1e5)
    if not (isfinite(angle) and -360 <= angle <= 360):
        raise InvalidInput(
            "/angle",
            f"angle is {angle:g} degrees; wanted -360 to 360.",
            "Give 0 in line, 90 square, 180 backwards.",
            "out-of-range",
        )
    # cos 90 degrees leaves a rounding error, which would show as a false digit.
    reach = wrench + adapter * round(cos(radians(angle)), 15)
    if reach < 0.25 * wrench:
        raise InvalidInput(
            "/adapter_length",
            f"An adapter of {adapter:g} mm pointing back leaves {reach:g} mm of lever on a wrench"
            f" of {wrench:g} mm.",
            "Use a longer wrench, or set the adapter square.",
            "lever-too-short",
        )
    return WrenchSetting(target * wrench / reach, reach / wrench, _notes(adapter, angle))


def _notes(adapter: float, angle: float) -> tuple[str, ...]:
    notes = [
        "Pull square to the wrench at the middle of its grip: the lengths count from there.",
        "A straight extension of the drive changes nothing; only what moves the screw away from"
        " the drive does.",
    ]
    if adapter and abs(cos(radians(angle))) < 1e-9:
        notes.append("Square on, the adapter changes nothing: set the target itself.")
    return tuple(notes)


def _check(value: float, pointer: str, what: str, most: float) -> None:
    if not (isfinite(value) and 0 < value <= most):
        raise InvalidInput(
            pointer,
            f"Got {value:g}; wanted a {what} above 0.",
            f"Give a {what} above 0, at most {most:g} in N·m or mm.",
            "out-of-range",
        )
