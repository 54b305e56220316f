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
    """Whether a serial number lies in a range; None when that cannot be told.

    Numbers are compared only where the letters before them are the same, and the letters after
    them are not compared at all.

    >>> serial_in_range("LF-417", "LF-100", "LF-500"), serial_in_range("LG-417", "LF-100", None)
    (True, None)
    """
    if first is None and last is None:
        return True
    own = serial_order(serial) if serial else None
    if own is None:
        return None
    for bound, sign in ((first, 1), (last, -1)):
        if bound is None:
            continue
        edge = serial_order(bound)
        if edge is None or edge[0] != own[0]:
            return None
        if edge[1] == own[1] and edge[2] != own[2]:
            return None  # Letters after the same number: their order is the maker's secret.
        if (own[1:] < edge[1:]) if sign == 1 else (own[1:] > edge[1:]):
            return False
    return True
