"""Ways at geoid."""

WAYS = {}
