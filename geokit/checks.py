"""What every topic does to its inputs and results; not for use outside geokit."""

import math

import numpy as np
from numpy.typing import ArrayLike


def some(marked: np.ndarray) -> bool:
    """Whether any is marked; one alone is asked itself, which takes a twentieth of the time."""
    return bool(marked.any() if marked.ndim else marked)


def latitudes(values: ArrayLike, name: str = "latitude") -> np.ndarray:
    """Latitudes in degrees as an array of floats; refused beyond 90, NaN passes."""
    if isinstance(values, float) and abs(values) <= 90:
        return np.asarray(values)  # a single number, as an exercise has: a third of the time
    values = np.asarray(values, float)
    beyond = np.abs(values) > 90
    if some(beyond):
        raise ValueError(
            f"{name} {values[beyond][0]:.10g} is beyond 90 degrees; "
            "allowed is −90 to 90: are latitude and longitude swapped?"
        )
    return values


def finite(values: ArrayLike, name: str) -> np.ndarray:
    """Numbers as an array of floats; infinity is refused, NaN passes."""
    if isinstance(values, float) and not math.isinf(values):
        return np.asarray(values)
    values = np.asarray(values, float)
    endless = np.isinf(values)
    if some(endless):
        raise ValueError(
            f"{name} {values[endless][0]} is not a finite number: was something divided by zero?"
        )
    return values


def positive(values: ArrayLike, name: str) -> np.ndarray:
    """Numbers above zero as an array of floats; NaN passes."""
    values = finite(values, name)
    low = values <= 0
    if some(low):
        raise ValueError(
            f"{name} {values[low][0]:.10g} is not above zero: is a sign or a value missing?"
        )
    return values


def not_negative(values: ArrayLike, name: str) -> np.ndarray:
    """Numbers from zero up as an array of floats; NaN passes."""
    values = finite(values, name)
    low = values < 0
    if some(low):
        raise ValueError(
            f"{name} {values[low][0]:.10g} is negative; allowed is zero or more: is the sign wrong?"
        )
    return values


def densities(values: ArrayLike) -> np.ndarray:
    """Densities in kg/m³, or differences of two; what looks like g/cm³ is refused, NaN passes."""
    values = finite(values, "density")
    small = (np.abs(values) < 25) & (values != 0)
    if some(small):
        raise ValueError(
            f"density {values[small][0]:.10g} kg/m³ is no rock's or water's; water has 1 030 "
            "kg/m³: was it given in grams a cubic centimetre?"
        )
    return values


def depths_at_sea(values: ArrayLike) -> np.ndarray:
    """Depths in metres as an array; one above the sea, or below all trenches, is refused."""
    values = finite(values, "depth")
    wrong = (values < 0) | (values > 12_000)
    if some(wrong):
        raise ValueError(
            f"depth {values[wrong][0]:.10g} m is above the sea, or deeper than any; depths are "
            "positive downwards, to 12 000 m: was a height given, or another unit?"
        )
    return values


def together(*arrays: np.ndarray) -> tuple[np.ndarray, ...]:
    """Arrays in the shape that they broadcast to; single numbers have it already."""
    if any(array.ndim for array in arrays):
        return tuple(np.broadcast_arrays(*arrays))
    return arrays


def plain(*arrays):
    """Results as the caller gave them: Python floats for single values, else arrays."""
    results = tuple(array if getattr(array, "ndim", 0) else float(array) for array in arrays)
    return results if len(results) > 1 else results[0]


def wrap_azimuth(degrees: ArrayLike) -> np.ndarray:
    """A direction as 0 up to, but not including, 360 degrees."""
    turned = np.asarray(degrees, float) % 360
    return np.where(turned == 360, 0.0, turned)  # a tiny negative angle rounds up to 360


def wrap_longitude(degrees: ArrayLike) -> np.ndarray:
    """A longitude, or a difference of two, as −180 to 180 degrees; small ones stay exact."""
    degrees = np.asarray(degrees, float)
    return degrees - 360 * np.rint(degrees / 360)
