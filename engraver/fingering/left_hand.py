"""The fretting hand for a whole passage: strings, frets, fingers, positions, and what they cost."""

from contextlib import suppress
from dataclasses import replace
from itertools import pairwise
from typing import TYPE_CHECKING

from engraver.errors import Unplayable
from engraver.fingering.fingered import OPENING, Cost, FingeredNote, FingeredPassage
from engraver.fingering.grip_bars import GripBars, grip_bars
from engraver.fingering.per_string import Assigned, assign_groups, group_size
from engraver.fingering.wishes import Wish, check_range, note_words, wishes_of
from engraver.fingering.yielding import ways_to_yield, without
from engraver.fretboard.limits import LeftHandLimits
from engraver.fretboard.neck import spots
from engraver.fretboard.tuning import Instrument, Player
from engraver.theory.passage import Passage

if TYPE_CHECKING:
    from collections.abc import Sequence

    from engraver.fingering.candidates import Setting
    from engraver.fingering.habits import Habits
    from engraver.fingering.search import Search


def finger_left_hand(
    passage: Passage,
    instrument: Instrument,
    player: Player,
    limits: LeftHandLimits,
    habits: "Habits | None" = None,
) -> FingeredPassage:
    """The passage with a string, fret, finger and position for every note; plucking is left open.

    Without `habits` the hand-set costs decide (technique: forms, drills, grips). With them
    (`engraver.fingering.habits.read_habits()`) repertoire is fingered as editors tend to, and a chord that no hand can
    hold at once is rolled instead of refused; the account then names `chord_broken` at its late notes.

    Raises OutOfRange for a note the instrument lacks, Unplayable for wishes or chords no hand can meet; both name
    the note and the nearest remedy. Wishes of a level (`limits.yielding`) are given up before anything is refused;
    `given_up` then names them.
    """
    from engraver.fingering.harmonics import as_heard, as_touched

    touched = as_touched(passage, instrument)
    done = _finger(touched, instrument, player, limits, habits)
    return done if touched is passage else as_heard(done, passage)


def _finger(
    passage: Passage, instrument: Instrument, player: Player, limits: LeftHandLimits, habits: "Habits | None"
) -> FingeredPassage:
    """The fingering of a passage whose pitches are those under the fingers."""
    check_range(passage, instrument)
    if not passage.notes:
        return FingeredPassage(passage, ())
    try:
        return _under(passage, instrument, player, limits, habits)
    except Unplayable:
        for given_up in ways_to_yield(limits):
            with suppress(Unplayable):
                done = _under(passage, instrument, player, without(limits, given_up), habits)
                return replace(done, given_up=given_up)
        raise


def _under(
    passage: Passage, instrument: Instrument, player: Player, limits: LeftHandLimits, habits: "Habits | None"
) -> FingeredPassage:
    """The best fingering under all of the limits. Raises Unplayable."""
    if habits is None and (grips := grip_bars(passage)):
        limits = _with_grips(grips, instrument, player, limits)
    wishes = wishes_of(passage, instrument, limits)
    if habits is not None:
        from engraver.fingering.candidates import Setting

        return _repertoire(passage, Setting.under(limits, instrument, player), limits, wishes, habits)
    if not group_size(limits):
        return _solve(passage, instrument, player, limits, wishes)
    return min(
        (
            _solve(passage, instrument, player, limits, _grouped(passage, limits, wishes, g))
            for g in _groupings(passage, instrument, limits)
        ),
        key=lambda done: done.total_cost,
    )


def _with_grips(grips: GripBars, instrument: Instrument, player: Player, limits: LeftHandLimits) -> LeftHandLimits:
    """The limits with every note pinned as its grip is held; unchanged where a grip cannot be held whole.

    The grips keep the position; a single finger of a grip may lie next to its own fret, so the notes need not.
    """
    from engraver.fingering.candidates import Setting

    narrowed, setting = grips.limits(limits), Setting.under(limits, instrument, player)
    try:
        wishes = grips.customary(wishes_of(grips.chords, instrument, narrowed), setting, narrowed)
        chords = _solve(grips.chords, instrument, player, narrowed, wishes)
    except Unplayable:
        return limits
    own = {pin.note for pin in limits.pins}
    return replace(
        limits, position=None, pins=(*limits.pins, *(pin for pin in grips.pins(chords) if pin.note not in own))
    )


def _groupings(passage: Passage, instrument: Instrument, limits: LeftHandLimits) -> list[Assigned]:
    """The possible beginnings of a line with so many notes to a string. Raises Unplayable when there is none."""
    starts = [limits.start_string] if limits.start_string else []
    if not starts:
        lowest = min(passage.notes, key=lambda note: note.pitch.sounding_midi)
        starts = [s.string for s in spots(instrument, lowest.pitch.sounding_midi)][::-1]
    found, trouble = [], None
    for start in starts:
        try:
            found.append(assign_groups(passage, instrument, limits, start))
        except Unplayable as error:
            trouble = trouble or error
    if not found and trouble:
        raise trouble
    return found


def _grouped(passage: Passage, limits: LeftHandLimits, wishes: tuple[Wish, ...], groups: Assigned) -> tuple[Wish, ...]:
    """The wishes narrowed to the strings and fingers of the groups; pins win over a group.

    Raises Unplayable when a group falls on a string the book does not allow.
    """
    pinned = {pin.note for pin in limits.pins if pin.string}
    out: list[Wish] = []
    for index, wish in enumerate(wishes):
        string, finger = groups[index]
        fingers = wish.fingers or ((finger,) if finger else ())
        if index in pinned or passage.notes[index].string:
            out.append(wish)
            continue
        if wish.strings and string not in wish.strings:
            raise Unplayable(
                f"{note_words(passage, index)} falls on string {string}, which is not among the strings allowed",
                hint="allow the string, or choose another start or number of notes to a string",
            )
        out.append(Wish((string,), fingers, wish.open_allowed))
    return tuple(out)


def _solve(
    passage: Passage, instrument: Instrument, player: Player, limits: LeftHandLimits, wishes: tuple[Wish, ...]
) -> FingeredPassage:
    """The cheapest fingering under the wishes; a line that returns on itself is fingered alike both ways."""
    from engraver.fingering.candidates import Setting
    from engraver.fingering.costs import cost_table
    from engraver.fingering.events import events_of
    from engraver.fingering.refusals import impossible
    from engraver.fingering.search import Search, board_for

    setting = Setting.under(limits, instrument, player)
    turn = _mirror(passage, limits)
    if turn is not None:
        wishes = (*wishes[: turn + 1], *wishes[turn - 1 :: -1][: len(wishes) - turn - 1])
    events = events_of(passage, wishes, instrument.string_count)
    board = board_for(setting, limits.open_strings, cost_table())
    search = Search(board, events if turn is None else events[: turn + 1])
    if search.dead is not None:
        raise impossible(passage, setting, events, search.dead)
    path = _settle(search)
    if turn is not None:
        path = path + path[turn - 1 :: -1][: len(events) - turn - 1]
        search = Search(board, events)
    from engraver.fingering.memory import remembered_account

    return _kept(_fingered(passage, search, path, remembered_account(search, path)), limits)


def _kept(done: FingeredPassage, limits: LeftHandLimits) -> FingeredPassage:
    """The fingering itself. Raises Unplayable where it opens the hand although the book allows no extension."""
    from engraver.fingering.refusals import opening

    for cost in done.account:
        if cost.name == OPENING:
            raise opening(done.passage, cost.note, limits.shape.spread)
    return done


def _repertoire(
    passage: Passage, setting: "Setting", limits: LeftHandLimits, wishes: tuple[Wish, ...], habits: "Habits"
) -> FingeredPassage:
    """The fingering that agrees best with editors' habits."""
    from engraver.fingering.costs import repertoire_table
    from engraver.fingering.events import events_of, with_rolled_chords
    from engraver.fingering.refusals import impossible
    from engraver.fingering.repertoire import Blend, Repertoire
    from engraver.fingering.search import board_for

    board = board_for(setting, limits.open_strings, repertoire_table())
    events = with_rolled_chords(events_of(passage, wishes, setting.instrument.string_count), board)
    repertoire = Repertoire(board, events, passage, setting.instrument, habits)
    if repertoire.search.dead is not None:
        raise impossible(passage, setting, events, repertoire.search.dead)
    return _fingered(passage, repertoire.search, repertoire.best_path(Blend()))


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


def _settle(search: "Search") -> list[int]:
    """The cheapest path, searched again with what the hand remembers of the path before; the better one stays."""
    from engraver.fingering.memory import remembered_costs

    best = path = search.best_path()
    extra = remembered_costs(search, path)
    least = search.cost(path, extra)
    for _ in range(search.table.search.rounds - 1):
        if not any(costs[path[number]] for number, costs in extra.items()):
            break
        path = search.best_path(extra)
        extra = remembered_costs(search, path)
        cost = search.cost(path, extra)
        if cost < least:
            best, least = path, cost
    return best


def _fingered(
    passage: Passage, search: "Search", path: list[int], more: "Sequence[tuple[str, float, int]]" = ()
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
    late = [("chord_broken", _late_cost(), n) for n, event in enumerate(search.events) if event.late]
    account = tuple(
        Cost(name, round(amount, 4), firsts[event]) for name, amount, event in [*search.account(path), *more, *late]
    )
    return FingeredPassage(passage, _with_doubles(passage, notes), account)


def _with_doubles(passage: Passage, notes: "list[FingeredNote | None]") -> tuple[FingeredNote, ...]:
    """All notes; one whose pitch another voice strikes at the same moment takes that note's place and finger."""
    if None not in notes:
        return tuple(note for note in notes if note is not None)
    struck = {(n.note.onset_quarters, n.note.pitch.sounding_midi): n for n in notes if n is not None}
    return tuple(
        found or replace(struck[note.onset_quarters, note.pitch.sounding_midi], note=note)
        for note, found in zip(passage.notes, notes, strict=True)
    )


def _late_cost() -> float:
    """What a note struck late costs."""
    from engraver.fingering.costs import cost_table

    return cost_table().breaking[0].value
