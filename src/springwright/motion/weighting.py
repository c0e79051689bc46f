"""Frequency weightings of ISO 2631-1 as sections of second order, analogue and digital.

H = H_h H_l H_t H_s with the parameters of ISO 8041: band limits f1, f2, transition f3, f4, Q4, step f5, Q5, f6, Q6.
"""

from __future__ import annotations

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


def analogue(name: str) -> list[tuple[Floats, Floats]]:
    """Sections of a weighting as (numerator, denominator) in s, lowest power last; "30 Hz" is the shock low-pass."""
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
        made[i] = [*(b / a[0]), *(a[1:] / a[0])]
    return made
