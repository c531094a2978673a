"""Wrong routes of ellipsoid."""

ROUTES = {}
