"""A typical job as a snapshot, invented and the same in every run, in the form that the API takes.

A drive of 15 positions with 10 sources each: kept, from four donors, from five of six suppliers;
beside them a kit, an exchange unit and a rebuilder. A matched pair, seals renewed together and
always, nested access groups, freight, a minimum order, packs and price breaks are in it.
"""

from random import Random

from tests.snapshots import (
    Members,
    donor,
    eur,
    goods,
    group,
    job,
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

POSITIONS = 15
SUPPLIERS = 6
DONORS = 4
OFFERS_PER_POSITION = 5
REQUIRED_BY = "2031-03-21"

_PAIR = ("part_00", "part_01")
_SEALS = ("part_12", "part_13", "part_14")
_GROUPS = ("outer", "middle", "inner")
_GRADES = ("none", "heavy", "light", "heavy", None)
"""Worn, sound and not looked at, in turn."""


def typical_job(positions: int = POSITIONS, seed: int = 1, **asked: object) -> Members:
    """The job with so many positions (at least 15); ``asked`` says how much of an answer."""
    random = Random(seed)
    keys = [f"part_{number:02}" for number in range(positions)]
    characteristics, findings = _looks(keys)
    members = snapshot(
        job=job(
            required_by_on=REQUIRED_BY,
            horizon_hours="1500",
            hours_per_year="800",
            inspection_price=eur(90),
            spending_limit=eur(4000),
        ),
        settings=_settings(),
        units=[own_unit(lower_hours="3000", upper_hours="3400"), *_donors(random)],
        parts=[*(part(key, kind=_kind(key)) for key in keys), *_kits()],
        positions=[_position(key, number) for number, key in enumerate(keys)],
        access_groups=[group("outer"), group("middle", "outer"), group("inner", "middle")],
        position_sets=[
            _set("pair", "matched", _PAIR),
            _set("seals", "renewed-together", _SEALS[:2]),
        ],
        operations=_operations(keys),
        characteristics=characteristics,
        findings=findings,
        suppliers=_suppliers(),
        offers=[*_offers(random, keys), *_units(), *_kit_offers()],
    )
    return {**members, "asked": asked} if asked else members


def _kind(key: str) -> str:
    return "seal" if key in _SEALS else "gear" if key in _PAIR else "bearing"


def _position(key: str, number: int) -> Members:
    rule = "always" if key in _SEALS else "on-condition"
    return position(key, renewal_rule=rule, access_group_id=f"grp_{_GROUPS[number % 3]}")


def _set(key: str, kind: str, keys: tuple[str, ...]) -> Members:
    return {
        "id": f"set_{key}",
        "assembly_id": "asm_1",
        "kind": kind,
        "name": key,
        "position_ids": [f"pos_{one}" for one in keys],
    }


def _looks(keys: list[str]) -> tuple[list[Members], list[Members]]:
    characteristics, findings = [], []
    for number, key in enumerate(keys):
        characteristics.append(
            {
                "id": f"chr_{key}",
                "position_id": f"pos_{key}",
                "name": "wear",
                "worst_acceptable_grade": "light",
                "settling_method": "by-eye",
            }
        )
        grade = _GRADES[number % len(_GRADES)]
        if grade is not None:
            findings.append(seen(key, grade))
    return characteristics, findings


def _settings() -> Members:
    kinds = {
        "keep": "0.03",
        "keep-not-inspected": "0.12",
        "new": "0.01",
        "old-stock": "0.02",
        "used": "0.10",
        "salvaged": "0.18",
        "exchange": "0.03",
        "send-out": "0.03",
    }
    return settings(
        pricing={
            "parts_markup": [{"percent": "35"}, {"percent": "20", "cost_from": eur(200)}],
            "freight_markup_percent": "10",
            "unit_markup_percent": "15",
            "sublet_markup_percent": "15",
            "supplies_percent_of_labour": "3",
            "disposal": eur(12),
            "tax_percent": "20",
        },
        warranty={"comeback_fixed_cost": eur(120), "common_cause_unknown": "0.02"},
        rules={"interest_percent_per_year": "5"},
        comeback_experience=[
            {"kind": kind, "prior_mean": mean, "prior_weight": "20"} for kind, mean in kinds.items()
        ],
        salvage_experience=[{"prior_mean": "0.7", "prior_weight": "20"}],
        inspection_experience=[{"prior_mean": "0.7", "prior_weight": "10"}],
        life_records=[
            {"part_kind": "bearing", "shape": "1.5", "scale_hours": "9000", "basis": "invented"}
        ],
    )


def _donors(random: Random) -> list[Members]:
    """Two in the yard, two to be bought."""
    owned = [
        donor(f"yard_{n}", worth=str(random.randint(60, 200)), terms=_strip(), lower_hours="2000")
        for n in range(DONORS // 2)
    ]
    bought = [
        donor(
            f"far_{n}",
            price=str(random.randint(100, 260)),
            terms={**_strip(), "freight": eur(45), "p50_days": "3", "p90_days": "6"},
        )
        for n in range(DONORS // 2)
    ]
    return [one | {"reason_retired": "seizure"} for one in (*owned, *bought)]


def _strip() -> Members:
    return {"strip_p50_hours": "1.5", "strip_p90_hours": "2.5"}


def _operations(keys: list[str]) -> list[Members]:
    doing: list[Members] = []
    for name in _GROUPS:
        doing.append(work(name, "open", "0.5", "0.75", access_group_id=f"grp_{name}"))
        doing.append(work(name, "close", "0.5", "0.75", access_group_id=f"grp_{name}"))
    for key in keys:
        at = {"position_id": f"pos_{key}"}
        doing.append(work(key, "renew", "0.25", "0.5", **at))
        doing.append(work(key, "refit", "0.1", "0.2", **at))
        doing.append(work(key, "harvest", "0.25", "0.5", **at))
        doing.append(work(key, "inspect", "0.25", "0.5", **at))
    doing.append(work("whole", "renew", "2", "3"))
    doing.append(work("whole", "prove", "1", "1.5"))
    return doing


def _suppliers() -> list[Members]:
    terms: list[Members] = [
        {"free_freight_from": eur(400)},
        {"minimum_order": eur(150)},
        {"minimum_order": eur(80), "below_minimum": "fee", "small_order_fee": eur(15)},
        {"delivery": "separate"},
        {},
        {"free_freight_from": eur(250)},
    ]
    freights = ("18", "9", "12", "15", "30", "22")
    return [
        supplier(f"{n}", freight, **own)
        for n, (freight, own) in enumerate(zip(freights, terms, strict=True))
    ]


_DAYS = (("1", "2"), ("3", "5"), ("2", "4"), ("6", "10"), ("8", "14"), ("4", "7"))
_PREMIUM = (1.25, 1.05, 1.1, 0.9, 0.8, 1.0)


def _offers(random: Random, keys: list[str]) -> list[Members]:
    found = []
    for key in keys:
        worth = random.randint(8, 40) if key in _SEALS else random.randint(30, 320)
        for number in random.sample(range(SUPPLIERS), OFFERS_PER_POSITION):
            price = worth * _PREMIUM[number] * random.uniform(0.85, 1.15)
            found.append(_offer(key, number, price))
    return found


def _offer(key: str, number: int, price: float) -> Members:
    own: Members = {"part_id": f"prt_{key}"}
    if number == 5:
        own["condition"] = "old-stock"
    if number == 4:
        own["condition"] = "used"
    if number == 3 and key in _SEALS:
        broken = {"from_quantity": 10, "price": eur(f"{price * 0.8:.2f}")}
        own |= {"pack_quantity": 2, "price_breaks": [broken]}
    return goods(f"{key}_{number}", f"{number}", f"{price:.2f}", _DAYS[number], **own)


def _kits() -> list[Members]:
    """The seals in one bag, and the pair: the only way to buy that new."""
    return [
        part(name, kind=_kind(keys[0]), kit_lines=[{"part_id": f"prt_{key}"} for key in keys])
        for name, keys in (("seal_kit", _SEALS), ("gear_pair", _PAIR))
    ]


def _kit_offers() -> list[Members]:
    return [
        goods("seal_kit", "1", "55", _DAYS[1]),
        goods("gear_pair", "0", "620", _DAYS[0]),
        goods("gear_pair_late", "5", "510", _DAYS[5], part_id="prt_gear_pair"),
    ]


def _units() -> list[Members]:
    core = {
        "deposit": eur(400),
        "acceptance_probability": "0.8",
        "return_freight": eur(40),
        "return_within_days": 30,
    }
    return [
        goods(
            "exchange_unit",
            "5",
            "2300",
            ("5", "8"),
            assembly_id="asm_1",
            condition="rebuilt",
            core=core,
        ),
        goods("used_unit", "4", "2100", ("6", "9"), assembly_id="asm_1", condition="used"),
        service("rebuild", "3", "2700", ("8", "12"), assembly_id="asm_1"),
    ]
