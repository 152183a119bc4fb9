"""The table of weights and the evidence it weighs."""

from engraver.theory.context import home_of, question_of, timeline
from engraver.theory.spelling_weights import spelling_weights


def test_every_weight_has_its_evidence_and_every_evidence_its_weight():
    """The table and the code name the same pieces of evidence."""
    notes = [(0, 1, 60), (0, 1, 66), (0.5, 0.5, 61), (1, 1, 63), (1, 1, 69), (1.5, 1, 64)]
    order, line = timeline(notes)
    _, question = question_of(line, home_of(line, order, None))
    names = [row.name for row in spelling_weights().voice_leading]
    assert len(set(names)) == len(names)
    assert [set(evidence) for evidence in question.evidence()] == [set(names)]


def test_every_fitted_weight_says_where_the_fit_starts():
    """Without a starting value a weight could not be fitted again."""
    assert all(row.start is not None and row.reason for row in spelling_weights().voice_leading)
