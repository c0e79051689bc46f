"""What is displayed is what is computed: every formula's LaTeX is parsed, evaluated at random inputs, and compared."""

import importlib
import math
import pkgutil
import warnings

import numpy as np
import pytest

import springwright
from springwright.formula import FORMULAS, as_told, figure, formula, latex_to_text
from springwright.units import displayed_in

# Modules are imported by name so that every formula there is gets tested, not only those that happen to be loaded.
for module in pkgutil.walk_packages(springwright.__path__, "springwright."):
    importlib.import_module(module.name)

RANGES = {
    r"\beta": (-0.6, 0.6),
    r"\alpha": (-0.4, 0.4),
    r"\theta": (0.05, 0.5),
    "w": (4.0, 14.0),
    "N": (1.2, 2.5),
    "k_{r}": (0.1, 0.4),
    "B": (-0.2, 0.2),
}


def parsed(latex, symbols):
    """The displayed right-hand side as a SymPy function of the displayed symbols."""
    import sympy
    from sympy.parsing.latex import parse_latex

    with warnings.catch_warnings():
        warnings.simplefilter("ignore")
        tree = parse_latex(latex.split("=", 1)[1])
        names = [parse_latex(symbol) for symbol in symbols]
    tree = tree.subs(sympy.Symbol("pi"), sympy.pi)
    assert tree.free_symbols <= set(names), f"{latex}: {tree.free_symbols} shown, {names} explained"
    return sympy.lambdify(names, tree, "math")


@pytest.mark.parametrize("one", FORMULAS, ids=lambda one: one.title)
def test_displayed_formula_is_the_code(one):
    symbols = [symbol for symbol, _, _ in one.symbols.values()]
    shown = parsed(one.latex, symbols)
    random = np.random.default_rng(7)
    for _ in range(25):
        values = [float(random.uniform(*RANGES.get(symbol, (0.5, 2.0)))) for symbol in symbols]
        assert one(**dict(zip(one.symbols, values, strict=True))) == pytest.approx(shown(*values), rel=1e-12)


@pytest.mark.parametrize("one", FORMULAS, ids=lambda one: one.title)
def test_substituted_numbers_give_the_value(one):
    """The line with the numbers in it, read back, gives the value to the digits shown."""
    random = np.random.default_rng(11)
    values = {
        name: float(random.uniform(*RANGES.get(symbol, (0.5, 2.0)))) for name, (symbol, _, _) in one.symbols.items()
    }
    work = one.work(**values)
    back = parsed("x = " + work.substituted.replace(r"\,", ""), [])
    assert back() == pytest.approx(work.value, rel=2e-3)


def test_every_formula_names_its_source_and_symbols():
    assert len(FORMULAS) >= 20
    for one in FORMULAS:
        assert len(one.source) > 3
        assert all(meaning for _, meaning, _ in one.symbols.values())


def test_working_as_a_line():
    @formula(
        "wheel rate",
        r"k_{w} = \left(2 \pi f\right)^{2} m_{s}",
        unit="N/m",
        source="test",
        f=("f", "", "Hz"),
        m=("m_{s}", "", "kg"),
    )
    def rate(f, m):
        return (2 * math.pi * f) ** 2 * m

    FORMULAS.pop()
    line = rate.work(f=1.45, m=430).as_text().replace("\N{NARROW NO-BREAK SPACE}", " ")
    assert line == "k_w = (2 π f)² m_s = (2 π · 1.45)² · 430 = 35 691 N/m"


@pytest.mark.parametrize(
    ("latex", "text"),
    [
        (r"\frac{k_{w} - F_{s} r_{x}}{r^{2}}", "(k_w − F_s r_x) / r²"),
        (r"\frac{1}{2 \pi} \sqrt{\frac{k}{m}}", "(1 / (2 π)) √(k / m)"),
        (r"\frac{a \cos\left(\beta\right)}{b}", "(a cos(β)) / b"),
    ],
)
def test_latex_as_plain_text(latex, text):
    assert latex_to_text(latex) == text


@pytest.mark.parametrize(
    ("value", "text"),
    [(0, "0"), (1.23456789, "1.2346"), (-0.21, "−0.21"), (12345.67, "12 346"), (5.88e9, "5.8800·10^{9}")],
)
def test_figures(value, text):
    assert figure(value).replace("\N{NARROW NO-BREAK SPACE}", " ") == text


def test_a_figure_of_a_working_is_told_in_the_units_of_the_page_too():
    """1 lbf/in is 175.127 N/m, 1 in is 25.4 mm (NIST SP 811)."""
    assert as_told(33358.0, "N/m") == "33.358 N/mm"
    assert as_told(0.0254, "m") == "25.4 mm"
    assert as_told(2.0, "Hz") == ""  # the same in either
    assert as_told(2.0, "W/(m**2*K)") == ""  # of no kind
    assert as_told(2.4e5, "Pa", "p_{g}") == "2.4 bar"
    assert as_told(6.0e8, "Pa", r"\tau") == "600 MPa"
    with displayed_in("imperial"):
        assert as_told(175.127 * 190.48, "N/m") == "190.48 lbf/in"
        assert as_told(0.0254, "m") == "1 in"
