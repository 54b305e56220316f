"""Reading trade notation: what is read, what is asked about, what is refused."""

from decimal import Decimal
from time import perf_counter

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from shared.errors import Ambiguous, InvalidInput, UnknownUnit, WrongDimension
from shared.quantities import Reading, read_text
from shared.standards import table


def value_of(text):
    return read_text(text).value.value


def ends_of(text):
    reading = read_text(text)
    return reading.lower.value, reading.upper.value


@pytest.mark.parametrize(
    ("text", "mm"),
    [
        ('.004"', "0.1016"),
        ("8 thou", "0.2032"),
        ("1-1/4 in", "31.75"),
        ('1 1/4"', "31.75"),
        ("6' 2\"", "1879.6"),
        ("6'-2\"", "1879.6"),
        ("6 ft 2 in", "1879.6"),
        ("13 µm", "0.013"),
        ("13 μm", "0.013"),
        ("1,5 mm", "1.5"),
        ("0,050 mm", "0.05"),
        ("1,234.5 mm", "1234.5"),
        ("1.234,5 mm", "1234.5"),
        ("1,234,567 mm", "1234567"),
        ("1e-3 m", "1"),
        ("25MM", "25"),
        ("Ø25 mm", "25"),
        ("– 0.05 mm", "-0.05"),
        ("3 hundredths", "0.03"),
        ("end play 0.1 mm", "0.1"),
    ],
)
def test_a_length_is_read_as_the_trade_writes_it(text, mm):
    assert value_of(text) == Decimal(mm)


@pytest.mark.parametrize(
    "text", [f"0.30{dash}0.40 mm" for dash in "-‐‑‒–—−~"] + ["0.30 to 0.40 mm", "0.30...0.40 mm"]
)
def test_every_sort_of_dash_parts_a_range(text):
    assert ends_of(text) == (Decimal("0.30"), Decimal("0.40"))


@pytest.mark.parametrize(
    ("text", "lower", "upper"),
    [
        ("0,05-0,10 mm", "0.05", "0.10"),
        ("1/4-3/8 in", "6.35", "9.525"),
        ("1 1/4-1 1/2 in", "31.75", "38.1"),
        ("2-1/2 - 3-1/2 in", "63.5", "88.9"),
        ("-0.02 - +0.01 mm", "-0.02", "0.01"),
        ("0.5 in - 15 mm", "12.7", "15"),
        ("500 kPa - 2 MPa", "500", "2000"),
        ("25 mm +0.02 -0.01", "24.99", "25.02"),
        ("25 +0.02/-0.01 mm", "24.99", "25.02"),
        ("5.5±0.1mm", "5.4", "5.6"),
        ("40 N·m ± 10 %", "36", "44"),
        ("20 °C ± 9 K", "11", "29"),
    ],
)
def test_ranges_and_tolerances_give_their_two_ends(text, lower, upper):
    assert ends_of(text) == (Decimal(lower), Decimal(upper))


def test_a_limit_gives_one_end_only():
    for text in ("max 0.15 mm", "0.15 mm max.", "maximum clearance 0.15 mm"):
        reading = read_text(text)
        assert (reading.value, reading.lower) == (None, None)
        assert reading.upper.value == Decimal("0.15")
    assert read_text("min. 0.5 mm (0.020 in)").lower.value == Decimal("0.5")


def test_a_rise_in_temperature_is_a_difference():
    rise = read_text("18 °F rise")
    assert (rise.kind, rise.value.value, rise.value.unit) == ("temperature-difference", 10, "K")


def test_pounds_beside_newtons_are_pounds_of_force():
    spring = read_text("100 lbs (445 N)")
    assert spring.kind == "force"
    assert float(spring.value.value) == pytest.approx(444.822, abs=0.001)
    assert spring.stated_twins[0].status == "agrees"


def test_steps_may_be_several_and_in_turns():
    steps = read_text("20 N·m + 90° + 1/4 turn").then
    assert [step.value for step in steps] == [90, 90]


@pytest.mark.parametrize(
    ("text", "metric", "customary"),
    [
        ("22 ft-lb", "29.8 N·m", "22 ft-lb"),
        ("10 N·m", "10 N·m", "88.5 in-lb"),
        ("0.30 – 0.40 mm", "0.30 to 0.40 mm", "0.0118 to 0.0157 in"),
        ('5/16"', "7.938 mm", "5/16 in"),
        ("32 psi", "220.6 kPa", "32 psi"),
        ("640 MPa", "640 MPa", "92.82 ksi"),
        ("21.2 kN", "21.2 kN", "4766 lbf"),
        ("1500 rpm", "1500 1/min", "1500 rpm"),
        ("6 oz", "170.1 g", "6 oz"),
        ("250 ml", "250 mL", "8.454 US fl oz"),
        ("20 °C", "20 °C", "68 °F"),
        ("20 N·m + 90°", "20 N·m, then 90°", "14.8 ft-lb, then 90°"),
        ("max 2 mm", "max. 2 mm", "max. 0.0787 in"),
    ],
)
def test_answers_are_printed_as_both_kinds_of_book_do(text, metric, customary):
    reading = read_text(text)
    assert (reading.metric, reading.customary) == (metric, customary)


@pytest.mark.parametrize(
    ("text", "readings"),
    [
        ("25 nm", ["25 N·m (newton metre, a torque)", "25 nm (nanometre, a length)"]),
        ("1,200 mm", ["1200 mm", "1.200 mm"]),
        ("1 200 N", ["1200 N"]),
        ("10/12 N·m", ["10 N·m", "12 N·m", "designation 10/12"]),
        ("6' 2", ["6' 2\""]),
        ("20 Nm - 25", ["20 to 25 N·m"]),
        ("25 N·m (18 ft-lb", ["25 N·m (18 ft-lb)"]),
        ("20 N·m 90°", ["20 N·m + 90°"]),
        ("25", ["25 mm", "25 in"]),
    ],
)
def test_text_with_two_meanings_is_asked_about(text, readings):
    with pytest.raises(Ambiguous) as asked:
        read_text(text)
    assert list(asked.value.readings) == readings


@pytest.mark.parametrize(
    "text",
    ["30 lb/ft", "2 tenths", "5 tons", "25 NM", "1/2 N·m", "3/8", "27/64", "62/22 mm", "35 ± 5"],
)
def test_nothing_is_guessed(text):
    with pytest.raises(Ambiguous):
        read_text(text)


@pytest.mark.parametrize(
    "text",
    [
        "1/2-13",
        '1/2"-13 UNC',
        "1 1/8-12",
        "10-32",
        "#10-32",
        "8-32",
        "M8",
        "M8 x 1.25",
        "G 1/2",
        "25 x 47 x 12 mm",
        "6205-2RS",
        "NU205",
        "62/22",
        "HK1612",
    ],
)
def test_designations_are_sent_elsewhere(text):
    with pytest.raises(InvalidInput) as refused:
        read_text(text)
    assert refused.value.code == "designation"


def test_a_unit_makes_a_range_of_what_else_is_a_thread():
    assert ends_of("10-32 mm") == (10, 32)
    assert ends_of('10 3/8" - 12"') == (Decimal("263.525"), Decimal("304.8"))


@pytest.mark.parametrize(
    "text",
    [
        "",
        "   ",
        "mm",
        "nan mm",
        "inf N",
        "1e400 m",
        "1E+999999999999999999 mm",
        "1e16 mm",
        "9**9**9",
        "m**99999",
        "5 mm + 3 mm",
        "5 5 m",
        "1.2.3 mm",
        "1_0 mm",
        "２５ mm",
        "٢٢ mm",
        "5² mm",
        "1\u200b2 mm",
        "22 ft\u202e-lb",
        "22 mm\0",
        "\ud800 mm",
        "0.3 ÷ 0.4 mm",
        "1.5 in the bore",
        "45 N·m (33)",
        "-300 °C",
        "(" * 200,
        "9" * 200,
        "x" * 201,
        "mm" * 100,
        "<svg onload=1>",
        "'; --",
    ],
)
def test_what_is_no_quantity_is_refused_clearly(text):
    with pytest.raises(InvalidInput) as refused:
        read_text(text)
    assert refused.value.pointer == "/text"
    assert refused.value.detail
    assert refused.value.fix
    assert len(refused.value.detail) < 200


@pytest.mark.parametrize(
    ("text", "offered"), [("25 mmm", "mm"), ("25 M", "m"), ("25 mPa", "MPa"), ("5 ftlbb", "ftlb")]
)
def test_an_unknown_unit_is_refused_with_the_nearest(text, offered):
    with pytest.raises(UnknownUnit, match=f"did you mean '{offered}'"):
        read_text(text)


def test_a_twin_of_another_kind_is_refused():
    with pytest.raises(WrongDimension):
        read_text("25 N·m (635 mm)")


def test_case_decides_between_milli_and_mega():
    assert value_of("250 mN·m") == Decimal("0.25")
    with pytest.raises(InvalidInput):
        read_text("250 MN·m")


SPELLINGS = [row["spelling"] for row in table("unit_spellings")]
NUMBERS = ["0", "25", "0.30", ".004", "1,5", "1/2", "1-1/4", "1½", "1e7", "1,200", "-5", "10 3/8"]
SIGNS = ["-", " - ", "±", " to ", "(", ")", "+", "/", "=", ", ", " ", "°", '"', "'", " max", "x"]


@settings(max_examples=400, deadline=None)
@given(st.lists(st.sampled_from(NUMBERS + SPELLINGS + SIGNS), max_size=9).map("".join))
def test_any_text_is_read_or_refused_and_no_range_is_upside_down(text):
    try:
        reading = read_text(text)
    except InvalidInput as refused:
        assert refused.pointer == "/text"
        return
    assert isinstance(reading, Reading)
    if reading.lower and reading.upper:
        assert reading.lower.value <= reading.upper.value


@settings(max_examples=200, deadline=None)
@given(st.text(max_size=200))
def test_any_characters_are_read_or_refused(text):
    try:
        read_text(text)
    except InvalidInput as refused:
        assert refused.pointer == "/text"


@pytest.mark.parametrize(
    "piece", ["1", "1/", "1-", "(", "1 mm(", "in-", "1 in ", ".", "+-", "1'", "UN", "1/2-", "1 a"]
)
def test_reading_takes_no_time_that_anyone_would_notice(piece):
    text = (piece * 200)[:200]
    began = perf_counter()
    with pytest.raises(InvalidInput):
        read_text(text)
    assert perf_counter() - began < 0.2
