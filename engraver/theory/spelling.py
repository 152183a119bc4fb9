"""Naming notes: by their context, in a known key, and the reasons for a change.

`respell` takes onset, duration and MIDI number of a whole piece, with or without its key signature; `spell_line`
takes one unaccompanied line in a known key; `spelling_reasons` compares given names with those of `respell`.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from fractions import Fraction
from functools import cache

from engraver.errors import SpellingError
from engraver.theory.pitch import PitchName, SpelledPitch
from engraver.theory.spelling_weights import spelling_weights

_MIDI_NUMBERS = range(128)
_SIGNATURES = range(-7, 8)


def respell(
    notes: Sequence[tuple[float | Fraction, float | Fraction, int]], key_fifths: int | Sequence[int] | None = None
) -> tuple[SpelledPitch, ...]:
    """The spelling of every note by its context, in the order given.

    A note is (onset in quarters, duration in quarters, MIDI number with 60 = C4); the order is free, grace notes
    have duration 0, onsets before the start are negative. `key_fifths` is the key signature where it is known
    (-7 = seven flats … 7 = seven sharps), one for all notes or, where it changes, one for each. Raises SpellingError
    for a number outside these ranges.

    >>> [str(pitch) for pitch in respell([(0, 1, 64), (1, 1, 63), (2, 1, 64), (0, 3, 55), (0, 3, 48)])]
    ['E4', 'D#4', 'E4', 'G3', 'C3']

    Source: local keys on the line of fifths and voice leading, as told in theory/local_keys.py and voice_leading.py.
    """
    _check_signature(key_fifths, len(notes))
    if not notes:
        return ()
    from engraver.theory.context import spell_by_context

    names = spell_by_context(notes, key_fifths).names.tolist()
    return tuple(_pitch(note[2], name) for note, name in zip(notes, names, strict=True))


def spell_line(midi_numbers: Sequence[int], key_fifths: int, is_minor: bool = False) -> tuple[SpelledPitch, ...]:
    """The spelling of an unaccompanied line in a known key: names of the key, chromatic notes by voice leading.

    A chromatic note that rises by a semitone next is the raised one, one that falls by a semitone the lowered one;
    failing both, the note before decides likewise, and then the name most usual in the key. Minor keys count
    their raised sixth and seventh degrees as their own. Raises SpellingError as `respell` does.

    >>> [str(pitch) for pitch in spell_line([60, 61, 62, 61, 60], key_fifths=0)]
    ['C4', 'C#4', 'D4', 'Db4', 'C4']

    Source: common practice (raised notes rise, lowered notes fall); usual names from tables/spelling.yaml.
    """
    _check_signature(key_fifths, len(midi_numbers))
    for midi in midi_numbers:
        if midi not in _MIDI_NUMBERS:
            raise SpellingError(f"{midi} is not a MIDI note number", hint="give numbers from 0 to 127 (60 = C4)")
    later = _steps_to_another(midi_numbers[::-1])[::-1]
    earlier = _steps_to_another(midi_numbers)
    steps = zip(midi_numbers, later, earlier, strict=True)
    return tuple(_pitch(midi, _line_name(midi, after, before, key_fifths, is_minor)) for midi, after, before in steps)


@dataclass(frozen=True, slots=True)
class Respelling:
    """A note whose given name differs from the name by context: its index, both names, and why."""

    index: int
    given: SpelledPitch
    spelled: SpelledPitch
    reason: str

    def __str__(self) -> str:
        return f"{self.spelled}, not {self.given}: {self.reason}"


def spelling_reasons(
    notes: Sequence[tuple[float | Fraction, float | Fraction, int]],
    given: Sequence[SpelledPitch],
    key_fifths: int | Sequence[int] | None = None,
) -> tuple[Respelling, ...]:
    """Every note that `respell` names otherwise than `given` does, with a reason in the trade's words.

    `given` has a spelling for each note, in the same order. Raises SpellingError as `respell` does, and when
    the two do not have the same number of entries.
    """
    if len(given) != len(notes):
        raise SpellingError(f"{len(given)} spellings were given for {len(notes)} notes")
    _check_signature(key_fifths, len(notes))
    if not notes:
        return ()
    from engraver.theory.context import spell_by_context
    from engraver.theory.reasons import reasons_for

    spelled = spell_by_context(notes, key_fifths)
    pitches = [_pitch(note[2], name) for note, name in zip(notes, spelled.names.tolist(), strict=True)]
    changed = [index for index, pitch in enumerate(pitches) if pitch.name != given[index].name]
    reasons = reasons_for(notes, spelled, changed)
    return tuple(Respelling(i, given[i], pitches[i], why) for i, why in zip(changed, reasons, strict=True))


def _check_signature(key_fifths: int | Sequence[int] | None, count: int) -> None:
    given = (key_fifths,) if isinstance(key_fifths, int) else key_fifths or ()
    if wrong := set(given) - set(_SIGNATURES):
        raise SpellingError(f"{min(wrong)} is not a key signature", hint="give -7 (seven flats) to 7 (seven sharps)")
    if not isinstance(key_fifths, int | None) and len(given) != count:
        raise SpellingError(f"{len(given)} key signatures were given for {count} notes")


@cache
def _pitch(midi: int, name_fifths: int) -> SpelledPitch:
    """The pitch with this name that sounds as the MIDI number says: 60 named B sharp is B sharp 3."""
    name = PitchName(name_fifths)
    return SpelledPitch(name, (midi - name.alter) // 12 - 1)


def _steps_to_another(midi_numbers: Sequence[int]) -> list[int | None]:
    """For each note of a line the semitones to the last different note before it, None where there is none."""
    steps: list[int | None] = []
    other: int | None = None
    for index, midi in enumerate(midi_numbers):
        if index and midi_numbers[index - 1] != midi:
            other = midi_numbers[index - 1]
        steps.append(None if other is None else other - midi)
    return steps


def _line_name(midi: int, after: int | None, before: int | None, key_fifths: int, is_minor: bool) -> int:
    """The name (as fifths) of a note in a line; `after` and `before` are semitones to its neighbours."""
    weights = spelling_weights()
    span = weights.line.minor if is_minor else weights.line.major
    relative = [name for name in range(span.flattest, span.sharpest + 1) if (name + key_fifths) * 7 % 12 == midi % 12]
    if after in (1, -1):
        chosen = max(relative) if after == 1 else min(relative)
    elif before in (1, -1):
        chosen = max(relative) if before == -1 else min(relative)
    else:
        profile = weights.profiles.minor if is_minor else weights.profiles.major
        chosen = max(relative, key=lambda name: profile[name - weights.profiles.first])
    return chosen + key_fifths
