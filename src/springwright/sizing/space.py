"""The space for a coil where the builder gives none: between tyre and frame, by track, tyre and frame width."""

from __future__ import annotations

from springwright.units import show
from springwright.vehicle.axle import Axle

CLEAR = 0.020  # m from the coil to tyre and frame
TYRE_SHARE, FRAME_SHARE = 0.33, 0.5  # tyre width / unloaded diameter, frame width / track; usual, our own choice
LEAST = 0.05  # m: less is no space for a coil, and nothing is taken


def coil_room(axle: Axle) -> tuple[float | None, str]:
    """Largest outside diameter of an axle's coils [m] and how it was taken: no words where the builder gave it.

    None where there is nothing to take it from: an axle of one wheel, or springs further out than the tyres' inner walls.
    """
    given, track = axle.spring.largest_outside, axle.track
    if given is not None or track is None or axle.wheels == 1:
        return given, ""
    wide = axle.tyre.section_width or TYRE_SHARE * 2 * axle.tyre.unloaded_radius
    frame = axle.frame_width or FRAME_SHARE * track
    tyre = (track - wide) / 2
    at = None if axle.spring_base is None else axle.spring_base / 2
    if at is None:
        room = tyre - frame / 2 - 2 * CLEAR
    else:
        outward, inward = tyre - at, at - frame / 2
        # a coil whose middle stands under the frame stands below it
        room = 2 * (min(outward, inward) if axle.frame_width and inward > 0 else outward) - 2 * CLEAR
    if room < LEAST:
        return None, ""
    said = f"taken: tyre {show(wide, 'length')} wide on a track of {show(track, 'length')}"
    if at is not None:
        said += f", springs {show(2 * at, 'length')} apart"
    if at is None or (axle.frame_width and at > frame / 2):
        said += f", frame {show(frame, 'length')} wide" + ("" if axle.frame_width else " (half the track)")
    return room, f"{said}, {show(CLEAR, 'length')} clear; axles.spring.largest_outside is not given"
