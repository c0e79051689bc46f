"""The workbench: the whole job on one living worksheet in the browser.

Routes, templates and small ES modules; no mechanics.

- `actions`: What can be done to a sheet besides writing in a blank: each makes a change of the document from what
  the page sent (`put`, `mend`, `undo`, `redo` and more).
- `app`: The workbench's server: pages, the live line of each sheet, and what can be taken away. Routes only
  (`build`, `open_when_compiled`).
- `audience`: Those who look at a sheet: pages given out and remembered until their live lines are there, and what
  each was last sent (`Visitor`, `Reply`, `Audience`).
- `copies`: Copies of a document against a crash, put away without holding anybody up (`Copies`).
- `downloads`: What can be taken away from a sheet: documents as bytes, figures as tables of numbers (`figure_csv`).
- `first`: The start page's first number, worked out as one types and carried into a sheet (`read`, `told`, `carried`).
- `glances`: A design at a glance, for the desk: its side view, and what was found of it when its sheet was last looked
  away from (`glance`, `keep_verdicts`, `said_of`).
- `guard`: Who may speak to the workbench: this machine's own browser with the start-up token, and nobody through it
  (`Once`, `Guard`, `TooLarge`).
- `heard`: What a page has sent down its live line and is not done yet, in its order (`Heard`).
- `logs_brought`: logs dropped on a reading, laid beside the design over nothing (`lay_beside`).
- `lines`: Connections that have not shown a token yet: few at a time, the oldest dropped first, and none for long
  (`Lines`, `counted`).
- `open_sheet`: A design on the desk with its results and those who look at it: edits in, changed parts of the page
  out (`OpenSheet`).
- `serve`: Starts the workbench: takes a port, opens the design, prints the address with its token, opens the
  browser (`serve`).
- `slow_answers`: What the slow process works out for a sheet: the answers, then the window and the sensitivities,
  and what is asked for beside them (`SlowAnswers`).
- `workspace`: The desk: designs open side by side, the recent ones, and copies that outlive a crash (`home`,
  `Desk`).
"""
