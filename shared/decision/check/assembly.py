"""The assembly's tree, groups, sets, operations and parts hold together."""

from collections.abc import Mapping

from shared.assemblies.duty import check_duty
from shared.assemblies.model import OperationKind, Ruling, SetKind
from shared.decision.check.numbers import check_whole
from shared.decision.check.references import require, require_own
from shared.decision.snapshot import Snapshot
from shared.errors import InvalidInput

DEEPEST_TREE = 20
MOST_POSITIONS = 500
MOST_AT_A_POSITION = 10_000


def check_tree(snapshot: Snapshot) -> None:
    """Refuse positions that name what is not there, lie in a circle, or lie too deep."""
    if len(snapshot.positions) > MOST_POSITIONS:
        raise InvalidInput(
            "/positions",
            f"There are {len(snapshot.positions)} positions.",
            f"Give at most {MOST_POSITIONS}.",
        )
    parents = {p.id: p.parent_id for p in snapshot.positions}
    for index, position in enumerate(snapshot.positions):
        at = f"/positions/{index}"
        require_own(f"{at}/assembly_id", position.assembly_id, snapshot)
        require(f"{at}/parent_id", position.parent_id, snapshot.positions, "position")
        require(f"{at}/part_id", position.part_id, snapshot.parts, "part")
        require(
            f"{at}/access_group_id",
            position.access_group_id,
            snapshot.access_groups,
            "access group",
        )
        check_whole(f"{at}/quantity", position.quantity, 1, MOST_AT_A_POSITION)
        if position.duty is not None:
            try:
                check_duty(position.duty)
            except InvalidInput as error:
                raise error.below(f"{at}/duty") from None
        ruling = position.serviceability
        if ruling.ruling is Ruling.REPLACE_AS_ASSEMBLY and not ruling.reason:
            raise InvalidInput(
                f"{at}/serviceability/reason",
                "A ruling 'replace-as-assembly' stands without its reason.",
                "Say why: matched and set with a rig, stored energy, factory-sealed, ...",
            )
        _check_climb(f"{at}/parent_id", position.id, parents, DEEPEST_TREE)


def _check_climb(pointer: str, start: str, parents: Mapping[str, str | None], deepest: int) -> None:
    """Walk from a record to its root: no cycle, not deeper than allowed."""
    seen = {start}
    above = parents[start]
    while above is not None:
        if above in seen:
            raise InvalidInput(
                pointer,
                f"{start} lies inside itself, by way of {above}.",
                "Break the circle: something must lie directly in the assembly.",
                "cycle",
            )
        seen.add(above)
        if len(seen) > deepest:
            raise InvalidInput(
                pointer,
                f"{start} lies more than {deepest} levels deep.",
                f"Build the tree at most {deepest} levels deep.",
                "too-deep",
            )
        above = parents.get(above)


def check_groups(snapshot: Snapshot) -> None:
    """Refuse access groups of another assembly, or in a circle."""
    outer = {g.id: g.outer_group_id for g in snapshot.access_groups}
    for index, group in enumerate(snapshot.access_groups):
        at = f"/access_groups/{index}"
        require_own(f"{at}/assembly_id", group.assembly_id, snapshot)
        require(
            f"{at}/outer_group_id", group.outer_group_id, snapshot.access_groups, "access group"
        )
        _check_climb(f"{at}/outer_group_id", group.id, outer, DEEPEST_TREE)


def check_sets(snapshot: Snapshot) -> None:
    """Refuse sets of one, of unknown positions, and a position in two matched sets."""
    matched: set[str] = set()
    for index, one in enumerate(snapshot.position_sets):
        at = f"/position_sets/{index}/position_ids"
        if len(set(one.position_ids)) < 2:
            raise InvalidInput(at, "A set of one binds nothing.", "Name at least two positions.")
        for place, position_id in enumerate(one.position_ids):
            require(f"{at}/{place}", position_id, snapshot.positions, "position")
            if one.kind is SetKind.MATCHED and position_id in matched:
                raise InvalidInput(
                    f"{at}/{place}",
                    f"Position {position_id} is in two matched sets.",
                    "Put positions that belong together into one set.",
                )
        if one.kind is SetKind.MATCHED:
            matched.update(one.position_ids)


def check_operations(snapshot: Snapshot) -> None:
    """Refuse operations at what is not there, and a P90 below its P50."""
    for index, operation in enumerate(snapshot.operations):
        at = f"/operations/{index}"
        require(f"{at}/position_id", operation.position_id, snapshot.positions, "position")
        require(
            f"{at}/access_group_id",
            operation.access_group_id,
            snapshot.access_groups,
            "access group",
        )
        if operation.p90_hours < operation.p50_hours:
            raise InvalidInput(
                f"{at}/p90_hours",
                f"{operation.p90_hours} h is less than the P50 of {operation.p50_hours} h.",
                "The P90 is the longer of the two.",
            )
        if operation.kind is OperationKind.INSPECT and operation.position_id is None:
            raise InvalidInput(
                f"{at}/position_id",
                f"An operation of the kind '{operation.kind}' names no position.",
                "Name the position whose verdict it settles.",
            )
        opens = operation.kind in (OperationKind.OPEN, OperationKind.CLOSE)
        if opens and operation.access_group_id is None:
            raise InvalidInput(
                f"{at}/access_group_id",
                f"An operation of the kind '{operation.kind}' names no access group.",
                "Name the group that it opens or closes.",
            )


def check_parts(snapshot: Snapshot) -> None:
    """Refuse kits that name what is not there, and a kit within itself."""
    require("/assembly/part_id", snapshot.assembly.part_id, snapshot.parts, "part")
    for index, part in enumerate(snapshot.parts):
        inside: set[str] = set()
        for place, line in enumerate(part.kit_lines):
            at = f"/parts/{index}/kit_lines/{place}"
            require(f"{at}/part_id", line.part_id, snapshot.parts, "part")
            if line.part_id == part.id:
                raise InvalidInput(
                    f"{at}/part_id", "A kit cannot hold itself.", "Name what it holds.", "cycle"
                )
            if line.quantity < 1:
                raise InvalidInput(f"{at}/quantity", "It is below 1.", "Give at least 1.")
            if line.part_id in inside:
                raise InvalidInput(
                    f"{at}/part_id",
                    f"The kit holds part {line.part_id} by two lines.",
                    "Give one line with all its pieces.",
                    "duplicate",
                )
            inside.add(line.part_id)
