"""Shop settings: mapping and checks, and which of them are in force.

They are kept whole as one document, as they are written and read; currency and promise lie in
columns, and in those alone.
"""

from collections.abc import Mapping
from typing import Any, Final

from sqlalchemy import func, select
from sqlalchemy.orm import Session

from db.models.access import shops
from db.models.decision import shop_settings
from db.queries import store
from db.queries.access import Principal
from db.queries.currency import amounts, check_no_other_currency, check_one_currency
from db.queries.mapping import Mapped, load
from db.queries.references import known
from shared.decision.check.numbers import check_figures
from shared.decision.check.settings import check_shop_settings
from shared.decision.codec import from_builtins, to_builtins
from shared.decision.settings import ShopSettings
from shared.errors import Conflict


def _check_settings(session: Session, principal: Principal, settings: ShopSettings) -> None:
    known(session, principal, shops, principal.shop_id, "", "shop", lock=True)
    check_one_currency(list(amounts(settings)), settings.currency, "the settings")
    # What a snapshot would refuse later would keep every job of the shop from an answer.
    check_figures(settings, settings.currency)
    check_shop_settings(settings)
    check_no_other_currency(session, principal, settings.currency)


def _settings_version(session: Session, principal: Principal, settings: ShopSettings) -> int:
    count = session.execute(
        select(func.count()).where(shop_settings.c.shop_id == principal.shop_id)
    ).scalar_one()
    return count + 1


def _settings_row(settings: ShopSettings) -> dict[str, Any]:
    document = to_builtins(settings)
    del document["id"], document["currency"], document["rules"]["promise_confidence"]
    return {
        "id": settings.id,
        "currency": settings.currency,
        "promise_confidence": settings.rules.promise_confidence,
        "document": document,
    }


def _settings_of(row: Mapping[str, Any]) -> ShopSettings:
    document = dict(row["document"])
    document["rules"] = document["rules"] | {"promise_confidence": str(row["promise_confidence"])}
    return from_builtins(document | {"id": row["id"], "currency": row["currency"]}, ShopSettings)


SETTINGS: Final = Mapped(
    ShopSettings,
    "shop-settings",
    shop_settings,
    check=_check_settings,
    is_kept=True,
    version=_settings_version,
    write=_settings_row,
    build=_settings_of,
)


def settings_in_force(session: Session, principal: Principal) -> ShopSettings:
    """Return the shop's newest settings; raises Conflict ("state-conflict") if it has none."""
    found = newest_settings(session, principal)
    if found is None:
        raise Conflict(
            "state-conflict",
            "The shop has no settings yet, so no price or date can be worked out.",
            "Create the shop settings: currency, rates, pricing, warranty, calendar, policy.",
        )
    return found


def newest_settings(session: Session, principal: Principal) -> ShopSettings | None:
    """Return the shop's newest settings; None while it has none."""
    newest = store.visible(SETTINGS, principal).order_by(shop_settings.c.version.desc()).limit(1)
    found = load(session, SETTINGS, newest)
    return found[0].record if found else None
