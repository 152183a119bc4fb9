"""Why no hand can hold an event: the wish that stands in the way, and the nearest remedy, in a teacher's words."""

from dataclasses import replace
from typing import TYPE_CHECKING

from engraver.errors import Unplayable
from engraver.fingering.candidates import Setting
from engraver.fingering.costs import cost_table
from engraver.fingering.search import playable_grips
from engraver.fingering.wishes import note_words
from engraver.fretboard.hand import partial_barre_strings
from engraver.fretboard.limits import Barres, Spread
from engraver.theory.passage import Passage

if TYPE_CHECKING:
    from collections.abc import Sequence

    from engraver.fingering.search import Event


def impossible(passage: Passage, setting: Setting, events: "Sequence[Event]", dead: int, what: str = "") -> Unplayable:
    """The error for the event with the number `dead`: what it is, which wish it breaks, and what helps.

    `what` names the event where its notes are not those of the exercise (the grip of a bar).
    """
    event, chord = events[dead], len(events[dead].sounds) > 1
    if what:
        return _by_wish(what, chord, setting, events, event) or _by_hand(what, chord, setting, event)
    new = [i for i, s in zip(event.notes, event.sounds, strict=True) if not s.held]
    what = note_words(passage, new[0])
    if chord:
        names = ", ".join(str(passage.notes[i].pitch) for i in (new if len(new) > 1 else event.notes))
        what = f"the chord {names} at {what}"
    return _by_wish(what, chord, setting, events, event) or _by_hand(what, chord, setting, event)


def opening(passage: Passage, note: int, spread: Spread) -> Unplayable:
    """The error for a note that can only be reached by opening the hand where the book allows none."""
    return Unplayable(
        f"{note_words(passage, note)} cannot be reached {_SPREAD_WORDS[spread]}", hint=_SPREAD_HINTS[spread]
    )


_SPREAD_WORDS = {Spread.NO_EXTENSION: "without an extension", Spread.ONE_PER_FRET: "with one finger per fret"}
_SPREAD_HINTS = {
    Spread.NO_EXTENSION: "write 'extensions: allow', or leave out the pins or the start that lead there",
    Spread.ONE_PER_FRET: "write 'one_finger_per_fret: false', or leave out the pins or the start that lead there",
}


def _by_wish(what: str, chord: bool, setting: Setting, events: "Sequence[Event]", event: "Event") -> Unplayable | None:
    """The error of the one wish without which the event could be held; None when no single wish is to blame."""
    shape = setting.shape
    verb = "held" if chord else "played"
    if shape.barre is not Barres.ALLOW and _holds(replace(setting, shape=replace(shape, barre=Barres.ALLOW)), event):
        how = "without a barre"
        if shape.barre is Barres.PARTIAL:
            how = f"with a barre over at most {partial_barre_strings()} strings"
        return Unplayable(
            f"{what} cannot be {verb} {how}",
            hint="write 'barre: allow', or drop a note or move it by an octave",
        )
    if shape.spread is not Spread.FREE and _holds(replace(setting, shape=replace(shape, spread=Spread.FREE)), event):
        return Unplayable(f"{what} cannot be {verb} {_SPREAD_WORDS[shape.spread]}", hint=_SPREAD_HINTS[shape.spread])
    if setting.position is not None and _holds(replace(setting, position=None), event):
        wrong = "cannot be held" if chord else "does not lie"
        return Unplayable(f"{what} {wrong} in position {setting.position}", hint=_other_position(setting, events))
    return None


def _other_position(setting: Setting, events: "Sequence[Event]") -> str:
    """The position nearest to the asked one that holds the whole passage, if there is one."""
    asked = setting.position or 1
    for position in sorted(range(1, setting.instrument.highest_fret + 1), key=lambda p: (abs(p - asked), p)):
        if all(_holds(replace(setting, position=position), event) for event in events):
            return f"position {position} holds the whole passage"
    return f"no position holds the whole passage; write 'around_position: {asked}', or leave position out"


def _by_hand(what: str, chord: bool, setting: Setting, event: "Event") -> Unplayable:
    """The error where no single wish is to blame."""
    plain = Setting(setting.instrument, setting.player)
    free = event._replace(sounds=tuple(s._replace(strings=(), fingers=(), open_allowed=True) for s in event.sounds))
    if plain != setting and _holds(plain, free):
        return Unplayable(f"{what} cannot be played under the book's wishes together", hint="loosen one of them")
    if _holds(plain, free):
        return Unplayable(f"{what} cannot be played as asked", hint="loosen the start, the pins or the strings allowed")
    if chord:
        return Unplayable(
            f"{what} cannot be held within the player's reach and wishes",
            hint="drop or move a note by an octave, allow open strings, or raise reach_mm",
        )
    return Unplayable(f"{what} cannot be played as asked", hint="loosen the start, the pins or the strings allowed")


def _holds(setting: Setting, event: "Event") -> bool:
    return playable_grips(setting, event.sounds, cost_table().search) is not None
