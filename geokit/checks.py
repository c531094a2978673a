"""What every topic does to its inputs and results; not for use outside geokit."""

import numpy as np


def latitudes(values, name="latitude"):
    """Latitudes in degrees as an array of floats; refused beyond 90, NaN passes."""
    values = np.asarray(values, float)
    beyond = np.abs(values) > 90
    if beyond.any():
        raise ValueError(
            f"{name} {values[beyond][0]:.10g} is beyond 90 degrees; "
            "allowed is −90 to 90: are latitude and longitude swapped?"
        )
    return values


def finite(values, name):
    """Numbers as an array of floats; infinity is refused, NaN passes."""
    values = np.asarray(values, float)
    endless = np.isinf(values)
    if endless.any():
        raise ValueError(
            f"{name} {values[endless][0]} is not a finite number: was something divided by zero?"
        )
    return values


def positive(values, name):
    """Numbers above zero as an array of floats; NaN passes."""
    values = finite(values, name)
    low = values <= 0
    if low.any():
        raise ValueError(
            f"{name} {values[low][0]:.10g} is not above zero: is a sign or a value missing?"
        )
    return values


def plain(*arrays):
    """Results as the caller gave them: Python floats for single values, else arrays."""
    results = tuple(float(array) if np.ndim(array) == 0 else array for array in arrays)
    return results if len(results) > 1 else results[0]
