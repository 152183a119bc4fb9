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
    """A single line as a passage in the spec's rhythm and metre; the last note is held to the end of its bar."""
    return chord_passage([(pitch,) for pitch in pitches], spec, key_fifths, turn)


def chord_passage(
    chords: Sequence[Sequence[SpelledPitch]], spec: PlayedSpec, key_fifths: int, turn: int | None = None
) -> Passage:
    """Notes and chords in the spec's rhythm, each as often as the rhythm says, the last held to its bar's end."""
    style = rhythm(spec.rhythm)
    metre = style.metre or spec.metre
    strokes = [chord for chord in chords for _ in range(style.times)]
    notes: list[Note] = []
    for index, (onset, length) in enumerate(style.onsets_and_durations(len(strokes))):
        held = last_note_quarters(onset, length, metre) if index == len(strokes) - 1 else length
        notes += [Note(pitch, onset, held, accent=style.accented(index)) for pitch in strokes[index]]
    tempo = spec.tempo.tempo(metre) if spec.tempo else None
    turning = None if turn is None else turn * style.times
    return Passage(tuple(notes), key_fifths, metre, tempo, turning, spec.repeat)


def last_note_quarters(onset: Fraction, length: Fraction, metre: Metre) -> Fraction:
    """How long the last note is held: to the end of its bar if it falls on a beat, else its own length.

    Chosen by us: a closing note on a beat rests the hand; off the beat the bar is filled with rests.
    """
    rest_of_bar = metre.bar_quarters - onset % metre.bar_quarters
    on_beat = onset % metre.beat_quarters == 0
    return max(rest_of_bar, length) if on_beat and rest_of_bar >= length else length
