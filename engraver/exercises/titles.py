"""The printed title of an exercise, in the words of the book's language."""

from collections.abc import Callable, Sequence
from importlib import import_module

from engraver.exercises.arpeggios import arpeggio_chord
from engraver.fretboard.numerals import position_numeral
from engraver.spec.models import ArpeggioSpec, RightHandStudySpec, ScaleSpec
from engraver.spec.played import ExerciseSpec, LineSpec, PositionsSpec
from engraver.spec.technique import ChromaticSpec, DoubleStopsSpec, SequenceSpec
from engraver.tables.words import Words
from engraver.theory.chord import chord_symbol
from engraver.theory.key import Key
from engraver.theory.pitch import PitchName, SpelledPitch

TITLES = {
    "scale": "titles.scale_title",
    "chromatic": "titles.chromatic_title",
    "sequence": "titles.sequence_title",
    "double stops": "titles.double_stops_title",
    "arpeggio": "harmony_titles.arpeggio_study_title",
    "cadence": "harmony_titles.cadence_title",
    "right hand": "titles.right_hand_title",
    "slurs": "drill_titles.slurs_title",
    "finger orders": "drill_titles.finger_orders_title",
    "tremolo": "drill_titles.tremolo_title",
    "shifts": "drill_titles.shifts_title",
    "barre": "drill_titles.barre_title",
    "string crossings": "drill_titles.crossings_title",
    "harmonics": "harmonics.harmonics_title",
    "excerpt": "excerpts.excerpt_title",
}
"""The title of each played kind, as module and function of this room; a function takes the spec and the words."""


def exercise_title(spec: ExerciseSpec, words: Words) -> str:
    """The book's own title, else one made from what is played: `G major, two octaves`."""
    if spec.title is not None:
        return spec.title
    module, function = TITLES[spec.kind].split(".")
    make: Callable[[ExerciseSpec, Words], str] = getattr(import_module(f"engraver.exercises.{module}"), function)
    return make(spec, words)


def note_words(name: PitchName, words: Words) -> str:
    """A note name in the book's language: `E flat`."""
    return words.note_name(name.letter, name.alter)


def pitch_words(pitch: SpelledPitch, words: Words) -> str:
    """A pitch with its octave number: `E flat 4`."""
    return f"{note_words(pitch.name, words)} {pitch.octave}"


def _pitch_printed(pitch: SpelledPitch, words: Words) -> str:
    """A pitch as a title prints it: `E2`, but `E flat 4`."""
    name = note_words(pitch.name, words)
    return f"{name}{pitch.octave}" if len(name) == 1 else f"{name} {pitch.octave}"


def key_words(key: Key, words: Words) -> str:
    """A key in the book's language: `C minor`."""
    return words.key_name(key.tonic.letter, key.tonic.alter, key.minor)


def scale_words(tonic: PitchName, scale: str, words: Words) -> str:
    """A scale on its tonic in the book's language: `G harmonic minor`."""
    return words.scale_name(tonic.letter, tonic.alter, scale)


def chords_words(chords: Sequence[str], words: Words) -> str:
    """Chord symbols in a row, with the root letters of the language: `Am, E7, Am`."""
    return ", ".join(words.chord_symbol(chord_symbol(chord)) for chord in chords)


def scale_title(spec: ScaleSpec, words: Words) -> str:
    """`G major, two octaves`."""
    name = scale_words(spec.tonics[0].name, spec.scale, words)
    if isinstance(spec.range, tuple):
        low, high = (_pitch_printed(pitch, words) for pitch in spec.range)
        return qualified(words.titles.scale_range.format(scale=name, lowest=low, highest=high), spec, words)
    return qualified(words.titles.scale.format(scale=name, octaves=extent_words(spec, words)), spec, words)


def extent_words(spec: LineSpec, words: Words) -> str:
    """How far a line reaches: `two octaves`, `position V`, `over the whole neck`, or its outer pitches."""
    if spec.range is None:
        return words.octaves(spec.octaves)
    if spec.range == "neck":
        return words.names.whole_neck
    if spec.range == "position":
        return words.titles.position.format(position=position_numeral(spec.left_hand.position or 1))
    if isinstance(spec.range, PositionsSpec):
        first, last = map(position_numeral, spec.range.positions)
        return words.titles.position.format(position=words.language.range.format(first=first, last=last))
    low, high = (_pitch_printed(pitch, words) for pitch in spec.range)
    return words.language.range.format(first=low, last=high)


def chromatic_title(spec: ChromaticSpec, words: Words) -> str:
    """`Chromatic scale from E, two octaves, melodic spelling`."""
    tonic = note_words(spec.tonics[0].name, words)
    plain = words.titles.chromatic.format(tonic=tonic, octaves=extent_words(spec, words))
    title = words.titles.qualified.format(title=plain, quality=words.names.chromatic[spec.convention])
    return qualified(title, spec, words)


def sequence_title(spec: SequenceSpec, words: Words) -> str:
    """`C major in broken thirds`."""
    name = scale_words(spec.tonics[0].name, spec.scale, words)
    own = " ".join(str(step + 1) for step in spec.pattern) if not isinstance(spec.pattern, str) else ""
    pattern = words.names.sequences.get(str(spec.pattern), own)
    title = words.titles.sequence.format(scale=name, pattern=pattern, octaves=extent_words(spec, words))
    return qualified(title, spec, words)


def double_stops_title(spec: DoubleStopsSpec, words: Words) -> str:
    """`C major in thirds, one octave`."""
    name = scale_words(spec.tonics[0].name, spec.scale, words)
    interval, octaves = words.names.intervals[spec.interval], extent_words(spec, words)
    title = words.titles.double_stops.format(scale=name, interval=interval, octaves=octaves)
    if spec.manner == "broken":
        title = words.titles.qualified.format(title=title, quality=words.names.broken)
    return qualified(title, spec, words)


def right_hand_title(spec: RightHandStudySpec, words: Words) -> str:
    """`Plucking pattern p i m a over C, G7, C`."""
    letters = " ".join("".join(finger.value for finger in step) for step in spec.right_hand.formula)
    return words.titles.right_hand.format(letters=letters, chords=chords_words(spec.progression, words))


def arpeggio_title(spec: ArpeggioSpec, words: Words) -> str:
    """`Diminished seventh on B, two octaves`."""
    return qualified(_arpeggio_title(spec, words), spec, words)


def _arpeggio_title(spec: ArpeggioSpec, words: Words) -> str:
    octaves = extent_words(spec, words)
    if spec.key is not None:
        name = words.names.chords[spec.chord]
        return words.titles.chord_in_key.format(chord=name, key=key_words(spec.key, words), octaves=octaves)
    root = arpeggio_chord(spec).root
    name = words.chord_name(root.letter, root.alter, spec.chord)
    if spec.inversion:
        inversion = words.names.inversions[spec.inversion]
        return words.titles.chord_inversion.format(chord=name, inversion=inversion, octaves=octaves)
    return words.titles.chord.format(chord=name, octaves=octaves)


def qualified(title: str, spec: LineSpec, words: Words) -> str:
    """The title with what sets it apart: a direction other than up and down, a rhythm asked for as a variant."""
    qualities = [] if spec.direction == "up and down" else [words.names.directions[spec.direction]]
    qualities += [words.names.rhythms[name] for name in spec.variants]
    for quality in qualities:
        title = words.titles.qualified.format(title=title, quality=quality)
    return title
