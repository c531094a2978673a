"""Ways at attraction."""

from tests.ways import Way

WAYS: dict[str, list[Way]] = {}
