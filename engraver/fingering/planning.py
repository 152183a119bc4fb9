"""Plans of the fretting hand: the search over a passage with its best path, open to be asked for other paths."""

from collections.abc import Sequence
from dataclasses import dataclass, replace
from itertools import pairwise
from typing import TYPE_CHECKING

from engraver.fingering.candidates import Setting
from engraver.fingering.costs import cost_table, repertoire_table
from engraver.fingering.events import events_of, with_rolled_chords
from engraver.fingering.fingered import BREAKING, OPENING, Cost, FingeredNote, FingeredPassage
from engraver.fingering.grip_bars import GripBars
from engraver.fingering.refusals import impossible, opening
from engraver.fingering.search import Search, board_for
from engraver.fingering.settling import lattice_of, memory_account, settled, weighed
from engraver.fingering.way_back import steadied, turning_event, unlike_account
from engraver.fingering.wishes import Wish, wishes_of
from engraver.fretboard.limits import LeftHandLimits, Spread
from engraver.fretboard.tuning import Instrument, Player
from engraver.theory.passage import Passage

if TYPE_CHECKING:
    from engraver.fingering.grips import Floats
    from engraver.fingering.habits import Habits
    from engraver.fingering.lattice import Lattice
    from engraver.fingering.repertoire import Repertoire


@dataclass(frozen=True, slots=True)
class Plan:
    """A passage searched. `search` covers it as far as `turn`, where the hand goes back the way it came, or to its end.

    `path` is the best way through, `extra` what the hand remembers on it; with `repertoire` habits decide.
    """

    passage: Passage
    limits: LeftHandLimits
    whole: Search
    search: Search
    turn: int | None
    path: tuple[int, ...]
    extra: "dict[int, Floats]"
    repertoire: "Repertoire | None" = None

    def fingered(self, path: Sequence[int] | None = None) -> FingeredPassage:
        """The passage along a path, the best one when none is given.

        Raises Unplayable where the path opens the hand although the book allows no extension.
        """
        way = list(self.path if path is None else path)
        if self.turn is not None:
            way += way[self.turn - 1 :: -1][: len(self.whole.events) - self.turn - 1]
        more = [] if self.repertoire else memory_account(self.whole, way)
        back = turning_event(self.passage)
        if back is not None and not self.repertoire:
            more += unlike_account(self.whole, back, way)
        done = _fingered(self.passage, self.whole, way, more)
        for cost in done.account:
            if cost.name == OPENING:
                raise opening(self.passage, cost.note, self.limits.shape.spread)
        return done

    def lattice(self) -> "Lattice":
        """Everything the search weighs, as costs of grips and moves; memory as it is on the best path."""
        return lattice_of(self.search, *self._weighed())

    def _weighed(self) -> "tuple[tuple[Floats, ...], tuple[Floats, ...]]":
        if self.repertoire is not None:
            from engraver.fingering.agreement import Blend

            return self.repertoire.weighed(Blend())
        return weighed(self.search, self.extra)


@dataclass(frozen=True, slots=True)
class GripPlan:
    """A study whose bars are grips: its chords are planned, and every note of a bar takes its finger from the grip."""

    passage: Passage
    grips: GripBars
    chords: Plan
    instrument: Instrument
    player: Player
    limits: LeftHandLimits

    @property
    def path(self) -> tuple[int, ...]:
        """The best way through the chords."""
        return self.chords.path

    def lattice(self) -> "Lattice":
        """Everything the search of the chords weighs."""
        return self.chords.lattice()

    def fingered(self, path: Sequence[int] | None = None) -> FingeredPassage:
        """The study along a path through its chords. Raises Unplayable as a plan does.

        The grips keep position and spread; a single finger of a grip may lie next to its own fret, so that the notes,
        looked at one by one, need not.
        """
        own = {pin.note for pin in self.limits.pins}
        held = (pin for pin in self.grips.pins(self.chords.fingered(path)) if pin.note not in own)
        free = replace(self.limits.shape, spread=Spread.FREE)
        limits = replace(self.limits, position=None, shape=free, pins=(*self.limits.pins, *held))
        wishes = wishes_of(self.passage, self.instrument, limits)
        return plan_technique(self.passage, self.instrument, self.player, limits, wishes).fingered()


Planned = Plan | GripPlan


def plan_technique(
    passage: Passage, instrument: Instrument, player: Player, limits: LeftHandLimits, wishes: tuple[Wish, ...]
) -> Plan:
    """The cheapest fingering under the wishes; a line that returns on itself is fingered alike both ways.

    Raises Unplayable.
    """
    setting = Setting.under(limits, instrument, player)
    turn = _mirror(passage, limits)
    if turn is not None:
        wishes = (*wishes[: turn + 1], *wishes[turn - 1 :: -1][: len(wishes) - turn - 1])
    events = events_of(passage, wishes, instrument.string_count)
    board = board_for(setting, limits.open_strings, cost_table())
    search = Search(board, events if turn is None else events[: turn + 1])
    if search.dead is not None:
        raise impossible(passage, setting, events, search.dead)
    path, extra = settled(search)
    back = turning_event(passage)
    if turn is None and back is not None:
        path, extra = steadied(search, back, path, extra)
    whole = search if turn is None else Search(board, events)
    return Plan(passage, limits, whole, search, turn, tuple(path), extra)


def plan_repertoire(
    passage: Passage,
    instrument: Instrument,
    player: Player,
    limits: LeftHandLimits,
    wishes: tuple[Wish, ...],
    habits: "Habits",
) -> Plan:
    """The fingering that agrees best with editors' habits. Raises Unplayable."""
    from engraver.fingering.agreement import Blend
    from engraver.fingering.repertoire import Repertoire

    setting = Setting.under(limits, instrument, player)
    board = board_for(setting, limits.open_strings, repertoire_table())
    events = with_rolled_chords(events_of(passage, wishes, instrument.string_count), board)
    repertoire = Repertoire(board, events, passage, instrument, habits)
    if repertoire.search.dead is not None:
        raise impossible(passage, setting, events, repertoire.search.dead)
    path = repertoire.best_path(Blend())
    return Plan(passage, limits, repertoire.search, repertoire.search, None, tuple(path), {}, repertoire)


def _mirror(passage: Passage, limits: LeftHandLimits) -> int | None:
    """The turning note of a single line that comes back exactly the way it went, else None."""
    turn = passage.turn
    if turn is None or turn < 1 or any(pin.note > turn for pin in limits.pins):
        return None
    if len(passage.events) != len(passage.notes) or len(passage.notes) > 2 * turn + 1:
        return None
    midis = [note.pitch.sounding_midi for note in passage.notes]
    back = midis[turn + 1 :]
    alike = back == midis[turn - 1 :: -1][: len(back)] if turn else False
    plain = all(n.string is None and not n.slurred for n in passage.notes[turn + 1 :])
    plain = plain and all(a.end_quarters <= b.onset_quarters for a, b in pairwise(passage.notes))
    return turn if alike and plain else None


def _fingered(
    passage: Passage, search: Search, path: list[int], more: Sequence[tuple[str, float, int]] = ()
) -> FingeredPassage:
    """The chosen grips as fingered notes in the passage's order, with the account by note."""
    notes: list[FingeredNote | None] = [None] * len(passage.notes)
    firsts: list[int] = []
    for number, row in enumerate(path):
        event, grips = search.events[number], search.grips(number)
        strings, frets, fingers = grips.strings[row], grips.frets[row], grips.fingers[row]
        position = int(grips.grips.position[row])
        new = [at for at, s in enumerate(event.sounds) if not s.held]
        firsts.append(event.notes[new[0]])
        for at in new:
            finger = int(fingers[at])
            barred = finger > 0 and int((fingers == finger).sum()) > 1
            notes[event.notes[at]] = FingeredNote(
                passage.notes[event.notes[at]],
                int(strings[at]),
                int(frets[at]),
                finger,
                position,
                barre_fret=int(frets[at]) if barred else None,
            )
    late = [(BREAKING, cost_table().breaking[0].value, n) for n, event in enumerate(search.events) if event.late]
    account = tuple(
        Cost(name, round(amount, 4), firsts[event]) for name, amount, event in [*search.account(path), *more, *late]
    )
    return FingeredPassage(passage, _with_doubles(passage, notes), account)


def _with_doubles(passage: Passage, notes: list[FingeredNote | None]) -> tuple[FingeredNote, ...]:
    """All notes; one whose pitch another voice strikes at the same moment takes that note's place and finger."""
    if None not in notes:
        return tuple(note for note in notes if note is not None)
    struck = {(n.note.onset_quarters, n.note.pitch.sounding_midi): n for n in notes if n is not None}
    return tuple(
        found or replace(struck[note.onset_quarters, note.pitch.sounding_midi], note=note)
        for note, found in zip(passage.notes, notes, strict=True)
    )
