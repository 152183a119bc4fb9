"""The reading room: music files made into values, each note with the way back to its place in the file."""
