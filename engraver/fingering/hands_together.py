"""One hand gives way for the other: another left hand, or slurs, for fewer awkward crossings of an alternating line.

Source: a published teaching article on string crossings names both; what a crossing is worth is chosen by us.
"""

from dataclasses import replace

from engraver.fingering.crossings import awkward_crossings
from engraver.fingering.fingered import FingeredPassage, HandsTogether
from engraver.fingering.plucking_table import plucking_table
from engraver.fingering.right_hand import pluck
from engraver.fretboard.limits import Crossings, LeftHandLimits, RightHandPlan
from engraver.fretboard.tuning import Instrument, Player


def give_way(
    plucked: FingeredPassage, instrument: Instrument, player: Player, limits: LeftHandLimits, plan: RightHandPlan
) -> FingeredPassage:
    """The passage with fewer awkward crossings as far as the plan allows, and `together` telling what was done.

    `plucked` is the passage as planned for each hand by itself; it comes back unchanged where nothing is gained, and
    where several notes are plucked together.
    """
    if plan.crossings is Crossings.AS_THEY_COME:
        return plucked
    alone = len(plucked.passage.events) == len(plucked.notes)
    if not alone or not awkward_crossings(plucked):
        return plucked
    if plan.crossings is Crossings.BEST:
        return _another_left_hand(plucked, instrument, player, limits, plan)
    return _slurred(plucked, plan)


def _another_left_hand(
    plucked: FingeredPassage, instrument: Instrument, player: Player, limits: LeftHandLimits, plan: RightHandPlan
) -> FingeredPassage:
    """Of the best left hands the one with the smallest sum of its cost and of what awkward crossings are worth."""
    from engraver.fingering.alternatives import left_hand_alternatives

    row, before = plucking_table().together, len(awkward_crossings(plucked))
    others = left_hand_alternatives(plucked.passage, instrument, player, limits, row.alternatives)
    hands = [plucked, *(pluck(other.fingered, plan) for other in others)]
    best = min(hands, key=lambda hand: hand.total_cost + row.cost_per_crossing * len(awkward_crossings(hand)))
    after = len(awkward_crossings(best))
    if after >= before:
        return plucked
    extra = round(best.total_cost - plucked.total_cost, 4)
    return replace(best, together=HandsTogether(before, after, extra_cost=extra))


def _slurred(plucked: FingeredPassage, plan: RightHandPlan) -> FingeredPassage:
    """Slurs added one by one, each the one that spares most, as long as one spares any."""
    from engraver.fingering.plucking_remedies import RemedyKind, remedies

    now, slurred = plucked, []
    while found := [remedy for remedy in remedies(now, plan) if remedy.kind is RemedyKind.SLUR]:
        now = found[0].passage
        slurred.append(found[0].note or 0)
    if not slurred:
        return plucked
    before, after = len(awkward_crossings(plucked)), len(awkward_crossings(now))
    return replace(now, together=HandsTogether(before, after, tuple(sorted(slurred))))
