"""A sizing or a proof told: one content, printed to a terminal, a page, a typeset sheet or a table.

`write.write` chooses by the file's ending.

- `compared`: Designs held against each other in pictures: how they stand, their windows on one rail, and the curve
  that matters of each on one chart (`ComparedDesign`, `compared_pictures`, `overlaid`).
- `content`: What a sizing says, in the order of the job: sections of sentences and small tables, every figure
  already a text (`sections`, `weigh_tables`, `requirement_table`, `window_section` and more).
- `dossier`: The whole case typeset: the vehicle to scale, the seven answers with their pictures, load states,
  orders, workings, sources, cautions (`Traded`, `proof_pdf`, `proof_content`).
- `equations`: Worked formulas as equations: one SVG each, with plain text beside it for those who cannot see it
  (`equation`).
- `exhibits`: The pictures of an answer at reading size, its limits drawn where they act: for the page and the
  report alike (`Exhibit`, `exhibits`, `charts`, `in_order` and more).
- `reference`: the reference shelf told (`shelf_section`, `topic_section`, `topic_table`, `usual_told`).
- `fields`: Fields of the design file told (`fields_section`, `wanted_section`, `sentence`).
- `fitting`: The fitting sheet of a vehicle: what goes where, in which order, and blanks for what is read
  (`fitting_pdf`, `fitting_sections`).
- `first_number`: A first number told in a dozen lines, in both systems of units (`first_number_lines`).
- `front`: A front told: its designs as rows, drawn, as CSV; and one of them kept as a design file of its own
  (`front_section`, `told_figure`, `ended`, `choices_told` and more).
- `front_pictures`: A front drawn: on its first two figures, over upright scales, and what varies on rails
  (`front_figure`, `axes_of`, `words_of`, `rails` and more).
- `geometry`: How an axle's wheels are held, told: along the travel, in roll, at full lock, and drawn
  (`geometry_section`, `joints_of`, `geometry_figure`).
- `lesson`: A lesson told, on a terminal and as a page (`lesson_section`, `lesson_page`).
- `measure`: What was built, told: readings beside what was due, what of the model explains them, and what brings it
  back (`comparison_section`, `correction_section`, `answers_beside`, `figure_told` and more).
- `motion`: Rest, modes and drives told: small tables in the display system, and the same as CSV or a drawing
  (`rest_section`, `modes_section`, `drive_section`, `speeds_section` and more).
- `order_list`: The order list told: what is ready for how much, what is not decided yet, line by line; the same as
  CSV (`in_words`, `counted`, `money`, `moneys` and more).
- `orders`: Order pages: one for each axle's springs, and for any part on its own, as texts and a drawing
  (`OrderPage`, `order_pages`, `part_page`, `every_page`).
- `page`: The same sheet as one HTML page that needs nothing else: style, drawings and equations are in it
  (`as_html`).
- `parts`: A part told whole: its dimensions, loads, stresses and what to order, as tables, as an order page, and
  drawn (`part_section`, `loads_table`, `judged_table`, `part_figure` and more).
- `proof`: The seven answers told: one row each, a question in detail, curves as tables and charts, the same as CSV
  (`summary`, `word_of`, `deciding`, `unknown` and more).
- `rows`: A sizing as one CSV table: orders with their loads, rates, states, and every catalogue spring with its
  reason (`as_csv`).
- `spread`: A build spread told: how many meet each limit, which tolerance is to blame, and what a tighter one buys
  (`spread_section`, `spread_figure`).
- `springs`: The springs told: the coil given, coils to have made, the catalogue, and what is to be ordered
  (`spring_section`, `candidate_row`).
- `tables`: What every sheet is made of: sections, small tables, and judgements in words and in rows (`Table`,
  `Section`, `judged_sentence`, `judged_row` and more).
- `terminal`: A sizing on a terminal (`tell`, `tell_section`, `tell_workings`).
- `trade`: What is traded, told: the exchange table as rows and drawn (`exchange_section`, `changes`, `signed`,
  `exchange_figure`).
- `travel_panel`: What happens along the travel of every axle, told: its parts' ends, where load states rest, and
  how what matters changes (`travel_figures`).
- `typeset`: The typeset order sheet: one page to order each axle's springs by, then how they were chosen, then the
  working (`as_pdf`, `pages_pdf`, `heading`, `compiled` and more).
- `wheel_force`: Force against travel at the wheel of every axle, told: one pair of scales for all of them
  (`force_figures`).
- `workshop`: Workshop sheets typeset: one page each, with the vehicle drawn, blanks, what is due beside them, and
  cautions (`workshop_pdf`, `workshop_section`).
- `write`: Write a sizing to a file: a typeset sheet, a page, or a table (`check_ending`, `write`).
"""
