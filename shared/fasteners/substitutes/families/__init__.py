"""The ways in which common hardware does a special tool's work, one module each."""
