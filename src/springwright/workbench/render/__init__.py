"""How the sheet is told: the page that a section sees, blanks, records and words, and all of it as HTML.

- `changes`: What the last edit did to the answers, and a figure in a few words (`brief`, `changed_rows`,
  `told_change`).
- `environment`: The templates, and what they may call (`environment`, `template`).
- `form`: The blanks of the worksheet: each a native input tied to its label and to a place in the design file
  (`Form`, `ident_of`, `button`).
- `limits`: Which field of the design sets the limit of a figure, so that the limit can be changed where it is read
  (`limit_place`).
- `marks`: Small things that templates set: drawings in the page's ink, verdicts, formulas, terms (`ink`, `bead`,
  `set_equation`, `term` and more).
- `page`: What a section of the sheet sees, and what a section is (`Page`, `but_targets`, `SheetPart`,
  `section_of`).
- `records`: Any record of the design as blanks: what is written in it, and behind it what more may be (`Entry`,
  `Group`, `groups`, `ToldRecord` and more).
- `sheet`: The worksheet as HTML: every section by its own template, as named parts that a page can change one by
  one (`render`, `answers_of`, `sections`, `frame`).
- `slider`: What can be moved on a drawing: a slider to those who hear the page, a handle to those who drag it
  (`slider`).
"""
