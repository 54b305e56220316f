"""The invented scenario of ``seed_data/``: loading it over HTTP, and the demonstration run."""
