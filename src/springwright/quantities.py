"""The annotated types of a design file: quantities read from text with a unit, held as SI floats within their bounds."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from typing import Annotated, Any

from pydantic import (
    BaseModel,
    ConfigDict,
    Field,
    GetCoreSchemaHandler,
    GetJsonSchemaHandler,
    PlainSerializer,
    PlainValidator,
)
from pydantic_core import CoreSchema, core_schema

from springwright.errors import QuantityError
from springwright.units import KINDS, check_possible, parse, split, text_in, unit_scale


@dataclass(frozen=True)
class Kind:
    """Marks a model's float as a quantity: read from text with a unit, written back as such.

    `above` and `least` are SI bounds, `most` likewise; a bound that is broken is said in display units.
    """

    name: str
    above: float | None = None
    least: float | None = None
    most: float | None = None

    def read(self, value: Any) -> float:
        """The SI float of what the file holds; refuses what lies outside the bounds."""
        si = parse(value, self.name)
        check_possible(si, self.name, self.above)
        if self.above is not None and not si > self.above:
            raise QuantityError(f"must be more than {self._bound(self.above)}")
        if self.least is not None and si < self.least:
            raise QuantityError(f"must be {self._bound(self.least)} or more")
        if self.most is not None and si > self.most:
            raise QuantityError(f"must be {self._bound(self.most)} or less")
        return si

    def _bound(self, si: float) -> str:
        unit = KINDS[self.name].metric
        return "0" if si == 0 else f"{si / (unit_scale(unit, self.name) if unit else 1.0):.6g} {unit}".rstrip()

    def __get_pydantic_core_schema__(self, source: Any, handler: GetCoreSchemaHandler) -> CoreSchema:
        return core_schema.no_info_plain_validator_function(
            self.read,
            serialization=core_schema.plain_serializer_function_ser_schema(
                lambda si: text_in(si, self.name, KINDS[self.name].metric), when_used="json"
            ),
        )

    def __get_pydantic_json_schema__(self, schema: CoreSchema, handler: GetJsonSchemaHandler) -> dict[str, Any]:
        info = KINDS[self.name]
        kinds = ["string", "number"] if self.name == "ratio" else ["string"]
        bound = "" if self.above is None else f", more than {self._bound(self.above)}"
        form = r"^\s*[-+\u2212]?\s*\.?\d"  # a figure in front
        said = f"A {info.words} with its unit{bound}, such as {info.example}."
        return {"type": kinds, "pattern": form, "description": said}


@dataclass(frozen=True)
class Either:
    """For a schema: some fields, all that must be given where none are named, or one of `others` in their place, as where a file gives what is else written out."""

    fields: tuple[str, ...]
    others: tuple[str, ...]

    def __call__(self, made: dict[str, Any]) -> None:
        """Put it into a JSON schema."""
        wanted = [name for name in made["required"] if not self.fields or name in self.fields]
        made["required"] = [name for name in made["required"] if name not in wanted]
        made["anyOf"] = [{"required": wanted}, *({"required": [other]} for other in self.others)]


def either(fields: Sequence[str], *others: str) -> Callable[[dict[str, Any]], None]:
    """Fields, or one of the others in their place."""
    return Either(tuple(fields), others)


class Record(BaseModel):
    """A frozen record read from a design file; keys that are not its own are refused."""

    model_config = ConfigDict(frozen=True, extra="forbid")


Name = Annotated[str, Field(min_length=1, max_length=60)]
Length = Annotated[float, Kind("length")]
PositiveLength = Annotated[float, Kind("length", above=0.0)]
Coordinate = Annotated[
    float, Kind("length", least=-30.0, most=30.0)
]  # no point of a vehicle lies farther: a unit is wrong
NonNegativeLength = Annotated[float, Kind("length", least=0.0)]
Mass = Annotated[float, Kind("mass", least=0.0)]
PositiveMass = Annotated[float, Kind("mass", above=0.0)]
PositiveForce = Annotated[float, Kind("force", above=0.0)]
PositiveRate = Annotated[float, Kind("rate", above=0.0)]
Damping = Annotated[float, Kind("damping", least=0.0)]
Frequency = Annotated[float, Kind("frequency", above=0.0, most=20.0)]
Angle = Annotated[float, Kind("angle")]
PositiveAngle = Annotated[float, Kind("angle", above=0.0)]
Slope = Annotated[float, Kind("angle", above=0.0, most=1.5)]
Lean = Annotated[float, Kind("angle", least=-1.3, most=1.3)]
Stress = Annotated[float, Kind("stress", above=0.0)]
Pressure = Annotated[float, Kind("pressure", above=0.0)]
SignedForce = Annotated[float, Kind("force")]
NonNegativeForce = Annotated[float, Kind("force", least=0.0)]
PistonSpeed = Annotated[float, Kind("piston speed")]  # of a damper: told as its chart is
Speed = Annotated[float, Kind("speed", above=0.0)]
Acceleration = Annotated[float, Kind("acceleration", above=0.0)]
LateralAcceleration = Annotated[float, Kind("lateral", above=0.0)]
Ratio = Annotated[float, Kind("ratio", above=0.0)]
Share = Annotated[float, Kind("ratio", least=0.0, most=1.0)]
Inertia = Annotated[float, Kind("inertia", above=0.0)]
RollGradient = Annotated[float, Kind("lean", above=0.0)]
RollRate = Annotated[float, Kind("roll rate", above=0.0)]
PerLength = Annotated[float, Kind("per length")]
Area = Annotated[float, Kind("area", least=0.0)]
PositiveArea = Annotated[float, Kind("area", least=1e-5, most=10.0)]  # of a piston or bellows: else a unit is wrong
Volume = Annotated[float, Kind("volume", above=0.0)]
TwistRate = Annotated[float, Kind("twist rate", above=0.0)]
Density = Annotated[float, Kind("density", above=0.0)]
AreaMoment = Annotated[float, Kind("area moment", least=0.0)]
PositiveEnergy = Annotated[float, Kind("energy", above=0.0)]
Power = Annotated[float, Kind("power", above=0.0)]
Duration = Annotated[float, Kind("time", above=0.0)]


_SCALES = {
    "degc": (1.0, 273.15),
    "°c": (1.0, 273.15),
    "c": (1.0, 273.15),
    "degf": (5 / 9, 459.67 * 5 / 9),
    "°f": (5 / 9, 459.67 * 5 / 9),
    "k": (1.0, 0.0),
}


def _temperature(value: Any) -> float:
    """Kelvin of a text such as "20 degC"; scales with a zero of their own are no units that can be multiplied."""
    if not isinstance(value, str):
        raise QuantityError('a temperature is wanted, in quotes with its unit, such as "20 degC" or "68 degF"')
    number, unit = split(value)
    if unit.lower() not in _SCALES:
        raise QuantityError(f'"{unit}" is no unit of temperature; write degC, degF or K, such as "20 degC"')
    scale, zero = _SCALES[unit.lower()]
    kelvin = number * scale + zero
    if not 150 <= kelvin <= 450:
        raise QuantityError("must be between -120 and 175 degC")
    return kelvin


Temperature = Annotated[
    float,
    PlainValidator(_temperature, json_schema_input_type=str),
    PlainSerializer(lambda kelvin: f"{kelvin - 273.15:.12g} degC", when_used="json"),
]
