"""Spelled pitches, keys, scales, chords, rhythms: music without an instrument."""
