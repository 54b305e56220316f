"""What the shop's own record says of comebacks: a beta belief, updated by what came back."""

from shared.beliefs import BetaBelief, prior_belief
from shared.life.model import ComebackExperience


def comeback_belief(experience: ComebackExperience) -> BetaBelief:
    """What the shop's record says of comebacks within the warranty, for one kind of source.

    Raises OutOfRange as ``prior_belief`` and ``BetaBelief.after`` do.
    """
    prior = prior_belief(float(experience.prior_mean), float(experience.prior_weight))
    return prior.after(experience.comebacks, experience.trials)
