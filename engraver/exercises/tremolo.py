"""Tremolo: the thumb walks the basses of a grip while the fingers repeat one treble string, a chord a bar."""

from dataclasses import dataclass
from fractions import Fraction

from engraver.errors import SpecError
from engraver.exercises.grips import Grip, grip
from engraver.exercises.right_hand import strokes_hint
from engraver.fretboard.tuning import Instrument
from engraver.spec.drills import TremoloSpec
from engraver.theory.chord import parse_chord
from engraver.theory.key import Key
from engraver.theory.passage import Note, Passage, PluckingFinger
from engraver.theory.rhythm import rhythm

TREBLE_VOICE, BASS_VOICE = 1, 2
_WALK = (0, 1, 2, 1)  # the basses of a grip from the lowest up and back; chosen by us


@dataclass(frozen=True, slots=True)
class _Stroke:
    """A plucked string: its onset in the bar, how long it is written, its finger."""

    onset: Fraction
    length: Fraction
    string: int
    finger: PluckingFinger

    @property
    def voice(self) -> int:
        return BASS_VOICE if self.finger is PluckingFinger.THUMB else TREBLE_VOICE


def compose_tremolo(spec: TremoloSpec, instrument: Instrument) -> Passage:
    """The formula repeated over each chord, then the last chord struck whole when asked; grips hold for their bar.

    Thumb notes last until the thumb plays again. Raises SpecError when the formula does not fill the bar or the grip
    has no bass under the treble string, SpellingError for a key without signature, Unplayable for an unknown grip.
    """
    bar = spec.metre.bar_quarters
    notes: list[Note] = []
    for number, symbol in enumerate(spec.progression):
        held = grip(symbol, instrument)
        notes += _bar(_strokes(spec, held), held, number * bar, bar)
    if spec.closing_chord:
        notes += _closing(grip(spec.progression[-1], instrument), len(spec.progression) * bar, bar)
    notes.sort(key=lambda note: (note.onset_quarters, note.pitch.sounding_midi))
    tempo = spec.tempo.tempo(spec.metre) if spec.tempo else None
    symbols = (*spec.progression, *spec.progression[-1:]) if spec.closing_chord else spec.progression
    grips = tuple(grip(symbol, instrument).notes for symbol in symbols)
    return Passage(tuple(notes), _key(spec).signature_fifths, spec.metre, tempo, None, spec.repeat, grips=grips)


def _key(spec: TremoloSpec) -> Key:
    """The key named by the book, else that of the first chord."""
    root, quality = parse_chord(spec.progression[0])
    key = spec.key or Key(root, minor=quality.startswith(("minor", "diminished", "half")))
    key.check()
    return key


def _strokes(spec: TremoloSpec, held: Grip) -> list[_Stroke]:
    """The strokes of one bar."""
    step, bar = _step(spec), spec.metre.bar_quarters
    rounds, count = bar / (step * len(spec.formula)), len(spec.formula)
    if rounds.denominator != 1:
        raise SpecError(
            f"the formula has {count} strokes, a bar of {spec.metre} holds {float(bar / step):g} {spec.rhythm}",
            hint=strokes_hint(count),
        )
    treble, basses = _treble(spec, held), _basses(spec, held)
    steps = [fingers for _ in range(int(rounds)) for fingers in spec.formula]
    thumbs = [number for number, fingers in enumerate(steps) if PluckingFinger.THUMB in fingers]
    ends = dict(zip(thumbs, [*thumbs[1:], len(steps)], strict=True))
    strokes = []
    for number, fingers in enumerate(steps):
        for finger in fingers:
            if finger is PluckingFinger.THUMB:
                string = basses[thumbs.index(number) % len(basses)]
                strokes.append(_Stroke(number * step, (ends[number] - number) * step, string, finger))
            else:
                strokes.append(_Stroke(number * step, step, treble, finger))
    return strokes


def _step(spec: TremoloSpec) -> Fraction:
    """The length of one stroke; a tremolo is even."""
    lengths = rhythm(spec.rhythm).cycle_quarters
    if len(set(lengths)) > 1:
        raise SpecError(f"a tremolo {spec.rhythm} would be uneven", hint="write rhythm: semiquavers")
    return lengths[0]


def _treble(spec: TremoloSpec, held: Grip) -> int:
    """The string of the fingers: the one asked for, else the nearest lower one that the grip sounds."""
    return min((string for string in held.strings if string >= spec.string), default=held.strings[-1])


def _basses(spec: TremoloSpec, held: Grip) -> tuple[int, ...]:
    """The strings that the thumb walks, in turn: those of the entry that the grip sounds, else from the bass up."""
    treble = _treble(spec, held)
    below = [string for string in held.strings if string > treble]
    own = tuple(string for string in spec.thumb_strings if string in below)
    if not below:
        raise SpecError(
            f"the chord {held.symbol} has no bass below string {treble}", hint="let the fingers play string 1 or 2"
        )
    return own or tuple(below[step] for step in _WALK if step < len(below))


def _bar(strokes: list[_Stroke], held: Grip, start: Fraction, bar: Fraction) -> list[Note]:
    """The notes of a bar; every finger of the grip stays down until its string is plucked again."""
    notes = []
    for number, stroke in enumerate(strokes):
        again = next((other.onset for other in strokes[number + 1 :] if other.string == stroke.string), bar)
        notes.append(
            Note(
                held.pitch_on(stroke.string),
                start + stroke.onset,
                stroke.length,
                stroke.voice,
                stroke.string,
                stroke.finger,
                held_quarters=again - stroke.onset,
            )
        )
    return notes


def _closing(held: Grip, start: Fraction, bar: Fraction) -> list[Note]:
    """The last chord struck whole: the bass with the thumb, the highest strings with i m a."""
    fingers = (PluckingFinger.INDEX, PluckingFinger.MIDDLE, PluckingFinger.RING)
    upper = held.notes[1:][-len(fingers) :]
    bass_string, bass = held.notes[0]
    notes = [Note(bass, start, bar, BASS_VOICE, bass_string, PluckingFinger.THUMB)]
    for (string, pitch), finger in zip(upper, fingers[-len(upper) :], strict=True):
        notes.append(Note(pitch, start, bar, TREBLE_VOICE, string, finger))
    return notes
