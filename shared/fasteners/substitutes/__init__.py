"""Common hardware that does a special tool's work, tested by physics: a yes with its margin, or a
no with its reason."""
