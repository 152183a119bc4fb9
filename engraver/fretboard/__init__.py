"""The instrument and the hand: where pitches lie and how far fingers reach."""
