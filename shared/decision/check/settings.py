"""The shop's settings are ones that can be worked with."""

from collections.abc import Sequence
from decimal import Decimal

from shared.decision.check.interchange import check_rules
from shared.decision.check.numbers import check_chance, check_probability, check_whole
from shared.decision.settings import ShopSettings
from shared.decision.snapshot import Snapshot
from shared.errors import InvalidInput
from shared.evidence import CauseKind, FailureMechanism
from shared.life.weibull import GREATEST_SHAPE, LEAST_SHAPE
from shared.sourcing.calendar import check_calendar, day_zero

MOST_CAUSE_CHANCES = 100
MOST_FAILURES = 1_000_000
HIGHEST_INTEREST_PERCENT = 1000
LEAST_SCALE_HOURS = Decimal("0.01")
LEAST_WARRANTY_HOURS = Decimal("0.01")
"""Below it the failures that come after the warranty run beyond any count."""


def check_settings(snapshot: Snapshot) -> None:
    """Refuse a calendar, rules or experience that cannot be worked with."""
    try:
        check_shop_settings(snapshot.settings)
        _check_is_ever_open(snapshot)
    except InvalidInput as error:
        raise error.below("/settings") from None


def _check_is_ever_open(snapshot: Snapshot) -> None:
    """Refuse a calendar in which, seen from the day of the answer, the shop never works."""
    calendar = snapshot.settings.calendar
    try:
        day_zero(snapshot.as_of, calendar)
    except InvalidInput as error:
        raise error if error.pointer == "/as_of" else error.below("/calendar") from None


def check_shop_settings(settings: ShopSettings) -> None:
    """Refuse settings that cannot be worked with; pointers start at the settings."""
    try:
        check_calendar(settings.calendar)
    except InvalidInput as error:
        raise error.below("/calendar") from None
    if not 0 < settings.calendar.bench_hours_per_day <= 24:
        raise InvalidInput(
            "/calendar/bench_hours_per_day",
            f"{settings.calendar.bench_hours_per_day} bench hours a day are not possible.",
            "Give more than 0 and at most 24.",
        )
    rules = settings.rules
    if not Decimal("0.5") < rules.conformity_probability < 1:
        raise InvalidInput(
            "/rules/conformity_probability",
            f"{rules.conformity_probability} is not a probability to accept by.",
            'Give more than 0.5 and less than 1, such as "0.95".',
        )
    check_probability("/rules/promise_confidence", rules.promise_confidence)
    interest = rules.interest_percent_per_year
    if interest is not None and interest > HIGHEST_INTEREST_PERCENT:
        raise InvalidInput(
            "/rules/interest_percent_per_year",
            f"{interest} % a year is out of range.",
            f"Give at most {HIGHEST_INTEREST_PERCENT}, or leave it out.",
            "out-of-range",
        )
    hours = settings.warranty.warranty_hours
    if hours < LEAST_WARRANTY_HOURS:
        raise InvalidInput(
            "/warranty/warranty_hours",
            f"A warranty of {hours} h is none.",
            f"Give the warranty in running hours, at least {LEAST_WARRANTY_HOURS}.",
        )
    for name in ("common_cause_known", "common_cause_unknown"):
        check_chance(f"/warranty/{name}", getattr(settings.warranty, name))
    _check_causes(settings)
    cap = rules.inspection_cap_hours
    if cap is not None and cap <= 0:
        raise InvalidInput(
            "/rules/inspection_cap_hours",
            f"Got {cap}; wanted more than 0.",
            "Give running hours, or leave it out: then there is no cap.",
            "out-of-range",
        )
    try:
        check_rules(settings.interchange)
    except InvalidInput as error:
        raise error.below("/interchange") from None
    _check_experience(settings)


def _check_causes(settings: ShopSettings) -> None:
    chances = settings.warranty.cause_chances
    try:
        check_cause_pairs([(one.cause_kind, one.mechanism) for one in chances])
    except InvalidInput as error:
        raise error.below("/warranty") from None
    for index, one in enumerate(chances):
        check_chance(f"/warranty/cause_chances/{index}/probability", one.probability)


def check_cause_pairs(pairs: Sequence[tuple[CauseKind, FailureMechanism | None]]) -> None:
    """Refuse more chances than anybody keeps, and a kind of cause told twice for one mechanism."""
    if len(pairs) > MOST_CAUSE_CHANCES:
        raise InvalidInput(
            "/cause_chances",
            f"There are {len(pairs)}; wanted at most {MOST_CAUSE_CHANCES}.",
            f"Give the {MOST_CAUSE_CHANCES} that matter.",
            "too-many",
        )
    for index, (kind, mechanism) in enumerate(pairs):
        if (kind, mechanism) in pairs[:index]:
            how = "any mechanism" if mechanism is None else mechanism
            raise InvalidInput(
                f"/cause_chances/{index}",
                f"The cause {kind} is there twice for {how}.",
                "Give one chance for each kind of cause and mechanism.",
                "duplicate-item",
            )


def _check_experience(settings: ShopSettings) -> None:
    for index, record in enumerate(settings.comeback_experience):
        pointer = f"/comeback_experience/{index}"
        check_belief(pointer, record.prior_mean, record.prior_weight)
        check_count(f"{pointer}/comebacks", record.comebacks, record.trials)
    for index, salvage in enumerate(settings.salvage_experience):
        pointer = f"/salvage_experience/{index}"
        check_belief(pointer, salvage.prior_mean, salvage.prior_weight)
        check_count(f"{pointer}/good", salvage.good, salvage.trials)
    for index, looked in enumerate(settings.inspection_experience):
        pointer = f"/inspection_experience/{index}"
        check_belief(pointer, looked.prior_mean, looked.prior_weight)
        check_count(f"{pointer}/conforming", looked.conforming, looked.trials)
    for index, life in enumerate(settings.life_records):
        if life.scale_hours < LEAST_SCALE_HOURS:
            raise InvalidInput(
                f"/life_records/{index}/scale_hours",
                f"It is {life.scale_hours} h.",
                f"Give {LEAST_SCALE_HOURS} h or more.",
            )
        if not LEAST_SHAPE <= life.shape <= GREATEST_SHAPE:
            raise InvalidInput(
                f"/life_records/{index}/shape",
                f"A shape of {life.shape} is out of range.",
                f"Give from {LEAST_SHAPE} to {GREATEST_SHAPE:g}.",
                "out-of-range",
            )
        if life.failures is not None:
            check_whole(f"/life_records/{index}/failures", life.failures, 0, MOST_FAILURES)


def check_belief(pointer: str, mean: Decimal, weight: Decimal) -> None:
    """Refuse a prior without doubt or without weight."""
    if not 0 < mean < 1:
        raise InvalidInput(
            f"{pointer}/prior_mean",
            f"{mean} leaves no doubt; experience never does.",
            "Give more than 0 and less than 1.",
        )
    if weight <= 0:
        raise InvalidInput(
            f"{pointer}/prior_weight", "It is 0.", "Give the number of cases the prior counts as."
        )


def check_count(pointer: str, count: int, trials: int) -> None:
    """Refuse more events than trials."""
    if not 0 <= count <= trials:
        raise InvalidInput(
            pointer, f"{count} of {trials} is not possible.", "Give from 0 to the number of trials."
        )
