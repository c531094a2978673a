"""Wrong routes of excess."""

ROUTES = {}
