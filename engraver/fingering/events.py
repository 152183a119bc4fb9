"""The passage as the search sees it: events, each with its new notes and the notes that sound on."""

from engraver.fingering.candidates import Sound
from engraver.fingering.search import Board, Event
from engraver.fingering.wishes import Wish
from engraver.theory.passage import Note, Passage


def events_of(passage: Passage, wishes: tuple[Wish, ...], strings: int) -> tuple[Event, ...]:
    """The passage as events with the notes that sound on; a note struck again is no longer held.

    Where more notes would sound than there are `strings`, the oldest are let go.
    """
    out: list[Event] = []
    sounding: list[int] = []
    beat = passage.metre.beat_quarters
    midis: list[int] = [note.pitch.sounding_midi for note in passage.notes]
    ends = [note.end_quarters for note in passage.notes]
    for written in passage.events:
        group = _without_doubles(passage, written)
        onset = passage.notes[group[0]].onset_quarters
        lying = [i for i in sounding if ends[i] > onset]
        again = {midis[i] for i in lying}
        struck = {midis[i] for i in group}
        sounding = [i for i in lying if midis[i] not in struck]
        sounding = sounding[len(sounding) - max(0, min(len(sounding), strings - len(group))) :]
        members = sorted([*sounding, *group], key=lambda i: (midis[i], i))
        sounds = tuple(_sound(midis[i], wishes[i], i not in group, again) for i in members)
        slurred = any(passage.notes[i].slurred for i in group)
        lead = max(struck)
        out.append(Event(tuple(members), sounds, (onset / beat).denominator == 1, slurred, not out, lead))
        sounding += group
    return tuple(out)


def _without_doubles(passage: Passage, group: tuple[int, ...]) -> tuple[int, ...]:
    """The notes of an event, one for each pitch that several voices share: a note with two stems is plucked once."""
    if len({passage.notes[i].pitch.sounding_midi for i in group}) == len(group):
        return group
    kept: list[Note] = []
    out: list[int] = []
    for i in sorted(group, key=lambda i: (-passage.notes[i].end_quarters, i)):
        note = passage.notes[i]
        if all(k.pitch.sounding_midi != note.pitch.sounding_midi or k.voice == note.voice for k in kept):
            kept.append(note)
            out.append(i)
    return tuple(sorted(out))


def _sound(midi: int, wish: Wish, held: bool, again: set[int]) -> Sound:
    """A note as the search sees it; `again` are the pitches whose fingers still lie on the neck."""
    return Sound(midi, held, wish.strings, wish.fingers, wish.open_allowed, not held and midi in again)


def with_rolled_chords(events: tuple[Event, ...], board: Board) -> tuple[Event, ...]:
    """The events, each chord that no hand can hold at once broken into playable parts, lowest notes first."""
    out: list[Event] = []
    for event in events:
        out += [event] if board.set_id(event.sounds) is not None else _rolled(event, board)
    return tuple(out)


def _rolled(event: Event, board: Board) -> list[Event]:
    """One impossible chord as the fewest playable parts, filled from the lowest note up; held notes are let go."""
    parts: list[list[int]] = []
    new = [at for at, s in enumerate(event.sounds) if not s.held]
    for at in new:
        if parts and board.set_id(tuple(event.sounds[i] for i in (*parts[-1], at))) is not None:
            parts[-1].append(at)
        else:
            parts.append([at])
    return [
        event._replace(
            notes=tuple(event.notes[i] for i in part),
            sounds=tuple(event.sounds[i] for i in part),
            first=event.first and not number,
            lead=event.sounds[part[-1]].midi,
            late=number > 0,
        )
        for number, part in enumerate(parts)
    ]
