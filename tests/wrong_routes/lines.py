"""Wrong routes of lines."""

ROUTES = {}
