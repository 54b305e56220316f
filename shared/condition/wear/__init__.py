"""Wear: a straight line through sizes measured over hours, and when it reaches the limit."""
