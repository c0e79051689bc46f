"""The templates, and what they may call."""

from __future__ import annotations

import json
from functools import cache

import jinja2

from springwright.formula import as_told
from springwright.report.tables import capital
from springwright.units import number, plain, pretty, show, unit_of
from springwright.workbench.render.changes import told_change
from springwright.workbench.render.form import button, ident_of, plainly
from springwright.workbench.render.marks import bead, cells, ink, set_equation, short, term
from springwright.workbench.render.records import kind_of, record, rest_of
from springwright.workbench.render.tray import tray


@cache
def environment() -> jinja2.Environment:
    """Templates that escape everything typed."""
    made = jinja2.Environment(
        loader=jinja2.PackageLoader("springwright.workbench"),
        autoescape=True,
        undefined=jinja2.StrictUndefined,
        trim_blocks=True,
        lstrip_blocks=True,
    )
    made.globals |= {
        "number": number, "show": show, "as_told": as_told, "unit_of": unit_of, "plain": plain, "pretty": pretty, "button": button, "ident_of": ident_of,
        "ink": ink, "term": term, "equation": set_equation, "told_change": told_change, "capital": capital, "json": json.dumps, "bead": bead, "cells": cells, "record": record, "kind_of": kind_of, "rest_of": rest_of, "short": short, "plainly": plainly, "tray": tray,
    }  # fmt: skip
    return made


@cache
def template(part: str) -> jinja2.Template:
    """A template by name."""
    return environment().get_template(f"{part}.html")
