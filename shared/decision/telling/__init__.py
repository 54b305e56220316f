"""A plan in words, dates and spreads, for the shop and for the customer."""
