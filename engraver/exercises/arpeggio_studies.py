"""Arpeggios that lead somewhere: with their resolution, through four keys on one sound, in a chain of fifths."""

from collections.abc import Sequence
from dataclasses import replace
from fractions import Fraction

from engraver.errors import OutOfRange, SpecError
from engraver.exercises.cadences import STRUCK
from engraver.exercises.lines import directed
from engraver.exercises.register import register
from engraver.exercises.resolutions import resolution_key, resolves_to, resolving_chord
from engraver.exercises.voicing import Voicing
from engraver.fretboard.neck import spots
from engraver.fretboard.tuning import Instrument
from engraver.spec.hands import LeftHandSpec
from engraver.spec.models import ArpeggioSpec
from engraver.theory.chord import Chord, chord
from engraver.theory.key import MOST_SIGNS, Key
from engraver.theory.passage import Note, Passage
from engraver.theory.pitch import OCTAVE, PitchName, SpelledPitch, pitch_at_or_above
from engraver.theory.rhythm import Metre, rhythm

_AROUND = 12
"""Places on the line of fifths between two names of one sound."""


def with_resolution(line: Passage, sounding: Chord, spec: ArpeggioSpec, instrument: Instrument) -> Passage:
    """The line, its last note held to the end of its bar, then the chord it resolves to, a bar long, in that key.

    Raises SpellingError for a key without signature, Unplayable when the resolution does not lie under the hand.
    """
    key = resolution_key(sounding, spec.key)
    bar = line.metre.bar_quarters
    notes = _held_to_the_bar(line.notes, bar)
    struck = resolving_chord([note.pitch for note in notes], key, instrument)
    end = notes[-1].onset_quarters + notes[-1].duration_quarters
    return replace(line, notes=(*notes, *_struck(struck, end, bar)), key_fifths=key.signature_fifths)


def four_keys(root: PitchName) -> tuple[Key, ...]:
    """The four minor keys whose leading-note seventh sounds as the one on `root`, upwards from the root's own.

    Of two keys that sound alike the one with fewer signs is written, of two with six signs each the flat one, except
    that the root's own key keeps its name. Source: the choice is ours.

    >>> [str(key) for key in four_keys(PitchName.parse("B"))]
    ['C minor', 'E flat minor', 'F sharp minor', 'A minor']
    """
    own = resolves_to(root, "diminished seventh")
    names = [PitchName(own.tonic.fifths - 3 * step) for step in range(4)]
    keys = [_fewest_signs(Key(name, minor=True)) for name in names]
    return (own if abs(own.signature_fifths) <= MOST_SIGNS else keys[0], *keys[1:])


def _fewest_signs(key: Key) -> Key:
    alike = (Key(PitchName(key.tonic.fifths + turn), key.minor) for turn in (-2 * _AROUND, -_AROUND, 0, _AROUND))
    return min(alike, key=lambda other: (abs(other.signature_fifths), other.signature_fifths))


def compose_four_keys(spec: ArpeggioSpec, instrument: Instrument) -> Passage:
    """One diminished seventh played four times over the same frets, each time spelled in the key it then resolves to.

    Signs are written out, without key signature. Raises OutOfRange when the neck is too short.
    """
    tonic = spec.tonics[0]
    span = register(tonic.name, tonic.octave, spec.octaves, instrument, spec.left_hand.limits())
    lowest, highest = span.lowest.sounding_midi, span.highest
    style = rhythm(spec.rhythm)
    metre = style.metre or spec.metre
    notes: list[Note] = []
    start = Fraction(0)
    for key in four_keys(tonic.name):
        seventh = chord("diminished seventh", PitchName(key.tonic.fifths + 5))
        up = seventh.pitches(lowest, highest)
        pitches = _within_bars(directed(up, up[::-1], spec.direction)[0], spec, metre)
        line = _held_to_the_bar(_timed(pitches, spec, start), metre.bar_quarters)
        end = line[-1].onset_quarters + line[-1].duration_quarters
        fixed = spec.left_hand == LeftHandSpec()
        notes += _on_low_frets(line, instrument) if fixed else line
        notes += _struck(resolving_chord(pitches, key, instrument), end, metre.bar_quarters, fixed)
        start = end + metre.bar_quarters
    tempo = spec.tempo.tempo(metre) if spec.tempo else None
    return Passage(tuple(notes), 0, metre, tempo, None, spec.repeat)


def chain_roots(start: PitchName, quality: str, rising: bool, count: int) -> tuple[PitchName, ...]:
    """The roots of a chain of fifths; a chord whose key has more signs than its enharmonic twin's takes the other name.

    >>> " ".join(map(str, chain_roots(PitchName.parse("C"), "major", False, 9)))
    'C F Bb Eb Ab Db Gb B E'
    """
    roots = [start]
    while len(roots) < count:
        following = PitchName(roots[-1].fifths + (1 if rising else -1))
        signs = chord(quality, PitchName(0)).key_fifths + following.fifths
        twin = -_AROUND if signs > 0 else _AROUND
        roots.append(PitchName(following.fifths + (twin if abs(signs + twin) < abs(signs) else 0)))
    return tuple(roots)


def compose_chain(spec: ArpeggioSpec, instrument: Instrument) -> Passage:
    """Arpeggios a bar each through the circle of fifths, then the last root held; signs are written out.

    Raises SpecError when the rhythm does not fill the bar, OutOfRange when the neck is too short.
    """
    style = rhythm(spec.rhythm)
    metre = style.metre or spec.metre
    steps = _notes_in_bar(spec, metre)
    roots = chain_roots(spec.tonics[0].name, spec.chord, spec.chain == "rising fifths", spec.chain_chords)
    pitches: list[SpelledPitch] = []
    for root in roots:
        pitches += _bar_of(chord(spec.chord, root), steps, spec, instrument)
    bass = pitch_at_or_above(roots[-1], instrument.lowest)
    end = spec.chain_chords * metre.bar_quarters
    notes = (*_timed(pitches, spec, Fraction(0)), Note(bass, end, metre.bar_quarters))
    tempo = spec.tempo.tempo(metre) if spec.tempo else None
    return Passage(notes, 0, metre, tempo, None, spec.repeat)


def _bar_of(sounding: Chord, steps: int, spec: ArpeggioSpec, instrument: Instrument) -> list[SpelledPitch]:
    """A bar of one chord: up and back so far that the bar is full, as near to the octaves asked for as can be."""
    root = pitch_at_or_above(sounding.root, instrument.lowest)
    reach = len(sounding.intervals) * spec.octaves
    there_and_back = spec.direction in ("up and down", "down and up")
    extra = 0 if there_and_back else 1
    loops = [size for size in range(2, steps + 1) if steps % size == 0 and (size % 2 == 0 or not there_and_back)]
    peak = {size: size // 2 if there_and_back else size - extra for size in loops}
    size = min(loops, key=lambda loop: (abs(peak[loop] - reach), -loop))
    up = _ladder(sounding, root, peak[size] + 1)
    if up[-1].sounding_midi > instrument.highest:
        raise OutOfRange(f"the chain reaches {up[-1]}, past the last fret", hint="write fewer octaves")
    loop = list(directed(up, up[::-1], spec.direction)[0])
    return (loop[:-1] if there_and_back else loop) * (steps // size)


def _ladder(sounding: Chord, root: SpelledPitch, count: int) -> list[SpelledPitch]:
    """So many notes of a chord upwards from its root."""
    out: list[SpelledPitch] = []
    while len(out) < count:
        out += [root.up(step) for step in sounding.intervals]
        root = root.up(OCTAVE)
    return out[:count]


def _notes_in_bar(spec: ArpeggioSpec, metre: Metre) -> int:
    """How many notes of the rhythm fill a bar. Raises SpecError when none do, or an odd number for a way and back."""
    most = 64
    ends = {onset + length: n for n, (onset, length) in enumerate(rhythm(spec.rhythm).onsets_and_durations(most), 1)}
    count = ends.get(metre.bar_quarters, 0)
    needs_even = spec.direction in ("up and down", "down and up")
    if count < 2 or (needs_even and count % 2):
        raise SpecError(
            f"{spec.rhythm} do not fill a bar of {metre} with an arpeggio {spec.direction}",
            hint="choose quavers in 4/4, or another rhythm with an even number of notes to a bar",
        )
    return count


def _within_bars(pitches: Sequence[SpelledPitch], spec: ArpeggioSpec, metre: Metre) -> Sequence[SpelledPitch]:
    """The line without the note that would begin a bar of its own, so that the resolution takes that downbeat."""
    last = rhythm(spec.rhythm).onsets_and_durations(len(pitches))[-1][0]
    alone = last % metre.bar_quarters == 0 and len(pitches) > 1
    return pitches[:-1] if alone else pitches


def _timed(pitches: Sequence[SpelledPitch], spec: ArpeggioSpec, start: Fraction) -> tuple[Note, ...]:
    style = rhythm(spec.rhythm)
    times = style.onsets_and_durations(len(pitches))
    return tuple(
        Note(pitch, start + onset, length, accent=style.accented(index))
        for index, (pitch, (onset, length)) in enumerate(zip(pitches, times, strict=True))
    )


def _held_to_the_bar(notes: tuple[Note, ...], bar: Fraction) -> tuple[Note, ...]:
    """The notes with the last one (or the last chord) held to the end of its bar."""
    last = notes[-1]
    return (*notes[:-1], replace(last, duration_quarters=bar - last.onset_quarters % bar))


def _struck(chord_held: Voicing, onset: Fraction, length: Fraction, fixed: bool = False) -> tuple[Note, ...]:
    """The chord struck whole, by the thumb and i m a; with `fixed` on the strings of its own grip."""
    strings = [spot.string if fixed else None for spot in chord_held.grip]
    return tuple(
        Note(pitch, onset, length, string=string, plucking=finger)
        for pitch, string, finger in zip(chord_held.pitches, strings, STRUCK, strict=False)
    )


def _on_low_frets(notes: Sequence[Note], instrument: Instrument) -> tuple[Note, ...]:
    """The notes each at its lowest fret, so that the same sounds are played alike every time."""
    return tuple(replace(note, string=spots(instrument, note.pitch.sounding_midi)[0].string) for note in notes)
