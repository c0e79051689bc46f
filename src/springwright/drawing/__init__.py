"""Numbers to ink: results as SVG. One hand for the page, the report and the docs; nothing is computed here."""
