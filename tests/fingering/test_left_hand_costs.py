"""The table of weights and the functions that count them hold each other."""

from engraver.fingering import costs


def test_table_and_functions_name_the_same_costs() -> None:
    """Every row has its function and every function its row, in the same order."""
    table = costs.cost_table()
    assert [row.name for row in table.holding] == list(costs.HOLDING)
    assert [row.name for row in table.moving] == list(costs.MOVING)
    assert [row.name for row in table.breaking] == list(costs.BREAKING)
    assert [row.name for row in table.remembering] == list(costs.REMEMBERING)


def test_every_weight_has_a_unit_and_a_reason() -> None:
    """A weight without a reason is a number nobody can dispute."""
    table = costs.cost_table()
    for row in (*table.holding, *table.moving, *table.breaking, *table.remembering):
        assert row.unit.startswith("per ")
        assert len(row.reason.split()) > 3
