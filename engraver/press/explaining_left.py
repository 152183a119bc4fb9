"""The fretting hand explained: places over time, shifts, stretches against the reach, costs, other fingerings."""

from collections import Counter
from collections.abc import Iterable, Sequence
from dataclasses import replace
from itertools import groupby

from engraver.errors import FingeringError
from engraver.fingering.alternatives import Alternative, left_hand_alternatives
from engraver.fingering.costs import cost_table
from engraver.fingering.finger import habits_for, with_demands
from engraver.fingering.fingered import HINGE, FingeredNote, FingeredPassage
from engraver.fingering.left_hand import finger_left_hand
from engraver.fingering.reach import Stretch, stretches
from engraver.fingering.shifts import Shift, is_single_line, positions_of, shifts_of
from engraver.fingering.yielding import without
from engraver.fretboard.limits import LeftHandLimits
from engraver.fretboard.neck import span_mm
from engraver.fretboard.numerals import position_numeral
from engraver.fretboard.tuning import Instrument
from engraver.press.explain_table import phrases
from engraver.press.explaining_back import way_back_sections
from engraver.press.explanation import Section
from engraver.press.warnings import NEAR_MM
from engraver.spec.book import Edition, Exercise
from engraver.spec.played import PlayedSpec


def left_hand_sections(
    exercise: Exercise, edition: Edition, fingered: FingeredPassage
) -> tuple[tuple[Section, ...], tuple[Alternative, ...]]:
    """The sections of the fretting hand, and the alternatives they rank."""
    limits = without(with_demands(fingered.passage, exercise.hands[0]), fingered.given_up)
    others = _others(exercise, edition, fingered)
    sections = (
        Section(phrases().headings.places, _given_up(exercise, fingered), *_places(fingered)),
        Section(phrases().headings.shifts, (*_shifts(fingered, edition.instrument), *_hinges(fingered))),
        *way_back_sections(fingered, edition, limits),
        Section(phrases().headings.stretches, _stretches(fingered, edition, limits)),
        Section(phrases().headings.account, _together(fingered), *_account(fingered)),
        Section(phrases().headings.alternatives, _remarks(fingered, others), *_alternatives(fingered, others)),
    )
    return sections, others


def _others(exercise: Exercise, edition: Edition, fingered: FingeredPassage) -> tuple[Alternative, ...]:
    """The ranked fingerings under the book's wishes; where these leave too few, more without them, and said so."""
    passage, limits, count = fingered.passage, exercise.hands[0], phrases().limits.alternatives
    hand = (edition.instrument, edition.player)
    habits = habits_for(passage, limits)
    others = left_hand_alternatives(passage, *hand, with_demands(passage, limits), count, habits)
    if len(others) < phrases().limits.fewest_alternatives and limits != LeftHandLimits():
        found = [_spots(other.fingered) for other in others]
        freely = left_hand_alternatives(passage, *hand, with_demands(passage, LeftHandLimits()), count, habits)
        others += tuple(
            replace(other, reason=phrases().left_hand.freely.format(reason=other.reason))
            for other in freely
            if _spots(other.fingered) not in found
        )
    return others[:count]


def _given_up(exercise: Exercise, fingered: FingeredPassage) -> tuple[str, ...]:
    """The wishes of a level that the exercise could not be given."""
    assert isinstance(exercise.spec, PlayedSpec)
    hand, pattern = exercise.spec.left_hand, phrases().left_hand.given_up
    return tuple(
        pattern.format(level=hand.level, name=name, value=getattr(hand, name), refusal=fingered.refusal)
        for name in fingered.given_up
    )


# ---- places ------------------------------------------------------------------------------------------------------


def _places(fingered: FingeredPassage) -> tuple[tuple[str, ...], tuple[tuple[str, ...], ...]]:
    """A row for every stretch of notes in one position: of a line on one string, of other textures within one bar."""
    told, line = phrases().columns, is_single_line(fingered)
    columns = (told.notes, told.bar, told.string, told.position, told.pitches, told.frets, told.fingers, told.letters)

    def stretch(event: tuple[int, ...]) -> tuple[object, ...]:
        note = fingered.notes[event[0]]
        return (note.string if line else _bar(fingered, event[0]), note.position)

    groups = (list(group) for _, group in groupby(fingered.passage.events, key=stretch))
    return columns, tuple(_place(fingered, group) for group in groups)


def _place(fingered: FingeredPassage, events: Sequence[tuple[int, ...]]) -> tuple[str, ...]:
    """One row; notes that begin together are joined by a plus, a figure played again and again is told once."""
    notes = [[fingered.notes[index] for index in event] for event in events]
    first, last = events[0][0], events[-1][-1]
    figure = _figure([[(note.string, note.fret, note.left_finger, note.plucking) for note in event] for event in notes])
    times = phrases().left_hand.times.format(count=len(notes) // figure) if figure < len(notes) else ""
    notes = notes[:figure]
    strings = dict.fromkeys(note.string for event in notes for note in event)
    return (
        f"{first + 1}-{last + 1}" if last > first else f"{first + 1}",
        _bar(fingered, first),
        " ".join(map(str, strings)),
        position_numeral(notes[0][0].position),
        _joined([[str(note.note.pitch) for note in event] for event in notes]) + times,
        _joined([[str(note.fret) for note in event] for event in notes]),
        _joined([[str(note.left_finger) for note in event] for event in notes]),
        _joined([[note.plucking or phrases().signs.nothing for note in event] for event in notes]),
    )


def _figure(places: Sequence[object]) -> int:
    """The length of the shortest figure that, repeated whole, is all of this; at least two notes."""
    whole = range(2, len(places) // 2 + 1)
    fits = (n for n in whole if len(places) % n == 0 and all(a == b for a, b in zip(places, places[n:], strict=False)))
    return next(fits, len(places))


def _joined(events: Iterable[Iterable[str]]) -> str:
    return " ".join("+".join(event) for event in events)


def _bar(fingered: FingeredPassage, index: int) -> str:
    return fingered.passage.bar_number(fingered.passage.notes[index].onset_quarters)


# ---- shifts and stretches ----------------------------------------------------------------------------------------


def _shifts(fingered: FingeredPassage, instrument: Instrument) -> tuple[str, ...]:
    shifts = shifts_of(fingered)
    return tuple(_shift(fingered, shift, instrument) for shift in shifts) or (_no_shift(fingered),)


def _hinges(fingered: FingeredPassage) -> Iterable[str]:
    """The barres that finger 1 lays down from one end or lifts to it."""
    for cost in fingered.account:
        if cost.name == HINGE:
            yield phrases().left_hand.hinge.format(note=cost.note + 1, bar=_bar(fingered, cost.note))


def _no_shift(fingered: FingeredPassage) -> str:
    told, positions = phrases().left_hand, positions_of(fingered)
    if not positions:
        return told.no_shift.format(where=told.open)
    lowest, highest = position_numeral(positions[0]), position_numeral(positions[-1])
    pattern = told.stays if len(positions) == 1 else told.moves
    return told.no_shift.format(where=pattern.format(position=lowest, lowest=lowest, highest=highest))


def _shift(fingered: FingeredPassage, shift: Shift, instrument: Instrument) -> str:
    told, before, after = phrases().left_hand, shift.before, shift.after
    if shift.over_open:
        where = told.over_open
    else:
        pattern = told.on_string if before.string == after.string else told.across
        where = pattern.format(string=before.string, other=after.string)
    return told.shift.format(
        note=shift.index + 1,
        bar=_bar(fingered, shift.index),
        move=f"{position_numeral(before.position)}-{position_numeral(after.position)}",
        where=where,
        before=before.left_finger,
        after=after.left_finger,
        distance_mm=f"{span_mm(instrument, *sorted(shift.positions)):.0f}",
    )


def _stretches(fingered: FingeredPassage, edition: Edition, limits: LeftHandLimits) -> tuple[str, ...]:
    """The widest stretches, where the reach leaves less than a hair, and what a longer reach would change."""
    told, reach_mm = phrases().left_hand, f"{edition.player.reach_mm:g}"
    asked = stretches(fingered, edition.instrument, edition.player)
    found = [stretch for stretch in asked if stretch.share <= 1 or not stretch.together]  # else a note is let go
    widest = sorted(found, key=lambda stretch: -stretch.span_mm)[: phrases().limits.stretches]
    tight = [stretch for stretch in found if stretch.reach_mm - stretch.span_mm <= NEAR_MM]
    fingers = ", ".join(dict.fromkeys(_in_words(stretch, told.pair) for stretch in tight))
    return (
        *(map(_stretch, widest) if widest else (told.no_stretch,)),
        told.binds.format(fingers=fingers) if tight else told.binds_nowhere.format(reach_mm=reach_mm),
        *_with_longer_reach(fingered, edition, limits),
    )


def _stretch(stretch: Stretch) -> str:
    return _in_words(stretch, phrases().left_hand.stretch)


def _in_words(stretch: Stretch, pattern: str) -> str:
    told = phrases().left_hand
    return pattern.format(
        lower=stretch.lower,
        upper=stretch.upper,
        low=stretch.frets[0],
        high=stretch.frets[1],
        how=told.together if stretch.together else told.in_turn,
        note=stretch.index + 1,
        span_mm=f"{stretch.span_mm:.0f}",
        reach_mm=f"{stretch.reach_mm:.0f}",
    )


def _with_longer_reach(fingered: FingeredPassage, edition: Edition, limits: LeftHandLimits) -> tuple[str, ...]:
    """What a hand with a little more reach would do; nothing where costs alone did not decide."""
    if fingered.passage.repertoire or fingered.together:
        return ()
    told, more = phrases().left_hand, phrases().limits.more_reach_mm
    longer = replace(edition.player, reach_mm=edition.player.reach_mm + more)
    try:
        other = finger_left_hand(fingered.passage, edition.instrument, longer, limits)
    except FingeringError:
        return ()
    more_mm = f"{more:g}"
    where = _first_difference(fingered, other, told.longer_reach, more_mm)
    return (where or told.same_with_more.format(more_mm=more_mm),)


def _spots(fingered: FingeredPassage) -> list[tuple[int, int]]:
    return [_spot(note) for note in fingered.notes]


def _spot(note: FingeredNote) -> tuple[int, int]:
    return note.string, note.left_finger


# ---- costs and alternatives --------------------------------------------------------------------------------------


def _account(fingered: FingeredPassage) -> tuple[tuple[str, ...], tuple[tuple[str, ...], ...]]:
    """The account summed by row, dearest first, with the reason of each row."""
    told, table = phrases().columns, cost_table()
    reasons = {r.name: r.reason for r in (*table.holding, *table.moving, *table.breaking, *table.remembering)}
    times = Counter(cost.name for cost in fingered.account if cost.amount)
    sums = {name: sum(cost.amount for cost in fingered.account if cost.name == name) for name in times}
    names = sorted(sums, key=lambda name: (-sums[name], name))
    rows = [(f"{sums[n]:.2f}", str(times[n]), n.replace("_", " "), reasons.get(n, "")) for n in names]
    total = (f"{fingered.total_cost:.2f}", "", phrases().left_hand.total, "")
    return (told.cost, told.times, told.row, told.reason), (*rows, total)


def _together(fingered: FingeredPassage) -> tuple[str, ...]:
    """What one hand did for the other."""
    done, told = fingered.together, phrases().left_hand
    if done is None:
        return ()
    notes = ", ".join(str(index + 1) for index in done.slurred)
    pattern = told.slurred if done.slurred else told.gave_way
    return (pattern.format(notes=notes, extra=f"{done.extra_cost:.2f}", after=done.after, before=done.before),)


def _remarks(fingered: FingeredPassage, others: tuple[Alternative, ...]) -> tuple[str, ...]:
    told = phrases().left_hand
    habit = (told.by_habit,) if fingered.passage.repertoire else ()
    return (*habit, told.fewer) if len(others) < phrases().limits.fewest_alternatives else habit


def _alternatives(
    fingered: FingeredPassage, others: tuple[Alternative, ...]
) -> tuple[tuple[str, ...], tuple[tuple[str, ...], ...]]:
    """The best fingerings that differ in plan, cheapest first, the chosen one marked."""
    told, rows = phrases().columns, []
    for rank, other in enumerate(others, 1):
        where = _first_difference(fingered, other.fingered, phrases().left_hand.differs)
        mark = "" if where else phrases().signs.chosen
        rows.append((mark, str(rank), f"{other.cost:.2f}", where, other.reason))
    return (told.chosen, told.rank, told.cost, told.differs, told.reason), tuple(rows)


def _first_difference(here: FingeredPassage, there: FingeredPassage, pattern: str, more_mm: str = "") -> str:
    """The first note that lies or is fingered elsewhere, in the words of the pattern; empty when there is none."""
    for index, (one, other) in enumerate(zip(here.notes, there.notes, strict=True), 1):
        if _spot(one) != _spot(other):
            place = {"string": other.string, "fret": other.fret, "finger": other.left_finger}
            return pattern.format(note=index, more_mm=more_mm, **place)
    return ""
