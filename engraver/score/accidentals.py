"""Which notes carry a sign before the head, and which a reminder in parentheses."""

from collections.abc import Sequence
from dataclasses import replace

from engraver.score.model import Element, Measure, ScoreNote, Voice
from engraver.theory.key import signature_alter


def with_accidentals(measures: Sequence[Measure], key_fifths: int, cautionary: bool = True) -> tuple[Measure, ...]:
    """The measures with their accidentals.

    A sign holds for its own octave until the barline (common-practice rule). A reminder in parentheses stands on the
    first return to the signature after a sign in another octave of the same bar or in the bar before (chosen by us).
    """
    state = _Signs(key_fifths, cautionary)
    out = []
    for measure in measures:
        state.new_bar()
        if measure.key_fifths is not None:
            state.key_fifths = measure.key_fifths
        marked = _marked(measure, state)
        voices = tuple(
            replace(voice, elements=tuple(marked[voice.number, index] for index in range(len(voice.elements))))
            for voice in measure.voices
        )
        out.append(replace(measure, voices=voices))
    return tuple(out)


def _marked(measure: Measure, state: "_Signs") -> dict[tuple[int, int], Element]:
    """Every element of the bar with its signs, read in order of time across the voices."""
    order = sorted(
        (element.onset_quarters, voice.number, index)
        for voice in measure.voices
        for index, element in enumerate(voice.elements)
    )
    by_number: dict[int, Voice] = {voice.number: voice for voice in measure.voices}
    marked = {}
    for _, number, index in order:
        element = by_number[number].elements[index]
        graces = tuple(replace(g, notes=tuple(state.marked(note) for note in g.notes)) for g in element.graces)
        notes = tuple(state.marked(note) for note in element.notes)
        same = (notes, graces) == (element.notes, element.graces)
        marked[number, index] = element if same else replace(element, notes=notes, graces=graces)
    return marked


class _Signs:
    """What the reader has in mind: the signature, this bar's signs by letter and octave, last bar's letters."""

    def __init__(self, key_fifths: int, cautionary: bool) -> None:
        self.key_fifths = key_fifths
        self.cautionary = cautionary
        self.bar: dict[tuple[str, int], int] = {}
        self.altered_before: set[str] = set()
        self.altered_now: set[str] = set()

    def new_bar(self) -> None:
        self.bar.clear()
        self.altered_before, self.altered_now = self.altered_now, set()

    def marked(self, note: ScoreNote) -> ScoreNote:
        letter, alter, octave = note.pitch.name.letter, note.pitch.name.alter, note.pitch.octave
        usual = signature_alter(letter, self.key_fifths)
        if note.tie_stop:
            return note
        shown = alter != self.bar.get((letter, octave), usual)
        reminder = (
            self.cautionary
            and not shown
            and (letter, octave) not in self.bar
            and alter == usual
            and letter in self.altered_before | self.altered_now
        )
        if shown or reminder:
            self.bar[letter, octave] = alter
        if alter != usual:
            self.altered_now.add(letter)
        elif reminder or shown:
            self.altered_before.discard(letter)
        return replace(note, accidental=True, cautionary=reminder) if shown or reminder else note
