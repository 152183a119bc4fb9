"""Single lines: a row of pitches laid out in a direction, a rhythm and a metre."""

from collections.abc import Sequence
from fractions import Fraction

from engraver.spec.played import PlayedSpec
from engraver.theory.passage import Note, Passage
from engraver.theory.pitch import SpelledPitch
from engraver.theory.rhythm import Metre, rhythm


def directed(
    up: Sequence[SpelledPitch], down: Sequence[SpelledPitch], direction: str
) -> tuple[tuple[SpelledPitch, ...], int | None]:
    """The pitches in playing order, and the index of the note on which the line turns (None if it does not).

    The turning note is played once.
    """
    if direction == "up":
        return tuple(up), None
    if direction == "down":
        return tuple(down), None
    first, second = (up, down) if direction == "up and down" else (down, up)
    return (*first, *second[1:]), len(first) - 1


def line_passage(
    pitches: Sequence[SpelledPitch], spec: PlayedSpec, key_fifths: int, turn: int | None = None
) -> Passage:
    """The pitches as a passage in the spec's rhythm and metre; the last note is held to the end of its bar."""
    times = rhythm(spec.rhythm).onsets_and_durations(len(pitches))
    notes = [Note(pitch, onset, length) for pitch, (onset, length) in zip(pitches, times, strict=True)]
    last = notes[-1]
    held = last_note_quarters(last.onset_quarters, last.duration_quarters, spec.metre)
    notes[-1] = Note(last.pitch, last.onset_quarters, held)
    tempo = spec.tempo.tempo(spec.metre) if spec.tempo else None
    return Passage(tuple(notes), key_fifths, spec.metre, tempo, turn, spec.repeat)


def last_note_quarters(onset: Fraction, length: Fraction, metre: Metre) -> Fraction:
    """How long the last note is held: to the end of its bar if it falls on a beat, else its own length.

    Chosen by us: a closing note on a beat rests the hand; off the beat the bar is filled with rests.
    """
    rest_of_bar = metre.bar_quarters - onset % metre.bar_quarters
    on_beat = onset % metre.beat_quarters == 0
    return max(rest_of_bar, length) if on_beat and rest_of_bar >= length else length
