"""Equal lags in series, worked exactly through a step in which their input runs straight; in plain floats."""

from __future__ import annotations

from math import exp, expm1


def mean_of_decay(x: float) -> float:
    """(1 - exp(-x))/x with its limit 1."""
    return 1 - x / 2 if abs(x) < 1e-9 else -expm1(-x) / x


def mean_of_ramp(x: float) -> float:
    """(1 - (1 - exp(-x))/x)/x, the mean of 1 - exp(-x s) over a step, per x, with its limit 1/2."""
    return 0.5 - x / 6 + x * x / 24 if abs(x) < 1e-4 else (1 - mean_of_decay(x)) / x


class Lags:
    """Up to two equal lags in series, driven exactly by an input that runs straight from ``u`` to ``v`` in a step."""

    def __init__(self, lags: int, tau: float, start: float) -> None:
        self.lags, self.tau, self.first, self.second = lags, tau, start, start
        self.h = self.x = self.fall = self.mean = -1.0

    def step(self, u: float, v: float, h: float) -> tuple[float, float]:
        """Output at the end of a step of length ``h`` above zero (in the lags' own time), and its mean over the step."""
        if self.lags == 0:
            return v, (u + v) / 2
        if h != self.h:
            self.h, self.x = h, h / self.tau
            self.fall, self.mean = exp(-self.x), mean_of_decay(self.x)
        m = (v - u) / self.x  # slope per time constant
        a = self.first - u + m  # a lag on a ramp trails it by the slope once the start has died away
        self.first = v - m + a * self.fall
        if self.lags == 1:
            return self.first, (u + v) / 2 - m + a * self.mean
        b = self.second - u + 2 * m
        self.second = v - 2 * m + (b + a * self.x) * self.fall
        return self.second, (u + v) / 2 - 2 * m + (a + b) * self.mean - a * self.fall
