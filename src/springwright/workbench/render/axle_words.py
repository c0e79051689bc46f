"""An axle as a short text: its blanks by their names in it, and the words that can be picked."""

from __future__ import annotations

from dataclasses import dataclass
from functools import cached_property
from typing import Any

from markupsafe import Markup

from springwright.vehicle.axle import Axle
from springwright.vehicle.faults import Location, said_at
from springwright.vehicle.mounted import SpringMount
from springwright.vehicle.shapes import shape_at, tag_of
from springwright.workbench.render.form import Form
from springwright.workbench.render.records import kinds_of

WHEELS = (("beam", "a beam"), ("independent", "two wheels, each on its own"), ("one", "one wheel"))
HELD = {
    "": "what is not told by points",
    "wishbones": "double wishbones",
    "strut": "a strut and arm",
    "swing_arm": "a swing arm",
    "axle_links": "links or radius arms",
}
OWN = {
    "": "to be found", "existing": "the one that is there", "coil": "a coil to be made", "part": "a part of the catalogue", "stack": "two coils together",
    "progressive": "a progressive coil", "leaf": "leaves", "torsion_bar": "a torsion bar", "air": "air bellows", "strut": "a gas and oil strut", "rubber": "rubber",
}  # fmt: skip
ACTS = {
    "lever": "on a lever", "beam": "on the beam or its link", "table": "as measured", "ratio": "by a plain ratio", "wishbones": "on the wishbones", "strut": "along the strut",
    "swing arm": "on the swing arm", "links": "on the links", "axle links": "on the axle or its links", "twist": "turned by an arm",
}  # fmt: skip


@dataclass(frozen=True)
class AxleWords:
    """The words of one axle; `form` makes its blanks."""

    form: Form
    index: int

    @cached_property
    def at(self) -> Location:
        """Where it stands in the design."""
        return ("axles", self.index)

    @property
    def name(self) -> str:
        """What it is called, or which one it is."""
        return str(self.said("name") or f"axle {self.index + 1}")

    @property
    def kind(self) -> str:
        """How its wheels go together; empty where that is not said."""
        return "one" if self.said("wheels") == 1 else str(self.said("kind") or "")

    @property
    def links(self) -> str:
        """The linkage that holds it; empty where none is given."""
        return next((name for name in Axle.linkages() if self.said(name) is not None), "")

    @property
    def own(self) -> str:
        """How its spring is named; empty where it is to be found."""
        return next((name for name in SpringMount.own_fields() if self.said(f"spring.{name}") is not None), "")

    @property
    def begun(self) -> bool:
        """Whether it is still to be said what it is made of: how its wheels go together, or how its spring acts."""
        return not self.kind or not self.acts("spring")

    def acts(self, part: str) -> str:
        """How its spring or damper acts; empty where that is not said."""
        return tag_of(self.said(f"{part}.acts"))

    def said(self, field: str) -> Any:
        """What is written in one of its fields, as in "travel.bump"."""
        return said_at(self.form.data, self.place(field))

    def place(self, field: str) -> Location:
        """Where one of its fields stands."""
        return (*self.at, *(int(one) if one.isdigit() else one for one in field.split(".")))

    def blank(self, field: str, label: str, hint: str = "") -> Markup:
        """A blank of one of its fields."""
        return self.form.blank(*self.place(field), label=f"{self.name} {label}", hint=hint)

    def row(self, field: str, label: str) -> Markup:
        """Blanks of a row of three, such as a point."""
        said = self.said(field)
        count = len(said) if isinstance(said, list) else 0
        return Markup(" ").join(self.blank(f"{field}.{k}", f"{label} {k + 1}") for k in range(count))

    def pick_wheels(self) -> Markup:
        """Beam, two of their own, or one."""
        return self.form.picker(f"{self.name} axle, its wheels", self.kind, WHEELS, do="turn", at=[*self.at, "wheels"])

    def pick_held(self) -> Markup:
        """Which linkage holds the wheels."""
        fit = ("", "axle_links") if self.kind == "beam" else ("", *(one for one in HELD if one not in ("", "axle_links")))  # fmt: skip
        options = [(one, HELD.get(one, one)) for one in fit]
        return self.form.picker(f"{self.name} axle, held by", self.links, options, do="turn", at=[*self.at, "held"])

    def pick_own(self) -> Markup:
        """How the spring is named."""
        out = "leaf" if self.kind != "beam" else "torsion_bar"
        options = [(one, OWN.get(one, one.replace("_", " "))) for one in ("", *SpringMount.own_fields()) if one != out]
        return self.form.picker(f"{self.name} spring", self.own, options, do="turn", at=[*self.at, "spring", "own"])

    def pick_acts(self, part: str) -> Markup:
        """How a spring or damper acts on the wheel."""
        at: Location = (*self.at, part, "acts")
        kinds = kinds_of(self.form.data, at, shape_at(self.form.data, at))
        options = [(one, ACTS.get(one, one)) for one in kinds]
        if part == "damper":
            options = [("", "no damper"), *((one, f"a damper {words}") for one, words in options)]
        return self.form.picker(f"{self.name} {part}, how it acts", self.acts(part), options, do="turn", at=at)
