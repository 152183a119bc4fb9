"""Slurs of the fretting hand: from the plucked note to the last note that it sounds alone."""

from dataclasses import dataclass

from engraver.fingering.fingered import FingeredNote, FingeredPassage


@dataclass(frozen=True, slots=True)
class Slurs:
    """The notes on which a slur begins and those on which one ends, by index; notes between them bear no end."""

    starts: frozenset[int]
    stops: frozenset[int]


def slurs_of(fingered: FingeredPassage) -> Slurs:
    """One slur from each plucked note over all slurred notes that follow it on its string.

    Source: common practice; the first note is plucked, all others under the curve are sounded by the fretting hand.
    """
    links = _links(fingered.notes, adjoining=fingered.passage.repertoire)
    sources, targets = {before for before, _ in links}, {after for _, after in links}
    return Slurs(frozenset(sources - targets), frozenset(targets - sources))


def _links(notes: tuple[FingeredNote, ...], adjoining: bool) -> list[tuple[int, int]]:
    """Each slurred note with the note that it is sounded from: the last of its voice on its string, else the last.

    `adjoining` asks that nothing of the voice is struck between the two, as in pieces, where slurs join neighbours.
    """
    on_string: dict[tuple[int, int], int] = {}
    in_voice: dict[int, int] = {}
    links: list[tuple[int, int]] = []
    for index, place in enumerate(notes):
        voice = place.note.voice
        last = in_voice.get(voice)
        before = on_string.get((voice, place.string), last)
        if adjoining and before is not None and last is not None and _struck_later(notes, before, last, index):
            before = last
        if place.note.slurred and before is not None:
            links.append((before, index))
        on_string[voice, place.string] = in_voice[voice] = index
    return links


def _struck_later(notes: tuple[FingeredNote, ...], one: int, other: int, now: int) -> bool:
    """True where the other note is struck after the one, and before now."""
    onset = notes[other].note.onset_quarters
    return notes[one].note.onset_quarters < onset < notes[now].note.onset_quarters
