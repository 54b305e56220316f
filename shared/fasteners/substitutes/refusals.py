"""What is refused whatever the numbers say, and why. Common practice, no source.

A life, or the energy of a spring, hangs on no common hardware: no margin is computed for it.
"""

from dataclasses import dataclass
from math import isfinite
from typing import Final

from shared.fasteners.model import FeatureKind, ToolFunction, ToolUse
from shared.fasteners.substitutes.model import Requirement
from shared.fasteners.substitutes.refused_names import spring_in, warned_by_name
from shared.fasteners.turning import MM_PER_M

MOST_STORED_ENERGY: Final = 1.0
"""Energy, J, above which a compressed spring is not left to common hardware: what a hammer of
100 g has after falling a metre. Common practice, no source."""


@dataclass(frozen=True, slots=True)
class Refusal:
    """A refusal that no piece in the drawer changes: a stable code, and what to do instead."""

    reason_code: str
    detail: str


_STAYS: Final = (
    "A piece that stays in {where} is the maker's own part, fitted by the maker's procedure and"
    " licensed practice: nothing from the drawer stands in for it."
)
_BY_USE: Final = {
    ToolUse.LIFTING: (
        "Lifting is done with gear that is made, marked and inspected for it: no common screw, bar"
        " or plate is answered for. Use rated lifting gear."
    ),
    ToolUse.SUSPENDING: (
        "A suspended load hangs on gear that is made, marked and inspected for it: no common"
        " hardware is answered for. Use a rated support or hoist."
    ),
    ToolUse.WORK_UNDER_LOAD: (
        "Somebody works under or inside a load that this would hold: use stands and props that are"
        " rated for it."
    ),
    ToolUse.HOLDING_PRESSURE: (
        "It would hold pressure: a plug or cover that lets go is a projectile. Use the maker's own"
        " or rated pressure fittings."
    ),
    ToolUse.STAYS_IN_BRAKES: _STAYS.format(where="the brakes"),
    ToolUse.STAYS_IN_STEERING: _STAYS.format(where="the steering"),
    ToolUse.STAYS_IN_SUSPENSION: _STAYS.format(where="the suspension"),
    ToolUse.STAYS_IN_RESTRAINT: _STAYS.format(where="a restraint (belt, airbag, guard)"),
    ToolUse.STAYS_IN_ROTATING_PART: _STAYS.format(where="a rotating part"),
    ToolUse.ELECTRICAL_ISOLATION: (
        "Electrical isolation is told by tested and dated insulated tools alone: common hardware"
        " carries current, and a wrapping proves nothing."
    ),
    ToolUse.IMPACT: (
        "Blows and impact wrenches are refused: a jacking screw that is struck or driven by impact"
        " strips its hole or shatters, a soft strip is spat out of the teeth, and nobody can tell"
        " the force. Turn by hand wrench, or get the special tool."
    ),
}  # fmt: skip
"""Why each use is refused; stored energy has a bound of its own."""


def refused_whatever(requirement: Requirement) -> tuple[Refusal, ...]:
    """Return every reason why no common hardware is answered for, whatever its numbers.

    Uses that nobody stated are no reason here: each family asks for them itself.
    """
    uses = requirement.uses or frozenset()
    found = [Refusal(use.value, _BY_USE[use]) for use in ToolUse if use in uses and use in _BY_USE]
    if requirement.function is ToolFunction.COMPRESS or ToolUse.STORED_ENERGY in uses:
        found.extend(_stored_energy(requirement))
    found.extend(_by_name(requirement))
    found.extend(_of_a_spring(requirement))
    first = {refusal.reason_code: refusal for refusal in reversed(found)}
    return tuple(one for one in found if first[one.reason_code] is one)


def _stored_energy(requirement: Requirement) -> tuple[Refusal, ...]:
    """Refuse a store of energy that is above the bound or not known.

    The whole force over the whole travel, without the half of a straight spring: safe for any.
    """
    force = None if requirement.force is None else requirement.force.amount.most
    travel = requirement.size(FeatureKind.TRAVEL)
    code = ToolUse.STORED_ENERGY.value
    if not (_is_known(force) and _is_known(travel)):
        return (
            Refusal(
                code,
                "A spring or the like stores energy, and how much is not known: state the most"
                " force and the travel from its free length. Above"
                f" {MOST_STORED_ENERGY:g} J only the tool made for it is used.",
            ),
        )
    assert force is not None and travel is not None
    energy = force * travel / MM_PER_M
    if energy <= MOST_STORED_ENERGY:
        return ()
    return (
        Refusal(
            code,
            f"Up to {energy:.3g} J are stored ({force:.4g} N over {travel:.4g} mm, counted in"
            f" full); above {MOST_STORED_ENERGY:g} J only the tool made for it is used: what lets"
            " go kills.",
        ),
    )


def _is_known(value: float | None) -> bool:
    return value is not None and isfinite(value) and value > 0


def _by_name(requirement: Requirement) -> tuple[Refusal, ...]:
    """Refuse a name that tells of such a use: a name is a warning, even where uses say nothing."""
    warned = warned_by_name(requirement.name, requirement.function)
    return tuple(_named(one.word, one.use) for one in warned)


def _of_a_spring(requirement: Requirement) -> tuple[Refusal, ...]:
    """Refuse what works on a spring by another function's name, by the spring's energy."""
    word = spring_in(requirement.name, requirement.function)
    if word is None:
        return ()
    told = (
        f'The name says "{word}". {{}} If no loaded spring is held, name it by what it does.'.format
    )
    return tuple(Refusal(one.reason_code, told(one.detail)) for one in _stored_energy(requirement))


def _named(word: str, use: ToolUse) -> Refusal:
    return Refusal(
        use.value,
        f'The name says "{word}": common hardware is not answered for {_plain(use)},'
        " whatever the numbers. If it does something else, name it by what it does and state its"
        " uses.",
    )


def _plain(use: ToolUse) -> str:
    return use.value.replace("-", " ")
