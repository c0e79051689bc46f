"""A sizing told: one content, printed to a terminal, a page, a typeset sheet or a table."""
