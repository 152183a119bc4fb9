"""Harmonics: the nodes of a string, what they sound, and where a hand touches them.

A natural harmonic is touched on an open string, an artificial one on a stopped string; both sound a partial of the
string as it lies. Source: the overtone series (tables/harmonics.yaml).
"""

from collections.abc import Iterable
from dataclasses import dataclass
from fractions import Fraction
from functools import cache

from pydantic import BaseModel, ConfigDict

from engraver.errors import OutOfRange
from engraver.fretboard.tuning import Instrument
from engraver.tables.loader import Table, read_table
from engraver.theory.passage import Harmonic, HarmonicKind, Note, PluckingFinger
from engraver.theory.pitch import Interval, SpelledPitch


class _Partial(BaseModel):
    model_config = ConfigDict(extra="forbid", frozen=True)

    letters: int
    semitones: int
    cents: int


class _Node(BaseModel):
    model_config = ConfigDict(extra="forbid", frozen=True)

    frets: int
    letters: int
    partial: int
    share: str
    exact_frets: float
    printed: str


class HarmonicsTable(Table):
    """tables/harmonics.yaml."""

    in_tune_cents: int
    touching_fingers: tuple[int, ...]
    plucking: PluckingFinger
    partials: dict[int, _Partial]
    nodes: tuple[_Node, ...]


@dataclass(frozen=True, slots=True)
class Node:
    """A point of the string that is touched, seen from the nut or from the stopped fret.

    `frets` is the nearest whole number of frets, `exact_frets` the node itself, `printed` the number by custom.
    `touched` leads from the string as it lies to the pitch of that fret, `sounds` to the pitch that is heard, which is
    `cents` higher than equal temperament. `share` is the part of the string before the node.
    """

    partial: int
    frets: int
    exact_frets: float
    printed: str
    share: Fraction
    touched: Interval
    sounds: Interval
    cents: int

    @property
    def in_tune(self) -> bool:
        """True where the partial serves in a scale or a melody of equal temperament."""
        return abs(self.cents) <= _table().in_tune_cents


@cache
def nodes() -> tuple[Node, ...]:
    """The nodes in use, lowest partial first."""
    partials = _table().partials
    return tuple(
        Node(
            row.partial,
            row.frets,
            row.exact_frets,
            row.printed,
            Fraction(row.share),
            Interval(row.letters, row.frets),
            Interval(partials[row.partial].letters, partials[row.partial].semitones),
            partials[row.partial].cents,
        )
        for row in _table().nodes
    )


def node_near(frets: int, partial: int | None = None) -> Node | None:
    """The node nearest to a fret, of the partial if one is named, else the lowest partial; None where there is none."""
    return next((node for node in nodes() if node.frets == frets and partial in (None, node.partial)), None)


def node_of(harmonic: Harmonic) -> Node:
    """The node that a harmonic is touched at. Raises OutOfRange for a point of the string that is no node in use."""
    found = node_near(harmonic.node_frets, harmonic.partial)
    if found is None:
        raise OutOfRange(
            f"no harmonic sounds partial {harmonic.partial} at {harmonic.node_frets} frets",
            hint="touch at one of: " + ", ".join(node.printed for node in nodes()),
        )
    return found


def touching_fingers() -> tuple[int, ...]:
    """The fingers of the fretting hand that touch open strings. Source: custom of the methods, from memory."""
    return _table().touching_fingers


def plucking_harmonic(note: Note) -> PluckingFinger | None:
    """The finger that plucks an artificial harmonic while the index touches it; None for any other note."""
    artificial = note.harmonic is not None and note.harmonic.kind is HarmonicKind.ARTIFICIAL
    return _table().plucking if artificial else None


def string_pitch(pitch: SpelledPitch, harmonic: Harmonic) -> SpelledPitch:
    """The pitch of the string as it lies (open or stopped) under a harmonic that sounds `pitch`."""
    return pitch.up(-node_of(harmonic).sounds)


def touched_pitch(pitch: SpelledPitch, harmonic: Harmonic) -> SpelledPitch:
    """The pitch that the touched fret would give if it were pressed, under a harmonic that sounds `pitch`.

    >>> str(touched_pitch(SpelledPitch.parse("B5"), Harmonic(HarmonicKind.NATURAL, 3, 7)))
    'B4'
    """
    return string_pitch(pitch, harmonic).up(node_of(harmonic).touched)


def harmonic_on(
    lying: SpelledPitch, frets: int, kind: HarmonicKind, partial: int | None = None
) -> tuple[Harmonic, SpelledPitch] | None:
    """The harmonic touched so many frets above the string as it lies, and the pitch it sounds; None for no node."""
    node = node_near(frets, partial)
    return (Harmonic(kind, node.partial, frets), lying.up(node.sounds)) if node else None


def matching_harmonic(
    kind: HarmonicKind,
    lying: SpelledPitch | None = None,
    touched: SpelledPitch | None = None,
    sounding: SpelledPitch | None = None,
) -> tuple[Harmonic, SpelledPitch] | None:
    """The harmonic that two of its three pitches describe, and the pitch it sounds; None where there is none.

    An artificial harmonic of which one pitch is known is touched an octave above the stopped fret.
    """
    known = [pitch for pitch in (lying, touched, sounding) if pitch is not None]
    if kind is HarmonicKind.ARTIFICIAL and len(known) == 1:
        node = nodes()[0]
        return Harmonic(kind, node.partial, node.frets), known[0].up(node.sounds) if lying else known[0]
    for node in nodes() if len(known) > 1 else ():
        base = lying or (touched.up(-node.touched) if touched else None)
        if base is None:
            continue
        agrees = [
            touched is None or base.sounding_midi + node.frets == touched.sounding_midi,
            sounding is None or base.sounding_midi + node.sounds.semitones == sounding.sounding_midi,
        ]
        if all(agrees):
            return Harmonic(kind, node.partial, node.frets), sounding or base.up(node.sounds)
    return None


def natural_places(
    instrument: Instrument, sounding: SpelledPitch, frets: Iterable[int] = ()
) -> tuple[tuple[int, Harmonic], ...]:
    """Every string with the natural harmonic that sounds a pitch on it; at the `frets` alone where any are named."""
    allowed = tuple(frets)
    found = []
    for string, open_midi in enumerate(instrument.tuning.open_midis, start=1):
        for node in nodes():
            within = node.frets in allowed if allowed else node.frets <= instrument.highest_fret
            if within and open_midi + node.sounds.semitones == sounding.sounding_midi:
                found.append((string, Harmonic(HarmonicKind.NATURAL, node.partial, node.frets)))
    return tuple(found)


def string_of(instrument: Instrument, note: Note) -> int | None:
    """The string on which a natural harmonic lies: the note's own, or the first whose open pitch it is a partial of."""
    assert note.harmonic is not None
    lying = string_pitch(note.pitch, note.harmonic).sounding_midi
    strings = [string for string, midi in enumerate(instrument.tuning.open_midis, start=1) if midi == lying]
    return note.string if note.string in strings else next(iter(strings), None)


def _table() -> HarmonicsTable:
    return read_table("harmonics", HarmonicsTable)
