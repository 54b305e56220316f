"""The inspection sheet: the order of dismantling, what is never opened, gauges, what is missing."""

import random
from datetime import UTC, date, datetime
from decimal import Decimal

import pytest
from scipy.stats import norm

from shared.assemblies.model import (
    AccessGroup,
    Assembly,
    Characteristic,
    Derivation,
    DerivationKind,
    DerivationTerm,
    Grade,
    HoursBasis,
    InspectionMethod,
    LabourOperation,
    OperationKind,
    Position,
    PositionSet,
    RenewalRule,
    Ruling,
    Serviceability,
    SetKind,
)
from shared.condition.model import (
    ConformityRule,
    Finding,
    Gauge,
    Reading,
    ShimEffect,
    ShimPack,
    ShimStage,
    Unit,
    UnitKind,
    Verdict,
)
from shared.condition.sheet.gauges import (
    calibration_on,
    gauges_for,
    readings_that_show,
    runs_out_on,
    window_of,
)
from shared.condition.sheet.lines import open_pieces
from shared.condition.sheet.model import (
    CalibrationState,
    Fineness,
    MissingKind,
    SheetRecords,
    ToolCalledFor,
    Treatment,
)
from shared.condition.sheet.order import order_of_dismantling
from shared.condition.sheet.sheet import inspection_sheet
from shared.condition.shim_place import ShimPlace
from shared.condition.verdict import judge_position
from shared.quantities import Quantity

TODAY = date(2031, 3, 4)
WHOLE = Serviceability(Ruling.REPLACE_AS_ASSEMBLY, "factory-sealed")


def mm(value, **doubt):
    return Quantity(Decimal(value), "mm", **{k: Decimal(v) for k, v in doubt.items()})


def place(id_, **facts):
    return Position(id_, "a", facts.pop("name", id_.capitalize()), **facts)


def size(id_, at, **facts):
    return Characteristic(id_, at, facts.pop("name", id_), **facts)


def found(id_, of, at, **facts):
    facts.setdefault("method", InspectionMethod.GAUGE)
    facts.setdefault("found_at", datetime(2031, 3, 3, 9, tzinfo=UTC))
    return Finding(id_, "u", at, of, "bench two", **facts)


def work(id_, kind, hours, **at):
    low, high = hours
    return LabourOperation(
        id_, "a", kind, id_, Decimal(low), Decimal(high), HoursBasis.SHOP_RECORD, **at
    )


def records(*positions, **more):
    unit = more.pop(
        "unit",
        Unit("u", "a", UnitKind.CUSTOMER, serial_number="LF-7", upper_hours=Decimal(900)),
    )
    return SheetRecords(
        unit=unit,
        assembly=Assembly("a", "Oakhollow Drives", "LF", "reduction drive"),
        positions=positions,
        today=TODAY,
        **more,
    )


def wanting(sheet):
    return [(one.kind, one.position_id, one.characteristic_id, one.piece) for one in sheet.missing]


def of(sheet, position_id):
    (one,) = [p for step in sheet.steps for p in step.positions if p.position_id == position_id]
    return one


def test_what_is_missing_is_told_once_by_the_name_of_its_position():
    """A crack looked for by eye, a size read in oil, a bore that only a play follows from."""
    sheet = inspection_sheet(
        records(
            place("wheel"), place("dog"),
            characteristics=(
                size("crack", "wheel", is_crack=True, settling_method=InspectionMethod.MAGNETIC),
                size("seat", "wheel", service_lower=mm("39.75")),
                size("bore", "dog", unit="mm"),
                size("pin", "dog", unit="mm"),
                size("play", "dog", service_upper=mm("0.08"), derivation=Derivation(
                    DerivationKind.SUM,
                    (DerivationTerm("bore"), DerivationTerm("pin", Decimal(-1))),
                )),
            ),
            findings=(
                found("f1", "crack", "wheel", grade=Grade.NONE, method=InspectionMethod.BY_EYE),
                found("f2", "seat", "wheel", measured=mm("39.74", standard_uncertainty="0.04"),
                      is_cleaned=False),
                found("f3", "bore", "dog", measured=mm("20.04", standard_uncertainty="0.004")),
                found("f4", "pin", "dog", measured=mm("20.00", standard_uncertainty="0.004")),
            ),
        )
    )  # fmt: skip
    told = [one.text for one in sheet.missing]
    assert len(told) == 2 and told[0].startswith("Wheel: crack: none by eye")
    assert told[1].startswith("Wheel: seat: clean the part and measure again; ")


# --- the order of dismantling ---------------------------------------------------------------------


def ids(openings):
    return [(o.group and o.group.id, [p.id for p in o.positions]) for o in openings]


def test_outside_comes_first_then_outer_groups_then_inner_ones():
    groups = [AccessGroup("inner", "a", "Case parted", "outer"), AccessGroup("outer", "a", "Cover")]
    positions = [
        place("bearing", reference="10", access_group_id="inner"),
        place("seal", reference="2", access_group_id="inner"),
        place("gasket", reference="7", access_group_id="outer"),
        place("pulley", reference="99"),
    ]
    assert ids(order_of_dismantling(positions, groups)) == [
        (None, ["pulley"]),
        ("outer", ["gasket"]),
        ("inner", ["seal", "bearing"]),  # 2 before 10, as people count
    ]


def test_a_group_on_the_way_is_opened_and_one_that_nothing_needs_is_not():
    groups = [
        AccessGroup("g1", "a", "Cover"),
        AccessGroup("g2", "a", "Case", "g1"),
        AccessGroup("g3", "a", "Other end"),
    ]
    positions = [place("bearing", access_group_id="g2")]
    assert ids(order_of_dismantling(positions, groups)) == [("g1", []), ("g2", ["bearing"])]


def test_a_child_comes_after_its_parent_and_with_it_where_it_has_no_group():
    groups = [AccessGroup("g1", "a", "Cover"), AccessGroup("g2", "a", "Case")]
    positions = [
        place("pump", reference="1", access_group_id="g2"),
        place("vane", reference="0", parent_id="pump"),
        place("rotor", reference="3", parent_id="pump", access_group_id="g1"),
        place("lever", reference="0", access_group_id="g1"),
    ]
    assert ids(order_of_dismantling(positions, groups)) == [
        ("g1", ["lever"]),
        ("g2", ["pump", "vane", "rotor"]),
    ]


def test_what_lies_inside_a_sealed_position_opens_no_group():
    groups = [AccessGroup("g1", "a", "Cover"), AccessGroup("g2", "a", "Pump opened", "g1")]
    positions = [
        place("pump", access_group_id="g1", serviceability=WHOLE),
        place("vane", parent_id="pump", access_group_id="g2"),
        place("pin", parent_id="vane", access_group_id="g2"),
    ]
    assert ids(order_of_dismantling(positions, groups)) == [("g1", ["pump", "vane", "pin"])]


def test_the_order_keeps_its_promises_on_random_trees():
    rng = random.Random(20311)
    for _ in range(60):
        groups = [
            AccessGroup(f"g{n}", "a", f"G{rng.randrange(9)}", rng.choice([None, *outer]))
            for n in range(rng.randrange(6))
            for outer in ([f"g{m}" for m in range(n)],)
        ]
        positions = [
            place(
                f"p{n}",
                parent_id=rng.choice([None, *[f"p{m}" for m in range(n)]]),
                reference=rng.choice([None, "1", "2a", "10"]),
                access_group_id=rng.choice([None, *[g.id for g in groups]]),
                serviceability=WHOLE if rng.random() < 0.2 else Serviceability(Ruling.SERVICEABLE),
            )
            for n in range(rng.randrange(1, 12))
        ]
        rng.shuffle(positions)
        openings = order_of_dismantling(positions, groups)
        listed = [p.id for o in openings for p in o.positions]
        assert sorted(listed) == sorted(p.id for p in positions)
        opened = [o.group.id for o in openings if o.group]
        for opening in openings:
            if opening.group and opening.group.outer_group_id:
                outer = opening.group.outer_group_id
                assert opened.index(outer) < opened.index(opening.group.id)
        for position in positions:
            if position.parent_id:
                assert listed.index(position.parent_id) < listed.index(position.id)


def test_circles_in_the_records_end():
    groups = [AccessGroup("g1", "a", "A", "g2"), AccessGroup("g2", "a", "B", "g1")]
    positions = [
        place("p", parent_id="q", access_group_id="g1"),
        place("q", parent_id="p", access_group_id="g2"),
    ]
    openings = order_of_dismantling(positions, groups)
    assert sorted(p.id for o in openings for p in o.positions) == ["p", "q"]


# --- gauges ---------------------------------------------------------------------------------------


def test_a_gauge_is_too_coarse_where_no_reading_shows_conformity():
    """By the normal distribution of scipy: in the middle of a window w, p = 2 Phi(w / 2u) - 1."""
    for width, is_enough in (("0.0180", True), ("0.0156", False), ("0.0157", True)):
        upper = mm(Decimal(10) + Decimal(width))
        window = window_of(size("s", "p", service_lower=mm("10"), service_upper=upper))
        best = 2 * norm.cdf(float(width) / 2 / 0.004) - 1
        shown = readings_that_show(window, 0.004, 0.95)
        assert (shown is not None) == (best >= 0.95) == is_enough, width


def test_the_readings_that_show_conformity_lie_a_guard_band_within():
    window = window_of(size("s", "p", service_lower=mm("19.950")))
    shown = readings_that_show(window, 0.004, 0.95)
    assert shown.lower == pytest.approx(19.950 + norm.ppf(0.95) * 0.004, abs=1e-9)
    assert shown.upper is None


def test_one_limit_so_close_to_new_that_no_new_part_would_show_is_too_coarse_for_the_gauge():
    closed = size(
        "s", "p", service_lower=mm("19.990"), new_lower=mm("19.995"), new_upper=mm("20.000")
    )
    # 19.990 + 1.645 u is above 20.000 from u = 0.0061 on.
    assert readings_that_show(window_of(closed), 0.0060, 0.95) is not None
    assert readings_that_show(window_of(closed), 0.0062, 0.95) is None
    upwards = size("s", "p", service_upper=mm("0.10"), new_lower=mm("0.08"), new_upper=mm("0.09"))
    assert readings_that_show(window_of(upwards), 0.012, 0.95) is not None
    assert readings_that_show(window_of(upwards), 0.013, 0.95) is None


def test_a_gauge_with_which_not_even_nothing_would_show_is_too_coarse():
    play = window_of(size("s", "p", service_upper=mm("0.03")))
    assert readings_that_show(play, 0.018, 0.95) is not None  # 1.645 x 0.018 = 0.0296
    assert readings_that_show(play, 0.019, 0.95) is None
    preload = window_of(size("s", "p", service_upper=mm("-0.03")))
    assert readings_that_show(preload, 0.019, 0.95) is not None


def test_the_kind_called_for_is_told_and_finer_kinds_where_it_is_too_coarse():
    limits = {"service_lower": mm("19.990"), "service_upper": mm("20.015")}
    (fine,) = gauges_for(size("s", "p", gauge_kind="micrometer", **limits), (), 0.95, TODAY)
    assert (fine.kind, fine.fineness, fine.is_called_for) == (
        "outside-micrometer",
        Fineness.FINE_ENOUGH,
        True,
    )
    coarse, *others = gauges_for(size("s", "p", gauge_kind="caliper", **limits), (), 0.95, TODAY)
    assert coarse.fineness is Fineness.TOO_COARSE
    # 0.025 mm wide: fine enough is u of 0.0125 / 1.96 = 0.0064 mm at most.
    # A dial indicator would be too, and reads no diameter of 20 mm; a play it does.
    assert {one.kind for one in others} == {"outside-micrometer", "bore-gauge"}
    play = {"service_lower": mm("0.050"), "service_upper": mm("0.150")}
    kinds = {one.kind for one in gauges_for(size("s", "p", **play), (), 0.95, TODAY)}
    assert {"dial-indicator", "feeler"} <= kinds
    assert not any(one.is_called_for for one in others)


def test_the_shops_own_gauge_counts_by_what_is_known_of_it():
    limits = {"service_lower": mm("19.990"), "service_upper": mm("20.000")}
    own = (
        Gauge("g1", "Fine", "Outside micrometer", standard_uncertainty=mm("0.002")),
        Gauge("g2", "Plain", "outside-micrometer"),
        Gauge("g3", "Other", "caliper", standard_uncertainty=mm("0.001")),
        Gauge(
            "g4", "In inches", "micrometer", standard_uncertainty=Quantity(Decimal("0.0001"), "in")
        ),
        Gauge("g5", "Torque", "micrometer", standard_uncertainty=Quantity(Decimal(1), "N·m")),
        Gauge("g6", "Too large", "micrometer", reads_from=mm("25"), reads_up_to=mm("50")),
        Gauge("g7", "Too small", "micrometer", reads_up_to=Quantity(Decimal("0.5"), "in")),
    )
    (choice,) = gauges_for(size("s", "p", gauge_kind="micrometer", **limits), own, 0.95, TODAY)
    assert choice.fineness is Fineness.TOO_COARSE  # as usual: 0.004 mm for a window of 0.010
    assert {one.gauge_id: one.fineness for one in choice.own} == {
        "g1": Fineness.FINE_ENOUGH,
        "g2": Fineness.TOO_COARSE,
        "g4": Fineness.FINE_ENOUGH,  # 0.00254 mm at most 0.00255
        "g5": Fineness.CANNOT_BE_TOLD,
        "g6": Fineness.OUT_OF_REACH,
        "g7": Fineness.OUT_OF_REACH,
    }


def test_without_a_limit_or_a_known_doubt_nothing_is_called_fine_enough():
    (choice,) = gauges_for(size("s", "p", unit="mm", gauge_kind="caliper"), (), 0.95, TODAY)
    assert choice.fineness is Fineness.CANNOT_BE_TOLD
    own = size("s", "p", service_upper=mm("1"), gauge_kind="optical comparator")
    first, *_ = gauges_for(own, (Gauge("g", "G", "Optical comparator"),), 0.95, TODAY)
    assert (first.kind, first.fineness) == ("optical-comparator", Fineness.CANNOT_BE_TOLD)
    assert [one.fineness for one in first.own] == [Fineness.CANNOT_BE_TOLD]
    pressure = size("s", "p", service_lower=Quantity(Decimal(2), "bar"))
    assert gauges_for(pressure, (), 0.95, TODAY) == ()
    graded = size("s", "p", worst_acceptable_grade=Grade.LIGHT)
    assert gauges_for(graded, (), 0.95, TODAY) == ()


@pytest.mark.parametrize(
    ("made", "months", "day", "state"),
    [
        (date(2030, 3, 4), 12, date(2031, 3, 4), CalibrationState.HOLDS),
        (date(2030, 3, 3), 12, date(2031, 3, 4), CalibrationState.RUN_OUT),
        (date(2030, 8, 31), 6, date(2031, 2, 28), CalibrationState.HOLDS),
        (date(2030, 8, 31), 6, date(2031, 3, 1), CalibrationState.RUN_OUT),
        (None, 12, date(2031, 3, 4), CalibrationState.UNKNOWN),
        (date(2030, 3, 4), None, date(2031, 3, 4), CalibrationState.NOT_TOLD),
    ],
)
def test_a_calibration_holds_to_the_same_day_of_its_last_month(made, months, day, state):
    gauge = Gauge("g", "G", calibrated_on=made, calibration_months=months)
    assert calibration_on(gauge, day) is state
    assert (runs_out_on(gauge) is None) == (
        state in (CalibrationState.UNKNOWN, CalibrationState.NOT_TOLD)
    )


# --- what stands on the sheet ---------------------------------------------------------------------


def test_what_is_never_opened_is_told_so_and_wants_nothing_inside():
    sheet = inspection_sheet(
        records(
            place("pump", serviceability=WHOLE),
            place("vane", parent_id="pump"),
            place("brake", parent_id="pump", is_safety_critical=True),
            characteristics=(
                size("play", "pump", service_upper=mm("0.2")),
                size("wear", "vane", service_upper=mm("0.1")),
                size("lining", "brake", service_lower=mm("2")),
            ),
            operations=(
                work("look", OperationKind.INSPECT, ("0.2", "0.3"), position_id="pump"),
                work("in", OperationKind.INSPECT, ("5", "6"), position_id="vane"),
            ),
        )
    )
    assert of(sheet, "pump").treatment is Treatment.OUTSIDE_ONLY
    assert "never opened" in of(sheet, "pump").treatment_told
    assert of(sheet, "pump").ruling_reason == "factory-sealed"
    assert of(sheet, "vane").treatment is Treatment.NEVER_REACHED
    assert "Pump" in of(sheet, "vane").treatment_told
    assert sheet.p50_hours == Decimal("0.2")  # nobody inspects what is never opened
    assert wanting(sheet) == [
        (MissingKind.FINDING, "pump", "play", None),
        (MissingKind.FINDING, "brake", "lining", None),  # safety hangs on it
    ]
    assert "never opened" in sheet.missing[1].text


def test_what_is_inside_an_inspect_only_position_is_inspected_and_not_renewed():
    sheet = inspection_sheet(
        records(
            place("motor", serviceability=Serviceability(Ruling.INSPECT_ONLY, "no parts sold")),
            place("brush", parent_id="motor"),
            characteristics=(size("length", "brush", service_lower=mm("5")),),
        )
    )
    assert of(sheet, "motor").treatment is Treatment.OPEN_TO_INSPECT
    assert of(sheet, "brush").treatment is Treatment.OPEN_TO_INSPECT
    assert "Motor" in of(sheet, "brush").treatment_told
    assert wanting(sheet) == [(MissingKind.FINDING, "brush", "length", None)]


def test_what_is_always_renewed_is_due_and_wants_no_finding():
    sheet = inspection_sheet(
        records(
            place("seal", renewal_rule=RenewalRule.ALWAYS, access_group_id="g"),
            access_groups=(AccessGroup("g", "a", "Cover off"),),
            characteristics=(size("lip", "seal", worst_acceptable_grade=Grade.NONE),),
        )
    )
    assert of(sheet, "seal").is_due and "'Cover off'" in of(sheet, "seal").due
    assert sheet.missing == ()


def test_hours_are_those_of_openings_that_do_not_stand_open_and_of_inspections():
    everything = {
        "access_groups": (
            AccessGroup("g1", "a", "Cover"),
            AccessGroup("g2", "a", "Case", "g1"),
            AccessGroup("g3", "a", "Other end"),
        ),
        "operations": (
            work("o1", OperationKind.OPEN, ("1", "2"), access_group_id="g1"),
            work("o2", OperationKind.OPEN, ("0.5", "0.75"), access_group_id="g2"),
            work("o3", OperationKind.OPEN, ("40", "50"), access_group_id="g3"),
            work("c1", OperationKind.CLOSE, ("7", "8"), access_group_id="g1"),
            work("i1", OperationKind.INSPECT, ("0.25", "0.5"), position_id="shaft"),
        ),
        "tools": (
            ToolCalledFor("t1", "Puller", labour_operation_ids=("o2",)),
            ToolCalledFor("t2", "Mandrel", position_id="shaft"),
            ToolCalledFor("t3", "Not for this", labour_operation_ids=("c1",)),
        ),
    }
    shaft = place("shaft", access_group_id="g2")
    sheet = inspection_sheet(records(shaft, **everything))
    assert (sheet.p50_hours, sheet.p90_hours) == (Decimal("1.75"), Decimal("3.25"))
    assert [[t.id for t in step.tools] for step in sheet.steps] == [[], ["t1"]]
    assert [t.id for t in of(sheet, "shaft").tools] == ["t2"]
    sheet = inspection_sheet(records(shaft, opened_group_ids=("g2",), **everything))
    assert sheet.p50_hours == Decimal("0.25")  # an inner one open means the outer one too
    assert all(step.is_open for step in sheet.steps)


def test_findings_are_judged_and_what_they_leave_open_is_wanted():
    journal = {"service_lower": mm("19.950"), "new_lower": mm("19.960"), "new_upper": mm("19.980")}
    sheet = inspection_sheet(
        records(
            place("shaft", quantity=2),
            characteristics=(size("journal", "shaft", how="In two directions", **journal),),
            findings=(
                found(
                    "f0",
                    "journal",
                    "shaft",
                    piece=1,
                    measured=mm("19.9", standard_uncertainty="0.002"),
                ),
                found(
                    "f1",
                    "journal",
                    "shaft",
                    piece=1,
                    supersedes_id="f0",
                    measured=mm("19.951", standard_uncertainty="0.002"),
                ),
            ),
        )
    )
    (line,) = of(sheet, "shaft").lines
    assert [one.finding_id for one in line.found] == ["f1"]
    assert line.found[0].verdict is Verdict.INDETERMINATE
    assert line.open_pieces == (2,)
    assert wanting(sheet) == [
        (MissingKind.FINDING, "shaft", "journal", 2),
        (MissingKind.SETTLING, "shaft", "journal", 1),
    ]
    assert "In two directions" in sheet.missing[0].text
    assert sheet.missing[0].path == "/v1/units/u/findings"


def test_too_few_readings_and_a_limit_not_on_record_are_wanted_as_such():
    sheet = inspection_sheet(
        records(
            place("bore"),
            characteristics=(
                size("d", "bore", service_upper=mm("77.06"), minimum_readings=3),
                size("play", "bore", unit="mm"),
            ),
            findings=(
                found(
                    "f1",
                    "d",
                    "bore",
                    gauge="bore gauge",
                    readings=(Reading(mm("77.010")), Reading(mm("77.012"))),
                ),
                found("f2", "play", "bore", measured=mm("3.175", standard_uncertainty="0.2")),
            ),
        )
    )
    assert wanting(sheet) == [
        (MissingKind.READINGS, "bore", "d", None),
        (MissingKind.LIMIT, "bore", "play", None),
    ]
    assert "2 of 3" in sheet.missing[0].text
    assert sheet.missing[1].path == "/v1/characteristics/play"


def test_a_derived_measure_says_what_it_follows_from_and_wants_what_is_not_measured():
    clearance = Derivation(
        DerivationKind.SUM,
        (DerivationTerm("bore"), DerivationTerm("journal", Decimal(-1))),
    )
    characteristics = (
        size("a-clearance", "housing", service_upper=mm("0.10"), derivation=clearance),
        size("bore", "housing", service_upper=mm("20.10"), name="Bore"),
        size("journal", "shaft", service_lower=mm("19.95"), name="Journal"),
    )
    bore = found("f1", "bore", "housing", measured=mm("20.02", standard_uncertainty="0.003"))
    journal = found("f2", "journal", "shaft", measured=mm("19.98", standard_uncertainty="0.003"))
    two = (place("housing"), place("shaft"))
    sheet = inspection_sheet(records(*two, characteristics=characteristics, findings=(bore,)))
    first, second = of(sheet, "housing").lines
    assert first.name == "Bore"  # what others follow from is measured first
    assert [(one.name, one.factor) for one in second.follows_from] == [
        ("Bore", Decimal(1)),
        ("Journal", Decimal(-1)),
    ]
    assert wanting(sheet) == [
        (MissingKind.INPUT, "housing", "a-clearance", None),
        (MissingKind.FINDING, "shaft", "journal", None),
    ]
    sheet = inspection_sheet(
        records(*two, characteristics=characteristics, findings=(bore, journal))
    )
    assert sheet.missing == ()
    assert of(sheet, "housing").lines[1].gauges == ()  # bore and journal have theirs
    (clear,) = of(sheet, "housing").lines[1].found
    assert clear.is_derived and clear.verdict is Verdict.CONFORMING
    assert of(sheet, "housing").verdict is Verdict.CONFORMING


def test_shims_are_wanted_until_the_pack_found_is_on_record():
    shims = ShimPlace(
        "sp", "pinion", "Pinion depth", ShimEffect.MORE_SHIMS_INCREASE,
        sets_characteristic_id="float", seating="Turn the shaft both ways.",
    )  # fmt: skip
    float_ = size("float", "pinion", service_upper=mm("0.1"), name="End float")
    position = place("pinion", renewal_rule=RenewalRule.SELECT_FIT)
    cold = inspection_sheet(records(position, shim_places=(shims,), characteristics=(float_,)))
    assert (MissingKind.SHIM_PACK, "pinion", "float", None) in wanting(cold)
    (told,) = of(cold, "pinion").shims
    assert (told.sets, told.seating) == ("End float", "Turn the shaft both ways.")
    assert "this unit" in of(cold, "pinion").select_fit

    def pack(id_, **facts):
        facts.setdefault("place", "pinion  DEPTH")
        return ShimPack(
            id_, facts.pop("unit_id", "u"), effect=ShimEffect.MORE_SHIMS_INCREASE,
            sets="end float", stage=facts.pop("stage", ShimStage.AS_FOUND),
            recorded_by="bench two", recorded_on=facts.pop("day", TODAY), shims=(), **facts,
        )  # fmt: skip

    for packs, known in (
        ((pack("k1"),), "k1"),  # the same place by its words
        ((pack("k1", shim_place_id="sp", place="elsewhere"),), "k1"),
        ((pack("k1", stage=ShimStage.AS_FITTED),), None),
        ((pack("k1", place="wheel side"),), None),
        ((pack("k1", shim_place_id="other"),), None),
        ((pack("k1", day=date(2030, 1, 1)), pack("k0")), "k0"),
        ((pack("k1", job_id="earlier"),), None),  # found in another opening
    ):
        sheet = inspection_sheet(
            records(
                position, shim_places=(shims,), characteristics=(float_,),
                shim_packs=packs, job_id="job", is_cause_known=True,
            )
        )  # fmt: skip
        assert of(sheet, "pinion").shims[0].as_found_pack_id == known
        is_wanted = MissingKind.SHIM_PACK in [one.kind for one in sheet.missing]
        assert is_wanted == (known is None)


def test_a_matched_set_stays_together():
    sheet = inspection_sheet(
        records(
            place("wheel"),
            place("pinion"),
            place("seal"),
            position_sets=(
                PositionSet("s", "a", SetKind.MATCHED, "Pair", ("wheel", "pinion")),
                PositionSet("t", "a", SetKind.RENEWED_TOGETHER, "Seals", ("seal", "wheel")),
            ),
        )
    )
    (told,) = of(sheet, "wheel").matched_sets
    assert told.other_position_ids == ("pinion",) and "Pinion" in told.advice
    assert of(sheet, "seal").matched_sets == ()


def test_what_is_not_known_of_the_unit_and_the_job_is_wanted():
    bare = Unit("u", "a", UnitKind.CUSTOMER)
    bound = place("gear", is_variant_bound=True)
    assert [one.kind for one in inspection_sheet(records(bound, unit=bare)).missing] == [
        MissingKind.SERIAL_NUMBER,
        MissingKind.HOURS,
        MissingKind.VARIANT,
    ]
    told = Unit("u", "a", UnitKind.CUSTOMER, "LF-7", Decimal(5), ratio=Decimal("3.73"))
    assert inspection_sheet(records(bound, unit=told)).missing == ()
    (cause,) = inspection_sheet(records(bound, unit=told, job_id="j")).missing
    assert (cause.kind, cause.path) == (MissingKind.CAUSE, "/v1/jobs/j")


def test_the_pieces_wanted_are_those_that_the_verdict_calls_not_inspected():
    rng = random.Random(7)
    dimension, graded = size("d", "p", service_upper=mm("1")), size("g", "p", is_crack=True)
    for _ in range(200):
        pieces = rng.randrange(1, 4)
        own = [
            found(
                f"f{n}",
                one.id,
                "p",
                piece=rng.choice([None, *range(1, pieces + 1)]),
                **({"grade": Grade.NONE} if one is graded else {"measured": mm("0.5")}),
            )
            for n in range(rng.randrange(4))
            for one in (rng.choice([dimension, graded]),)
        ]
        judged = judge_position(
            "p", [dimension, graded], own, ConformityRule.ISO_14253_1, 0.95, pieces=pieces
        )
        for one in (dimension, graded):
            wanted = open_pieces(one, pieces, [f for f in own if f.characteristic_id == one.id])
            named = [name for name in judged.not_inspected if name.split(" ")[0] == one.id]
            if named == [one.id]:
                assert wanted in ((None,), tuple(range(1, pieces + 1)))
            else:
                assert [f"{one.id} (piece {piece})" for piece in wanted] == named
