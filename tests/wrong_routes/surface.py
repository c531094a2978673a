"""Wrong routes of surface."""

ROUTES = {}
