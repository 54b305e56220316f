"""Figures printed side by side in two units: what is rounding and what a slip."""

import pytest

from shared.quantities import read_text


def status(text):
    reading = read_text(text)
    (twin,) = reading.stated_twins
    assert reading.needs_checking == twin.status.needs_checking
    return twin.status.value


@pytest.mark.parametrize(
    ("text", "wanted"),
    [
        ("25 N·m (18 ft-lb)", "agrees"),
        ("25 N·m [18 ft-lb]", "agrees"),
        ("25 N·m = 18 ft-lb", "agrees"),
        ("25 N·m / 18 ft-lb", "agrees"),
        ('0.05 mm (.002")', "agrees"),
        ("80–100 °C (176–212 °F)", "agrees"),
        ("0 mm (0 in)", "agrees"),
        ("18 N·m (13.0 ft-lb)", "rounding"),
        ("94 N·m (9.4 kgf·m)", "rounding"),
        ("0.02 mm (0.001 in)", "coarse-rounding"),
        ("1 mm (0.05 in)", "coarse-rounding"),
        ("1.25 N·m (10 lbf·in)", "coarse-rounding"),
        ("150 N·m (185 ft-lb)", "contradiction"),
        ("255 N·m (166 ft-lb)", "contradiction"),
        ("405 N·m (395 ft-lb)", "contradiction"),
        ("90 in-lb (122 N·m)", "contradiction"),
        ("0 mm (1 in)", "contradiction"),
        ("20 to 25 N·m (15 to 28 ft-lb)", "contradiction"),
    ],
)
def test_a_twin_is_judged_by_its_printed_digits(text, wanted):
    assert status(text) == wanted


def test_the_figure_stated_first_leads_whatever_the_twin_says():
    assert read_text("150 N·m (185 ft-lb)").value.value == 150


def test_each_of_several_twins_is_judged():
    twins = read_text("300 kPa (43.5 psi, 30 bar)").stated_twins
    assert [twin.status.value for twin in twins] == ["agrees", "contradiction"]
    assert twins[1].bounds[0].expected == "3.0"
