"""Random fields with a power-law spectrum, the usual stand-in for natural relief."""

import numpy as np

from .frame import Floats


def fractal(
    rng: np.random.Generator,
    shape: tuple[int, int],
    cell_m: float,
    *,
    longest_m: float,
    shortest_m: float = 0.0,
    slope: float = 2.0,
) -> Floats:
    """A field of mean 0 and standard deviation 1.

    Amplitude falls with frequency f as f^-slope between the wavelengths `longest_m` and
    `shortest_m` and is nothing outside them; made in the frequency domain from white noise
    (spectral synthesis), so it is periodic over the grid.
    """
    rows, cols = shape
    fy = np.fft.fftfreq(rows, cell_m)[:, None]
    fx = np.fft.rfftfreq(cols, cell_m)[None, :]
    f = np.hypot(fx, fy)
    band = (f >= 1 / longest_m) & (f > 0)
    if shortest_m > 0:
        band &= f <= 1 / shortest_m
    gain = np.where(band, np.maximum(f, 1e-12) ** -slope, 0.0)
    field = np.fft.irfft2(np.fft.rfft2(rng.standard_normal(shape)) * gain, s=shape)
    return np.asarray((field - field.mean()) / field.std(), dtype=np.float64)
