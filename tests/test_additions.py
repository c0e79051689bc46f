"""What is added in one module and one row: a question, a section, a spring kind and a linkage kind, each thrown away after its test."""

import json

import numpy as np
import pytest
from typer.testing import CliRunner

from springwright.cli.main import app
from springwright.linkage.constraint_solver import LinkReach
from springwright.linkage.held import upright_path
from springwright.linkage.wishbones import WheelLinkage, carried_joints
from springwright.motion.equilibrium import equilibrium
from springwright.parts.law import LinearLaw
from springwright.parts.record import SpringPart, length
from springwright.quantities import PositiveLength
from springwright.questions.answer import YOURS, answer, figure
from springwright.questions.dynamic_requirements import full_window
from springwright.questions.prove import prove
from springwright.questions.question import Question
from springwright.questions.registry import QUESTIONS
from springwright.report.dossier import proof_pdf
from springwright.report.proof import answer_section, proof_csv, summary
from springwright.scenes.elevation import elevation
from springwright.sizing.axle_geometry import geometry
from springwright.sizing.fitted import assemble
from springwright.sizing.sheet import size
from springwright.units import GRAVITY
from springwright.vehicle.axle import Axle
from springwright.vehicle.design import Design
from springwright.vehicle.file import DesignFile, load
from springwright.vehicle.mounted import SpringMount
from springwright.workbench.model.document import Document
from springwright.workbench.model.shown import Shown
from springwright.workbench.render import environment as templates
from springwright.workbench.render import sheet as pages
from springwright.workbench.render.page import SheetPart
from springwright.workbench.sections import PARTS
from tests.build import DEMOS, axle, vehicle, words_of

# ---- a question: does it float?


def floats(ready, runs, *, brief=False):
    """Whether the whole vehicle is lighter than the water its box would push away."""
    heaviest = max(ready.states, key=lambda at: at.weight.mass)
    mass = figure(
        "mass afloat", heaviest.weight.mass, "at most", 3000.0, "kg", "mass", YOURS, state=heaviest.name, id="mass_afloat"
    )  # fmt: skip
    return answer("float", "Does it float?", (mass,))


FLOAT = Question("float", "Floats", floats)


def test_a_question_is_a_module_and_a_row(tmp_path):
    asked = (*QUESTIONS, FLOAT)
    file = load(DEMOS / "survey-buggy.toml")
    proof = prove(file, sensitive=False, questions=asked)
    assert [one.question for one in proof.answers] == [one.name for one in asked]
    assert proof.answers[-1].figures[0].value == pytest.approx(max(one.mass for one in size(file).states))
    assert summary(proof).tables[0].rows[-1][:2] == ("Float", "met")
    assert answer_section(proof.answers[-1], []).verb == "Float"
    assert "mass_afloat" in json.dumps(proof.to_json())
    assert "mass afloat" in proof_csv(proof)
    assert any("Float met" in page for page in words_of(proof_pdf(file, proof, full_window(file))))

    done = CliRunner().invoke(app, ["prove", str(DEMOS / "survey-buggy.toml"), "--question", "float"], obj=asked)
    assert done.exit_code == 0, done.output
    assert "Does it float?" in done.output
    with pytest.raises(Exception, match="is no question; there are ride, grip, stand, land, fit, level, last"):
        CliRunner().invoke(app, ["prove", "x.toml", "--question", "float"], catch_exceptions=False)

    document = Document.opened(DEMOS / "survey-buggy.toml")
    shown = Shown({one.question: one for one in proof.answers}, questions=asked)
    page = pages.render("float", document, shown, PARTS)
    assert "Floats?" in page["watch"]
    assert "<h3>Floats?</h3>" in "".join(page.values())
    assert "Floats" not in pages.render("dry", document, Shown(), PARTS)["watch"]


# ---- a section: what it weighs in feathers


def test_a_section_is_a_module_its_template_and_a_row():
    feathers = SheetPart(
        "feathers", lambda page: {"count": round(page.sheet.kerb.mass / 5e-6)}, step=True, edits=("kerb.extra",)
    )
    text = '<section class="step" id="feathers"><h2>Feathers</h2><p>{{ count }} feathers</p>{{ page.form.notes() }}</section>'
    environment = templates.environment()

    def template(name):
        return environment.from_string(text) if name == "feathers" else environment.get_template(f"{name}.html")

    document, parts = Document.opened(DEMOS / "survey-buggy.toml"), (*PARTS, feathers)
    made = pages.render("feathers", document, Shown(), parts, template)
    assert f"{round(size(document.file).kerb.mass / 5e-6)} feathers" in made["feathers"]
    assert 'href="#feathers"' in made["watch"]
    assert "Feathers" in pages.frame("feathers", "Survey buggy", made, parts)


# ---- a spring: a bundle of ropes in line


class Rope(SpringPart):
    """A bundle of rubber ropes, as stiff as a metre of it is over its length."""

    long: PositiveLength
    stiff: float

    @property
    def kind(self):
        return "bundle of ropes"

    def ideal(self, rate, force):
        return LinearLaw(rate, force, pulls=True)

    def law(self, need):
        return LinearLaw(self.stiff / self.long, need.ride_force, pulls=True)

    def told(self, need, law):  # noqa: ARG002 the same wherever it stands
        return {"dimensions": (length("length of the ropes", self.long),)}


class RopedMount(SpringMount):
    rope: Rope | None = None


class RopedAxle(Axle):
    spring: RopedMount


# ---- a linkage: a wheel on an upright pillar


class Pillar(WheelLinkage):
    """A wheel that slides on an upright pillar."""

    @property
    def bodies(self):
        return ("slide",)

    def path(self, travel):
        return upright_path(self.wheel_centre, np.atleast_1d(np.asarray(travel, dtype=float)))

    def reach(self):
        return LinkReach(-0.3, 0.3, "")

    def carried(self, on, point, travel):  # noqa: ARG002 there is one body
        path = self.path(travel)
        return path.at(point), path.moves(point)

    def sketch(self):
        return ()

    def joints(self, travel):
        return carried_joints(self, ("wheel_centre",), travel)


class PillarAxle(Axle):
    pillar: Pillar | None = None


def design_of(made, **front):
    """A design file whose axles are of a class of their own."""

    class Extended(Design):
        axles: tuple[made, ...]

    first = axle("front", 0.0, **{name: value for name, value in front.items() if name != "spring"})
    first["spring"] = {"installed_length": "420 mm", **first["spring"], **front["spring"]}
    data = vehicle(axles=[first, axle("rear", 2.5)])
    return DesignFile(DEMOS / "extended.toml", "", Extended.model_validate(data))


def test_a_spring_kind_is_a_module_and_a_field():
    rate = 25e3
    given = design_of(RopedAxle, spring={"rope": {"long": "500 mm", "stiff": rate / 2}})
    sheet = size(given)
    front = sheet.springs[0]
    assert (front.record.kind, front.record.dimensions[0].value) == ("bundle of ropes", 0.5)
    assert front.law.rate == pytest.approx(rate)
    assert sheet.rates[0].motion_ratio > 0
    rest = equilibrium(assemble(given))
    assert rest.wheel_loads.sum() == pytest.approx(GRAVITY * sum(sheet.design_loads), rel=1e-6)
    assert elevation(given).axles
    assert "rope" not in SpringMount.own_fields()


def test_a_linkage_kind_is_a_module_and_a_field():
    track = 1.5
    given = design_of(
        PillarAxle,
        kind="independent",
        track=f"{track} m",
        pillar={"wheel_centre": ["0 mm", f"{track / 2} m", "380 mm"]},
        spring={"acts": {"by": "links", "on": "slide", "foot": ["0 mm", "700 mm", "400 mm"], "top": ["0 mm", "700 mm", "900 mm"]}},
    )  # fmt: skip
    found = geometry(given, "front")
    assert {round(one.motion_ratio, 12) for one in found.positions} == {1.0}
    assert {one.camber for one in found.positions} == {0.0}
    rest = equilibrium(assemble(given))
    assert rest.wheel_loads.sum() == pytest.approx(GRAVITY * sum(size(given).design_loads), rel=1e-6)
    assert elevation(given).axles
    assert "pillar" not in Axle.linkages()
