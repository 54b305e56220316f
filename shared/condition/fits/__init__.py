"""Fits: what is left of a fit by its measured parts, and what temperature makes of it."""
