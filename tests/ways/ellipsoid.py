"""Ways at ellipsoid."""

WAYS = {}
