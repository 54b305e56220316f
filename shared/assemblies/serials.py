"""Serial numbers with their letters: which lies in a range, and where that cannot be told."""

import re


def serial_order(serial: str) -> tuple[str, int, str] | None:
    """Prefix, number and suffix of a serial number; None when it has not exactly one number.

    >>> serial_order("LF-00417b")
    ('LF-', 417, 'B')
    """
    match = re.fullmatch(r"([^\d]*)(\d{1,18})([^\d]*)", serial.strip())
    if match is None:
        return None
    return match.group(1).upper(), int(match.group(2)), match.group(3).upper()


def serial_in_range(serial: str | None, first: str | None, last: str | None) -> bool | None:
    """Whether a serial number lies in a range, its bounds included; None when it cannot be told.

    Numbers are compared only within one series: where the letters before them and those after
    them are the same. Outside one bound is outside, whatever the other says.

    >>> serial_in_range("99999E", None, "341506E"), serial_in_range("LF-99", "LF-100", None)
    (True, False)
    >>> serial_in_range("341506", "341506E", None) is None
    True
    """
    sides = [
        _is_on_its_side(serial, bound, sign)
        for bound, sign in ((first, 1), (last, -1))
        if bound is not None
    ]
    if False in sides:
        return False
    return None if None in sides else True


def is_contradictory(first: str | None, last: str | None) -> bool:
    """Whether no serial number can lie in a range: bounds of one series, the last below the first.

    >>> is_contradictory("LF-500", "LF-100"), is_contradictory("LF-500", "LG-100")
    (True, False)
    """
    return first is not None and serial_in_range(first, None, last) is False


def _is_on_its_side(serial: str | None, bound: str, sign: int) -> bool | None:
    """Whether a serial number is not below (sign 1) or not above (sign -1) a bound."""
    if not serial or not serial.strip():
        return None
    if serial.strip().upper() == bound.strip().upper():
        return True  # What is written the same is the bound itself, even where it has no order.
    own, edge = serial_order(serial), serial_order(bound)
    if own is None or edge is None or (own[0], own[2]) != (edge[0], edge[2]):
        return None
    return sign * own[1] >= sign * edge[1]
