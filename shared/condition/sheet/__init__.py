"""The inspection sheet of a unit: what to look at and measure, in the order of dismantling."""
