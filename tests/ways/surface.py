"""Ways at surface."""

WAYS = {}
