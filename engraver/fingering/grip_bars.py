"""Studies laid on chord grips: every bar is one grip, so the hand is planned grip by grip and stays through the bar.

A right-hand study, a tremolo or a broken cadence prescribes the strings and holds each finger to the end of the bar.
Planned note by note, the hand would choose a finger before it knows what else the grip holds; planned as the chords
that they are, no finger changes within a bar. Source: common practice of the nineteenth-century methods, which set the
whole chord before it is broken.
"""

from dataclasses import dataclass, replace
from typing import TYPE_CHECKING

from engraver.fingering.customary import customary_fingers
from engraver.fingering.fingered import FingeredPassage
from engraver.fingering.wishes import Wish
from engraver.fretboard.limits import LeftHandLimits, Pin
from engraver.theory.passage import Note, Passage

if TYPE_CHECKING:
    from engraver.fingering.candidates import Setting


@dataclass(frozen=True, slots=True)
class GripBars:
    """The chords of a study, one a bar; `members` are the notes of the study (from 0) behind each chord note."""

    chords: Passage
    members: tuple[tuple[int, ...], ...]

    def limits(self, limits: LeftHandLimits) -> LeftHandLimits:
        """The limits for the chords: a pin of a note becomes one of its chord note."""
        where = {index: number for number, members in enumerate(self.members) for index in members}
        pins = {where[pin.note]: replace(pin, note=where[pin.note]) for pin in limits.pins if pin.note in where}
        return replace(
            limits, pins=tuple(pins[number] for number in sorted(pins)), start_string=None, start_finger=None
        )

    def customary(self, wishes: tuple[Wish, ...], setting: "Setting", limits: LeftHandLimits) -> tuple[Wish, ...]:
        """The wishes of the chord notes, with the usual fingers of every usual grip that bears no pin of the book.

        A grip that the book's wishes forbid (a small barre where barres are not wanted) is left to the planning.
        """
        from engraver.fingering.costs import cost_table
        from engraver.fingering.events import events_of
        from engraver.fingering.search import playable_grips

        pinned, out = {pin.note for pin in limits.pins if pin.finger is not None}, list(wishes)
        for chord in self.chords.events:
            notes = [self.chords.notes[index] for index in chord]
            held = {n.string or 0: n.pitch.sounding_midi - setting.instrument.sounding(n.string or 0, 0) for n in notes}
            ways = () if pinned & set(chord) else customary_fingers(held)
            for index in chord if ways else ():
                fingers = tuple(sorted({way[self.chords.notes[index].string or 0] for way in ways}))
                out[index] = replace(out[index], fingers=fingers)
        for chord, event in zip(
            self.chords.events, events_of(self.chords, tuple(out), setting.instrument.string_count), strict=True
        ):
            if playable_grips(setting, event.sounds, cost_table().search) is None:
                out = [wishes[i] if i in chord else wish for i, wish in enumerate(out)]
        return tuple(out)

    def pins(self, done: FingeredPassage) -> tuple[Pin, ...]:
        """The place and finger of every note of the study, from its chords fingered."""
        found = {
            index: Pin(index, note.string, note.left_finger)
            for note, members in zip(done.notes, self.members, strict=True)
            for index in members
        }
        return tuple(found[index] for index in sorted(found))


def grip_bars(passage: Passage) -> GripBars | None:
    """The grips of a study whose every bar holds one, else None: no fixed strings, or two pitches on one string."""
    notes = passage.notes
    fixed = all(note.string and note.finger is None and not note.slurred and not note.harmonic for note in notes)
    if passage.repertoire or not fixed or all(note.held_quarters is None for note in notes):
        return None
    chords: dict[tuple[str, int], list[int]] = {}
    for index, note in enumerate(notes):
        members = chords.setdefault((passage.bar_number(note.onset_quarters), note.string or 0), [])
        if members and notes[members[0]].pitch != note.pitch:
            return None
        members.append(index)
    bars = {bar: number for number, bar in enumerate(dict.fromkeys(bar for bar, _ in chords))}
    ordered = sorted(
        chords.items(), key=lambda item: (bars[item[0][0]], notes[item[1][0]].pitch.sounding_midi, -item[0][1])
    )
    length = passage.metre.bar_quarters
    struck = tuple(
        Note(notes[members[0]].pitch, bars[bar] * length, length, string=string) for (bar, string), members in ordered
    )
    whole = Passage(struck, passage.key_fifths, passage.metre)
    return GripBars(whole, tuple(tuple(members) for _, members in ordered))
