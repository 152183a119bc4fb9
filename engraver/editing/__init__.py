"""Music files made better without a book: names by context, fingers for both hands, written into the same file."""
