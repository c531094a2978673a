"""Ways at grid."""

WAYS = {}
