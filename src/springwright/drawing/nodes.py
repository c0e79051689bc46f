"""Nodes and the lines between them, as a view in the round takes them."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field
from typing import Any

import numpy as np
from numpy.typing import NDArray

from springwright.vehicle.mounted import SpringMount

Floats = NDArray[np.float64]
Place = tuple[float, float, float]
PLAIN_RADIUS = 0.055  # m: of a coil where nothing is said of it


@dataclass
class Skeleton:
    """Nodes and what joins them, lengths in tenths of a millimetre.

    nodes : each {"at": [x, y, z], "body": share, "of": [[wheel, share], ...]}: it stands at `at` in the design position, goes with the
        body by one share and with wheel heights by others; or {"wheel": i, "at": [[x, y, z] at full droop, design, full bump]}: it
        goes with the body and along those by the wheel's travel.
    lines : {"nodes", "ink", "wide" (of a tube), "end" (0 front, 1 rear: its colour), "faces" (normals of those an edge parts), "solid" (which
        part of the body it is an edge of, where that hides what is behind)}.
    panels : {"nodes", "face", "solid"}: faces of such parts, and their normals.
    springs : {"foot", "top", "radius", "kind", "end"}; dampers are lines.
    wheels : {"centre", "inner" (nodes; the axis goes from one to the other), "radius", "width", "reach" (droop, bump), "end", "bar"
        (how far ahead of the centre its load stands)}.
    """

    nodes: list[dict[str, Any]] = field(default_factory=list)
    lines: list[dict[str, Any]] = field(default_factory=list)
    panels: list[dict[str, Any]] = field(default_factory=list)
    springs: list[dict[str, Any]] = field(default_factory=list)
    wheels: list[dict[str, Any]] = field(default_factory=list)

    def node(self, at: Any, body: float = 1.0, of: dict[int, float] | None = None) -> int:
        """A node that goes with the body by a share and with wheels by theirs."""
        made: dict[str, Any] = {"at": tenths(at)}
        if body:
            made["body"] = round(body, 4)
        if of:
            made["of"] = [[wheel, round(share, 4)] for wheel, share in of.items() if share]
        self.nodes.append(made)
        return len(self.nodes) - 1

    def swung(self, wheel: int, places: Any) -> int:
        """A node on a wheel's links, by its places on the body at full droop, in the design position and at full bump."""
        self.nodes.append({"wheel": wheel, "at": [tenths(one) for one in places]})
        return len(self.nodes) - 1

    def line(
        self, nodes: Sequence[int], ink: str = "ink", *, wide: float = 0.0, end: int | None = None, faces: Sequence[Place] = (), solid: int | None = None
    ) -> None:  # fmt: skip
        """A line through nodes; with a width [m] a tube of two edges; an edge between faces, given by their normals, is hidden behind all of them."""
        made: dict[str, Any] = {"nodes": list(nodes), "ink": ink}
        if wide:
            made["wide"] = round(1e4 * wide)
        if end is not None:
            made["end"] = end
        if faces:
            made["faces"] = [[round(part, 3) for part in face] for face in faces]
        if solid is not None:
            made["solid"] = solid
        self.lines.append(made)

    def panel(self, nodes: Sequence[int], face: Place, solid: int | None) -> None:
        """A face of a part of the body, by its corners and its normal; none where the part hides nothing."""
        if solid is not None:
            self.panels.append({"nodes": list(nodes), "face": [round(part, 3) for part in face], "solid": solid})

    def spring(self, foot: int, top: int, mount: SpringMount, end: int) -> None:
        """A spring between two nodes."""
        wide = mount.coil.outside_diameter if mount.coil else mount.largest_outside
        radius = wide / 2 if wide else PLAIN_RADIUS
        kind = "coil" if mount.made is None or mount.stack or mount.progressive else "soft"
        self.springs.append({"foot": foot, "top": top, "radius": round(1e4 * radius), "kind": kind, "end": end})


def tenths(lengths: Any) -> Any:
    """Lengths [m] in whole tenths of a millimetre."""
    return np.round(1e4 * np.asarray(lengths, dtype=float)).astype(int).tolist()
