"""Harmonics as they are written: which pitch the head stands on, and the number of the touched fret.

Three systems are in use, and a book names the one it follows:

- open string and fret number: the head stands on the pitch of the string as it lies, open or stopped, and a number
  tells the fret over which it is touched;
- touched pitch: the head of a natural harmonic stands where the touched fret would be read; an artificial one stands
  on the stopped pitch, with the number of the touched fret;
- sounding pitch: the head stands on what is heard, with a small circle and the number of the touched fret.

In the first two the head is a diamond. The first is the default: string and fret, which a hand must know, are both
printed, no ledger lines are needed, and nodes between frets can be told (chosen by us).
A number is printed on every artificial harmonic, and on natural ones where another place is touched than before, or a
bar begins. Source: common practice for the systems; when a number is repeated is chosen by us.
"""

from dataclasses import dataclass, replace
from enum import StrEnum

from engraver.fingering.fingered import FingeredNote, FingeredPassage
from engraver.fretboard.harmonics import node_of, string_pitch, touched_pitch
from engraver.fretboard.numerals import position_numeral
from engraver.theory.passage import Harmonic, HarmonicKind
from engraver.theory.pitch import SpelledPitch


class HarmonicSystem(StrEnum):
    """Which pitch the head of a harmonic stands on."""

    OPEN_STRING = "open string and fret number"
    TOUCHED = "touched pitch"
    SOUNDING = "sounding pitch"


@dataclass(frozen=True, slots=True)
class HarmonicSign:
    """How one harmonic is written: the facts, the system, its number, and the pitches beside that of its head.

    `place` is the number of the touched fret by custom, `numeral` what is printed of it over the staff. `heard` is what
    sounds, `fretted` what the note's fret would give if it were pressed.
    """

    harmonic: Harmonic
    system: HarmonicSystem
    place: str
    numeral: str
    heard: SpelledPitch
    fretted: SpelledPitch
    show_place: bool = False

    @property
    def artificial(self) -> bool:
        """True on a stopped string."""
        return self.harmonic.kind is HarmonicKind.ARTIFICIAL

    @property
    def diamond(self) -> bool:
        """True where the head tells that it is not the pitch heard."""
        return self.system is not HarmonicSystem.SOUNDING


def harmonic_sign(place: FingeredNote, system: HarmonicSystem, roman: bool) -> HarmonicSign | None:
    """The sign of a fingered note, its number not yet shown; None where the note is no harmonic."""
    harmonic, heard = place.note.harmonic, place.note.pitch
    if harmonic is None:
        return None
    fretted = touched_pitch(heard, harmonic) if place.touches else string_pitch(heard, harmonic)
    return HarmonicSign(harmonic, system, _number(place), _number(place, roman), heard, fretted)


def head_pitch(place: FingeredNote, system: HarmonicSystem) -> SpelledPitch:
    """The pitch on which the head of a note stands."""
    harmonic, heard = place.note.harmonic, place.note.pitch
    if harmonic is None or system is HarmonicSystem.SOUNDING:
        return heard
    if system is HarmonicSystem.TOUCHED and place.touches:
        return touched_pitch(heard, harmonic)
    return string_pitch(heard, harmonic)


def shown_places(fingered: FingeredPassage, system: HarmonicSystem, always: bool) -> frozenset[int]:
    """The harmonics whose number is printed; `always` prints every one."""
    shown: set[int] = set()
    before: tuple[str, str] | None = None
    for index, place in enumerate(fingered.notes):
        if place.note.harmonic is None:
            before = None
            continue
        here = (_number(place), fingered.passage.bar_number(place.note.onset_quarters))
        told_by_head = system is HarmonicSystem.TOUCHED and place.touches and here[0] == str(place.fret)
        if not told_by_head and (always or not place.touches or here != before):
            shown.add(index)
        before = here if place.touches else None
    return frozenset(shown)


def as_under_fingers(fingered: FingeredPassage) -> FingeredPassage:
    """The passage with the pitch of its fret on each harmonic, for rules that read places off pitches."""
    if not any(place.note.harmonic for place in fingered.notes):
        return fingered
    places = tuple(_under_finger(place) for place in fingered.notes)
    notes = tuple(place.note for place in places)
    return replace(fingered, passage=replace(fingered.passage, notes=notes), notes=places)


def _under_finger(place: FingeredNote) -> FingeredNote:
    sign = harmonic_sign(place, HarmonicSystem.SOUNDING, roman=False)
    return replace(place, note=replace(place.note, pitch=sign.fretted)) if sign else place


def _number(place: FingeredNote, roman: bool = False) -> str:
    """The number of the touched fret; nodes between frets have Arabic figures always."""
    assert place.note.harmonic is not None
    node = node_of(place.note.harmonic)
    if place.touches:
        whole = node.printed == str(node.frets)
        return position_numeral(node.frets) if roman and whole else node.printed
    fret = place.fret + node.frets
    return position_numeral(fret) if roman else str(fret)
