"""An independent judge of fingerings: it knows the rules of the neck and the hand, and nothing of the engine.

Every number here is worked out again from the guitar itself, so that a slip in the program cannot hide in its own
check. Rules: every note has a place that sounds it; no string twice at once; a finger on one fret only; no crossed
fingers; every finger pair within its share of the player's reach; the position within a stretch of the finger used.
A harmonic sounds a partial of its string: an open one touched at a node by a finger that may leave at once, or a stopped
one.
"""

from dataclasses import dataclass
from fractions import Fraction
from math import log2

from engraver.fingering.fingered import FingeredNote, FingeredPassage
from engraver.fretboard.tuning import Instrument, Player
from engraver.theory.passage import PluckingFinger

# Shares of the reach of fingers 1-4 that a pair may span, written out again; chosen by us.
PAIR_SHARE = {(1, 2): 0.72, (1, 3): 0.92, (1, 4): 1.0, (2, 3): 0.55, (2, 4): 0.82, (3, 4): 0.55}


@dataclass(frozen=True)
class Fault:
    """What is wrong, and at which note (counted from 0)."""

    note: int
    what: str


def from_nut_mm(instrument: Instrument, fret: int) -> float:
    """Fret distance by repeated division of what is left of the string (17.817 …), not by the closed formula."""
    left = instrument.scale_length_mm
    for _ in range(fret + instrument.capo):
        left /= 2 ** (1 / 12)
    return instrument.scale_length_mm - left


def faults(done: FingeredPassage, instrument: Instrument, player: Player, hold_all: bool = False) -> list[Fault]:
    """Everything a player could not do; empty when all is playable.

    With `hold_all`, notes must also be held for their full written length; without, a note may be let go early.
    """
    found: list[Fault] = []
    if len(done.notes) != len(done.passage.notes):
        return [Fault(0, "some notes have no place")]
    for index, (note, wanted) in enumerate(zip(done.notes, done.passage.notes, strict=True)):
        if note.note != wanted:
            found.append(Fault(index, "the note was changed"))
        found += [Fault(index, what) for what in place_faults(note, instrument)]
    for onset in sorted({n.note.onset_quarters for n in done.notes}):
        together = [
            i
            for i, n in enumerate(done.notes)
            if n.note.onset_quarters == onset or (hold_all and not touched(n) and sounds_on(n, onset))
        ]
        found += grip_faults([(i, done.notes[i]) for i in together], instrument, player)
    return found


def touched(note: FingeredNote) -> bool:
    """True for a natural harmonic: the finger lies on the string and presses nothing."""
    return note.note.harmonic is not None and note.note.harmonic.kind == "natural"


def sounds_on(note: FingeredNote, onset: Fraction) -> bool:
    """True where a note is held at a moment."""
    return note.note.onset_quarters <= onset < note.note.end_quarters


def harmonic_faults(note: FingeredNote, instrument: Instrument) -> list[str]:
    """Faults of a harmonic: the partial must rest where the string is touched, and sound the note within 35 cents."""
    harmonic = note.note.harmonic
    stopped = 0 if touched(note) else note.fret
    frets_up = note.fret if touched(note) else harmonic.node_frets
    rests = [12 * log2(harmonic.partial / (harmonic.partial - k)) for k in range(1, harmonic.partial)]
    out = []
    if min(abs(rest - frets_up) for rest in rests) > 0.5:
        out.append(f"partial {harmonic.partial} has no node at fret {note.fret}")
    lying = instrument.tuning.open_strings[note.string - 1].sounding_midi + stopped
    if abs(lying + 12 * log2(harmonic.partial) - note.note.pitch.sounding_midi) > 0.35:
        out.append(f"partial {harmonic.partial} of string {note.string} does not sound {note.note.pitch}")
    if not touched(note) and note.plucking is PluckingFinger.INDEX:
        out.append("the index plucks while it touches")
    return out


def place_faults(note: FingeredNote, instrument: Instrument) -> list[str]:
    """Faults of one note by itself."""
    out = []
    if not 1 <= note.string <= len(instrument.tuning.open_strings):
        return [f"string {note.string} does not exist"]
    if not 0 <= note.fret <= instrument.frets - instrument.capo:
        out.append(f"fret {note.fret} does not exist")
    open_pitch = instrument.tuning.open_strings[note.string - 1].sounding_midi
    if note.note.harmonic is not None:
        out += harmonic_faults(note, instrument)
    elif open_pitch + note.fret != note.note.pitch.sounding_midi:
        out.append(f"string {note.string} fret {note.fret} does not sound {note.note.pitch}")
    if (note.fret == 0) != (note.left_finger == 0):
        out.append(f"fret {note.fret} with finger {note.left_finger}")
    if not 0 <= note.left_finger <= 4:
        out.append(f"there is no finger {note.left_finger}")
    if note.position < 1:
        out.append(f"position {note.position}")
    if note.fret and not -3 <= note.fret - (note.position + note.left_finger - 1) <= 3:
        out.append(f"finger {note.left_finger} on fret {note.fret} in position {note.position}")
    return out


def grip_faults(notes: list[tuple[int, FingeredNote]], instrument: Instrument, player: Player) -> list[Fault]:
    """Faults of notes that sound together."""
    out = []
    for at, (index, a) in enumerate(notes):
        for _, b in notes[:at]:
            what = pair_fault(a, b, instrument, player)
            if what:
                out.append(Fault(index, what))
    return out


def pair_fault(a: FingeredNote, b: FingeredNote, instrument: Instrument, player: Player) -> str:
    """What is wrong between two notes that sound together, or nothing."""
    if a.string == b.string:
        again = a.note.onset_quarters != b.note.onset_quarters or a.note.voice != b.note.voice
        if again and (a.fret, a.left_finger) == (b.fret, b.left_finger):
            return ""  # the same note, struck again or written in two voices
        return f"string {a.string} is used twice"
    if not a.left_finger or not b.left_finger:
        return ""
    if a.left_finger == b.left_finger:
        return "" if a.fret == b.fret else f"finger {a.left_finger} on frets {a.fret} and {b.fret}"
    low, high = (a, b) if a.left_finger < b.left_finger else (b, a)
    if low.fret > high.fret:
        return f"fingers {low.left_finger} and {high.left_finger} are crossed"
    span = from_nut_mm(instrument, high.fret) - from_nut_mm(instrument, low.fret)
    reach = PAIR_SHARE[low.left_finger, high.left_finger] * player.reach_mm
    if span > reach + 1e-6:
        return f"fingers {low.left_finger} and {high.left_finger} lie {span:.0f} mm apart, {reach:.0f} mm reach"
    return ""
