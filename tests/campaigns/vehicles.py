"""Vehicles made up at random, one to ten axles, every kind of spring and link: an answer that holds, or a refusal in words.

python -m tests.campaigns.vehicles --seconds 60 --seed 1

What is answered: every figure finite, the weight on the ground, the energy audit closed, the same vehicle in a mirror and in other
units.
"""

from __future__ import annotations

import json
import random
import sys
import warnings
from pathlib import Path
from typing import Any

from tests.campaigns.common import asked, run
from tests.made_up import dressed
from tests.test_random_vehicles import asked_all

SLOWEST = 60  # s of work: ten axles are driven


class Making:
    """Makes one after the other, and remembers the last."""

    data: dict[str, Any]

    def __call__(self, chance: random.Random) -> str:
        """Make one and ask."""
        self.data = dressed(chance)
        why = asked_all(self.data)
        assert not why or len(why) > 20, f"a refusal that says nothing: {why}"
        return "refused" if why else "answered"

    def keep(self, folder: Path) -> None:
        """Keep the last."""
        (folder / "vehicle.json").write_text(json.dumps(self.data, indent=1))


if __name__ == "__main__":
    warnings.simplefilter("error")
    making = Making()
    sys.exit(run("vehicles", making, asked("Make up vehicles."), making.keep, slowest=SLOWEST))
