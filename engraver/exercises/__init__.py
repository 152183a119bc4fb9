"""From one exercise of a book to a spelled and timed passage."""
