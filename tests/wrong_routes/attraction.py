"""Wrong routes of attraction, each walked as its reply describes it."""

from collections.abc import Callable, Mapping
from typing import Any

ROUTES: dict[str, dict[str, Callable[[Mapping[str, Any]], Any]]] = {}
