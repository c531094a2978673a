"""Ways at datums."""

WAYS = {}
