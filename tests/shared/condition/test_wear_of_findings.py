"""The trend of a characteristic, from findings with the unit's hours."""

from dataclasses import replace
from datetime import UTC, datetime, timedelta
from decimal import Decimal

import pytest

from shared.assemblies.model import Characteristic, InspectionMethod, Position, ServiceLimitKind
from shared.condition.model import Finding, Gauge, Reading, Unit, UnitKind
from shared.condition.wear.model import NoTrend, NoTrendReason, Side, Trend
from shared.condition.wear.remaining import remaining
from shared.condition.wear.trends_of_findings import trends_of
from shared.condition.wear.unit_wear import WearRecords, hours_now, unit_wear
from shared.quantities import Quantity

START = datetime(2031, 1, 6, tzinfo=UTC)


def mm(value, **doubt):
    return Quantity(Decimal(value), "mm", **{k: Decimal(v) for k, v in doubt.items()})


SEAT = Characteristic(
    "chr_seat",
    "pos_1",
    "bore",
    new_lower=mm("35.000"),
    new_upper=mm("35.008"),
    service_upper=mm("35.030"),
    service_limit_is=ServiceLimitKind.SERVICE,
)


def found(number, hours, size=None, **more):
    measured = None if size is None else mm(size, standard_uncertainty="0.002")
    return Finding(
        f"fnd_{number}",
        "unt_1",
        "pos_1",
        more.pop("characteristic_id", "chr_seat"),
        "bench two",
        START + timedelta(days=number),
        InspectionMethod.GAUGE,
        **{
            "measured": measured,
            "unit_hours": None if hours is None else Decimal(hours),
            **more,
        },
    )


def trend_of(*asked, **more):
    """The trend where all findings are of one piece."""
    (one,) = trends_of(*asked, **more)
    return one.trend


TWICE = (found(1, 2000, "35.010"), found(2, 4000, "35.018"))


def test_findings_and_the_middle_of_the_limits_when_new_make_a_trend():
    trend = trend_of(SEAT, TWICE)
    assert isinstance(trend, Trend)
    assert (trend.side, trend.limit, trend.now_hours) == (Side.UPPER, 35.03, 4000)
    new = trend.points[0]
    assert (new.is_new, new.hours) == (True, 0)
    assert new.size == pytest.approx(35.004)
    assert new.u == pytest.approx(0.004 / 3**0.5)
    assert any("service limit" in said for said in trend.warnings)
    assert any("anywhere within its limits" in said for said in trend.warnings)
    # 0.012 mm left at 0.004 mm in 1000 h: the latest stretch is the faster one.
    assert remaining(trend).estimate == pytest.approx(3000, rel=1e-6)


def test_a_correction_takes_the_place_of_what_it_corrects():
    slip = found(3, 4000, "35.017", supersedes_id="fnd_2")
    trend = trend_of(SEAT, (*TWICE, slip))
    assert [point.size for point in trend.points[1:]] == [35.010, 35.017]


def test_readings_without_hours_and_of_others_are_left_out():
    others = (
        found(3, None, "35.029"),
        found(4, 5000, "35.029", characteristic_id="chr_other"),
    )
    assert trend_of(SEAT, (*TWICE, *others)) == trend_of(SEAT, TWICE)
    nothing = trend_of(SEAT, others)
    assert nothing.reason is NoTrendReason.TOO_FEW_POINTS


def test_one_finding_and_nothing_known_when_new_is_no_trend():
    bare = replace(SEAT, new_lower=None)
    trend = trend_of(bare, TWICE[1:])
    assert trend.reason is NoTrendReason.TOO_FEW_POINTS
    assert any("when new is not known" in said for said in trend.warnings)
    assert isinstance(trend_of(SEAT, TWICE[1:]), Trend)


def test_without_a_limit_in_service_that_when_new_counts_and_without_any_nothing():
    new_only = replace(SEAT, service_upper=None, new_lower=None, new_upper=mm("35.020"))
    trend = trend_of(new_only, TWICE)
    assert trend.limit == 35.02
    assert any("limit when new counts" in said for said in trend.warnings)
    bare = replace(SEAT, service_upper=None, new_lower=None, new_upper=None, unit="mm")
    assert trend_of(bare, TWICE).reason is NoTrendReason.NO_LIMIT


def test_of_two_limits_the_one_counts_towards_which_the_size_moves():
    shaft = replace(SEAT, service_lower=mm("34.950"), service_upper=mm("35.100"))
    up = trend_of(shaft, TWICE)
    down = trend_of(shaft, (found(1, 2000, "34.990"), found(2, 4000, "34.975")))
    assert (up.side, down.side) == (Side.UPPER, Side.LOWER)
    assert down.limit == 34.95


def test_the_doubt_is_that_of_the_gauge_and_without_any_there_is_no_trend_of_two():
    words = (found(1, 2000), found(2, 4000))
    sizes = (mm("35.010"), mm("35.020"))
    bare = replace(SEAT, new_lower=None)
    plain = [replace(f, measured=size) for f, size in zip(words, sizes, strict=True)]
    assert trend_of(bare, plain).reason is NoTrendReason.DOUBT_UNKNOWN
    gauge = Gauge("gge_1", "bore gauge 2", standard_uncertainty=mm("0.0015"))
    own = [replace(f, gauge_id="gge_1") for f in plain]
    assert [p.u for p in trend_of(bare, own, {"gge_1": gauge}).points] == [0.0015, 0.0015]
    usual = [replace(f, gauge="micrometer") for f in plain]
    assert [p.u for p in trend_of(bare, usual).points] == [0.004, 0.004]


def test_what_readings_share_counts_as_all_of_it_where_one_does_not_say():
    gauge = Gauge(
        "gge_1",
        "bore gauge 2",
        standard_uncertainty=mm("0.002"),
        common_uncertainty=mm("0.0005"),
    )
    said = [
        replace(found(n, hours), measured=mm(size), gauge_id="gge_1")
        for n, (hours, size) in enumerate(((2000, "35.010"), (3000, "35.014"), (4000, "35.018")))
    ]
    one_silent = [*said[:2], found(2, 4000, "35.018")]  # the same doubt, stated with the reading
    bare = replace(SEAT, new_lower=None)
    known, unknown = (trend_of(bare, each, {"gge_1": gauge}) for each in (said, one_silent))
    assert [one.u for one in known.points] == [one.u for one in unknown.points]
    assert known.lines[0].u_at(6000) < unknown.lines[0].u_at(6000)


def test_of_several_readings_the_most_worn_counts_and_an_interval_counts_by_its_middle():
    sizes = ("35.016", "35.010", "35.013")
    around = tuple(
        Reading(mm(size, standard_uncertainty="0.002"), plane=str(place))
        for place, size in enumerate(sizes)
    )
    trend = trend_of(SEAT, (TWICE[0], found(2, 4000, readings=around)))
    assert trend.points[-1].size == 35.016
    between = found(2, 4000, at_least=mm("35.014"), at_most=mm("35.022"))
    point = trend_of(SEAT, (TWICE[0], between)).points[-1]
    assert (point.size, point.u) == (pytest.approx(35.018), pytest.approx(0.008 / 12**0.5))
    open_end = trend_of(SEAT, (*TWICE, found(3, 4500, at_least=mm("35.014"))))
    assert len(open_end.points) == 3
    assert any("gives no size" in said for said in open_end.warnings)


def test_dirt_counters_set_back_and_two_readings_at_once():
    dirty = trend_of(SEAT, (*TWICE, found(3, 4500, "35.001", is_cleaned=False)))
    assert len(dirty.points) == 3
    assert any("before cleaning" in said for said in dirty.warnings)
    back = trend_of(SEAT, (found(1, 4000, "35.018"), found(2, 2000, "35.020")))
    assert back.reason is NoTrendReason.HOURS_BACKWARDS
    twice = trend_of(SEAT, (*TWICE, found(3, 4000, "35.022")))
    assert twice.points[-1].size == 35.022
    # Where one of two places is beyond its limit, so is the part, whatever the mean.
    assert trend_of(SEAT, (*TWICE, found(3, 4000, "35.031"))).is_beyond


def test_a_warm_part_is_carried_to_20_degrees_with_more_doubt():
    warm = replace(TWICE[1], part_temperature=Quantity(Decimal(60), "°C"))
    trend = trend_of(SEAT, (TWICE[0], warm))
    most = 35.018 * 35e-6 * 40  # zinc, the most in the table thermal_expansion: 0.049 mm
    # Between no change and the most: its middle, and a rectangle's doubt besides.
    assert isinstance(trend, NoTrend)
    point = trend.points[-1]
    assert point.size == pytest.approx(35.018 - most / 2)
    assert point.u == pytest.approx((0.002**2 + (most / 2) ** 2 / 3) ** 0.5)
    assert any("20 °C" in said for said in trend.warnings)


def test_a_calibration_that_ran_out_is_told():
    gauge = Gauge("gge_1", "bore gauge 2", calibrated_on=START.date(), calibration_months=1)
    late = replace(found(60, 4000, "35.018"), gauge_id="gge_1")
    trend = trend_of(SEAT, (TWICE[0], late), {"gge_1": gauge})
    assert any("ran out" in said for said in trend.warnings)


def test_hours_run_since_are_counted_and_never_fewer_than_measured_at():
    assert trend_of(SEAT, TWICE, hours_now=4300).now_hours == 4300
    assert trend_of(SEAT, TWICE, hours_now=100).now_hours == 4000


def test_each_piece_has_a_trend_of_its_own():
    slow = (found(1, 2000, "35.006", piece=1), found(2, 4000, "35.012", piece=1))
    fast = (found(3, 2000, "35.010", piece=2), found(4, 4000, "35.020", piece=2))
    each = trends_of(SEAT, (*slow, *fast))
    assert [one.piece for one in each] == [1, 2]
    assert remaining(each[1].trend).lower < remaining(each[0].trend).lower
    assert each[0].trend == trend_of(SEAT, slow)


def test_a_units_wear_is_told_soonest_first_and_dangerous_parts_by_the_lower_bound():
    calm = replace(SEAT, id="chr_calm", position_id="pos_2", service_upper=mm("35.200"))
    records = WearRecords(
        Unit("unt_1", "asm_1", UnitKind.CUSTOMER, upper_hours=Decimal(4200)),
        (
            Position("pos_1", "asm_1", "Housing", is_safety_critical=True),
            Position("pos_2", "asm_1", "Cover"),
        ),
        (calm, SEAT, replace(SEAT, id="chr_unseen")),
        (*TWICE, found(5, 4000, "35.018", characteristic_id="chr_calm")),
        inspection_cap_hours=Decimal(3000),
    )
    assert hours_now(records) == 4200
    first, second = unit_wear(records, 0.95)
    assert (first.characteristic.id, second.characteristic.id) == ("chr_seat", "chr_calm")
    assert first.inspection.hours == pytest.approx(first.lower / 2)
    assert first.lower < first.estimate
    assert second.inspection.hours == 3000
