"""Whether a question about a shim pack asks one thing, and all that it takes."""

from decimal import Decimal
from typing import NoReturn

from shared.condition.model import ShimEffect
from shared.condition.shim_place import ShimAim
from shared.condition.shim_place_check import check_shim_rule
from shared.condition.shims.asked import (
    MOST_PACKS,
    MOST_SHIMS,
    MOST_SIZES,
    MOST_TERMS,
    DepthSum,
    ShimPackAsked,
)
from shared.condition.shims.lengths import above_zero_mm, exact_mm
from shared.condition.shims.uncertainty import not_negative_mm
from shared.errors import InvalidInput
from shared.quantities import check_number

_MOST_READINGS = 100
_MOST_OLD = 200
_LARGEST_FACTOR = 1000

_ONLY_OF = {
    "pack_lower": frozenset({"pack_upper"}),
    "depth_sum": frozenset({"clearance_lower", "clearance_upper"}),
    "measured_gap": frozenset({"clearance_lower", "clearance_upper"}),
    "readings": frozenset({"old_pack", "old_total", "clearance_lower", "clearance_upper"}),
    "measured": frozenset({"old_pack", "old_total", "clearance_lower", "clearance_upper"}),
    "change": frozenset({"old_pack", "old_total"}),
    "part_change": frozenset({"old_pack", "old_total"}),
    "old_pack": frozenset(),
    "old_total": frozenset(),
}
"""Per way to a thickness, first that applies: what else may be given with it."""

_LENGTHS = (
    "pack_lower",
    "pack_upper",
    "measured_gap",
    "clearance_lower",
    "clearance_upper",
    "old_pack",
    "old_total",
    "measured",
    "readings",
    "change",
    "part_change",
    "depth_sum",
)


def check_asked(asked: ShimPackAsked) -> None:
    """Check the question as a whole; raises InvalidInput at the member that is one too many.

    Codes: "missing", "contradiction" (two ways at once), "out-of-range", "duplicate".
    """
    way = _way(asked)
    _check_range(asked, way)
    _check_numbers(asked)
    _check_shims(asked)
    if asked.depth_sum is not None:
        _check_depths(asked.depth_sum)
    if asked.rule is not None:
        try:
            check_shim_rule(asked.rule)
        except InvalidInput as error:
            raise error.below("/rule") from None


def _way(asked: ShimPackAsked) -> str:
    given = [name for name in _LENGTHS if _is_given(asked, name)]
    if "pack_upper" in given and "pack_lower" not in given:
        _refuse("/pack_lower", "Got pack_upper alone.", "Give both ends of the pack.", "missing")
    way = next((name for name in _ONLY_OF if name in given), None)
    if way is None:
        _refuse(
            "/pack_lower",
            "Nothing is given from which a thickness follows.",
            "Give pack_lower and pack_upper; or measured_gap; or old_pack with measured, change or"
            " part_change; or depth_sum.",
            "missing",
        )
    for name in given:
        if name != way and name not in _ONLY_OF[way]:
            _refuse(
                f"/{name}",
                f"Got {way} and {name}: two ways to one thickness.",
                f"Give {way} alone, or leave it out.",
                "contradiction",
            )
    if "old_pack" in given and "old_total" in given:
        _refuse(
            "/old_total",
            "Got old_pack and old_total.",
            "Give the shims, or what they come to.",
            "contradiction",
        )
    needs_old = way in ("measured", "change", "part_change")
    if needs_old and "old_pack" not in given and "old_total" not in given:
        _refuse(
            "/old_pack",
            f"Got {way}, and not which pack sat there.",
            "Give old_pack (an empty list: none) or old_total; for a gap without shims give"
            " measured_gap.",
            "missing",
        )
    return way


def _check_range(asked: ShimPackAsked, way: str) -> None:
    if way == "pack_lower" and asked.pack_upper is None:
        _refuse("/pack_upper", "Got pack_lower alone.", "Give both ends of the pack.", "missing")
    ends = {"clearance_lower": asked.clearance_lower, "clearance_upper": asked.clearance_upper}
    takes_range = way in ("measured_gap", "measured", "readings")
    has_some = any(end is not None for end in ends.values())
    for name, end in ends.items():
        if end is None and (takes_range or has_some):
            _refuse(
                f"/{name}",
                f"{name} is not given: a range has two ends.",
                "Give both ends of what the shims set; a preload is a negative clearance.",
                "missing",
            )
    is_over_old = asked.old_pack is not None or asked.old_total is not None
    if way in ("measured", "readings") and is_over_old and asked.effect is None:
        _ask_effect()
    aim = ShimAim.MIDDLE if asked.rule is None else asked.rule.aim
    if way == "pack_lower" and aim is not ShimAim.MIDDLE and asked.effect is None:
        _ask_effect()
    if way == "depth_sum" and asked.effect is ShimEffect.MORE_SHIMS_INCREASE:
        _refuse(
            "/effect",
            "The shims fill the room of a depth sum: more of them leave less clearance.",
            "Leave effect out.",
            "contradiction",
        )
    has_range = takes_range or has_some or way == "pack_lower"
    if asked.leeway is not None:
        if has_range:
            _refuse("/leeway", "Got leeway beside a range.", "Give one of them.", "contradiction")
        not_negative_mm(asked.leeway, "/leeway")


def _ask_effect() -> NoReturn:
    _refuse(
        "/effect",
        "Whether more shims increase or decrease what is set is not given.",
        "Look where the pack sits and give effect; it is never guessed.",
        "missing",
    )


def _check_numbers(asked: ShimPackAsked) -> None:
    check_number(asked.factor, "/factor")
    if not 0 < asked.factor <= _LARGEST_FACTOR:
        _out_of_range("/factor", asked.factor, f"above 0, at most {_LARGEST_FACTOR}")
    if not 1 <= asked.max_shims <= MOST_SHIMS:
        _out_of_range("/max_shims", asked.max_shims, f"1 to {MOST_SHIMS}")
    if not 1 <= asked.most_packs <= MOST_PACKS:
        _out_of_range("/most_packs", asked.most_packs, f"1 to {MOST_PACKS}")
    if not Decimal("0.5") <= asked.acceptance_probability < 1:
        _out_of_range(
            "/acceptance_probability", asked.acceptance_probability, "from 0.5 to below 1"
        )
    if len(asked.readings) > _MOST_READINGS:
        _out_of_range("/readings", len(asked.readings), f"at most {_MOST_READINGS} readings")
    if asked.gauge_step is not None:
        above_zero_mm(asked.gauge_step, "/gauge_step")


def _check_shims(asked: ShimPackAsked) -> None:
    old = () if asked.old_pack is None else asked.old_pack
    for name, most, lines in (
        ("stock", MOST_SIZES, asked.stock),
        ("sizes", MOST_SIZES, asked.sizes),
        ("old_pack", MOST_SIZES, old),
    ):
        if len(lines) > most:
            _out_of_range(f"/{name}", len(lines), f"at most {most} lines")
    sizes: set[object] = set()
    for place, size in enumerate(asked.sizes):
        thickness = above_zero_mm(size.thickness, f"/sizes/{place}/thickness")
        if thickness in sizes:
            _refuse(
                f"/sizes/{place}/thickness",
                f"{size.thickness.value:f} {size.thickness.unit} is there twice.",
                "Give each thickness once.",
                "duplicate",
            )
        sizes.add(thickness)
    every = set(sizes)
    for place, shim in enumerate(asked.stock):
        every.add(above_zero_mm(shim.thickness, f"/stock/{place}/thickness"))
        if shim.quantity is not None and shim.quantity < 0:
            _out_of_range(f"/stock/{place}/quantity", shim.quantity, "0 or more")
    if len(every) > MOST_SIZES:
        _out_of_range("/stock", len(every), f"at most {MOST_SIZES} thicknesses in all")
    for place, worn in enumerate(old):
        above_zero_mm(worn.thickness, f"/old_pack/{place}/thickness")
        if worn.quantity < 1:
            _out_of_range(f"/old_pack/{place}/quantity", worn.quantity, "1 or more")
    if sum(one.quantity for one in old) > _MOST_OLD:
        _out_of_range("/old_pack", sum(one.quantity for one in old), f"at most {_MOST_OLD} shims")
    if asked.old_total is not None and exact_mm(asked.old_total, "/old_total") < 0:
        _out_of_range("/old_total/value", asked.old_total.value, "0 or more")


def _check_depths(depths: DepthSum) -> None:
    if not 1 <= len(depths.terms) <= MOST_TERMS:
        _out_of_range("/depth_sum/terms", len(depths.terms), f"1 to {MOST_TERMS} terms")
    if len(depths.marks) > MOST_TERMS:
        _out_of_range("/depth_sum/marks", len(depths.marks), f"at most {MOST_TERMS} marks")
    for place, term in enumerate(depths.terms):
        at = f"/depth_sum/terms/{place}/factor"
        check_number(term.factor, at)
        if term.factor == 0 or abs(term.factor) > _LARGEST_FACTOR:
            _out_of_range(at, term.factor, f"not 0, at most {_LARGEST_FACTOR}")
    for place, mark in enumerate(depths.marks):
        at = f"/depth_sum/marks/{place}/mark"
        check_number(mark.mark, at)
        if abs(mark.mark) > 100_000:
            _out_of_range(at, mark.mark, "from -100000 to 100000")


def _is_given(asked: ShimPackAsked, name: str) -> bool:
    value = getattr(asked, name)
    return bool(value) if name == "readings" else value is not None


def _out_of_range(pointer: str, got: object, wanted: str) -> NoReturn:
    _refuse(pointer, f"Got {got}; wanted {wanted}.", f"Give {wanted}.", "out-of-range")


def _refuse(pointer: str, detail: str, fix: str, code: str) -> NoReturn:
    raise InvalidInput(pointer, detail, fix, code)
