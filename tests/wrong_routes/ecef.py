"""Wrong routes of ecef."""

ROUTES = {}
