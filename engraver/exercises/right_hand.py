"""Right-hand studies: a plucking formula laid over a chord progression, a chord a bar.

Each plucking finger has its home string: the thumb the bass of the grip, i m a the three highest strings that sound
(with the little finger in play, i m a c the four highest). Source: common practice of the nineteenth-century methods.
"""

from collections.abc import Callable
from dataclasses import dataclass
from fractions import Fraction
from functools import partial

from engraver.errors import SpecError
from engraver.exercises.grips import Grip, grip
from engraver.fretboard.tuning import Instrument
from engraver.spec.models import RightHandStudySpec
from engraver.theory.chord import parse_chord
from engraver.theory.key import Key
from engraver.theory.passage import Note, Passage, PluckingFinger
from engraver.theory.rhythm import rhythm

_Formula = tuple[tuple[PluckingFinger, ...], ...]
_UPPER = (PluckingFinger.INDEX, PluckingFinger.MIDDLE, PluckingFinger.RING, PluckingFinger.LITTLE)
THUMB_VOICE, FINGER_VOICE = 2, 1


@dataclass(frozen=True, slots=True)
class _Stroke:
    """One plucked string: its step in the bar, the finger and the string; `inner` as in `_inner_steps`."""

    step: int
    finger: PluckingFinger
    string: int
    inner: bool = False

    @property
    def in_bass(self) -> bool:
        """True for a stroke that is written in the voice of the thumb."""
        return self.finger is PluckingFinger.THUMB and not self.inner


def compose_right_hand(spec: RightHandStudySpec, instrument: Instrument) -> Passage:
    """The formula over each chord of the progression, then the last chord struck whole when asked.

    The fingers of the grip stay down for the bar. Raises SpecError when the formula does not fill the bar,
    SpellingError for a key without signature, Unplayable for a chord without a known grip.
    """
    formula = spec.right_hand.formula
    step = rhythm(spec.rhythm).cycle_quarters[0]
    steps = _steps_in_bar(spec, step, len(formula))
    bar = spec.metre.bar_quarters
    inner = _inner_steps(steps, step, spec.metre.beat_quarters)
    notes: list[Note] = []
    for number, symbol in enumerate(spec.progression):
        held = grip(symbol, instrument)
        strokes = _strokes(formula * (steps // len(formula)), held, spec.strings_of, inner)
        notes += _bar(strokes, held, number * bar, step, bar)
    if spec.closing_chord:
        notes += _closing(grip(spec.progression[-1], instrument), len(spec.progression) * bar, bar)
    ordered = sorted(notes, key=lambda note: (note.onset_quarters, note.pitch.sounding_midi))
    tempo = spec.tempo.tempo(spec.metre) if spec.tempo else None
    symbols = (*spec.progression, *spec.progression[-1:]) if spec.closing_chord else spec.progression
    grips = tuple(grip(symbol, instrument).notes for symbol in symbols)
    return Passage(tuple(ordered), _key(spec).signature_fifths, spec.metre, tempo, None, spec.repeat, grips=grips)


def _steps_in_bar(spec: RightHandStudySpec, step: Fraction, length: int) -> int:
    steps = spec.metre.bar_quarters / step
    if steps.denominator != 1 or steps % length:
        raise SpecError(
            f"the formula has {length} strokes, a bar of {spec.metre} holds {float(steps):g} {spec.rhythm}",
            hint=strokes_hint(length),
        )
    return int(steps)


def strokes_hint(count: int) -> str:
    """What to write for a formula of so many strokes that does not fill the bar."""
    fitting = {3: "triplets", 6: "sextuplets"}.get(count)
    such = f", such as 'rhythm: {fitting}'" if fitting else ""
    return f"choose a metre or a rhythm with a multiple of {count} notes a bar{such}"


def _inner_steps(steps: int, step: Fraction, beat: Fraction) -> frozenset[int]:
    """The steps inside a triplet or sextuplet: a thumb stroke there is written among the fingers' notes.

    The bass goes on below it, so that no bracket is needed for the bass. Source: Carcassi, Op. 59, prelude in B minor,
    is written so.
    """
    if step.denominator % 3:
        return frozenset()
    return frozenset(k for k in range(steps) if (k * step) % beat)


def _key(spec: RightHandStudySpec) -> Key:
    """The key named by the book, else that of the first chord."""
    if spec.key:
        return spec.key
    root, quality = parse_chord(spec.progression[0])
    key = Key(root, minor=quality.startswith(("minor", "diminished", "half")))
    key.check()
    return key


def _home_strings(held: Grip, formula: _Formula, own: dict[PluckingFinger, int]) -> dict[PluckingFinger, int]:
    """The string each finger plucks on this grip; the book's own choice wins."""
    used = {finger for step in formula for finger in step}
    fingers = _UPPER if PluckingFinger.LITTLE in used else _UPPER[:3]
    upper = held.strings[1:][-len(fingers) :]
    homes = dict(zip(fingers[-len(upper) :] if len(upper) < len(fingers) else fingers, upper, strict=False))
    for finger in used - {PluckingFinger.THUMB} - set(homes):
        homes[finger] = upper[0]
    return {**homes, **{finger: string for finger, string in own.items() if string in held.strings}}


def _strokes(
    formula: _Formula, held: Grip, own: dict[PluckingFinger, int], inner: frozenset[int]
) -> tuple[_Stroke, ...]:
    """Every stroke of a bar. Thumb strokes that follow each other walk up the bass strings.

    A thumb stroke inside a triplet stays above the bass that goes on.
    """
    homes = _home_strings(held, formula, own)
    out: list[_Stroke] = []
    for step, place in enumerate(_thumb_places(formula, inner)):
        for finger in formula[step]:
            if finger is PluckingFinger.THUMB:
                string = own.get(finger, held.strings[min(place, len(held.strings) - 2)])
                bass = next((each.string for each in reversed(out) if each.in_bass), string)
                out.append(_Stroke(step, finger, string, inner=step in inner and string != bass))
            else:
                out.append(_Stroke(step, finger, homes[finger]))
    return tuple(out)


def _thumb_places(formula: _Formula, inner: frozenset[int]) -> list[int]:
    """For each step which string of the grip a thumb stroke would take there, counted from the bass up."""
    places: list[int] = []
    last = 0
    for step, fingers in enumerate(formula):
        if PluckingFinger.THUMB in fingers:
            again = step > 0 and PluckingFinger.THUMB in formula[step - 1]
            last = last + 1 if again else max(last, 1) if step in inner else 0
        places.append(last)
    return places


def _bar(strokes: tuple[_Stroke, ...], held: Grip, start: Fraction, step: Fraction, bar: Fraction) -> list[Note]:
    """The notes of a bar. Basses last until the thumb plays again, fingers hold until their string is plucked again."""
    notes = []
    for stroke in strokes:
        onset = stroke.step * step
        length = _next(strokes, stroke.step, bar, step, _in_bass) - onset if stroke.in_bass else step
        again = _next(strokes, stroke.step, bar, step, partial(_on_string, stroke.string))
        notes.append(
            Note(
                held.pitch_on(stroke.string),
                start + onset,
                length,
                voice=THUMB_VOICE if stroke.in_bass else FINGER_VOICE,
                string=stroke.string,
                plucking=stroke.finger,
                held_quarters=again - onset,
            )
        )
    return notes


def _in_bass(stroke: _Stroke) -> bool:
    return stroke.in_bass


def _on_string(string: int, stroke: _Stroke) -> bool:
    return stroke.string == string


def _next(
    strokes: tuple[_Stroke, ...], after: int, bar: Fraction, step: Fraction, wanted: Callable[[_Stroke], bool]
) -> Fraction:
    """Onset in the bar of the next stroke that is `wanted`, or the bar's end."""
    return next((stroke.step * step for stroke in strokes if stroke.step > after and wanted(stroke)), bar)


def _closing(held: Grip, start: Fraction, bar: Fraction) -> list[Note]:
    """The last chord struck whole: the bass with the thumb, the three highest strings with i m a."""
    upper = held.notes[1:][-3:]
    fingers = _UPPER[3 - len(upper) : 3]
    bass_string, bass = held.notes[0]
    notes = [Note(bass, start, bar, THUMB_VOICE, bass_string, PluckingFinger.THUMB)]
    for (string, pitch), finger in zip(upper, fingers, strict=True):
        notes.append(Note(pitch, start, bar, FINGER_VOICE, string, finger))
    return notes
