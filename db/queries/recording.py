"""Findings as they are recorded: what is sent twice is stored once, many are stored together."""

from collections.abc import Callable, Sequence
from dataclasses import dataclass, fields, replace
from typing import Final

from sqlalchemy import select
from sqlalchemy.orm import Session

from db.models.condition import findings, gauges, units
from db.queries.access import Principal
from db.queries.condition import FINDINGS
from db.queries.mapping import Stored, in_steps, load
from db.queries.references import known
from db.queries.store import create_all, find_all
from shared.condition.model import Finding
from shared.errors import Conflict, InvalidInput
from shared.salvage.states import has_come

_NOT_CONTENT: Final = "id"


@dataclass(frozen=True, slots=True)
class Sent:
    """A finding as it is sent; what it supersedes may be told by the caller's own word for it."""

    finding: Finding
    supersedes_client_id: str | None = None


@dataclass(frozen=True, slots=True)
class Recorded:
    """A finding as it is stored, and whether this call has stored it."""

    stored: Stored[Finding]
    is_new: bool


def record_finding(session: Session, principal: Principal, finding: Finding) -> Recorded:
    """Keep one finding; raises as ``record_findings`` does, with pointers into the finding."""
    return record_findings(session, principal, [Sent(finding)], lambda _: "")[0]


def record_findings(
    session: Session, principal: Principal, sent: Sequence[Sent], at: Callable[[int], str]
) -> list[Recorded]:
    """Keep findings in the order given, all or none; ``at`` is the pointer of each.

    What is stored already under its client_id is not stored again. Raises InvalidInput for what is
    not true or points at nothing; Conflict: "duplicate-client-id" (existing_id, differs_at) where
    the same client_id says something else, "duplicate" where what is superseded is superseded.
    """
    _wait_for_others(session, principal, sent, at)
    by_client = _by_client_id(session, principal, sent)
    ids_known = {client_id: stored.record.id for client_id, stored in by_client.items()}
    new: list[tuple[int, Finding]] = []
    ids: list[str] = []
    for place, one in enumerate(sent):
        finding = _with_superseded(one, ids_known, at(place))
        stored = by_client.get(finding.client_id or "")
        if stored is None:
            new.append((place, _with_calibration(session, principal, finding)))
        else:
            _check_same(stored.record, finding, at(place))
        ids.append(finding.id if stored is None else stored.record.id)
        if finding.client_id is not None:
            ids_known[finding.client_id] = ids[-1]
    places = [place for place, _ in new]
    create_all(
        session, principal, FINDINGS, [finding for _, finding in new], lambda n: at(places[n])
    )
    # Read back: what is answered is what is stored.
    found = {
        record_id: stored
        for some in in_steps(ids)
        for record_id, stored in find_all(session, principal, FINDINGS, some).items()
    }
    added = {finding.id for _, finding in new}
    return [Recorded(found[one], one in added) for one in ids]


def _wait_for_others(
    session: Session, principal: Principal, sent: Sequence[Sent], at: Callable[[int], str]
) -> None:
    """Make who records on the same unit wait, or two that send the same would block each other."""
    first: dict[str, int] = {}
    for place, one in enumerate(sent):
        first.setdefault(one.finding.unit_id, place)
    for unit_id, place in sorted(first.items()):
        known(session, principal, units, unit_id, f"{at(place)}/unit_id", "unit", lock=True)


def _by_client_id(
    session: Session, principal: Principal, sent: Sequence[Sent]
) -> dict[str, Stored[Finding]]:
    """Return what the shop has stored under the words that callers sent."""
    words = {one.finding.client_id for one in sent} | {one.supersedes_client_id for one in sent}
    found: dict[str, Stored[Finding]] = {}
    for some in in_steps(sorted(word for word in words if word is not None)):
        statement = select(findings).where(
            findings.c.shop_id == principal.shop_id, findings.c.client_id.in_(some)
        )
        for stored in load(session, FINDINGS, statement):
            assert stored.record.client_id is not None
            found[stored.record.client_id] = stored
    return found


def _with_superseded(sent: Sent, ids_known: dict[str, str], at: str) -> Finding:
    """Return the finding with the id of what it supersedes."""
    word = sent.supersedes_client_id
    if word is None:
        return sent.finding
    if word not in ids_known or word == sent.finding.client_id:
        raise InvalidInput(
            f"{at}/supersedes_client_id",
            f"No finding before this one has the client_id '{word}'.",
            "Give the client_id of a finding that is stored, or stands before this one.",
            "reference-unknown",
        )
    return replace(sent.finding, supersedes_id=ids_known[word])


def _with_calibration(session: Session, principal: Principal, finding: Finding) -> Finding:
    """Return the finding with the day on which its gauge was last calibrated before it.

    Written down with the finding: the gauge's own record moves on with each calibration.
    """
    if finding.gauge_id is None or finding.gauge_calibrated_on is not None:
        return finding
    day = session.execute(
        select(gauges.c.calibrated_on).where(
            gauges.c.shop_id == principal.shop_id, gauges.c.id == finding.gauge_id
        )
    ).scalar()
    if day is None or not has_come(day, finding.found_at):
        return finding
    return replace(finding, gauge_calibrated_on=day)


def _check_same(stored: Finding, sent: Finding, at: str) -> None:
    """Check that what comes again under a client_id says what is stored under it."""
    differs = [
        one.name
        for one in fields(Finding)
        if one.name != _NOT_CONTENT and getattr(stored, one.name) != getattr(sent, one.name)
    ]
    if sent.gauge_calibrated_on is None and sent.gauge_id == stored.gauge_id:
        differs = [name for name in differs if name != "gauge_calibrated_on"]
    if differs:
        raise Conflict(
            "duplicate-client-id",
            f"The client_id '{sent.client_id}' is that of the finding {stored.id}, which differs"
            f" in {', '.join(differs)}.",
            "Give another finding a client_id of its own; to correct this one, supersede it.",
            existing_id=stored.id,
            differs_at=[f"{at}/{name}" for name in differs],
        )
