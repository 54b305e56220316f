"""Shim packs: the thickness that is wanted, which shims make it, and how sure the setting is."""
