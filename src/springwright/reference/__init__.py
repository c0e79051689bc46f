"""What is usual, kept apart from what is computed: ranges by class of vehicle, each row with its source.

- `shelf`: topics and their rows as they stand in the CSV files beside it (`Shelf`, `ShelfRow`, `ShelfTopic`, `shelf`, `topic`, `beside`).

Nothing here is ever preset: a range stands beside a blank, and an estimate that is taken from one says from which row.
"""
