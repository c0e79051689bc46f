"""How the sheet is told: the page that a section sees, blanks, records and words, and all of it as HTML."""
