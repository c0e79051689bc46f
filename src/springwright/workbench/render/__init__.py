"""How the sheet is told: the page that a section sees, blanks, records and words, and all of it as HTML.

- `axle_words`: An axle as a short text: its blanks by their names in it, and the words that can be picked
  (`AxleWords`).
- `changes`: What the last edit did to the answers, and a figure in a few words (`in_two`, `brief`, `changed_rows`,
  `told_change`).
- `environment`: The templates, and what they may call (`environment`, `template`).
- `form`: The blanks of the worksheet: each a native input tied to its label and to a place in the design file
  (`Form`, `UnfinishedForm`, `plainly`, `as_typed` and more).
- `joints`: The joints of a linkage as handles on its drawing: each moves where it is seen from, and is one point of
  the design (`places_of`, `handles`).
- `limits`: Which field of the design sets the limit of a figure, so that the limit can be changed where it is read
  (`limit_place`).
- `marks`: Small things that templates set: drawings in the page's ink, verdicts, formulas, terms (`ink`, `bead`,
  `set_equation`, `term` and more).
- `page`: What a section of the sheet sees, and what a section is (`Page`, `but_targets`, `SheetPart`,
  `section_of`).
- `records`: Any table of the design as blanks: what is written in it, what more may be given, which kind it is, and
  how it goes again (`Entry`, `Group`, `groups`, `kinds_of` and more).
- `register`: The register: the vehicle's ground line with its axles at their places, each to be pressed or moved,
  and where one may be put in (`Standing`, `standing`, `register`).
- `sheet`: The worksheet as HTML: every section by its own template, as named parts that a page can change one by
  one (`nothing_wanted`, `render`, `answers_of`, `sections` and more).
- `slider`: What can be moved on a drawing: a slider to those who hear the page, a handle to those who drag it
  (`ring`, `beside_ring`, `slider`).
- `tray`: The tray: the kinds that an axle may be made of as drawings in rows, what each asks for, and for whom those
  are that do not fit (`TrayKind`, `TrayRow`, `tray`, `tray_rows` and more).
- `truck_handles`: What can be moved on the drawing of the whole vehicle: what is aboard, the centre of gravity, where
  its stops touch, and its outline (`truck_handles`).
"""
