"""Why an exercise is spelled and fingered as it is: what the terminal shows when a teacher asks."""

from engraver.exercises.arpeggios import arpeggio_chord
from engraver.exercises.cadences import cadence_chords
from engraver.exercises.reasons import exercise_reason
from engraver.exercises.titles import exercise_title, note_words, scale_words
from engraver.fingering.fingered import FingeredPassage
from engraver.press.explain_table import phrases
from engraver.press.explaining_harmonics import harmonics_sections
from engraver.press.explaining_left import left_hand_sections
from engraver.press.explaining_right import right_hand_sections
from engraver.press.explanation import Section
from engraver.spec.book import Edition, Exercise
from engraver.spec.cadences import CadenceSpec
from engraver.spec.drills import TremoloSpec
from engraver.spec.excerpt import ExcerptSpec
from engraver.spec.harmonics import HarmonicsSpec
from engraver.spec.models import ArpeggioSpec, RightHandStudySpec, ScaleSpec
from engraver.spec.played import PlayedSpec
from engraver.spec.technique import ChromaticSpec, DoubleStopsSpec, SequenceSpec
from engraver.tables.words import Words, words
from engraver.theory.chord import chord, parse_chord
from engraver.theory.harmony import RomanChord
from engraver.theory.pitch import PitchName
from engraver.theory.scale import other_spelling, scale

CHROMATIC = 12
"""Notes to the octave of a scale that is spelled by a convention and not by its degrees."""
LANGUAGE = "en"
"""The terminal speaks English."""


def explain(exercise: Exercise, edition: Edition, fingered: FingeredPassage) -> tuple[Section, ...]:
    """The sections of the explanation: spelling, places, shifts, stretches, costs, other left hands, plucking hand.

    `fingered` is the exercise as the build fingers it for this edition.
    """
    spec, printed = exercise.spec, words(LANGUAGE)
    assert isinstance(spec, PlayedSpec)
    title = f"{exercise.number}  {exercise_title(spec, words(edition.language))}  ({exercise.id})"
    signature = phrases().spelling.signature.format(signature=printed.signature(fingered.passage.key_fifths))
    reason = exercise_reason(spec, printed)
    lines = (*_spelling(spec, printed), signature, *((reason,) if reason else ()))
    left, others = left_hand_sections(exercise, edition, fingered)
    return (
        Section(title),
        Section(phrases().headings.spelling, lines),
        *harmonics_sections(fingered),
        *left,
        *right_hand_sections(exercise, fingered, others),
    )


def _spelling(spec: PlayedSpec, printed: Words) -> tuple[str, ...]:
    """The rule by which the exercise's notes are named."""
    told = phrases().spelling
    match spec:
        case ScaleSpec() | SequenceSpec() | DoubleStopsSpec():
            return _of_scale(spec.scale, spec.tonics[0].name, printed)
        case ChromaticSpec():
            return (told.chromatic.format(name=printed.names.chromatic[spec.convention].capitalize()),)
        case ArpeggioSpec() if not (spec.study or spec.chain):
            return (_of_arpeggio(spec, printed),)
        case CadenceSpec():
            return tuple(
                _chord(each.printed, _from_bass(each), printed) for each in dict.fromkeys(cadence_chords(spec))
            )
        case RightHandStudySpec() | TremoloSpec():
            symbols = dict.fromkeys(spec.progression)
            return tuple(_chord(symbol, _names_of(symbol), printed) for symbol in symbols)
        case HarmonicsSpec(scale=str(name)):
            return _of_scale(name, spec.tonics[0].name, printed)
        case HarmonicsSpec(manner="open strings"):
            return (phrases().harmonics.named,)
        case ExcerptSpec():
            return (told.by_source,)
    return (told.by_key,)


def _of_scale(name: str, tonic: PitchName, printed: Words) -> tuple[str, ...]:
    told, made = phrases().spelling, scale(name, tonic)
    if len(made.up) == CHROMATIC:
        return (told.chromatic.format(name=scale_words(tonic, name, printed)),)
    pattern = told.fewest_signs if other_spelling(name, tonic) else told.own_letters
    up, down = (tuple(PitchName(tonic.fifths + step.fifths) for step in form) for form in (made.up, made.down))
    lines = [pattern.format(name=scale_words(tonic, name, printed), notes=_notes(up, printed))]
    lines += [told.down.format(notes=_notes(down[::-1], printed))] if made.differs_down else []
    return tuple(lines)


def _of_arpeggio(spec: ArpeggioSpec, printed: Words) -> str:
    told, made = phrases().spelling, arpeggio_chord(spec)
    name = printed.chord_name(made.root.letter, made.root.alter, spec.chord)
    pattern = told.practical if spec.spelling == "practical" else told.thirds
    return pattern.format(name=name, notes=_notes(made.names, printed))


def _chord(symbol: str, names: tuple[PitchName, ...], printed: Words) -> str:
    return phrases().spelling.chord.format(name=symbol, notes=_notes(names, printed))


def _names_of(symbol: str) -> tuple[PitchName, ...]:
    root, quality = parse_chord(symbol)
    return chord(quality, root).names


def _from_bass(made: RomanChord) -> tuple[PitchName, ...]:
    """The notes of a chord in the order of their letters from the bass up."""
    letters = {name: "CDEFGAB".index(name.letter) for name in made.names}
    return tuple(
        sorted(made.names, key=lambda name: ((letters[name] - letters[made.basses[0]]) % len("CDEFGAB"), name.fifths))
    )


def _notes(names: tuple[PitchName, ...], printed: Words) -> str:
    return printed.language.list_separator.join(note_words(name, printed) for name in names)
