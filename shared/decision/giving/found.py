"""What is found for one position of a unit: who can give it, who cannot and why."""

from dataclasses import dataclass
from decimal import Decimal
from enum import StrEnum

from shared.assemblies.traits import Traits
from shared.condition.model import Verdict
from shared.evidence import Caution, ReasonRetired
from shared.interchange.found import Candidate
from shared.money import Money


class GiverKind(StrEnum):
    """Where a part lies: out and inspected on the shelf, or still in its donor."""

    SHELF = "shelf"
    DONOR = "donor"


class Likeness(StrEnum):
    """Whether two units are alike in something."""

    SAME = "same"
    DIFFERS = "differs"
    CANNOT_BE_TOLD = "cannot-be-told"


@dataclass(frozen=True, slots=True)
class PositionNamed:
    """A position with its name."""

    id: str
    name: str


@dataclass(frozen=True, slots=True)
class TraitCompared:
    """One trait of the receiving unit beside the giver's, as written; None: not on record.

    ``output_speed_percent``, of ratios: by how much faster the output would turn with the giver's.
    """

    name: str
    own: str | None
    other: str | None
    likeness: Likeness
    output_speed_percent: Decimal | None = None


@dataclass(frozen=True, slots=True)
class Giver:
    """A donor, or a part on the shelf with the donor it comes from.

    ``unit_id`` None: of a part held for another job nothing more is told. ``position``: where the
    part sits or sat, in an assembly of its own if ``assembly_id`` is another. ``traits``: with the
    salvaged part's own variant, where that is on record. Hours are those it had run at removal, or
    has run by now.
    """

    kind: GiverKind
    unit_id: str | None
    position: PositionNamed
    traits: Traits
    assembly_id: str | None = None
    salvaged_part_id: str | None = None
    label: str | None = None
    part_id: str | None = None
    compared: tuple[TraitCompared, ...] = ()
    lower_hours: Decimal | None = None
    upper_hours: Decimal | None = None
    provenance: str | None = None
    reason_retired: ReasonRetired | None = None


@dataclass(frozen=True, slots=True)
class Loss:
    """What is given up: worth of the donor's rest before, of what is taken, and after it.

    ``outlay``: what the donor costs to buy, or its worth undisturbed if the shop owns it. Of a part
    on the shelf only ``taken`` is there. None: not on record.
    """

    taken: Money | None = None
    rest_before: Money | None = None
    rest_after: Money | None = None
    outlay: Money | None = None
    is_owned: bool = True
    still_gives: tuple[PositionNamed, ...] = ()
    """Other positions of the receiving unit that the donor can give besides."""

    @property
    def given_up(self) -> int:
        """Minor units of currency: the outlay less what the donor's rest is worth afterwards.

        Of a part on the shelf its worth. What is not on record counts as nothing.
        """
        if self.outlay is None and self.rest_before is None:
            return _minor(self.taken)
        return _minor(self.outlay) - _minor(self.rest_before) + _minor(self.taken)


def _minor(money: Money | None) -> int:
    return 0 if money is None else money.minor


@dataclass(frozen=True, slots=True)
class Giving:
    """One way to get the part for this position, as a decision would take it.

    ``chance`` that it proves good, for ``pieces`` of it; None: nothing on record tells.
    ``candidate``: the path by which another part takes the place; None: it is what is called for,
    or sat in this very position. ``comes_along``: positions of its matched set, from the same unit.
    Hours to take are labour hours, those of what comes along too, without stripping the donor.
    """

    giver: Giver
    pieces: int
    verdict: Verdict
    chance: float | None
    basis: str
    take_p50_hours: Decimal
    take_p90_hours: Decimal
    strip_p50_hours: Decimal
    strip_p90_hours: Decimal
    has_take_hours: bool
    """Whether hours to take it are on record."""
    loss: Loss
    candidate: Candidate | None = None
    comes_along: tuple[PositionNamed, ...] = ()
    cautions: tuple[Caution, ...] = ()
    """Of the position where it sits, if that is another assembly's."""
    notes: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class CannotGive:
    """A giver that does not give this position to this unit, with every reason found."""

    giver: Giver
    reasons: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class DonorsFound:
    """All that can give one position to one unit: the shelf first, the likeliest first.

    ``select_fit``: positions of the receiving unit whose parts are chosen by measuring; they are
    chosen anew, and none comes from a donor. ``decided_with``: the position that is dealt with
    whole and holds this one, so that nothing can be given here; None: it is decided by itself.
    """

    position: PositionNamed
    unit_id: str
    pieces: int
    givings: tuple[Giving, ...]
    cannot_give: tuple[CannotGive, ...]
    select_fit: tuple[PositionNamed, ...] = ()
    decided_with: PositionNamed | None = None
    cautions: tuple[Caution, ...] = ()
    notes: tuple[str, ...] = ()
