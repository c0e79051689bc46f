"""The workbench: the whole job on one living worksheet in the browser. Routes, templates and small ES modules; no mechanics."""
