"""Free planning: the fingers of a whole passage at once, where the book fixes no pattern.

Every attack has a few ways to be plucked; the cheapest chain of them is found by dynamic programming over the
rows of tables/plucking.yaml.
"""

from collections.abc import Sequence
from dataclasses import dataclass, replace
from functools import cache
from itertools import combinations, product

from engraver.fingering.plucking_costs import COST_ROWS, Fingers, Step
from engraver.fingering.plucking_moments import Moment, moments_of
from engraver.fingering.plucking_table import plucking_table
from engraver.fingering.strokes import FINGER_ORDER, Attack
from engraver.theory.passage import Passage, PluckingFinger


@dataclass(frozen=True, slots=True)
class _Path:
    cost: float
    fingers: tuple[Fingers, ...]


def plan_freely(
    passage: Passage, attacks: tuple[Attack, ...], alternate: tuple[PluckingFinger, ...] = ()
) -> tuple[Attack, ...]:
    """The attacks with the cheapest fingers; fixed ones stay. `alternate` keeps single notes to these and the thumb.

    In a chord the fingers lie in the order p i m a from the lowest string to the highest; i, m and a never pluck
    two single notes running unless the exercise fixes them so.
    Source: common practice of the methods, from memory; weights as said in the table.
    """
    if not attacks:
        return ()
    moments = moments_of(passage, attacks, plucking_table().window)
    paths = [_Path(_cost(Step(moments[0], fingers)), (fingers,)) for fingers in ways_to_pluck(attacks[0], alternate)]
    for place in range(1, len(attacks)):
        ways = ways_to_pluck(attacks[place], alternate)
        paths = [_best_path(paths, moments[place - 1], moments[place], fingers) for fingers in ways]
    best = min(paths, key=lambda path: path.cost)
    return tuple(map(_with_fingers, attacks, best.fingers))


def ways_to_pluck(attack: Attack, alternate: tuple[PluckingFinger, ...] = ()) -> tuple[Fingers, ...]:
    """The ways to pluck one attack, fixed fingers kept; any fingers at all when these fit no way in order."""
    fixed = tuple(stroke.finger if stroke.fixed else None for stroke in attack)
    return _ways(fixed, (PluckingFinger.THUMB, *alternate) if alternate and len(attack) == 1 else ())


def step_is_forbidden(step: Step) -> bool:
    """True when i, m or a (or c) plucks two single notes running."""
    single = len(step.fingers) == len(step.before_fingers) == 1
    return single and step.fingers == step.before_fingers and step.fingers[0] is not PluckingFinger.THUMB


@cache
def _ways(fixed: tuple[PluckingFinger | None, ...], among: tuple[PluckingFinger, ...]) -> tuple[Fingers, ...]:
    ordered = [way for way in _in_order(len(fixed)) if not among or way[0] in among]
    return tuple(way for way in ordered if _keeps(way, fixed)) or tuple(
        way for way in product(FINGER_ORDER, repeat=len(fixed)) if _keeps(way, fixed)
    )


def _in_order(count: int) -> list[Fingers]:
    """Fingers in the order of the hand, the thumb taking several low strings where the others do not suffice."""
    hand = plucking_table().fingers
    above = hand[1:]
    thumbs = range(max(1, count - len(above)), max(2, count - len(above)) + 1)
    with_thumb = [
        (hand[0],) * thumb + rest for thumb in thumbs if thumb <= count for rest in combinations(above, count - thumb)
    ]
    return with_thumb + list(combinations(above, count))


def _keeps(way: Fingers, fixed: Sequence[PluckingFinger | None]) -> bool:
    return all(finger in (None, chosen) for finger, chosen in zip(fixed, way, strict=True))


def _best_path(paths: list[_Path], before: Moment, moment: Moment, fingers: Fingers) -> _Path:
    steps = [(path, path.cost + _cost(Step(moment, fingers, before, path.fingers[-1]))) for path in paths]
    path, cost = min(steps, key=lambda pair: pair[1])
    return _Path(cost, (*path.fingers, fingers))


def _cost(step: Step) -> float:
    table = plucking_table()
    forbidden = table.forbidden if step_is_forbidden(step) else 0.0
    return forbidden + sum(weight.value * COST_ROWS[weight.name](step) for weight in table.weights)


def _with_fingers(attack: Attack, fingers: Fingers) -> Attack:
    return tuple(replace(stroke, finger=finger) for stroke, finger in zip(attack, fingers, strict=True))
