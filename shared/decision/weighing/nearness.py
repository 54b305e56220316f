"""How near a change of the plan is: one score for amounts, days, lives, chances and readings.

What is moved differs in kind, so each distance is told in its own doubt, and these are laid beside
each other by common practice, no source: a tenth of an amount, of days or of a life is worth about
as much as one standard uncertainty of a reading, or as a tenth in the logarithm of the odds of a
chance (for small chances a tenth of the chance). 0: it changes here; 1: at the double.

- amounts, days, lives: distance over the value (over one unit of it where it is 0);
- readings: distance over ten standard uncertainties; where no doubt is stated over the width of the
  tolerance, of which a good gauge's uncertainty is a tenth; with one limit only over the reading;
- chances: the difference of the natural logarithms of the odds, which is the same whether one
  speaks of the good or the bad.
"""

from decimal import Decimal
from math import log

from shared.decision.weighing.what_if import Input

UNCERTAINTIES_IN_ONE = 10
_LEAST_CHANCE = 1e-6


def nearness(moved: Input, value: Decimal) -> float:
    """How near a value of an input is to its current one; 0 where they are equal."""
    if moved.is_chance:
        return abs(_log_odds(value) - _log_odds(moved.current))
    scale = moved.scale or abs(moved.current) or Decimal(1)
    return float(abs(value - moved.current) / scale)


def _log_odds(chance: Decimal) -> float:
    held = min(max(float(chance), _LEAST_CHANCE), 1 - _LEAST_CHANCE)
    return log(held / (1 - held))
