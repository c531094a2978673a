"""Wrong routes of heights."""

ROUTES = {}
