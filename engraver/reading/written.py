"""Music written in words: `E4 q, F#4 e G4, B3+E4 h.` - a pitch or chord, then its value.

Values: w h q e s t for whole, half, quarter, eighth, sixteenth and thirty-second notes, with dots, and 3 for a triplet
(`e3`); a value holds until the next. `r` is a rest, `+` joins a chord, `~` after a pitch or chord ties it to the next,
`|` says where a bar line must fall, `!mf` after a note is a sign of loudness, `!<` or `!>` the beginning of a hairpin,
which ends at the next sign or at `!.`. Commas are only for the eye. The notation is ours.
"""

import re
from dataclasses import dataclass, replace
from fractions import Fraction

from engraver.errors import SpellingError
from engraver.theory.passage import Dynamic
from engraver.theory.pitch import SpelledPitch
from engraver.theory.rhythm import Metre

_VALUE = re.compile(r"^([whqest])(\.{0,2})(3?)$")
_QUARTERS = {
    "w": Fraction(4),
    "h": Fraction(2),
    "q": Fraction(1),
    "e": Fraction(1, 2),
    "s": Fraction(1, 4),
    "t": Fraction(1, 8),
}
_LOUDNESS = "!"
_HAIRPINS = {"<": True, ">": False, ".": None}
_HINT = "write pitch and value: 'E4 q, F#4 e G4, r q | B3+E4 h.'"


@dataclass(frozen=True, slots=True)
class WrittenNote:
    """A note or chord (or, without pitches, a rest) with its time in quarter notes, ties joined."""

    pitches: tuple[SpelledPitch, ...]
    onset_quarters: Fraction
    duration_quarters: Fraction
    dynamic: Dynamic | None = None
    hairpin: str = ""

    @property
    def grows(self) -> bool | None:
        """True where a hairpin opens, False where one closes, None where one ends or there is none."""
        return _HAIRPINS.get(self.hairpin)


def parse_written(text: str, metre: Metre) -> tuple[WrittenNote, ...]:
    """The notes of a text. Raises SpellingError, naming the bar, for what cannot be read or a misplaced bar line."""
    reader = _Writing(metre)
    for word in text.replace(",", " ").replace("|", " | ").split():
        reader.take(word)
    return reader.finish()


class _Writing:
    """What has been read so far; a pitch waits for its value."""

    def __init__(self, metre: Metre) -> None:
        self.metre = metre
        self.value = Fraction(1)
        self.notes: list[WrittenNote] = []
        self.now = Fraction(0)
        self.waiting: tuple[SpelledPitch, ...] | None = None
        self.tied = self.ties_on = False

    def take(self, word: str) -> None:
        """One word: a bar line, a value, a rest, a pitch or a chord."""
        if word == "|":
            self._place()
            self._check_bar()
        elif word.startswith(_LOUDNESS):
            self._place()
            self._mark(word.removeprefix(_LOUDNESS))
        elif found := _VALUE.match(word):
            self.value = _QUARTERS[found.group(1)] * (2 - Fraction(1, 2 ** len(found.group(2))))
            self.value *= Fraction(2, 3) if found.group(3) else 1
            if self.waiting is None:
                raise self._error(f"the value '{word}' stands before any note")
            self._place()
        else:
            self._place()
            self.ties_on = word.endswith("~")
            self.waiting = () if word == "r" else tuple(self._pitch(part) for part in word.rstrip("~").split("+"))

    def finish(self) -> tuple[WrittenNote, ...]:
        """All notes."""
        self._place()
        if not any(note.pitches for note in self.notes):
            raise SpellingError("there are no notes", hint=_HINT)
        return tuple(self.notes)

    def _pitch(self, text: str) -> SpelledPitch:
        try:
            return SpelledPitch.parse(text)
        except SpellingError as error:
            raise self._error(f"'{text}' is not a pitch") from error

    def _place(self) -> None:
        """Puts the waiting note into time; a tied one lengthens the note before."""
        if self.waiting is None:
            return
        last = self.notes[-1] if self.notes else None
        if self.tied and last is not None:
            if last.pitches != self.waiting:
                raise self._error("a tie leads to another pitch")
            self.notes[-1] = replace(last, duration_quarters=last.duration_quarters + self.value)
        else:
            self.notes.append(WrittenNote(self.waiting, self.now, self.value))
        self.now += self.value
        self.tied, self.ties_on, self.waiting = self.ties_on, False, None

    def _mark(self, sign: str) -> None:
        """A sign of loudness, or the beginning or end of a hairpin, on the note before it."""
        if not self.notes or not self.notes[-1].pitches:
            raise self._error(f"the sign '{_LOUDNESS}{sign}' stands after no note")
        if sign in _HAIRPINS:
            self.notes[-1] = replace(self.notes[-1], hairpin=sign)
            return
        if sign not in set(Dynamic):
            raise self._error(f"'{sign}' is no sign of loudness ({', '.join((*Dynamic, *_HAIRPINS))})")
        self.notes[-1] = replace(self.notes[-1], dynamic=Dynamic(sign))

    def _check_bar(self) -> None:
        over = self.now % self.metre.bar_quarters
        if over:
            raise self._error(f"the bar line comes after {over} quarter notes, in {self.metre}")

    def _error(self, what: str) -> SpellingError:
        bar = int(self.now // self.metre.bar_quarters) + 1
        return SpellingError(f"bar {bar}: {what}", hint=_HINT)
