"""The row of words over everything else: tempo and manner, and at the ends of bars where to go back."""

from bisect import bisect_right
from collections import defaultdict

from engraver.outputs.lilypond_rows import laid_out, quoted
from engraver.outputs.lilypond_timeline import Timeline
from engraver.score.model import Score

_LEFT, _RIGHT = "LEFT", "RIGHT"


def direction_row(score: Score, time: Timeline) -> tuple[str, ...]:
    """Words that begin with a note, and words that end with the last note of their bar; empty without any."""
    ticks = [moment.tick for moment in time.moments]
    parts: dict[int, list[str]] = defaultdict(list)
    sides: dict[int, str] = {}

    def put(tick: int, text: str, side: str) -> None:
        place = ticks[max(0, bisect_right(ticks, tick) - 1)]
        parts[place].append(text)
        sides[place] = side

    for measure, start, end in zip(score.measures, time.bounds, time.bounds[1:], strict=False):
        for way in measure.ways:
            if way.is_place:
                put(start, f"\\place {quoted(way.value)}", _LEFT)
            else:
                put(end - 1, f"\\way {quoted(way.value)}", _RIGHT)
    for words in score.directions:
        put(time.tick(words.onset_quarters), f"\\direction {quoted(words.text)}", _LEFT)
    row = {tick: found[0] if len(found) == 1 else f"\\beside {{ {' '.join(found)} }}" for tick, found in parts.items()}
    before = {tick: f"\\once \\override LyricText.self-alignment-X = #{side} " for tick, side in sides.items()}
    return laid_out(time, row, {}, before)
