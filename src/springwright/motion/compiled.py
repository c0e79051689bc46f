"""Whether the kernels have been compiled on this machine: the first time takes half a minute, every later one a moment."""

from __future__ import annotations

import os
from pathlib import Path

KERNELS = ("kernel.run", "newton.settle")


def compiled() -> bool:
    """Whether every kernel that is called from outside lies compiled in the cache."""
    here = Path(__file__).parent
    folder = Path(os.environ.get("NUMBA_CACHE_DIR") or here / "__pycache__")
    return all(any(folder.rglob(f"{name}-*.nbi")) for name in KERNELS)
