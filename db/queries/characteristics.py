"""What a characteristic may be derived from, and what its findings and users keep of it."""

from collections.abc import Iterator, Sequence
from typing import Any, Final

from sqlalchemy import func, select
from sqlalchemy.orm import Session

from db.models.assemblies import characteristic_terms, characteristics, positions
from db.models.condition import findings
from db.queries.access import Principal
from db.queries.references import Row, known
from shared.assemblies.model import Characteristic, Derivation, DerivationKind, Position
from shared.errors import InvalidInput
from shared.quantities import Quantity, check_quantity, kind_of, same_dimension

MOST_TERMS: Final = 12
OF_READINGS: Final = frozenset(
    {
        DerivationKind.OUT_OF_ROUND.value,
        DerivationKind.OUT_OF_ROUND_OVERALL.value,
        DerivationKind.TAPER.value,
    }
)
"""Kinds of derivation that come from the readings of one size."""
LIMITS: Final = ("new_lower", "new_upper", "service_lower", "service_upper")


def measured_in(row: Row) -> str | None:
    """Return a unit in which a stored characteristic is measured; None: it is graded."""
    if row["is_crack"] or row["worst_acceptable_grade"] is not None:
        return None
    units: Iterator[str | None] = (row[f"{name}_unit"] for name in LIMITS)
    own: str | None = row["unit"]
    return next((unit for unit in units if unit is not None), own)


def judged_by(characteristic: Characteristic) -> str | None:
    """Return what a characteristic is judged by: "grade", or the kind of what is measured."""
    if characteristic.is_crack or characteristic.worst_acceptable_grade is not None:
        return "grade"
    unit = _unit_of(characteristic)
    return None if unit is None else kind_of(unit)


def _unit_of(characteristic: Characteristic) -> str | None:
    limits: tuple[Quantity | None, ...] = (
        characteristic.new_lower,
        characteristic.new_upper,
        characteristic.service_lower,
        characteristic.service_upper,
    )
    return next((limit.unit for limit in limits if limit is not None), characteristic.unit)


# --- what it is derived from -----------------------------------------------------------------


def check_derivation(
    session: Session, principal: Principal, characteristic: Characteristic, assembly_id: str
) -> None:
    """Check that a derivation names sizes of the same assembly and comes back to none of them.

    Raises InvalidInput.
    """
    derivation = characteristic.derivation
    if derivation is None:
        return
    _check_count(derivation)
    kind = judged_by(characteristic)
    for place, term in enumerate(derivation.terms):
        at = f"/derivation/terms/{place}"
        row = known(
            session,
            principal,
            characteristics,
            term.characteristic_id,
            f"{at}/characteristic_id",
            "characteristic",
            steady=True,
        )
        position = _position_of_term(session, row, assembly_id, at)
        _check_piece(term.piece, position, at)
        kind = _check_kind(row, kind, at)
        if derivation.kind.value in OF_READINGS and row["derivation_kind"] is not None:
            raise InvalidInput(
                f"{at}/characteristic_id",
                f"The characteristic '{row['id']}' is derived itself, and has no readings.",
                f"Name the size whose readings tell {derivation.kind}.",
                "derived-not-read",
            )
    if derivation.offset is not None and kind is not None:
        check_quantity(derivation.offset, kind, "/derivation/offset")
    _check_no_circle(session, characteristic, derivation)


def _check_count(derivation: Derivation) -> None:
    least = len(derivation.terms) >= 1
    most = MOST_TERMS if derivation.kind is DerivationKind.SUM else 1
    if not least or len(derivation.terms) > most:
        raise InvalidInput(
            "/derivation/terms",
            f"Got {len(derivation.terms)} terms; {derivation.kind} is made of 1 to {most}.",
            f"Send 1 to {most}.",
            "too-many" if least else "too-few",
        )


def _position_of_term(session: Session, row: Row, assembly_id: str, at: str) -> Row:
    statement = select(positions).where(positions.c.id == row["position_id"])
    position = session.execute(statement).mappings().one()
    if position["assembly_id"] != assembly_id:
        raise InvalidInput(
            f"{at}/characteristic_id",
            f"The characteristic '{row['id']}' belongs to another assembly.",
            f"Give a characteristic of the assembly '{assembly_id}'.",
            "other-assembly",
        )
    return position


def _check_piece(piece: int | None, position: Row, at: str) -> None:
    if piece is not None and piece > position["quantity"]:
        raise InvalidInput(
            f"{at}/piece",
            f"piece is {piece}; the position holds {position['quantity']}.",
            "Count the pieces from 1 to what the position holds.",
            "out-of-range",
        )


def _check_kind(row: Row, kind: str | None, at: str) -> str:
    """Return the kind of quantity of a term, which is that of the others."""
    unit = measured_in(row)
    if unit is None:
        raise InvalidInput(
            f"{at}/characteristic_id",
            f"The characteristic '{row['id']}' is graded: it has no size.",
            "Name a characteristic that is measured.",
            "not-measured",
        )
    if kind is not None and not same_dimension(kind_of(unit), kind):
        raise InvalidInput(
            f"{at}/characteristic_id",
            f"The characteristic '{row['id']}' is measured in {unit}, which is no {kind}.",
            "Add only what is of one kind of quantity, the kind of the limits.",
            "unit-wrong-dimension",
        )
    return kind_of(unit)


def _check_no_circle(
    session: Session, characteristic: Characteristic, derivation: Derivation
) -> None:
    """Follow what it is made of, and what that is made of: it must not come back."""
    seen: set[str] = set()
    ahead: Sequence[str] = [term.characteristic_id for term in derivation.terms]
    while ahead:
        if characteristic.id in ahead:
            raise InvalidInput(
                "/derivation/terms",
                "The characteristic is derived from itself.",
                "Name characteristics that are not made of this one.",
                "cycle",
            )
        seen.update(ahead)
        statement = (
            select(characteristic_terms.c.characteristic_id)
            .distinct()
            .where(characteristic_terms.c.derived_id.in_(ahead))
        )
        ahead = [one for one in session.execute(statement).scalars() if one not in seen]


# --- what keeps it as it is ------------------------------------------------------------------


def check_characteristic_change(
    session: Session, principal: Principal, before: Characteristic, after: Characteristic
) -> None:
    """Keep to what findings say, and to what is derived from it.

    What was graded is not suddenly measured, nor in other units; what has readings is not suddenly
    one that comes from the readings of another.
    """
    if judged_by(before) != judged_by(after) and judged_by(before) is not None:
        pointer = "/worst_acceptable_grade" if judged_by(after) == "grade" else "/service_upper"
        _check_none_found(session, principal, after, pointer, "under another kind of limit")
        _check_not_a_term(session, after, pointer)
    if _is_of_readings(after) and not _is_of_readings(before):
        made = "by readings of its own"
        _check_none_found(session, principal, after, "/derivation", made, findings.c.reading_count)
    if after.derivation is not None and before.derivation is None:
        _check_not_read_by_others(session, after)


def check_pieces_of_terms(session: Session, after: Position) -> None:
    """Check that a position still holds every piece that a derived measure is made of."""
    statement = (
        select(func.max(characteristic_terms.c.piece))
        .join(characteristics, characteristics.c.id == characteristic_terms.c.characteristic_id)
        .where(characteristics.c.position_id == after.id)
    )
    piece = session.execute(statement).scalar()
    if piece is not None and piece > after.quantity:
        raise InvalidInput(
            "/quantity",
            f"quantity is {after.quantity}; a derived characteristic is made of piece {piece}.",
            f"Give quantity of {piece} or more.",
            "out-of-range",
        )


def _is_of_readings(characteristic: Characteristic) -> bool:
    derivation = characteristic.derivation
    return derivation is not None and derivation.kind.value in OF_READINGS


def _check_none_found(
    session: Session,
    principal: Principal,
    after: Characteristic,
    pointer: str,
    made: str,
    counted: Any = None,
) -> None:
    is_others = findings.c.shop_id != principal.shop_id
    statement = select(findings.c.id, findings.c.shop_id).where(
        findings.c.characteristic_id == after.id
    )
    if counted is not None:
        statement = statement.where(counted > 0)
    found = session.execute(statement.order_by(is_others, findings.c.id).limit(1)).first()
    if found is not None:
        is_own = found.shop_id == principal.shop_id
        told = f"The finding {found.id} was" if is_own else "Findings of other shops were"
        raise InvalidInput(
            pointer,
            f"{told} made {made}.",
            "Record a new characteristic; this one keeps its findings.",
            "fixed-member",
        )


def _check_not_a_term(session: Session, after: Characteristic, pointer: str) -> None:
    derived = _derived_from(session, after)
    if derived is not None:
        raise InvalidInput(
            pointer,
            f"The characteristic {derived} is derived from it, in the kind of quantity it had.",
            "Record a new characteristic, or change first what is derived from this one.",
            "fixed-member",
        )


def _check_not_read_by_others(session: Session, after: Characteristic) -> None:
    statement = (
        select(func.min(characteristics.c.id))
        .join(characteristic_terms, characteristic_terms.c.derived_id == characteristics.c.id)
        .where(
            characteristic_terms.c.characteristic_id == after.id,
            characteristics.c.derivation_kind.in_(sorted(OF_READINGS)),
        )
    )
    derived = session.execute(statement).scalar()
    if derived is not None:
        raise InvalidInput(
            "/derivation",
            f"The characteristic {derived} is derived from its readings; it would have none.",
            "Derive a new characteristic, and leave this one to be measured.",
            "derived-not-read",
        )


def _derived_from(session: Session, characteristic: Characteristic) -> str | None:
    statement = select(func.min(characteristic_terms.c.derived_id)).where(
        characteristic_terms.c.characteristic_id == characteristic.id
    )
    found: str | None = session.execute(statement).scalar()
    return found
