"""Whatever a player does, the coach's beliefs stay beliefs."""

import numpy as np
from hypothesis import given, settings
from hypothesis import strategies as st

from game.learning.coach import Coach
from shared.levels import shipped_levels

NOW = 1_700_000_000.0
levels = st.sampled_from(shipped_levels())
gaps = st.sampled_from([0.0, 5.0, 3600.0, 86400.0, 3e7])
times = st.one_of(st.none(), st.floats(0, 1e6))


@settings(max_examples=25, deadline=None)
@given(levels, st.data())
def test_any_play(level, data):
    """Any picks, skips, hands, times and gaps leave distributions, and a log that replays to the same coach."""
    coach, now, log = Coach(level, seed=data.draw(st.integers(0, 99))), NOW, []
    picks = st.one_of(
        st.none(),
        st.sampled_from(level.figures),
        st.dictionaries(st.sampled_from(level.figures), st.integers(1, 30), min_size=1, max_size=3),
    )
    for _ in range(data.draw(st.integers(1, 8))):
        now += data.draw(gaps)
        question = coach.ask(now)
        said = [data.draw(picks) for _ in question.asked]
        log += coach.mark(question, said, now, seconds=data.draw(times)).answers
    table, recall = coach.confusion(), coach.recall(now)
    assert np.allclose(table.sum(axis=1), 1)
    assert np.all(table >= 0)
    assert np.all((recall > 0) & (recall < 1))
    forecast = coach.forecast(20, 0.75, now)
    assert 0 <= forecast.low <= forecast.high <= 1
    again = Coach.replay(level, log, seed=coach.seed)
    assert np.allclose(again.confusion(), table)
    assert again.ask(now).bar == coach.ask(now).bar
