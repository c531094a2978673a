"""Ways at motion."""

WAYS = {}
