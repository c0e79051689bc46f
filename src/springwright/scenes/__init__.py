"""Where the lines of a picture lie, in metres: the vehicle from the side, from above, at speed. Nothing is drawn here."""
