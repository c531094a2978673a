"""Wrong routes of sailing."""

ROUTES = {}
