"""Exchange rates: real, between two currencies, one for each pair and day."""

from datetime import date

from shared.decision.check.numbers import check_code
from shared.decision.snapshot import Snapshot
from shared.errors import InvalidInput


def check_rates(snapshot: Snapshot) -> None:
    """Refuse rates of 0, of a currency into itself, and two for the same pair and day."""
    seen: set[tuple[str, str, date]] = set()
    for index, rate in enumerate(snapshot.exchange_rates):
        at = f"/exchange_rates/{index}"
        check_code(f"{at}/currency", rate.currency)
        check_code(f"{at}/in_currency", rate.in_currency)
        if rate.rate <= 0:
            raise InvalidInput(
                f"{at}/rate",
                f"A rate of {rate.rate} makes money vanish.",
                f"Give what 1 {rate.currency} is worth in {rate.in_currency}, more than 0.",
                "out-of-range",
            )
        if rate.currency == rate.in_currency:
            raise InvalidInput(
                f"{at}/in_currency",
                f"It is a rate of {rate.currency} into itself.",
                "Name two currencies, or leave the rate out.",
                "currency-same",
            )
        key = (rate.currency, rate.in_currency, rate.holds_from)
        if key in seen:
            raise InvalidInput(
                f"{at}/holds_from",
                f"There are two rates from {rate.currency} into {rate.in_currency} of "
                f"{rate.holds_from}.",
                "Give one rate for each pair of currencies and day.",
                "duplicate",
            )
        seen.add(key)
