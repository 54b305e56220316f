"""Invented jobs with something of every way in which a part may come, drawn at random.

Claims in chains, later numbers with what goes along, ratios, records of what does not fit, kits,
matched sets, the shelf, donors of this assembly and of others, cores, packs, other currencies.
"""

from itertools import product
from random import Random
from typing import Any

from tests.snapshots import (
    breaks,
    donor,
    eur,
    exchange_rate,
    goods,
    job,
    money,
    own_unit,
    part,
    position,
    seen,
    service,
    settings,
    snapshot,
    supplier,
    work,
)

Members = dict[str, Any]
PLACES = ("a", "b", "c")
PARTS = ("a", "b", "c", "u", "v", "w", "x")
"""Parts of the places, and others; ``u`` and ``v`` are equal by their designation."""
EXTRAS = ("gasket", "adapter")
EVIDENCE = (
    "maker-bulletin",
    "maker-bulletin",
    "published-cross-reference",
    "fitted-and-run",
    "measured-match",
    "told",
)
GRADES = ("none", "heavy", None)
EXPERIENCE = [
    {"kind": kind, "prior_mean": mean, "prior_weight": "10"}
    for kind, mean in (("keep", "0.02"), ("salvaged", "0.1"), ("new", "0.01"))
]


def random_job(seed: int) -> Members:
    """The snapshot of one invented job, as the API takes it."""
    random = Random(seed)
    quantities = {key: random.choice((1, 1, 2, 4)) for key in PLACES}
    gone = {key: random.choice(([], ["pos_a"], ["pos_b", "pos_c"])) for key in ("d", "s")}
    elsewhere = random.choice(([], [], ["pos_o1"]))
    claims = [_claim(random, number) for number in range(random.randint(2, 9))]
    units = [
        own_unit(**_traits(random), serial_number=random.choice((None, "150", "150E"))),
        donor("d", worth="60", taken_position_ids=gone["d"], **_traits(random)),
        donor("s", kind="stock", worth="300", taken_position_ids=gone["s"], **_traits(random)),
        donor(
            "o",
            price=random.choice((None, "25")),
            worth="30",
            assembly_id="asm_2",
            taken_position_ids=elsewhere,
            **_traits(random),
        ),
    ]
    return snapshot(
        job=job(
            required_by_on=random.choice((None, "2031-03-14", "2031-04-30")),
            horizon_hours=random.choice((None, "2000")),
        ),
        settings=_settings(random),
        units=units,
        parts=_parts(random),
        positions=[
            position(
                key,
                quantity=quantities[key],
                is_variant_bound=random.random() < 0.3,
                is_safety_critical=random.random() < 0.15,
                renewal_rule=random.choice(("on-condition",) * 5 + ("always", "select-fit")),
            )
            for key in PLACES
        ],
        position_sets=_sets(random),
        operations=[work(key, "renew", "0.5", "1", position_id=f"pos_{key}") for key in "ab"],
        claims=claims,
        supersessions=[_later(random, number) for number in range(random.randint(0, 4))],
        fitment_counts=_counts(random),
        suppliers=_suppliers(random),
        offers=_offers(random),
        exchange_rates=[exchange_rate("USD", "0.9")] if random.random() < 0.8 else [],
        gifts=_gifts(random, [one["stand_in_part_id"] for one in claims]),
        salvaged_parts=_shelf(random, gone, elsewhere, quantities),
        **_looks(random),
    )


def _traits(random: Random) -> Members:
    return {
        "hand": random.choice((None, "left", "right")),
        "ratio": random.choice((None, "1.98", "1.84")),
        "generation": random.choice((None, "B")),
    }


def _settings(random: Random) -> Members:
    critical = ["new", "kit", "old-stock", *random.choice(([], ["salvaged"], ["interchange"]))]
    return settings(
        pricing={
            "parts_markup": [{"percent": random.choice(("0", "30"))}],
            "tax_percent": random.choice(("0", "20")),
        },
        policy={
            "keep_not_inspected": random.choice(("allowed", "barred")),
            "harvest_without_fallback": random.choice(("allowed", "barred")),
            "safety_critical_sources": critical,
        },
        salvage_experience=[{"prior_mean": "0.8", "prior_weight": "10"}],
        comeback_experience=EXPERIENCE,
        interchange={"least_confidence": random.choice(("0.6", "0.8", "0.95"))},
    )


def _parts(random: Random) -> list[Members]:
    kit_lines = [_line(random, PARTS[:5], 4) for _ in range(2)]
    if kit_lines[0]["part_id"] == kit_lines[1]["part_id"]:
        kit_lines = kit_lines[:1]
    plain = {
        "a": {"generic_designation": "6205-2Z"},
        "u": {"generic_designation": "6205-2RS"},
        "v": {"generic_designation": "6205-2RS"},
    }
    return [
        *(part(key, **plain.get(key, {}), kind="bearing") for key in PARTS),
        *map(part, EXTRAS),
        part("kit", kit_lines=kit_lines),
    ]


def _line(random: Random, keys: tuple[str, ...], most: int = 2) -> Members:
    return {"part_id": f"prt_{random.choice(keys)}", "quantity": random.randint(1, most)}


def _along(random: Random) -> list[Members]:
    keys = random.sample((*EXTRAS, *PARTS[3:]), random.choice((0, 0, 1, 2)))
    return [{"part_id": f"prt_{key}", "quantity": random.randint(1, 2)} for key in keys]


def _claim(random: Random, number: int) -> Members:
    one = random.choice(random.choice((PLACES, PARTS)))
    other = random.choice([key for key in PARTS if key != one])
    hours = random.choice((("0", "0"), ("0.5", "1"), ("3", "30")))
    conditions: Members = {
        "hand": random.choice(("left", "right")),
        "ratio": random.choice(("1.98", "1.84")),
        "generation": "B",
        "position_id": f"pos_{random.choice(PLACES)}",
        "assembly_id": random.choice(("asm_1", "asm_2")),
        "serial_from": "100",
        "built_from_on": "2020-01-01",
    }
    kept = [key for key in conditions if random.random() < 0.08]
    return {
        "id": f"clm_{number}",
        "part_id": f"prt_{one}",
        "stand_in_part_id": f"prt_{other}",
        "says": random.choice(("fits",) * 7 + ("does-not-fit",)),
        "evidence_kind": random.choice(EVIDENCE),
        "evidence": f"note {number}",
        "part_quantity": random.choice((1, 1, 1, 2)),
        "stand_in_quantity": random.choice((1, 1, 1, 2, 3)),
        "companion_lines": _along(random),
        "rework_p50_hours": hours[0],
        "rework_p90_hours": hours[1],
        "rework_cost": random.choice((None, None, eur("11"))),
        **{key: conditions[key] for key in kept},
    }


def _later(random: Random, number: int) -> Members:
    earlier = random.choice(random.choice((PLACES, PARTS)))
    others = [key for key in PARTS if key != earlier]
    later = random.sample(others, random.choice((0, 1, 1, 1, 2)))
    return {
        "id": f"ssn_{number}",
        "earlier_part_id": f"prt_{earlier}",
        "later_lines": [
            {"part_id": f"prt_{key}", "quantity": random.choice((1, 1, 2))} for key in later
        ],
        "companion_lines": _along(random),
        "evidence_kind": random.choice(EVIDENCE),
        "evidence": f"bulletin {number}",
        "may_go_back": random.random() < 0.3,
        "serial_from": random.choice((None, None, "100")),
    }


def _counts(random: Random) -> list[Members]:
    return [
        {"claim_id": f"clm_{n}", "served": random.randint(0, 9), "against": random.randint(0, 4)}
        for n in range(2)
        if random.random() < 0.4
    ]


def _suppliers(random: Random) -> list[Members]:
    abroad = "USD" if random.random() < 0.5 else "EUR"
    return [
        supplier(
            "near",
            "9",
            minimum_order=random.choice((None, eur("40"))),
            below_minimum=random.choice(("top-up", "refused")),
        ),
        {**supplier("far"), "freight": money("3", abroad), "order_cutoff": "07:00"},
    ]


def _offers(random: Random) -> list[Members]:
    found = []
    for key, by in product((*PARTS, *EXTRAS, "kit"), ("near", "far")):
        if random.random() < (0.25 if key in PLACES else 0.7):
            found.append(_offer(random, key, by))
    found.append(goods("unit", "near", "900", assembly_id="asm_1"))
    found.append(service("sleeve", "near", "40", position_id="pos_a"))
    return found


def _offer(random: Random, key: str, by: str) -> Members:
    more: Members = {}
    if random.random() < 0.3:
        more |= {
            "pack_quantity": random.choice((1, 2, 10)),
            "available_quantity": random.choice((None, 2, 10, 40)),
            "price_breaks": breaks(from_3="4", from_10="3"),
        }
    elif random.random() < 0.2:
        more["core"] = {"deposit": eur("8"), "acceptance_probability": "0.7"}
    p50 = random.choice(("0", "1", "4"))
    return goods(
        key,
        by,
        str(random.randint(60, 150) if key in PLACES else random.randint(5, 40)),
        (p50, str(int(p50) * 2)),
        **more,
        id=f"ofr_{key}_{by}",
        condition=random.choice(("new", "new", "new", "used", "old-stock", "rebuilt")),
        reject_probability=random.choice(("0", "0", "0.1")),
        residual_worth=random.choice((None, eur("2"))),
    )


def in_currency_of_supplier(members: Members) -> Members:
    """The same job with every offer in the currency in which its supplier counts."""
    code = {one["id"]: one["freight"]["currency"] for one in members["suppliers"]}
    for offer in members["offers"]:
        for amount in _amounts(offer):
            amount["currency"] = code[offer["supplier_id"]]
    return members


def _amounts(value: Any) -> list[Members]:
    if isinstance(value, dict):
        if "currency" in value:
            return [value]
        return [found for one in value.values() for found in _amounts(one)]
    if isinstance(value, list):
        return [found for one in value for found in _amounts(one)]
    return []


def _gifts(random: Random, stand_ins: list[str]) -> list[Members]:
    """Positions of a donor of another assembly: ``o2`` lies inside ``o1``, ``o3`` beside it."""
    numbers = [*stand_ins, *(f"prt_{key}" for key in PLACES)]
    keys = {key: random.choice(numbers) for key in ("o1", "o2", "o3")}
    pieces = {key: random.choice((1, 2, 4)) for key in keys}
    return [
        {
            "unit_id": "unt_o",
            "position": {
                "id": f"pos_{key}",
                "assembly_id": "asm_2",
                "name": f"place {key}",
                "part_id": keys[key],
                "quantity": pieces[key],
                "parent_id": "pos_o1" if key == "o2" else None,
                "is_variant_bound": key == "o3",
            },
            "to_position_id": f"pos_{place}",
            "inner_position_ids": ["pos_o2"] if key == "o1" else [],
        }
        for key, place in product(keys, PLACES)
        if random.random() < 0.7
    ]


def _shelf(
    random: Random, gone: dict[str, list[str]], elsewhere: list[str], quantities: dict[str, int]
) -> list[Members]:
    whence = [
        (f"unt_{key}", place, piece)
        for key, places in gone.items()
        for place in places
        for piece in range(1, quantities[place.removeprefix("pos_")] + 1)
    ]
    whence += [("unt_o", place, 1) for place in elsewhere]
    return [
        {
            "id": f"slv_{number}",
            "donor_unit_id": unit,
            "position_id": place,
            "piece": piece,
            "part_id": f"prt_{random.choice([key for key in (place[-1], *PARTS) if key in PARTS])}",
            "label": f"S-{number}",
            "inspected_by": "Technician B",
            "inspected_on": "2031-02-20",
            "worth": random.choice((None, eur("6"))),
        }
        for number, (unit, place, piece) in enumerate(whence)
        if random.random() < 0.8
    ]


def _sets(random: Random) -> list[Members]:
    if random.random() < 0.7:
        return []
    kind = random.choice(("matched", "renewed-together"))
    return [
        {
            "id": "set_1",
            "assembly_id": "asm_1",
            "kind": kind,
            "name": "pair",
            "position_ids": ["pos_a", "pos_b"],
        }
    ]


def _looks(random: Random) -> Members:
    wear = [
        {
            "id": f"chr_{key}",
            "position_id": f"pos_{key}",
            "name": "wear",
            "worst_acceptable_grade": "light",
        }
        for key in PLACES
    ]
    own = {key: random.choice(("heavy", *GRADES)) for key in PLACES}
    on_donor = {key: random.choice(GRADES) for key in PLACES}
    findings = [seen(key, grade) for key, grade in own.items() if grade is not None]
    findings += [seen(key, grade, "d") for key, grade in on_donor.items() if grade is not None]
    return {"characteristics": wear, "findings": findings}
