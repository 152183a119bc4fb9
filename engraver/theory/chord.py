"""Chords: spelled by stacked thirds, and the diminished seventh also as players prefer to read it."""

import re
from dataclasses import dataclass
from functools import cache
from itertools import product

from pydantic import BaseModel, ConfigDict

from engraver.errors import SpellingError
from engraver.tables import Table, read_table
from engraver.theory.degrees import degree_intervals
from engraver.theory.key import MOST_SIGNS, Key
from engraver.theory.pitch import OCTAVE, Interval, Midi, PitchName, SpelledPitch, pitch_at_or_above


class ChordRow(BaseModel):
    """One row of the chord table."""

    model_config = ConfigDict(extra="forbid", frozen=True, defer_build=True)

    degrees: str
    signature: int
    suffixes: tuple[str, ...]


class ChordTable(Table):
    """The chord table."""

    chords: dict[str, ChordRow]


@cache
def chord_names() -> tuple[str, ...]:
    """The names of all chord qualities, in the table's order."""
    return tuple(read_table("chords", ChordTable).chords)


@dataclass(frozen=True, slots=True)
class Chord:
    """A chord: its root, its quality, the intervals of its notes above the root, the signature it stands in."""

    root: PitchName
    quality: str
    intervals: tuple[Interval, ...]
    key_fifths: int

    @property
    def names(self) -> tuple[PitchName, ...]:
        """The note names from the root up."""
        return tuple(PitchName(self.root.fifths + step.fifths) for step in self.intervals)

    def name_of(self, midi: Midi) -> PitchName:
        """The chord's name for a sounding pitch. Raises SpellingError when the chord lacks it."""
        for name in self.names:
            if name.pitch_class == midi % 12:
                return name
        raise SpellingError(f"the note {midi} does not belong to {self.root.words} {self.quality}")

    def pitches(self, lowest: Midi, highest: Midi) -> tuple[SpelledPitch, ...]:
        """Every note of the chord from `lowest` to `highest`, upwards."""
        root = pitch_at_or_above(self.root, Midi(lowest - 24))
        found: list[SpelledPitch] = []
        while root.sounding_midi <= highest:
            found += [root.up(step) for step in self.intervals]
            root = root.up(OCTAVE)
        return tuple(pitch for pitch in found if lowest <= pitch.sounding_midi <= highest)


def chord(quality: str, root: PitchName, practical: bool = False, key: Key | None = None) -> Chord:
    """The chord on a root in stacked thirds; a diminished seventh can be had in its practical spelling.

    `practical` keeps the root and avoids double signs, C flat, F flat, E sharp and B sharp: C E flat G flat A for
    the strict C E flat G flat B double flat. `key` gives the signature of a named key instead of the chord's own.
    Source: stacked thirds, common-practice theory; the practical spelling is a habit of guitar prints (from memory).

    >>> " ".join(map(str, chord("diminished seventh", PitchName.parse("C"), practical=True).names))
    'C Eb Gb A'
    """
    row = read_table("chords", ChordTable).chords[quality]
    intervals = degree_intervals(row.degrees)
    fifths = key.signature_fifths if key else root.fifths + row.signature
    if practical and quality == "diminished seventh":
        intervals = _practical(root, intervals)
    if abs(fifths) > MOST_SIGNS:
        fifths = 0
    return Chord(root, quality, intervals, fifths)


def chord_in_key(quality: str, key: Key) -> Chord:
    """The dominant or leading-note chord of this quality in a key, under the key's own signature.

    A dominant seventh stands on the fifth degree, a diminished or half-diminished chord on the raised leading note
    (B D F A flat in C minor), any other chord on the tonic. Source: common-practice harmony.
    """
    offset = {"dominant seventh": 1, "diminished seventh": 5, "half-diminished seventh": 5, "diminished": 5}
    return chord(quality, PitchName(key.tonic.fifths + offset.get(quality, 0)), key=key)


def _practical(root: PitchName, intervals: tuple[Interval, ...]) -> tuple[Interval, ...]:
    """Respell the notes above the root: no double signs nor C flat, F flat, E sharp, B sharp; fewest departures."""
    choices = [(step, Interval(step.letter_steps - 1, step.semitones)) for step in intervals[1:]]
    awkward = {PitchName.parse(text) for text in ("Cb", "Fb", "E#", "B#")}

    def weight(form: tuple[Interval, ...]) -> tuple[int, int, int]:
        names = [PitchName(root.fifths + step.fifths) for step in form]
        bad = sum(abs(name.alter) > 1 or name in awkward for name in names)
        departures = sum(step not in intervals for step in form)
        return bad, departures, sum(abs(name.alter) for name in names)

    up_a_letter = [(*pair, Interval(pair[0].letter_steps + 1, pair[0].semitones)) for pair in choices]
    return (intervals[0], *min(product(*up_a_letter), key=weight))


@cache
def _suffixes() -> dict[str, str]:
    rows = read_table("chords", ChordTable).chords
    return {suffix: quality for quality, row in rows.items() for suffix in row.suffixes}


def parse_chord(text: str) -> tuple[PitchName, str]:
    """The root and quality of a chord symbol: `G7`, `Am`, `B flat`, `F#dim7`. Raises SpellingError."""
    found = re.match(r"^([A-G](?:#|b|♯|♭| sharp| flat)?)\s*(.*)$", text.strip())
    if not found or (found.group(2) not in _suffixes() and found.group(2) not in chord_names()):
        known = ", ".join(f"C{suffix}" for suffix in _suffixes())
        hint = f"write chords by their root and kind, [Am, E7], with any root for C in: {known}"
        raise SpellingError(f"'{text}' is not a chord symbol we know", hint=hint)
    quality = found.group(2)
    return PitchName.parse(found.group(1)), _suffixes().get(quality, quality)


def chord_symbol(text: str) -> str:
    """A chord symbol as printed: `B flat` gives B♭, `F#dim7` F♯dim7. Raises SpellingError.

    The first suffix of the table is printed. Source: common practice of chord symbols, no source.
    """
    root, quality = parse_chord(text)
    sign = {-2: "♭♭", -1: "♭", 0: "", 1: "♯", 2: "♯♯"}[root.alter]
    return f"{root.letter}{sign}{read_table('chords', ChordTable).chords[quality].suffixes[0]}"
