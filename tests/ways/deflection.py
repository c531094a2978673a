"""Ways at deflection."""

WAYS = {}
