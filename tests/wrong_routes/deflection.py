"""Wrong routes of deflection."""

ROUTES = {}
