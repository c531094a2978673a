"""
The ways that a surveyor would legitimately go at each exercise, and what each must get.

A module a topic, with ``WAYS = {exercise: [Way, …]}``.
"""

from collections.abc import Callable, Mapping
from dataclasses import dataclass
from typing import Any


@dataclass(frozen=True)
class Way:
    """
    One legitimate way.

    `gets` is what every draw may get, words with "or" between them: "right"; "near"; "method:KEY",
    recognised by name as another method; "slip:KEY", where the way really is that slip.
    """

    name: str
    route: Callable[[Mapping[str, Any]], Mapping[str, float]]
    gets: str
