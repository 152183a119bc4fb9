"""Which neck diagrams an exercise gets: a line lying, grips upright; finger drills get none."""

from collections.abc import Mapping
from itertools import pairwise

from engraver.exercises.arpeggios import arpeggio_chord
from engraver.exercises.cadences import cadence_chords
from engraver.fingering.fingered import FingeredPassage
from engraver.score.diagrams import Diagram, Harmony, grip_diagrams, line_diagram
from engraver.spec.book import Edition
from engraver.spec.cadences import CadenceSpec
from engraver.spec.drills import TremoloSpec
from engraver.spec.models import ArpeggioSpec, RightHandStudySpec, ScaleSpec
from engraver.spec.played import PlayedSpec
from engraver.spec.technique import DoubleStopsSpec, SequenceSpec
from engraver.tables.words import Words, words
from engraver.theory.chord import chord_symbol, parse_chord
from engraver.theory.harmony import RomanChord
from engraver.theory.pitch import PitchName

_THIRDS = {0, 2, 4, 6}  # letters from the root up, of a chord built in thirds


def neck_diagrams(spec: PlayedSpec, fingered: FingeredPassage, edition: Edition) -> tuple[Diagram, ...]:
    """The diagrams of an exercise, as the player of this edition sees the neck; none unless the style asks for them."""
    if not edition.style.diagrams:
        return ()
    strings, mirrored = edition.instrument.string_count, edition.player.handed == "left"
    match spec:
        case ArpeggioSpec() if not (spec.study or spec.chain or spec.resolution):
            return (line_diagram(fingered, strings, arpeggio_chord(spec).root, mirrored),)
        case ScaleSpec() | SequenceSpec() | DoubleStopsSpec():
            return (line_diagram(fingered, strings, spec.tonics[0].name, mirrored),)
        case RightHandStudySpec() | TremoloSpec():
            return grip_diagrams(fingered, strings, _bars(spec, words(edition.language)), mirrored)
        case CadenceSpec():
            names = words(edition.language).names.harmonies
            return grip_diagrams(fingered, strings, _chords(spec, fingered, names), mirrored)
    return ()


def _bars(spec: RightHandStudySpec | TremoloSpec, printed: Words) -> tuple[Harmony, ...]:
    """A chord a bar."""
    bar = spec.metre.bar_quarters
    return tuple(
        Harmony(number * bar, (number + 1) * bar, parse_chord(symbol)[0], printed.chord_symbol(chord_symbol(symbol)))
        for number, symbol in enumerate(spec.progression)
    )


def _chords(spec: CadenceSpec, fingered: FingeredPassage, names: Mapping[str, str]) -> tuple[Harmony, ...]:
    """The chords of a cadence where they are struck; a broken one only where every bar holds a single chord."""
    chords = cadence_chords(spec)
    notes = fingered.passage.notes
    end = max(note.onset_quarters + note.duration_quarters for note in notes)
    if spec.manner == "block":
        onsets = sorted({note.onset_quarters for note in notes})
    else:
        bar = spec.metre.bar_quarters
        onsets = [number * bar for number in range(int(end / bar))]
        closing = 1 if spec.closing_chord else 0
        if len(onsets) != len(chords) + closing:
            return ()
    return tuple(
        Harmony(start, after, _root(chord), names.get(chord.printed, chord.printed))
        for (start, after), chord in zip(pairwise([*onsets, end]), chords, strict=False)
    )


def _root(chord: RomanChord) -> PitchName | None:
    """The note from which a chord is built in thirds; an augmented sixth has none that a player would name."""
    if chord.numeral == "augmented sixth":
        return None
    letters = {name: "CDEFGAB".index(name.letter) for name in sorted(chord.names, key=lambda name: name.fifths)}
    for root, low in letters.items():
        if {(letter - low) % 7 for letter in letters.values()} <= _THIRDS:
            return root
    return None
