"""Part numbers as people write them: spellings, near misses, and which part a text names."""
