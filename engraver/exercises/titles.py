"""The printed title of an exercise, in the words of the book's language."""

from engraver.exercises.arpeggios import arpeggio_chord
from engraver.spec.models import ArpeggioSpec, RightHandStudySpec, ScaleSpec
from engraver.spec.played import ExerciseSpec, LineSpec
from engraver.tables.words import Words
from engraver.theory.key import Key
from engraver.theory.pitch import PitchName, SpelledPitch


def exercise_title(spec: ExerciseSpec, words: Words) -> str:
    """The book's own title, else one made from what is played: `G major, two octaves`."""
    if spec.title is not None:
        return spec.title
    match spec:
        case ScaleSpec():
            return _qualified(_scale_title(spec, words), spec, words)
        case ArpeggioSpec():
            return _qualified(_arpeggio_title(spec, words), spec, words)
        case RightHandStudySpec():
            letters = " ".join("".join(finger.value for finger in step) for step in spec.right_hand.formula)
            return words.titles.right_hand.format(letters=letters, chords=", ".join(spec.progression))
    return ""


def note_words(name: PitchName, words: Words) -> str:
    """A note name in the book's language: `E flat`."""
    return words.note_name(name.letter, name.alter)


def pitch_words(pitch: SpelledPitch, words: Words) -> str:
    """A pitch with its octave number: `E flat 4`."""
    return f"{note_words(pitch.name, words)} {pitch.octave}"


def key_words(key: Key, words: Words) -> str:
    """A key in the book's language: `C minor`."""
    mode = words.names.modes["minor" if key.minor else "major"]
    return words.names.key.format(tonic=note_words(key.tonic, words), mode=mode)


def _scale_title(spec: ScaleSpec, words: Words) -> str:
    tonic, name = note_words(spec.tonics[0].name, words), words.names.scales[spec.scale]
    if spec.range:
        low, high = (pitch_words(pitch, words) for pitch in spec.range)
        return words.titles.scale_range.format(tonic=tonic, scale=name, lowest=low, highest=high)
    return words.titles.scale.format(tonic=tonic, scale=name, octaves=words.octaves(spec.octaves))


def _arpeggio_title(spec: ArpeggioSpec, words: Words) -> str:
    name, octaves = words.names.chords[spec.chord], words.octaves(spec.octaves)
    if spec.key is not None:
        return words.titles.chord_in_key.format(chord=name, key=key_words(spec.key, words), octaves=octaves)
    tonic = note_words(arpeggio_chord(spec).root, words)
    if spec.inversion:
        inversion = words.names.inversions[spec.inversion]
        return words.titles.chord_inversion.format(chord=name, tonic=tonic, inversion=inversion, octaves=octaves)
    return words.titles.chord.format(chord=name, tonic=tonic, octaves=octaves)


def _qualified(title: str, spec: LineSpec, words: Words) -> str:
    """The title with what sets it apart from the usual: a direction other than up and down."""
    if spec.direction == "up and down":
        return title
    return words.titles.qualified.format(title=title, quality=words.names.directions[spec.direction])
