"""Every field of the design file is described; the schema takes what the program takes and refuses what it refuses in form."""

from __future__ import annotations

import json
import tomllib

import jsonschema
import pytest
import tomlkit
from typer.testing import CliRunner

from builders import fields
from springwright.cli.main import app
from springwright.errors import InputError
from springwright.vehicle.described import (
    described_fields,
    described_schema,
    fields_named,
    meaning,
    models,
)
from springwright.vehicle.file import load, read_text
from tests.build import DEMOS, vehicle

SCHEMA = described_schema()
VALID = jsonschema.Draft202012Validator(SCHEMA)


@pytest.mark.parametrize("model", models(), ids=lambda one: one.__name__)
def test_every_field_is_described(model):
    for name in model.model_fields:
        if name != "links":
            assert len(meaning(model, name)) > 3


def test_no_description_is_of_nothing():
    from springwright.vehicle.described import _meanings

    used = set()
    for model in models():
        for name in model.model_fields:
            used.add(
                next(
                    key
                    for key in (*(f"{one.__name__}.{name}" for one in model.__mro__), f"*.{name}")
                    if key in _meanings()
                )
            )
    assert set(_meanings()) == used


def test_every_property_of_the_schema_has_its_description():
    for part in (SCHEMA, *SCHEMA["$defs"].values()):
        for name, held in part.get("properties", {}).items():
            assert name == "links" or held.get("description"), (part.get("title"), name)


@pytest.mark.parametrize("path", sorted(DEMOS.glob("*.toml")), ids=lambda one: one.stem)
def test_the_schema_takes_every_demo(path):
    assert load(path)
    VALID.validate(json.loads(json.dumps(tomllib.loads(path.read_text()), default=str)))


def data(**changes):
    made = vehicle()
    made["axles"][0] |= changes
    return made


@pytest.mark.parametrize(
    "made",
    [
        data(tyre={"estimate": True, "size": "265/70R17", "pressure": "2 bar", "unloaded_radius": "400 mm"}),
        data(target={"sag": "160 mm"}),
        data(spring={"acts": {"by": "ratio", "ratio": 0.6}, "installed_length": "300 mm"}),
    ],
    ids=["tyre by estimate", "target by sag", "spring by ratio"],
)  # fmt: skip
def test_the_schema_takes_what_stands_in_place_of_another(made):
    assert read_text(tomlkit.dumps(made), "x.toml")
    VALID.validate(made)


@pytest.mark.parametrize(
    "made",
    [
        data(track=1500), data(track="heavy"), data(trak="1500 mm"), data(kind="solid"), data(tyre={"unloaded_radius": "400 mm"}), data(wheels=3), data(steered="perhaps"),
        data(spring={"acts": {"by": "luck"}}), data(travel={"bump": "100 mm"}), {**vehicle(), "states": []}, {**vehicle(), "axels": []},
    ],
    ids=["no unit", "no number", "misspelt", "no choice", "no rate", "three wheels", "no flag", "no kind", "no droop", "no states", "no table"],
)  # fmt: skip
def test_both_refuse_what_is_none_in_form(made):
    with pytest.raises(InputError):
        read_text(tomlkit.dumps(made), "x.toml")
    assert not VALID.is_valid(made)


def test_a_field_is_told():
    (one,) = fields_named("axles.tyre.rate")
    assert one.required
    assert "loaded radius" in one.meaning
    assert "120 to 220 N/mm" in one.usual
    assert {each.path for each in fields_named("unsprung_mass")} == {"axles.unsprung_mass"}
    assert fields_named("axles[1].track")[0].path == "axles.track"
    assert len(fields_named("limits")) > 30
    with pytest.raises(InputError, match='did you mean "unsprung_mass"'):
        fields_named("unsprung_mas")
    paths = [one.path for one in described_fields()]
    assert len(paths) > 600


def test_what_is_missing_is_told_with_an_example_and_what_is_usual():
    made = data()
    del made["axles"][0]["unsprung_mass"]
    with pytest.raises(
        InputError,
        match=r'unsprung_mass: is missing; add it, such as unsprung_mass = "2450 kg": wheels, hubs, .*; usual 10 to 16 %',
    ):
        read_text(tomlkit.dumps(made), "x.toml")


def test_the_page_and_the_command():
    assert fields.PAGE.read_text() == fields.page(), "python -m builders.fields writes it anew"
    run = CliRunner().invoke
    assert "Usual 120 to 220 N/mm" in " ".join(run(app, ["schema", "axles.tyre.rate"]).output.split())
    assert json.loads(run(app, ["schema"]).output)["properties"]["kerb"]["description"].startswith(
        "The vehicle as it stands"
    )
    assert (
        json.loads(run(app, ["schema", "axles.tyre.rate", "--json"]).output)["fields"][0]["path"] == "axles.tyre.rate"
    )
