"""Whether the kernels have been compiled on this machine: the first time takes half a minute, every later one a moment."""

from __future__ import annotations

import os
from collections.abc import Sequence
from contextlib import suppress
from pathlib import Path

KERNELS = ("drive.run", "newton.settle")
OF_MANY = (*KERNELS, "linear.respond")  # what studies of many designs call as well
HERE = Path(__file__).parent
# that hold what is compiled, or a number that is compiled into it
MODULES = (
    "laws.py",
    "masses.py",
    "searching.py",
    "layout.py",
    "figures.py",
    "weighting.py",
    *(
        f"kernel/{name}.py"
        for name in ("arrays", "drive", "energy", "forces", "ground", "linear", "newton", "tools", "vectors")
    ),
)
OURS = (
    "",
    "motion",
    "kernel",
)  # how folders begin in which numba keeps it: __pycache__, or of these packages and a number


def compiled(kernels: Sequence[str] = KERNELS) -> bool:
    """Whether these kernels, which are called from outside, lie compiled in the cache."""
    folder = _cache()
    return all(any(folder.rglob(f"{name}-*.nbi")) for name in kernels)


def clear_stale(folder: Path | None = None) -> None:
    """Throw away what was compiled from other texts of these modules; `folder` is where numba keeps it, left out its own.

    numba reads what it kept before it looks at how old that is, and fails where a class has had another name since.
    """
    folder = folder or _cache()
    stamp = folder / "__pycache__" / "springwright-motion.stamp"
    texts = [(HERE / name).stat() for name in MODULES]
    kept = repr([(one.st_mtime_ns, one.st_size) for one in texts])
    with suppress(OSError):  # where nothing can be written, nothing was kept
        if stamp.exists() and stamp.read_text() == kept:
            return
        for name in MODULES:
            for old in folder.rglob(f"{Path(name).stem}.*.nb[ic]"):
                if old.parent.name.partition("_")[0] in OURS:
                    old.unlink(missing_ok=True)
        stamp.parent.mkdir(parents=True, exist_ok=True)
        stamp.write_text(kept)


def _cache() -> Path:
    return Path(os.environ.get("NUMBA_CACHE_DIR") or HERE)
