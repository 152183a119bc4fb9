"""The chord that a dominant or leading-note chord resolves to, struck whole under the hand.

Of every note that must move - leading note up to the tonic, seventh of the dominant down to the third, seventh of the
leading-note chord down to the fifth - the struck chord holds the goal in the octave in which the line played the note.
Exception: a goal that would lie below the bass, or out of the hand with it (F2 and A flat 2 on string 6), sounds
an octave higher; the fourth degree under a leading-note seventh gives way first.
Source: common-practice part-writing (from memory); the choice among the voicings is ours.
"""

from collections.abc import Sequence

from engraver.errors import SpellingError, Unplayable
from engraver.exercises.voicing import Voicing, voicings
from engraver.fretboard.tuning import Instrument
from engraver.theory.chord import Chord
from engraver.theory.harmony import degree_name, roman_chord
from engraver.theory.key import MOST_SIGNS, Key
from engraver.theory.pitch import OCTAVE, PitchName, SpelledPitch

_TONIC_ABOVE = {"dominant seventh": -1}
_LEADING_NOTE_BELOW = -5
"""Places on the line of fifths from a leading note to its tonic: B = 5, C = 0."""
_GOALS = (("7", "1"), ("4", "3"), ("6", "5"))
_OTHER_OCTAVE, _OCTAVE_ABOVE = 20.0, 60.0
_LESS_URGENT, _EASE = 0.1, 2.0
_SMALLEST_STEPS = range(-2, 3)


def resolution_key(sounding: Chord, key: Key | None) -> Key:
    """The key a chord resolves to: the book's own, else minor for a diminished seventh and major for the others.

    Raises SpellingError when that key has no printable signature, naming the other spelling.
    """
    if key is not None:
        return key
    own = resolves_to(sounding.root, sounding.quality)
    if abs(own.signature_fifths) > MOST_SIGNS:
        other = PitchName(sounding.root.fifths + (12 if own.signature_fifths < 0 else -12))
        raise SpellingError(
            f"a {sounding.quality} on {sounding.root.words} resolves to {own}, which has no key signature",
            hint=f"write it on {other.words}, which sounds the same",
        )
    return own


def resolves_to(root: PitchName, quality: str) -> Key:
    """The key of which the chord on this root is the dominant or the leading-note chord."""
    away = _TONIC_ABOVE.get(quality, _LEADING_NOTE_BELOW)
    return Key(PitchName(root.fifths + away), minor=quality == "diminished seventh")


def resolving_chord(line: Sequence[SpelledPitch], key: Key, instrument: Instrument) -> Voicing:
    """The tonic chord that resolves a line, with its grip. Raises Unplayable when the neck holds none."""
    tonic = roman_chord("I", key)
    rows = [(v, _distance(v, line, key)) for parts in (4, 3) for v in voicings(tonic, parts, instrument)]
    possible = [(away + _EASE * voicing.effort, voicing) for voicing, away in rows if away is not None]
    if not possible:
        raise Unplayable(
            f"the resolution to {key} does not lie under the hand here", hint="choose fewer octaves or another tonic"
        )
    return min(possible, key=lambda pair: pair[0])[1]


def _distance(voicing: Voicing, line: Sequence[SpelledPitch], key: Key) -> float | None:
    """How far a voicing lies from the end of the line, in semitones; None when it leaves a note unresolved."""
    total = 0.0
    has_sixth = any(_is_degree(pitch, "6", key) for pitch in line)
    for degree, goal in _GOALS:
        goals = [_goal(pitch, degree_name(goal, key)) for pitch in line if _is_degree(pitch, degree, key)]
        if goals:
            missed = _missed(goals, voicing.pitches)
            if missed is None:
                return None
            total += missed * (_LESS_URGENT if degree == "4" and has_sixth else 1.0)
    nearest = min(abs(pitch.sounding_midi - line[-1].sounding_midi) for pitch in voicing.pitches)
    return total + nearest


def _missed(goals: Sequence[SpelledPitch], struck: Sequence[SpelledPitch]) -> float | None:
    """What it costs that a goal is not struck in the octave where the line last asked for it; None if in no octave."""
    if goals[-1] in struck:
        return 0.0
    if any(goal in struck for goal in goals):
        return _OTHER_OCTAVE
    return _OCTAVE_ABOVE if any(goal.up(OCTAVE) in struck for goal in goals) else None


def _is_degree(pitch: SpelledPitch, degree: str, key: Key) -> bool:
    """True for the degree itself; the sixth also as a borrowed flat one (diminished seventh in major)."""
    names = {degree_name(degree, key)} | ({degree_name("b6", key)} if degree == "6" else set())
    return pitch.name in names


def _goal(pitch: SpelledPitch, name: PitchName) -> SpelledPitch:
    """The pitch of this name a step away."""
    octaves = (SpelledPitch(name, pitch.octave + shift) for shift in (-1, 0, 1))
    return next(goal for goal in octaves if goal.sounding_midi - pitch.sounding_midi in _SMALLEST_STEPS)
