"""Small invented work for the forecast, and strategies for it."""

import numpy as np
from hypothesis import strategies as st

from stockbook.forecast.coming import Coming
from stockbook.forecast.demand import Line, Lines

DAYS, KINDS, CATEGORIES = 6, 3, 2
chances = st.floats(0.0, 1.0).map(lambda x: round(x, 3))


@st.composite
def comings(draw: st.DrawFn) -> Coming:
    """Six days of up to four scheduled cases a kind, and some not yet scheduled."""
    scheduled = draw(st.lists(st.integers(0, 4), min_size=DAYS * KINDS, max_size=DAYS * KINDS))
    not_yet = draw(
        st.lists(st.floats(0, 3), min_size=DAYS * CATEGORIES, max_size=DAYS * CATEGORIES)
    )
    return Coming(
        np.array(scheduled).reshape(DAYS, KINDS),
        np.array(not_yet).reshape(DAYS, CATEGORIES),
        np.array([[0.6, 0.3, 0.1], [0.2, 0.3, 0.5]]),
        draw(st.sampled_from([0.0, 0.06, 0.5])),
        draw(st.sampled_from([0.0, 0.02, 0.3])),
    )


lines = st.builds(Line, st.integers(1, 3), chances, st.sampled_from([0.0, 0.01, 0.2]))
uses = st.dictionaries(
    st.integers(0, KINDS - 1), st.lists(lines, min_size=1, max_size=2).map(tuple), min_size=1
)
intervals = st.dictionaries(st.integers(0, DAYS), st.floats(0.05, 1), min_size=1)
Uses = dict[int, Lines]
