"""The row of loudness: signs in letters, hairpins between them, and the words that stand for a hairpin."""

from collections import defaultdict
from collections.abc import Mapping

from engraver.outputs.engraving_table import engraving_table
from engraver.outputs.lilypond_rows import laid_out, quoted
from engraver.outputs.lilypond_timeline import Timeline
from engraver.score.model import Score
from engraver.theory.passage import Hairpin

_WORDS = {True: "cresc.", False: "dim."}
_WEDGES = {True: r"\<", False: r"\>"}


def loudness_row(score: Score, time: Timeline) -> tuple[str, ...]:
    """Signs and hairpins, a text for each measure; the upper voice's sign where both have one. Empty without any."""
    signs = {
        moment.tick: sign.value
        for moment in time.moments
        if (sign := next((element.dynamic for element in moment.elements if element.dynamic), None))
    }
    words = {time.tick(h.start_quarters): _WORDS[h.grows] for h in score.hairpins if h.words}
    row = {tick: _mark(signs.get(tick, ""), words.get(tick, "")) for tick in {*signs, *words}}
    taken = {tick: _half_width(signs.get(tick, ""), words.get(tick, "")) for tick in row}
    spans: dict[int, str] = defaultdict(str)
    starts = {time.tick(hairpin.start_quarters) for hairpin in score.hairpins if not hairpin.words}
    for hairpin in score.hairpins:
        _draw(hairpin, time, {**dict.fromkeys(starts, 0.0), **taken}, spans)
    return laid_out(time, row, spans)


def _draw(hairpin: Hairpin, time: Timeline, taken: Mapping[int, float], spans: dict[int, str]) -> None:
    """Puts the beginning and the end of a hairpin, or of the dashes after its word, into the row.

    `taken` is half the width of what stands at a tick.
    """
    look = engraving_table().look
    start, end = time.tick(hairpin.start_quarters), time.tick(hairpin.end_quarters)
    if end >= time.bounds[-1]:
        end = (time.moments[-1].tick + time.bounds[-1]) // 2
    if hairpin.words and not hairpin.dashes:
        return
    left = taken[start] + (look.hairpin_gap_sp if taken[start] or start in spans else 0.0)
    if hairpin.words:
        spans[end] += "\\stopTextSpan"
        spans[start] += f"\\dashesFrom #{left:.2f}"
        return
    right = taken[end] + look.hairpin_gap_sp if end in taken else 0.0
    head = look.hairpin_head_sp
    ends = "#'({:g} . {:g})".format(*(round(side + head, 2) if side else 0 for side in (left, right)))
    spans[end] = f"\\!{spans.get(end, '')}"
    spans[start] += f"\\hairpin {ends} {_WEDGES[hairpin.grows]}"


def _mark(sign: str, word: str) -> str:
    if sign and word:
        return f"\\loudnessAndWord {quoted(sign)} {quoted(word)}"
    return f"\\loudness {quoted(sign)}" if sign else f"\\word {quoted(word)}"


def _half_width(sign: str, word: str) -> float:
    look = engraving_table().look
    between = look.hairpin_gap_sp if sign and word else 0.0
    letters = sum(look.loudness_letters_sp[letter] for letter in sign)
    return (letters + between + look.word_letter_sp * len(word)) / 2
