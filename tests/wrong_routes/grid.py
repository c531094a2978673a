"""Wrong routes of grid."""

ROUTES = {}
