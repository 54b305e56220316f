"""Which standard size a measured part is: probability of each, and of none of these."""
