"""Wrong routes of motion."""

ROUTES = {}
