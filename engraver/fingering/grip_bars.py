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
from engraver.theory.pitch import SpelledPitch

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

        A grip that the book's wishes forbid (a small barre where barres are not wanted) is left to the planning. Raises
        Unplayable for it where the wishes are those of a level: these give way to usual grips.
        """
        from engraver.fingering.costs import cost_table
        from engraver.fingering.events import events_of
        from engraver.fingering.refusals import impossible
        from engraver.fingering.search import playable_grips

        pinned, out = {pin.note for pin in limits.pins if pin.finger is not None}, list(wishes)
        for chord in self.chords.events:
            notes = [self.chords.notes[index] for index in chord]
            held = {n.string or 0: n.pitch.sounding_midi - setting.instrument.sounding(n.string or 0, 0) for n in notes}
            ways = () if pinned & set(chord) else customary_fingers(held)
            for index in chord if ways else ():
                fingers = tuple(sorted({way[self.chords.notes[index].string or 0] for way in ways}))
                out[index] = replace(out[index], fingers=fingers)
        events = events_of(self.chords, tuple(out), setting.instrument.string_count)
        for number, (chord, event) in enumerate(zip(self.chords.events, events, strict=True)):
            if playable_grips(setting, event.sounds, cost_table().search) is None:
                if limits.yielding:
                    pitches = ", ".join(str(self.chords.notes[index].pitch) for index in chord)
                    raise impossible(self.chords, setting, events, number, f"the grip {pitches} in bar {number + 1}")
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
    """The grips of a study whose every bar holds one, else None: no fixed strings, or two pitches on one string.

    Where the study names its grips, strings that it does not pluck are held too.
    """
    notes = passage.notes
    fixed = all(note.string and note.finger is None and not note.slurred and not note.harmonic for note in notes)
    if passage.repertoire or not fixed or all(note.held_quarters is None for note in notes):
        return None
    held: dict[str, dict[int, tuple[SpelledPitch, list[int]]]] = {}
    for index, note in enumerate(notes):
        bar = held.setdefault(passage.bar_number(note.onset_quarters), {})
        pitch, members = bar.setdefault(note.string or 0, (note.pitch, []))
        if pitch != note.pitch:
            return None
        members.append(index)
    if len(held) == len(passage.grips):
        for bar, whole in zip(held.values(), passage.grips, strict=True):
            for string, pitch in whole:
                bar.setdefault(string, (pitch, []))
    return _chords_of(passage, list(held.values()))


def _chords_of(passage: Passage, bars: "list[dict[int, tuple[SpelledPitch, list[int]]]]") -> GripBars:
    """The bars as struck chords, notes from low to high."""
    length, chords, members = passage.metre.bar_quarters, list[Note](), list[tuple[int, ...]]()
    for number, bar in enumerate(bars):
        for string, (pitch, own) in sorted(bar.items(), key=lambda item: (item[1][0].sounding_midi, -item[0])):
            chords.append(Note(pitch, number * length, length, string=string))
            members.append(tuple(own))
    return GripBars(Passage(tuple(chords), passage.key_fifths, passage.metre), tuple(members))
