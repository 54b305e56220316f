"""Findings, characteristics and gauges, made with no more said than a test needs."""

from datetime import UTC, datetime
from decimal import Decimal

from shared.assemblies.model import (
    Characteristic,
    Derivation,
    DerivationKind,
    DerivationTerm,
    InspectionMethod,
)
from shared.condition.model import Finding, Gauge, Reading
from shared.quantities import Quantity


def mm(value, u=None, **doubt):
    if u is not None:
        doubt["standard_uncertainty"] = u
    return Quantity(Decimal(value), "mm", **{k: Decimal(v) for k, v in doubt.items()})


def finding(id_="f1", of="bore", day=4, **facts):
    facts.setdefault("method", InspectionMethod.GAUGE)
    facts.setdefault("unit_id", "u1")
    facts.setdefault("position_id", "p1")
    return Finding(
        id=id_,
        characteristic_id=of,
        found_by="bench two",
        found_at=datetime(2031, 3, day, 9, 15, tzinfo=UTC),
        **facts,
    )


def readings(*sizes, u=None):
    """Readings from texts, or (text, plane, direction)."""
    return tuple(
        Reading(mm(one, u)) if isinstance(one, str) else Reading(mm(one[0], u), one[1], one[2])
        for one in sizes
    )


def characteristic(id_="bore", **facts):
    facts.setdefault("name", id_)
    facts.setdefault("position_id", "p1")
    return Characteristic(id=id_, **facts)


def sum_of(id_, *terms, offset=None, **facts):
    """A characteristic that is a sum of (characteristic id, factor) or (id, factor, piece)."""
    made = tuple(DerivationTerm(one[0], Decimal(one[1]), *one[2:]) for one in terms)
    return characteristic(id_, derivation=Derivation(DerivationKind.SUM, made, offset), **facts)


def form_of(id_, kind, of="bore", **facts):
    made = (DerivationTerm(of),)
    return characteristic(id_, derivation=Derivation(DerivationKind(kind), made), **facts)


def gauge(id_="g1", **facts):
    facts.setdefault("name", id_)
    return Gauge(id_, **facts)
