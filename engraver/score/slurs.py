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
    links = _links(fingered.notes)
    sources, targets = {before for before, _ in links}, {after for _, after in links}
    return Slurs(frozenset(sources - targets), frozenset(targets - sources))


def _links(notes: tuple[FingeredNote, ...]) -> list[tuple[int, int]]:
    """Each slurred note with the note that it is sounded from: the last of its voice on its string, else the last."""
    on_string: dict[tuple[int, int], int] = {}
    in_voice: dict[int, int] = {}
    links: list[tuple[int, int]] = []
    for index, place in enumerate(notes):
        voice = place.note.voice
        before = on_string.get((voice, place.string), in_voice.get(voice))
        if place.note.slurred and before is not None:
            links.append((before, index))
        on_string[voice, place.string] = in_voice[voice] = index
    return links
