"""The register of computations: which function computes a record's numbers with geokit."""

from collections.abc import Callable
from dataclasses import dataclass

from lessons.checked import published


@dataclass(frozen=True)
class Row:
    """One number of a record as geokit has it; `way` says how, where there are several ways."""

    record: str
    name: str
    way: str
    here: float

    @property
    def holds(self):
        """Return whether it agrees within the tolerance; not a number agrees with none."""
        expected = published.value(self.record, self.name)
        return abs(self.here - expected) <= published.tolerance(self.record, self.name)


COMPUTED: dict[str, list[tuple[str, Callable[[], dict[str, float]]]]] = {}


def computes(record, way=""):
    """Register a function that returns {name: number} for a record of check_values.json."""

    def register(function):
        COMPUTED.setdefault(record, []).append((way, function))
        return function

    return register


def rows(record):
    """Compute a record's numbers, in every way that is registered for it."""
    return [
        Row(record, name, way, float(here))
        for way, function in COMPUTED[record]
        for name, here in function().items()
    ]
