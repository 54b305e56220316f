"""What a search for a plan came to, and the errors of a search that gives no safe answer."""

from dataclasses import dataclass

from shared.decision.planning.case import Plan, SolveReport
from shared.decision.planning.search import SETTINGS, Outcome, solver_name
from shared.errors import CorewrightError


class SolverMismatch(CorewrightError):
    """Both settings gave a plan that plain arithmetic does not confirm. No answer is safe."""

    code = "solver-mismatch"


class SolverStopped(CorewrightError):
    """The search reached its limit before anything was proven."""

    code = "solver-stopped"


@dataclass(frozen=True, slots=True)
class Solution:
    """``plan`` None: none exists if ``report.is_proven``, else none was found within the limit."""

    plan: Plan | None
    report: SolveReport

    @property
    def gap(self) -> int | None:
        """By how much, at most, the plan is dearer than the best there is; None: not known."""
        if self.plan is None:
            return None
        if self.report.is_proven:
            return 0
        bound = self.report.bound
        return None if bound is None else max(0, self.plan.objective - bound)


def report_of(outcome: Outcome, plan: Plan | None) -> SolveReport:
    """What is said of a search beside its plan."""
    settings = SETTINGS.get(outcome.settings, {})
    written = " ".join(f"{name}={value}" for name, value in settings.items())
    status = outcome.status if plan is not None or outcome.values is None else "unknown"
    return SolveReport(
        status=status,
        is_proven=outcome.is_proven,
        bound=outcome.bound,
        solver=solver_name(),
        settings=f"{outcome.settings}: {written}" if written else "settled without a search",
    )
