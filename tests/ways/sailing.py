"""Ways at sailing."""

WAYS = {}
