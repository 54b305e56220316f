"""Designations: the names that standards give to parts, read the way people write them."""
