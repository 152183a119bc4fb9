"""Names for the notes under a barre: the open strings, or a chord, carried up the neck."""

from collections.abc import Callable, Sequence

from engraver.exercises.drills import Touch
from engraver.exercises.place_names import Named
from engraver.fretboard.tuning import Instrument
from engraver.theory.chord import Chord, chord
from engraver.theory.key import signature_alter
from engraver.theory.pitch import Midi, PitchName, SpelledPitch, pitch_at_or_above

_SIGNATURES = sorted(range(-7, 8), key=abs)
_Naming = Callable[[Sequence[Touch], Sequence[Midi]], Named]


def name_barres(frets: Sequence[int], instrument: Instrument) -> _Naming:
    """The open strings' names carried up to each fret by one interval, the enharmonic way with the fewest signs.

    A barre at fret 5 sounds A D G C E A, one at fret 1 F B flat E flat A flat C F. Source: chosen by us.
    """

    def name(touches: Sequence[Touch], midis: Sequence[Midi]) -> Named:
        pitches = tuple(
            pitch_at_or_above(_carried(instrument, touch.place.string, touch.place.fret), midi)
            for touch, midi in zip(touches, midis, strict=True)
        )
        return Named(pitches, _signature(pitches, frets))

    return name


def name_grips(quality: str, frets: Sequence[int], instrument: Instrument) -> _Naming:
    """The names of the chord on string 6 at each fret, on the root with the fewest signs; `frets` in playing order."""
    chords = [_plainest(quality, instrument.sounding(instrument.string_count, fret)) for fret in frets]

    def name(touches: Sequence[Touch], midis: Sequence[Midi]) -> Named:
        bar = max(touch.length for touch in touches)
        own = [chords[int(touch.onset // (2 * bar))] for touch in touches]
        pitches = tuple(pitch_at_or_above(each.name_of(midi), midi) for each, midi in zip(own, midis, strict=True))
        return Named(pitches, chords[0].key_fifths if len(set(frets)) == 1 else 0)

    return name


def _carried(instrument: Instrument, string: int, fret: int) -> PitchName:
    """The name of a stopped string among the names of all strings stopped there."""
    names = [pitch.name.fifths for pitch in instrument.tuning.open_strings]
    up = 7 * fret % 12
    shift = min((up, up - 12), key=lambda by: (sum(abs(PitchName(name + by).alter) for name in names), by))
    return PitchName(names[string - 1] + shift)


def _signature(pitches: Sequence[SpelledPitch], frets: Sequence[int]) -> int:
    """For one fret the plainest key signature that leaves the fewest signs to print, for several none."""
    if len(set(frets)) > 1:
        return 0
    names = {pitch.name for pitch in pitches}
    return min(
        _SIGNATURES, key=lambda fifths: sum(name.alter != signature_alter(name.letter, fifths) for name in names)
    )


def _plainest(quality: str, root: Midi) -> Chord:
    """The chord on this pitch, named so that its notes bear the fewest signs; sharps on a tie."""
    fifths = 7 * root % 12
    names = [PitchName(each) for each in (fifths, fifths - 12) if abs(PitchName(each).alter) <= 1]
    chords = [chord(quality, name) for name in names]
    return min(chords, key=lambda each: sum(abs(name.alter) for name in each.names))
