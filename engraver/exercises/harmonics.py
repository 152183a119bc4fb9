"""Harmonics: drills on open strings, and lines in natural and artificial harmonics."""

from collections.abc import Callable
from dataclasses import replace
from fractions import Fraction

from engraver.errors import OutOfRange, SpellingError
from engraver.exercises.drills import Place, Touch, lay_groups, next_bar, on_neck, rested
from engraver.exercises.scales import scale_line
from engraver.exercises.titles import extent_words, qualified, scale_words
from engraver.fretboard.harmonics import Node, harmonic_on, natural_places, node_of, nodes, touching_fingers
from engraver.fretboard.neck import spots
from engraver.fretboard.tuning import Instrument
from engraver.spec.fields import Tonic
from engraver.spec.harmonics import HarmonicsSpec
from engraver.tables.words import Words
from engraver.theory.passage import Harmonic, HarmonicKind, Note, Passage
from engraver.theory.pitch import OCTAVE, SpelledPitch

STRING_STEP = Fraction(1, 2)
"""What a string further away weighs against a fret further along, in choosing between natural harmonics of one pitch
(chosen by us)."""
_NATURAL, _ARTIFICIAL = HarmonicKind.NATURAL, HarmonicKind.ARTIFICIAL
_Choice = tuple[int, Harmonic] | None
"""A string and its natural harmonic; None for an artificial one."""


def compose_harmonics(spec: HarmonicsSpec, instrument: Instrument) -> Passage:
    """The harmonics of the spec, each note at the pitch that is heard.

    Raises OutOfRange for a string or node that the instrument lacks, or a note that no harmonic sounds; SpellingError
    for a tonic without a printable signature.
    """
    if spec.manner == "open strings":
        return _open_strings(spec, instrument)
    if spec.manner == "artificial":
        stopped = _melody(spec) if spec.notes else scale_line(spec.scale or "", spec, spec.tonics[0], instrument)
        return _with(stopped, lambda note: _artificial(replace(note, pitch=note.pitch.up(OCTAVE)), spec, instrument))
    heard = _melody(spec) if spec.notes else _ringing_scale(spec, instrument)
    choices = _choices(heard, spec, instrument)
    at = iter(range(len(choices)))
    return _with(heard, lambda note: _chosen(note, choices[next(at)], spec, instrument))


def harmonics_title(spec: HarmonicsSpec, words: Words) -> str:
    """`Natural harmonics at frets 12, 7 and 5, strings 6 to 1`, or `G major in harmonics, one octave`."""
    from engraver.exercises.drill_titles import strings_words

    table = words.drills.harmonics
    if spec.manner == "open strings":
        frets = words.listing(spec.frets)
        where = (words.drills.fret if len(spec.frets) == 1 else words.drills.frets).format(frets=frets)
        return table["open strings"].format(frets=where, strings=strings_words(spec.strings, words))
    if spec.notes:
        return table[f"melody {spec.manner}"]
    name = scale_words(spec.tonics[0].name, spec.scale or "", words)
    return qualified(table[spec.manner].format(scale=name, octaves=extent_words(spec, words)), spec, words)


def _with(passage: Passage, change: Callable[[Note], Note]) -> Passage:
    return replace(passage, notes=tuple(change(note) for note in passage.notes))


def _open_strings(spec: HarmonicsSpec, instrument: Instrument) -> Passage:
    """Every string at each node in turn, each node from a bar line on."""
    finger = _touching_finger(spec)
    notes: list[Note] = []
    start = Fraction(0)
    for printed in spec.frets:
        node = next(node for node in nodes() if node.printed == printed)
        row = [on_neck(instrument, Place(string, node.frets, finger)) for string in spec.strings]
        touches = rested(lay_groups([[place] * spec.times for place in row], spec, start), spec.metre)
        notes += [_touch(touch, node, instrument) for touch in touches]
        start = next_bar(touches[-1].onset + touches[-1].length, spec.metre)
    tempo = spec.tempo.tempo(spec.metre) if spec.tempo else None
    return Passage(tuple(notes), 0, spec.metre, tempo, None, spec.repeat)


def _touching_finger(spec: HarmonicsSpec) -> int:
    """The finger that touches throughout, the usual one unless the book names another."""
    return spec.finger or touching_fingers()[0]


def _touch(touch: Touch, node: Node, instrument: Instrument) -> Note:
    place = touch.place
    found = harmonic_on(instrument.tuning.open_strings[place.string - 1], node.frets, _NATURAL, node.partial)
    assert found is not None
    harmonic, heard = found
    return Note(
        heard,
        touch.onset,
        touch.length,
        string=place.string,
        finger=place.finger,
        accent=touch.accent,
        harmonic=harmonic,
    )


def _melody(spec: HarmonicsSpec) -> Passage:
    """The melody as it is written."""
    notes = tuple(
        Note(note.pitches[0], note.onset_quarters, note.duration_quarters, dynamic=note.dynamic)
        for note in spec.written()
        if note.pitches
    )
    key = spec.key.signature_fifths if spec.key else 0
    return Passage(notes, key, spec.metre, spec.tempo.tempo(spec.metre) if spec.tempo else None, None, spec.repeat)


def _ringing_scale(spec: HarmonicsSpec, instrument: Instrument) -> Passage:
    """The scale in the octave that is asked for, else in the lowest one of those with most natural harmonics.

    Raises OutOfRange when no octave of the tonic can be played in harmonics throughout.
    """
    tonic = spec.tonics[0]
    if tonic.octave is not None or spec.range is not None:
        return scale_line(spec.scale or "", spec, tonic, instrument)
    found: list[tuple[int, int, Passage]] = []
    for octave in range(instrument.lowest // 12 - 1, instrument.highest // 12):
        try:
            line = scale_line(spec.scale or "", spec, Tonic(name=tonic.name, octave=octave), instrument)
            choices = _choices(line, spec, instrument)
        except (OutOfRange, SpellingError):
            continue
        found.append((-sum(choice is not None for choice in choices), octave, line))
    if not found:
        return scale_line(spec.scale or "", spec, tonic, instrument)
    return min(found, key=lambda row: row[:2])[2]


def _choices(line: Passage, spec: HarmonicsSpec, instrument: Instrument) -> tuple[_Choice, ...]:
    """For each note of a line a natural harmonic where there is one, with the least travel of the hand between them.

    Raises OutOfRange for a note that no harmonic sounds.
    """
    options = [_options(line, index, spec, instrument) for index in range(len(line.notes))]
    paths: dict[_Choice, tuple[Fraction, tuple[_Choice, ...]]] = {None: (Fraction(0), ())}
    for found in options:
        paths = {
            choice: min(
                ((cost + _travel(last, choice), (*path, choice)) for last, (cost, path) in paths.items()),
                key=lambda row: row[0],
            )
            for choice in found
        }
    return min(paths.values(), key=lambda row: row[0])[1]


def _options(line: Passage, index: int, spec: HarmonicsSpec, instrument: Instrument) -> list[_Choice]:
    note = line.notes[index]
    found: list[_Choice] = [
        (string, harmonic)
        for string, harmonic in natural_places(instrument, note.pitch)
        if node_of(harmonic).printed in spec.frets and node_of(harmonic).in_tune and string in spec.strings
    ]
    if not found and not spots(instrument, note.pitch.up(-OCTAVE).sounding_midi):
        bar = line.bar_number(note.onset_quarters)
        raise OutOfRange(
            f"no harmonic sounds note {index + 1} ({note.pitch}) in bar {bar}",
            hint="choose another octave, or allow more frets",
        )
    return found or [None]


def _travel(one: _Choice, other: _Choice) -> Fraction:
    """How far the touching hand goes: frets along the neck, and a little for each string across."""
    if one is None or other is None:
        return Fraction(0)
    return abs(one[1].node_frets - other[1].node_frets) + STRING_STEP * abs(one[0] - other[0])


def _chosen(note: Note, choice: _Choice, spec: HarmonicsSpec, instrument: Instrument) -> Note:
    if choice is None:
        return _artificial(note, spec, instrument)
    string, harmonic = choice
    return replace(note, string=string, harmonic=harmonic, finger=_touching_finger(spec))


def _artificial(note: Note, spec: HarmonicsSpec, instrument: Instrument) -> Note:
    """The note stopped an octave lower. Raises OutOfRange where the neck lacks that note."""
    lower: SpelledPitch = note.pitch.up(-OCTAVE)
    if not spots(instrument, lower.sounding_midi):
        raise OutOfRange(f"{lower} cannot be stopped on this neck", hint="choose another octave")
    return replace(note, harmonic=Harmonic(_ARTIFICIAL), plucking=spec.plucking)
