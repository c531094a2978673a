"""Ways at excess."""

WAYS = {}
