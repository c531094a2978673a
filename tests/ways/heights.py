"""Ways at heights."""

WAYS = {}
