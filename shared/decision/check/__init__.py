"""Whether a snapshot makes sense: every reference holds, every amount and number is possible.

The first thing wrong is told, with a JSON pointer into the snapshot and the mend. The database
refuses most of this on entry already; a snapshot written by hand has only this.
"""

from shared.decision.check.asked import check_asked
from shared.decision.check.assembly import (
    check_groups,
    check_operations,
    check_parts,
    check_sets,
    check_tree,
)
from shared.decision.check.interchange import check_gifts, check_interchange
from shared.decision.check.job import check_job
from shared.decision.check.measures import check_derivations, check_gauges
from shared.decision.check.numbers import check_numbers
from shared.decision.check.offers import check_offers
from shared.decision.check.other_jobs import check_other_jobs
from shared.decision.check.rates import check_rates
from shared.decision.check.references import check_ids
from shared.decision.check.settings import check_settings
from shared.decision.check.shelf import check_shelf
from shared.decision.check.shims import check_shims
from shared.decision.check.units import check_characteristics, check_findings, check_units
from shared.decision.snapshot import Snapshot

__all__ = ["check_snapshot"]


def check_snapshot(snapshot: Snapshot) -> None:
    """Raise InvalidInput for the first thing in a snapshot that cannot be so."""
    check_numbers(snapshot, snapshot.settings.currency)
    check_ids(snapshot)
    check_settings(snapshot)
    check_job(snapshot)
    check_tree(snapshot)
    check_groups(snapshot)
    check_sets(snapshot)
    check_operations(snapshot)
    check_parts(snapshot)
    check_interchange(snapshot)
    check_units(snapshot)
    check_gifts(snapshot)
    check_characteristics(snapshot)
    check_derivations(snapshot)
    check_gauges(snapshot)
    check_findings(snapshot)
    check_shims(snapshot)
    check_offers(snapshot)
    check_shelf(snapshot)
    check_rates(snapshot)
    check_other_jobs(snapshot)
    check_asked(snapshot)
