"""Free planning: the fingers of a whole passage at once, where the book fixes no pattern.

Every attack has a few ways to be plucked, each with the hand over one of a few strings; the cheapest chain of them
is found by dynamic programming over the rows of tables/plucking.yaml.
"""

from dataclasses import dataclass, replace
from functools import cache, lru_cache
from itertools import combinations, product

from engraver.fingering.plucking_costs import HOVERED_STRINGS, Fingers, Hand, move_rows, own_rows
from engraver.fingering.plucking_moments import Moment, moments_of
from engraver.fingering.plucking_table import plucking_table
from engraver.fingering.strokes import FINGER_ORDER, Attack
from engraver.theory.passage import Passage, PluckingFinger

_THUMB = PluckingFinger.THUMB


@dataclass(frozen=True, slots=True)
class Grasp:
    """What one attack leaves open: its strings from the lowest up, the fingers fixed on them, those to be used."""

    strings: tuple[int, ...]
    fixed: tuple[PluckingFinger | None, ...]
    among: tuple[PluckingFinger, ...] = ()


def plan_freely(
    passage: Passage, attacks: tuple[Attack, ...], alternate: tuple[PluckingFinger, ...] = ()
) -> tuple[Attack, ...]:
    """The attacks with the cheapest fingers; fixed ones stay. `alternate` keeps single notes to these and the thumb.

    In a chord the fingers lie in the order p i m a from the lowest string to the highest; i, m and a never pluck
    two single notes running unless the exercise fixes them so. The thumb may, as in a sweep over low strings.
    Source: common practice of the methods, from memory; weights as said in the table.
    """
    if not attacks:
        return ()
    moments = moments_of(passage, attacks, plucking_table().surroundings)
    if alternate:  # the book's own pair takes the place of i and m in a line
        moments = tuple(replace(moment, in_line=False) for moment in moments)
    grasps = [grasp_of(attack, alternate) for attack in attacks]
    return tuple(map(_with_fingers, attacks, _cheapest(moments, grasps)))


def grasp_of(attack: Attack, alternate: tuple[PluckingFinger, ...] = ()) -> Grasp:
    """What an attack leaves open to planning."""
    among = (_THUMB, *alternate) if alternate and len(attack) == 1 else ()
    fixed = tuple(stroke.finger if stroke.fixed else None for stroke in attack)
    return Grasp(tuple(stroke.string for stroke in attack), fixed, among)


@cache
def hands_for(grasp: Grasp) -> tuple[Hand, ...]:
    """The ways to pluck one attack, fixed fingers kept; any fingers at all when those fit no way in order."""
    ordered = [way for way in _ways_in_order(len(grasp.strings)) if not grasp.among or way[0] in grasp.among]
    ways = [way for way in ordered if _keeps(way, grasp)] or [
        way for way in product(FINGER_ORDER, repeat=len(grasp.strings)) if _keeps(way, grasp)
    ]
    return tuple(Hand(grasp.strings, way, string) for way in ways for string in HOVERED_STRINGS)


def forget_costs() -> None:
    """Drops the costs kept from earlier passages, for those who change the weights."""
    _own_costs.cache_clear()
    _move_costs.cache_clear()


def is_forbidden(before: Hand, hand: Hand) -> bool:
    """True when i, m or a (or c) plucks two single notes running, or, next to a chord, one string twice running.

    Chord after chord is allowed to: repeated chords leave no other way.
    """
    single, single_before = len(hand.fingers) == 1, len(before.fingers) == 1
    if single and single_before:
        return hand.fingers == before.fingers and hand.fingers[0] is not _THUMB
    again = {*zip(hand.fingers, hand.strings, strict=True)} & {*zip(before.fingers, before.strings, strict=True)}
    return (single or single_before) and any(finger is not _THUMB for finger, _ in again)


def _cheapest(moments: tuple[Moment, ...], grasps: list[Grasp]) -> list[Hand]:
    """The cheapest chain of hands; between equals the one listed first."""
    costs = list(_own_costs(moments[0], grasps[0]))
    origins: list[list[int]] = []
    for place in range(1, len(grasps)):
        own, table = (
            _own_costs(moments[place], grasps[place]),
            _move_costs(grasps[place - 1], grasps[place], moments[place].hurried),
        )
        totals = [[cost + move for cost, move in zip(costs, row, strict=True)] for row in table]
        origins.append([row.index(min(row)) for row in totals])
        costs = [min(row) + mine for row, mine in zip(totals, own, strict=True)]
    chosen = [costs.index(min(costs))]
    for origin in reversed(origins):
        chosen.append(origin[chosen[-1]])
    return [hands_for(grasp)[choice] for grasp, choice in zip(grasps, reversed(chosen), strict=True)]


@lru_cache(maxsize=10_000)
def _own_costs(moment: Moment, grasp: Grasp) -> tuple[float, ...]:
    """What each hand pays by itself."""
    values = plucking_table().values
    return tuple(sum(values[row] for row in own_rows(moment, hand)) for hand in hands_for(grasp))


@lru_cache(maxsize=10_000)
def _move_costs(before: Grasp, grasp: Grasp, hurried: bool) -> tuple[tuple[float, ...], ...]:
    """For each hand what it pays after each hand of the attack before."""
    return tuple(
        tuple(_move_cost(earlier, hand, hurried) for earlier in hands_for(before)) for hand in hands_for(grasp)
    )


def _move_cost(before: Hand, hand: Hand, hurried: bool) -> float:
    table = plucking_table()
    forbidden = table.forbidden if is_forbidden(before, hand) else 0.0
    return forbidden + sum(table.values[row] for row in move_rows(before, hand, hurried))


@cache
def _ways_in_order(count: int) -> tuple[Fingers, ...]:
    """Fingers in the order of the hand; the thumb may take a second low string, more when the fingers run out."""
    thumb, *above = plucking_table().fingers
    most_thumbs = min(count, max(2, count - len(above)))
    thumbs_first = (
        (thumb,) * thumbs + rest for thumbs in range(1, most_thumbs + 1) for rest in combinations(above, count - thumbs)
    )
    return (*thumbs_first, *combinations(above, count))


def _keeps(way: Fingers, grasp: Grasp) -> bool:
    return all(finger in (None, chosen) for finger, chosen in zip(grasp.fixed, way, strict=True))


def _with_fingers(attack: Attack, hand: Hand) -> Attack:
    return tuple(replace(stroke, finger=finger) for stroke, finger in zip(attack, hand.fingers, strict=True))
