"""Frequency weightings of ISO 2631-1, and that of absorbed power, as sections of second order, analogue and digital.

H = H_h H_l H_t H_s with the parameters of ISO 8041: band limits f1, f2, transition f3, f4, Q4, step f5, Q5, f6, Q6.

Absorbed power [W] is the mean of force times speed at a seated person whose apparent mass is M0 N(s)/D(s) (Pradko and Lee 1966,
coefficients from memory). Its filter is the one without lag whose gain squared is -Im M(jw) / w, so that the mean square of
acceleration through it is the power.
"""

from __future__ import annotations

from functools import lru_cache
from typing import NamedTuple

import numpy as np
from numpy.typing import ArrayLike, NDArray

Floats = NDArray[np.float64]


class Weighting(NamedTuple):
    """Parameters of one weighting [Hz, -]; infinite f3 and f5 leave that step out."""

    f1: float
    f2: float
    f3: float = np.inf
    f4: float = np.inf
    q4: float = 1.0
    f5: float = np.inf
    q5: float = 1.0
    f6: float = np.inf
    q6: float = 1.0


# ISO 2631-1 and ISO 8041: vertical W_k, horizontal W_d, motion sickness W_f, seat back W_c, rotation W_e, head of a lying person W_j
WEIGHTINGS = {
    "Wk": Weighting(0.4, 100, 12.5, 12.5, 0.63, 2.37, 0.91, 3.35, 0.91),
    "Wd": Weighting(0.4, 100, 2.0, 2.0, 0.63),
    "Wf": Weighting(0.08, 0.63, np.inf, 0.25, 0.86, 0.0625, 0.80, 0.10, 0.80),
    "Wc": Weighting(0.4, 100, 8.0, 8.0, 0.63),
    "We": Weighting(0.4, 100, 1.0, 1.0, 0.63),
    "Wj": Weighting(0.4, 100, np.inf, np.inf, 1.0, 3.75, 0.91, 5.32, 0.91),
}
SECTIONS = 4  # of second order that a weighting takes at most
SHOCK_CORNER = 30.0  # Hz, second order: the low-pass of the 2.5 g obstacle criterion, published practice from memory


# apparent mass of a seated person M0 N(s)/D(s) [kg], lowest power last: Pradko and Lee 1966, SAE 660139, from memory
SEATED_MASS = 63.537
SEATED_TOP = (0.10245e-9, 0.12882e-7, 0.17583e-5, 0.93394e-4, 0.44601e-2, 0.10543, 1.0)
SEATED_BOTTOM = (0.21179e-11, 0.45416e-9, 0.51728e-7, 0.37667e-5, 0.17946e-3, 0.56104e-2, 0.10543, 1.0)


@lru_cache(maxsize=1)
def _absorbing() -> list[tuple[Floats, Floats]]:
    """Sections of the absorbed-power filter: -Im M(jw) / w factored into its half without lag."""
    top, bottom = np.array(SEATED_TOP), np.array(SEATED_BOTTOM)
    back = bottom * (-1.0) ** np.arange(len(bottom) - 1, -1, -1)
    product = np.polymul(top, back)
    odd = np.where(np.arange(len(product) - 1, -1, -1) % 2 == 1, product, 0.0)[:-1]
    zeros = np.roots(np.trim_zeros(-odd, "b"))  # those at nought, one for each half, are put back below
    zeros = np.append(zeros[zeros.real < 0], 0.0)
    poles = np.roots(bottom)
    scale = np.sqrt(SEATED_MASS * abs(odd[0])) / bottom[0]
    single_zeros, pairs_above = np.sort(zeros[zeros.imag == 0].real), zeros[zeros.imag > 0]
    lone, pairs_below = poles[poles.imag == 0].real, poles[poles.imag > 0]

    def pair(root: complex) -> Floats:
        return np.array([1.0, -2 * root.real, abs(root) ** 2])

    sections = [(pair(z), pair(p)) for z, p in zip(pairs_above, pairs_below, strict=False)]
    sections.append((np.poly(single_zeros).astype(float), pair(pairs_below[-1])))
    sections.append((np.array([0.0, 0.0, scale]), np.array([0.0, 1.0, -lone[0]])))
    return sections


def analogue(name: str) -> list[tuple[Floats, Floats]]:
    """Sections of a weighting as (numerator, denominator) in s, lowest power last; "30 Hz" is the shock low-pass, "absorbed" that of power [rad/s]."""
    if name == "absorbed":
        return _absorbing()
    if name == "30 Hz":
        w = 2 * np.pi * SHOCK_CORNER
        return [(np.array([0, 0, w**2]), np.array([1, np.sqrt(2) * w, w**2]))]
    p = WEIGHTINGS[name]
    w1, w2, w3, w4, w5, w6 = (2 * np.pi * f for f in (p.f1, p.f2, p.f3, p.f4, p.f5, p.f6))
    root = np.sqrt(2)
    sections = [
        (np.array([1.0, 0, 0]), np.array([1, root * w1, w1**2])),
        (np.array([0, 0, w2**2]), np.array([1, root * w2, w2**2])),
    ]
    if np.isfinite(w4):
        over = 0.0 if np.isinf(w3) else w4**2 / w3
        sections.append((np.array([0, over, w4**2]), np.array([1, w4 / p.q4, w4**2])))
    if np.isfinite(w5):
        sections.append((np.array([1, w5 / p.q5, w5**2]), np.array([1, w6 / p.q6, w6**2])))
    return sections


def gain(name: str, frequency: ArrayLike) -> Floats:
    """Magnitude of a weighting at a frequency [Hz]."""
    return np.abs(response(name, frequency))


def response(name: str, frequency: ArrayLike) -> NDArray[np.complex128]:
    """Complex response of a weighting at a frequency [Hz]."""
    s = 2j * np.pi * np.asarray(frequency, dtype=float)
    whole = np.ones_like(s)
    for top, bottom in analogue(name):
        whole = whole * np.polyval(top, s) / np.polyval(bottom, s)
    return whole


def digital(name: str, step: float, sections: int = SECTIONS) -> Floats:
    """(sections, 5): b0, b1, b2, a1, a2 of each section by the bilinear transform at a time step [s], padded with passes."""
    made = np.zeros((sections, 5))
    made[:, 0] = 1.0
    c = 2 / step
    for i, (top, bottom) in enumerate(analogue(name)):
        b, a = (
            np.array([p[0] * c**2 + p[1] * c + p[2], 2 * (p[2] - p[0] * c**2), p[0] * c**2 - p[1] * c + p[2]])
            for p in (top, bottom)
        )
        if bottom[0] == 0 and top[0] == 0:  # of first order: the factor that cancels is taken out
            b, a = (np.array([p[2] + p[1] * c, p[2] - p[1] * c, 0.0]) for p in (top, bottom))
        made[i] = [*(b / a[0]), *(a[1:] / a[0])]
    return made
