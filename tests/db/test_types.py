"""What goes into a column comes out the same, or is refused."""

from datetime import UTC, datetime, timedelta, timezone
from decimal import Decimal

import pytest
from hypothesis import given
from hypothesis import strategies as st
from sqlalchemy.dialects import postgresql, sqlite

from db.types import EnteredDecimal, ScaledDecimal, UtcDateTime, fits

DIALECTS = [sqlite.dialect(), postgresql.dialect()]


@given(st.decimals(-(10**12) + 1, 10**12 - 1, places=6))
def test_a_scaled_decimal_comes_back_equal_and_in_its_shortest_form(value: Decimal) -> None:
    for dialect in DIALECTS:
        scaled = ScaledDecimal().process_bind_param(value, dialect)
        back = ScaledDecimal().process_result_value(scaled, dialect)
        assert back == value
        assert "E" not in str(back) or abs(value) < Decimal("0.000001") or "E+" not in str(back)


@pytest.mark.parametrize(
    ("entered", "shown"), [("2.000000", "2"), ("100", "100"), ("0.10", "0.1"), ("-0", "0")]
)
def test_equal_decimals_are_shown_alike(entered: str, shown: str) -> None:
    scaled = ScaledDecimal().process_bind_param(Decimal(entered), DIALECTS[0])
    assert str(ScaledDecimal().process_result_value(scaled, DIALECTS[0])) == shown


@pytest.mark.parametrize("text", ["0.0000001", "1000000000000", "NaN", "Infinity", "1E+999999999"])
def test_what_a_column_cannot_hold_exactly_is_refused(text: str) -> None:
    assert not fits(Decimal(text))
    with pytest.raises(ValueError, match="places"):
        ScaledDecimal().process_bind_param(Decimal(text), DIALECTS[0])


def test_an_entered_decimal_keeps_its_zeros() -> None:
    stored = EnteredDecimal().process_bind_param(Decimal("31.40"), DIALECTS[0])
    assert stored == "31.40"
    assert str(EnteredDecimal().process_result_value(stored, DIALECTS[0])) == "31.40"


@pytest.mark.parametrize("dialect", DIALECTS)
def test_a_moment_comes_back_in_utc(dialect: object) -> None:
    eastern = datetime(2031, 3, 4, 9, 15, tzinfo=timezone(timedelta(hours=5, minutes=30)))
    stored = UtcDateTime().process_bind_param(eastern, dialect)
    back = UtcDateTime().process_result_value(stored, dialect)
    assert back == eastern
    assert back is not None and back.tzinfo is UTC


def test_a_time_without_an_offset_is_refused() -> None:
    with pytest.raises(ValueError, match="offset"):
        UtcDateTime().process_bind_param(datetime(2031, 3, 4), DIALECTS[0])
