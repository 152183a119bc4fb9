"""Cadences: a progression of Roman numerals voiced for the guitar, in block chords or broken by a plucking formula.

The closing chord falls on a downbeat and fills its bar; where the chords before it do not fill their bars, the first
one lasts longer. Source: common practice; the layout is chosen by us.
"""

from collections.abc import Iterator
from dataclasses import dataclass
from fractions import Fraction

from engraver.errors import SpecError
from engraver.exercises.voicing import Voicing, voice_progression
from engraver.fretboard.tuning import Instrument
from engraver.spec.cadences import CadenceSpec
from engraver.spec.hands import LeftHandSpec
from engraver.theory.harmony import RomanChord, harmony_table, progression_chords
from engraver.theory.key import Key
from engraver.theory.passage import Note, Passage, PluckingFinger
from engraver.theory.rhythm import rhythm

BASS_VOICE, UPPER_VOICE = 2, 1
_FINGERS = (PluckingFinger.INDEX, PluckingFinger.MIDDLE, PluckingFinger.RING)
STRUCK = (PluckingFinger.THUMB, *_FINGERS)
"""The fingers that strike a chord, from the bass up."""
_Formula = tuple[tuple[PluckingFinger, ...], ...]


@dataclass(frozen=True, slots=True)
class _Slot:
    """Where a chord sounds, in quarter notes."""

    onset: Fraction
    length: Fraction


def cadence_key(spec: CadenceSpec) -> Key:
    """The key of a cadence. Raises SpellingError when it has no printable signature."""
    key = Key(spec.tonics[0].name, minor=spec.mode == "minor")
    key.check()
    return key


def cadence_chords(spec: CadenceSpec) -> tuple[RomanChord, ...]:
    """The chords of a cadence, spelled in its key. Raises SpellingError for a key without signature."""
    return progression_chords(spec.progression, cadence_key(spec), spec.sixth)


def compose_cadence(spec: CadenceSpec, instrument: Instrument) -> Passage:
    """The cadence: the bass in voice 2, the upper voices in voice 1; broken chords stay under the hand.

    Raises SpellingError for a key without signature, Unplayable where no voicing keeps the rules, SpecError when the
    formula does not fill a chord's time.
    """
    chords = cadence_chords(spec)
    row = voice_progression(chords, spec.parts, instrument)
    slots = _slots(spec, len(row))
    notes: list[Note] = []
    if spec.manner == "block":
        for voicing, slot in zip(row, slots, strict=True):
            notes += _struck(voicing, slot, spec)
    else:
        for voicing, slot in zip(row, slots, strict=True):
            notes += _broken(voicing, slot, spec)
        bar = spec.metre.bar_quarters
        if spec.closing_chord:
            notes += _struck(row[-1], _Slot(slots[-1].onset + slots[-1].length, bar), spec)
    ordered = sorted(notes, key=lambda note: (note.onset_quarters, note.pitch.sounding_midi))
    tempo = spec.tempo.tempo(spec.metre) if spec.tempo else None
    return Passage(tuple(ordered), chords[0].key.signature_fifths, spec.metre, tempo, None, spec.repeat)


def _slots(spec: CadenceSpec, count: int) -> tuple[_Slot, ...]:
    """The time of each chord: so many to a bar, the last on a downbeat."""
    bar = spec.metre.bar_quarters
    each = bar / chords_a_bar(spec)
    before_last = count - 1
    first = each + (-before_last * each) % bar
    onsets = [Fraction(0), *(first + index * each for index in range(before_last))]
    ends = [*onsets[1:], onsets[-1] + bar]
    return tuple(_Slot(onset, end - onset) for onset, end in zip(onsets, ends, strict=True))


def chords_a_bar(spec: CadenceSpec) -> int:
    """How many chords fill a bar: as the book says, else two block chords where the bar has halves, one when broken."""
    if spec.chords_a_bar is not None:
        return spec.chords_a_bar
    return 2 if spec.manner == "block" and spec.metre.beats % 4 == 0 else 1


def _struck(voicing: Voicing, slot: _Slot, spec: CadenceSpec) -> Iterator[Note]:
    """The whole chord at once: thumb on the bass, i m a on the voices above."""
    for voice, pitch in enumerate(voicing.pitches):
        written = UPPER_VOICE if voice else BASS_VOICE
        yield Note(pitch, slot.onset, slot.length, written, _string(voicing, voice, spec), STRUCK[voice])


def _string(voicing: Voicing, voice: int, spec: CadenceSpec) -> int | None:
    """The string of the voicing's own grip; left open where the book speaks for the fretting hand."""
    return voicing.grip[voice].string if spec.left_hand == LeftHandSpec() else None


def _broken(voicing: Voicing, slot: _Slot, spec: CadenceSpec) -> Iterator[Note]:
    """The formula over one chord. Basses last until the thumb plays again, fingers hold until their note returns."""
    times = _times_within(slot.length, spec)
    strokes = [
        (onset, length, finger, _voice_of(finger, voicing))
        for (onset, length), fingers in zip(times, _formula(spec, len(times)), strict=True)
        for finger in fingers
    ]
    for onset, length, finger, voice in strokes:
        again = next((at for at, _, _, other in strokes if at > onset and other == voice), slot.length)
        yield Note(
            voicing.pitches[voice],
            slot.onset + onset,
            length if voice else again - onset,
            UPPER_VOICE if voice else BASS_VOICE,
            _string(voicing, voice, spec),
            finger,
            held_quarters=again - onset,
        )


def _times_within(length: Fraction, spec: CadenceSpec) -> tuple[tuple[Fraction, Fraction], ...]:
    """Onset and length of each stroke of a chord. Raises SpecError when the rhythm does not fill it."""
    style = rhythm(spec.rhythm)
    most = int(length / min(style.cycle_quarters))
    for count in range(1, most + 1):
        times = style.onsets_and_durations(count)
        if sum(times[-1]) == length:
            return times
    raise SpecError(
        f"{spec.rhythm} do not fill a chord of {length} crotchets", hint="choose another rhythm, metre or chords_a_bar"
    )


def _voice_of(finger: PluckingFinger, voicing: Voicing) -> int:
    """The voice that a finger plucks: the thumb the bass, i m a the upper voices from below."""
    if finger is PluckingFinger.THUMB:
        return 0
    place = _FINGERS.index(finger) if finger in _FINGERS else len(_FINGERS)
    return min(place + 1, len(voicing.pitches) - 1)


def _formula(spec: CadenceSpec, steps: int) -> _Formula:
    """The strokes of one chord: the book's formula, else the first of the table that fills the time, repeated."""
    own = spec.right_hand.formula
    usual = (_parsed(text) for text in harmony_table().formulas[spec.parts])
    for formula in (own,) if own else usual:
        if steps % len(formula) == 0:
            return formula * (steps // len(formula))
    wanted = f"a multiple of {len(own)} notes" if own else "four or six notes"
    raise SpecError(
        f"no plucking pattern fills a chord of {steps} notes",
        hint=f"choose a metre or a rhythm with {wanted} to a chord",
    )


def _parsed(text: str) -> _Formula:
    return tuple((PluckingFinger(letter),) for letter in text.split())
