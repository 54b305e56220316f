"""Turns questions on substitutes into the values that the search takes, and asks it.

Every InvalidInput points at the member of the question that it is about. Of a stored tool what
cannot be read counts as not stated, and is told.
"""

from typing import Final

from shared.fasteners.model import SpecialTool, StockItem
from shared.fasteners.substitutes.answer import SubstitutesAnswer
from shared.fasteners.substitutes.asked import ItemAsked, RequirementAsked, SubstitutesAsked
from shared.fasteners.substitutes.buyable import standard_items
from shared.fasteners.substitutes.costs import compare_costs
from shared.fasteners.substitutes.model import Drawer
from shared.fasteners.substitutes.pieces import read_items
from shared.fasteners.substitutes.requirements import requirement_of
from shared.fasteners.substitutes.search import find_substitutes

MOST_UNREAD: Final = 100
_STANDARD_ITEMS: Final = (
    "Standard items are the usual sizes from memory of the standards that they name; none of them"
    " has a price here: ask a dealer."
)
_UNREAD: Final = "Items that could not be read, and are not counted: {}."


def ask_substitutes(
    asked: SubstitutesAsked, *, most: int = 20, is_stored: bool = False
) -> SubstitutesAnswer:
    """Return the substitutes that hold for the work asked of, and why the others do not.

    ``is_stored``: the requirement is from the store, and answers whatever it holds. Raises
    InvalidInput at /requirement, /offers or /jobs_to_come for what cannot be meant.
    """
    requirement = requirement_of(asked.requirement, is_stored=is_stored)
    read = read_items(asked.items)
    standard = standard_items(requirement) if asked.include_standard_items else ()
    found = find_substitutes(requirement, Drawer((*read.pieces, *standard)), most)
    best = next((one for one in found.candidates if one.is_accepted), None)
    notes = [*requirement.notes]
    if standard:
        notes.append(_STANDARD_ITEMS)
    if read.unread:
        notes.append(_UNREAD.format(len(read.unread)))
    return SubstitutesAnswer(
        requirement=requirement,
        found=found,
        unread=read.unread[:MOST_UNREAD],
        unread_count=len(read.unread),
        comparison=compare_costs(best, asked.offers, asked.jobs_to_come),
        notes=tuple(notes),
    )


def asked_of_tool(tool: SpecialTool) -> RequirementAsked:
    """Return what a stored special tool asks of its substitute."""
    return RequirementAsked(
        function=tool.function,
        features=tool.features,
        force=tool.force,
        force_highest=tool.force_highest,
        torque=tool.torque,
        torque_highest=tool.torque_highest,
        sealed_area=tool.sealed_area,
        sealant=tool.sealant,
        press_fit=tool.press_fit,
        workpiece_material=tool.workpiece_material,
        workpiece_hardness=tool.workpiece_hardness,
        pushed_material=tool.pushed_material,
        thread_hand=tool.thread_hand,
        tight_ring=tool.tight_ring,
        is_symmetric=tool.is_symmetric,
        uses=tool.uses,
        in_the_way=tool.in_the_way,
        lubrication=tool.lubrication,
        tolerance=tool.tolerance,
        name=tool.name,
    )


def asked_of_stock(item: StockItem) -> ItemAsked:
    """Return a stored item as one that lies in the shop."""
    return ItemAsked(
        name=item.name,
        kind=item.kind,
        quantity=item.quantity,
        designation=item.designation,
        form=item.form,
        features=item.features,
        size=item.size,
        material=item.material,
        property_class=item.property_class,
        hardness=item.hardness,
        tip=item.tip,
        certificate=item.certificate,
        worth=item.worth,
        id=item.id,
    )
