"""Ways at lines."""

WAYS = {}
