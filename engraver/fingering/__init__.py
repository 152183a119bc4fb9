"""Both hands: from a passage to fingered notes with an account of what they cost."""
