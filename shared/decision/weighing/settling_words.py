"""A weighed position as a person reads it: what looking costs, what it is worth, what follows."""

from decimal import ROUND_CEILING, ROUND_FLOOR, Decimal

from shared.decision.building.build import Built
from shared.decision.building.planned import worst_of
from shared.decision.planning.case import Plan
from shared.decision.result import Settling
from shared.decision.telling.figures import amount_told, percent_down
from shared.decision.weighing.plan_difference import NOTHING, differences
from shared.decision.weighing.settling_weighed import Outcome, Weighed
from shared.money import Money, round_half_up

CHANCE_STEP = Decimal("0.0001")
_SAME = "the plan stays as it is"


def settling_view(built: Built, best: Plan, weighed: Weighed) -> Settling:
    """What settling a position costs, gains and changes.

    A gain is rounded down and a cost up to the minor unit, so that the net value is their
    difference to the last digit and never better than it is.
    """
    currency = built.bench.settings.currency
    chance = weighed.chance.chance
    value = None if chance is None else _whole(weighed.value(chance), ROUND_FLOOR)
    cost = _cost(weighed).to_integral_value(ROUND_CEILING)
    is_known = chance is not None and weighed.net(chance) is not None
    net = value - cost if is_known and value is not None else None
    between = worthwhile_between(weighed)

    def money(minor: Decimal | int | None) -> Money | None:
        return None if minor is None else Money.of_minor(round_half_up(Decimal(minor)), currency)

    return Settling(
        position_id=weighed.members[0].id,
        position_name=", ".join(planned.name for planned in weighed.members),
        verdict=worst_of("", [built.bench.judgements[p.id] for p in weighed.members]).verdict,
        what=weighed.what,
        chance_conforming=chance,
        basis=weighed.chance.basis,
        cost=_money(cost, currency),
        value=money(value),
        net_value=money(net),
        is_worthwhile=_is_worthwhile(weighed, net, between),
        worthwhile_between=between,
        total_now=Money.of_minor(weighed.now, currency),
        total_if_conforming=money(weighed.good.total),
        total_if_nonconforming=money(weighed.bad.total),
        if_conforming=_follows(built, best, weighed.good),
        if_nonconforming=_follows(built, best, weighed.bad),
        detail=" ".join(_detail(built, weighed, net, between)),
    )


def worthwhile_between(weighed: Weighed) -> tuple[Decimal, ...]:
    """Chances to conform between which settling pays, rounded inwards; none: it never does.

    The balance is linear in the chance, so its two ends tell all.
    """
    at_none, at_all = weighed.balance(Decimal(0)), weighed.balance(Decimal(1))
    if at_none is None or at_all is None or (at_none <= 0 and at_all <= 0):
        return ()
    if at_none > 0 and at_all > 0:
        return Decimal(0), Decimal(1)
    root = at_none / (at_none - at_all)
    if at_none > 0:
        return Decimal(0), root.quantize(CHANCE_STEP, ROUND_FLOOR)
    return root.quantize(CHANCE_STEP, ROUND_CEILING), Decimal(1)


def _cost(weighed: Weighed) -> Decimal:
    """At the chance on record; without one, as if the dearer of the two outcomes were certain."""
    chance = weighed.chance.chance
    if chance is not None:
        return weighed.cost(chance)
    return max(weighed.cost(Decimal(0)), weighed.cost(Decimal(1)))


def _is_worthwhile(
    weighed: Weighed, net: Decimal | None, between: tuple[Decimal, ...]
) -> bool | None:
    """Not known without a cost or a chance, save where no chance at all would make it pay.

    Nor where it is not seen to pay, and what a bad part that is kept leads to is not priced.
    """
    if net is not None and net > 0:
        return True
    never = weighed.net(Decimal(0)) is not None and not between
    return False if weighed.is_priced and (net is not None or never) else None


def _whole(minor: Decimal | None, rounding: str) -> Decimal | None:
    return None if minor is None else minor.to_integral_value(rounding)


def _money(minor: Decimal, currency: str) -> Money:
    return Money.of_minor(round_half_up(minor), currency)


def _follows(built: Built, best: Plan, outcome: Outcome) -> tuple[str, ...]:
    if outcome.plan is None:
        return (NOTHING,)
    told = differences((built, best), (outcome.built, outcome.plan))
    return told or (_SAME,)


def _detail(
    built: Built, weighed: Weighed, net: Decimal | None, between: tuple[Decimal, ...]
) -> list[str]:
    told = [_outright(built, weighed, net, between), _by_the_part_itself(weighed, net)]
    for outcome, word in ((weighed.good, "conforms"), (weighed.bad, "does not conform")):
        if outcome.plan is None:
            told.append(f"If it {word}, {NOTHING}: what knowing it is worth is not known.")
    if not weighed.is_priced:
        told.append(
            "No comebacks are on record of parts kept that do not conform, so what keeping it "
            "leads to then is not priced by itself: the plan counts with its expected total."
        )
    alone = "Settled together, as a matched set" if len(weighed.members) > 1 else "Taken by itself"
    told.append(f"{alone}; the looking is taken to settle it and to move no date.")
    return [one for one in told if one]


def _outright(
    built: Built, weighed: Weighed, net: Decimal | None, between: tuple[Decimal, ...]
) -> str:
    unknown = _why_not_known(weighed, net, between)
    if unknown is not None:
        return unknown
    if net is not None:
        return _balance(net, built.bench.settings.currency)
    if between:
        return (
            f"Looking closer pays if the part conforms with a chance between {between[0]:f} and "
            f"{between[1]:f}; how likely that is, nothing on record tells."
        )
    if weighed.net(Decimal(0)) is not None:
        return "Looking closer does not pay, however likely the part conforms."
    return ""


def _by_the_part_itself(weighed: Weighed, net: Decimal | None) -> str:
    """Where the part's own readings would have it the other way, that is told beside it."""
    own, pays = weighed.own_chance, weighed.pays_by_own_chance()
    if own is None or net is None or pays is None or pays == (net > 0):
        return ""
    would = "would pay" if pays else "would not pay"
    return f"With the chance that the part itself tells ({percent_down(own)}) it {would}."


def _why_not_known(
    weighed: Weighed, net: Decimal | None, between: tuple[Decimal, ...]
) -> str | None:
    """Why nothing can be said of whether looking pays, whatever the chance."""
    if not weighed.is_costed:
        return (
            "What the looking costs is not on record, so whether it pays is not known: record an "
            "operation 'inspect' at the position."
        )
    if weighed.bars_the_way:
        return (
            "What lies behind the opening and is renewed whenever it is open cannot be filled "
            "then: whether looking closer pays is not known."
        )
    is_seen_to_pay = bool(between) if net is None else net > 0
    if not weighed.is_priced and not is_seen_to_pay and weighed.net(Decimal(0)) is not None:
        return (
            "By what is on record looking closer gains no more than it costs; what it spares if "
            "the part is bad is not on record, so whether it pays is not known."
        )
    return None


def _balance(net: Decimal, currency: str) -> str:
    amount = amount_told(_money(abs(net), currency))
    if net == 0:
        return "Looking closer does not pay: it gains what it costs."
    if net > 0:
        return f"Looking closer pays: it gains {amount} more than it costs."
    return f"Looking closer does not pay: it costs {amount} more than it gains."
