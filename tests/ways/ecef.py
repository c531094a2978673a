"""Ways at ecef."""

WAYS = {}
