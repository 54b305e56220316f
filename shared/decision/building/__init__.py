"""From a snapshot to a planning case: what is there to choose from, at what price, by when."""
