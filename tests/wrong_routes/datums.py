"""Wrong routes of datums."""

ROUTES = {}
