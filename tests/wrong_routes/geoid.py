"""Wrong routes of geoid."""

ROUTES = {}
